//! Sheets as collectors keep them: headings, separators, dates in words, answers in a mapping, rows that are wrong.

use std::fs;

use crate::import::Desk;

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/underlode-men";
const VARIANT: &str = "brackwold-tharn/sluice-118/underlode-men";

/// A feature of kind `code`.
const LOT: &str = "lot-number";

const BARN: &str = "\u{feff}Model;Line;Cut for;Year;Seen by;Seen on;Hem stitch;BELT_LOOPS;Leg opening (in);Zip metl;Notes\r\n\
    Sluice 118;Underlode;mens;late 1970s;Wren T.;2026-03-14;Chain stitch;5;8 1/4;brass;\"Bought in a barn;\r\nnever washed\"\r\n\
    Sluice 118;Underlode;men;03/04/1975;Wren T.;2026-03-14;lockstitch;6;8,5;;\r\n\
    ;;;;;;;;;;\r\n\
    Sluice 118;Underlode;men;1974 or 1978;Rowan K.;14/03/2026;other: seven rows;5 !unsure | worn;21,5 cm;;'=1+1\r\n";

#[test]
fn a_dry_run_says_what_it_would_write_and_writes_nothing() {
    let desk = Desk::new();
    let before = desk.files();
    let ran = desk.import(&[&desk.put("barn.csv", BARN)]);
    assert_eq!((ran.code, desk.files()), (1, before));
    for said in [
        "separator = \";\"",
        "\"BELT_LOOPS\" = \"feature:belt-loops\"",
        "\"Zip metl\" = \"\"   # not known, so left out; near it: `zip-metal`",
        "`late 1970s` is read as `1976/1979`: some day from 1976-01-01 to 1979-12-31",
        "underlode-men/1976-1979-wren-t.md",
        "row 3, `Year`: `03/04/1975`: day first, it is 1975-04-03; month first, it is 1975-03-04",
    ] {
        assert!(ran.told.contains(said), "{said} in {}", ran.told);
    }
    assert_eq!(ran.summary, "2 entries to write, 1 wrong; nothing is written without --write\n");
}

#[test]
fn good_rows_are_written_in_the_words_of_entries_and_the_rest_can_be_had() {
    let desk = Desk::new();
    let rest = desk.0.path().join("rest.csv");
    let sheet = desk.put("barn.csv", BARN);
    let ran = desk.import(&[&sheet, "--write", "--rest", rest.to_str().unwrap()]);
    assert_eq!(ran.code, 1, "{}", ran.told);
    assert!(ran.told.contains("Unknown columns, left out:\n#   `Zip metl`"), "{}", ran.told);
    let expected = "+++\nbasis = \"specimen\"\nobserved = 2026-03-14\nobserver = \"Wren T.\"\nmade = \"1976/1979\"\n\
        made-as-written = \"late 1970s\"\n\n[features]\nbelt-loops = 5\nhem = \"chain-stitch\"\n\
        leg-opening = { value = 8.25, unit = \"in\" }\n+++\nBought in a barn;\nnever washed\n";
    assert_eq!(desk.read(&format!("{FOLDER}/1976-1979-wren-t.md")), expected);
    let other = desk.read(&format!("{FOLDER}/1974-1978-rowan-k.md"));
    for line in [
        "observed = 2026-03-14",
        "made = \"[1974,1978]\"",
        "belt-loops = { value = 5, unsure = true, note = \"worn\" }",
        "hem = { other = \"seven rows\" }",
        "leg-opening = 21.5",
        "=1+1",
    ] {
        assert!(other.lines().any(|own| own == line), "{line} in {other}");
    }
    let lines: Vec<&str> = BARN.lines().collect();
    let wrong = lines.iter().find(|line| line.contains("03/04/1975")).unwrap();
    let head = lines[0].trim_start_matches('\u{feff}');
    assert_eq!(fs::read_to_string(&rest).unwrap(), format!("{head}\n{wrong}\n"));
    assert_eq!(desk.run(&["check", FOLDER]).code, 0);
    let again = desk.import(&[&sheet, "--rest", rest.to_str().unwrap()]);
    assert_eq!(again.code, 2);
    assert!(again.summary.contains("already exists, and bartack replaces nothing"), "{}", again.summary);
}

#[test]
fn what_is_printed_is_a_mapping_that_can_be_taken_back() {
    let desk = Desk::new();
    let sheet = desk.put("barn.csv", BARN);
    let printed = desk.import(&[&sheet]).told;
    let answered = printed
        .replace("# day-first = true", "day-first = true ")
        .replace("\"Zip metl\" = \"\"", "\"Zip metl\" = \"zip-metal\"");
    let map = desk.put("map.toml", &answered);
    let ran = desk.import(&[&sheet, "--map", &map]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    assert!(ran.told.contains("`03/04/1975` is read as `1975-04-03`: one day: 1975-04-03"), "{}", ran.told);
    let again = desk.import(&[&sheet, "--map", &desk.put("again.toml", &ran.told)]);
    assert_eq!(again.told, ran.told);
}

#[test]
fn a_mapping_answers_for_states_dates_and_what_every_row_says() {
    let desk = Desk::new();
    let sheet = desk.put("s.csv", "When\tSeam\tTwill pockets\n'77\tdbl\tx\nfall '77\t?\tno\n");
    let map = format!(
        "[always]\nvariant = \"{VARIANT}\"\nobserver = \"wren\"\n[columns]\nWhen = \"made\"\nSeam = \"leg-seam\"\n\
         \"Twill pockets\" = \"pocketing=twill\"\n[states.leg-seam]\ndbl = \"felled-double\"\n\"?\" = \"\"\n\
         [dates]\n\"77\" = \"1977\"\n\"fall '77\" = \"1977-23\"\n"
    );
    let ran = desk.import(&[&sheet, "--map", &desk.put("m.toml", map), "--write"]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    let first = desk.read(&format!("{FOLDER}/1977-wren.md"));
    assert!(first.contains("made = \"1977\"\nmade-as-written = \"77\"\n"), "{first}");
    assert!(first.contains("[features]\npocketing = \"twill\"\nleg-seam = \"felled-double\"\n"), "{first}");
    let second = desk.read(&format!("{FOLDER}/1977-23-wren.md"));
    assert!(second.contains("made = \"1977-23\"") && !second.contains("[features]"), "{second}");
}

#[test]
fn a_column_inseam_is_the_length_of_the_leg_and_not_its_seam() {
    let desk = Desk::new();
    for heading in ["inseam", "Inside leg"] {
        let sheet = format!("variant,observer,made,{heading}\n{VARIANT},{},1974,32\n", heading.len());
        let ran = desk.import(&[&desk.put("s.csv", sheet), "--write"]);
        assert_eq!(ran.code, 0, "{}", ran.told);
        let written = desk.read(&format!("{FOLDER}/1974-{}.md", heading.len()));
        assert!(written.contains("[features]\ninseam = 32\n"), "{heading}: {written}");
    }
}

#[test]
fn two_people_who_add_one_garment_are_told_of_each_other() {
    let desk = Desk::new();
    let sheet = |observer: &str| {
        format!(
            "variant,observer,made,hem,belt-loops,leg-opening,leg-seam\n{VARIANT},{observer},1974,lockstitch,6,20.75,open-bound\n"
        )
    };
    let first = desk.import(&[&desk.put("a.csv", sheet("wren")), "--write"]);
    assert!(!first.told.contains("looks like"), "{}", first.told);
    let second =
        desk.import(&[&desk.put("b.csv", sheet("rowan") + &sheet("osk").lines().skip(1).collect::<String>() + "\n")]);
    assert_eq!(second.code, 0, "it is pointed out and not refused");
    assert!(second.told.contains(&format!(
        "row 2: this looks like the garment of `{FOLDER}/1974-wren.md`: all readings are the same"
    )));
    assert!(second.told.contains("`same-as = \"1974-wren\"`"), "{}", second.told);
    let same = desk.import(&[&desk.put("c.csv", sheet("wren"))]);
    assert_eq!(same.summary, "0 entries to write, 0 wrong, 1 recorded already\n");
    let twice = desk.put("d.csv", sheet("kit") + &sheet("kit").lines().skip(1).collect::<String>() + "\n");
    let twice = desk.import(&[&twice]);
    assert!(twice.told.contains("#   row 3: is the same as row 2, word for word"), "{}", twice.told);
    assert!(twice.told.contains("1974-kit.md") && !twice.told.contains("1974-kit-2.md"), "{}", twice.told);
    let with_note =
        sheet("kit").replace("leg-seam\n", "leg-seam,notes\n").replace("open-bound\n", "open-bound,first\n");
    let with_note =
        with_note.clone() + &with_note.lines().skip(1).collect::<String>().replace("first", "second") + "\n";
    let twice = desk.import(&[&desk.put("e.csv", with_note)]);
    assert!(twice.told.contains("1974-kit.md") && twice.told.contains("1974-kit-2.md"), "{}", twice.told);
    assert!(twice.told.contains("row 3: this looks like the garment of row 2,"), "{}", twice.told);
}

#[test]
fn a_sheet_that_cannot_be_read_is_refused_with_what_to_do() {
    let desk = Desk::new();
    let cases: [(&[u8], &str); 8] = [
        (b"", "is empty; its first row names the columns"),
        (b"hem\nraw\n\xff\x81\n", "is neither UTF-8 nor windows-1252; say in the mapping what it is"),
        (b"\xff\xfea", "has bytes that mean nothing in UTF-16LE"),
        (b"PK\x03\x04", "is damaged: its list of parts cannot be read"),
        (b"price,colour\n5,blue\n", "no heading was recognised: found `price` and `colour`"),
        (b"hem,Hem stitch\nraw,raw\n", "the columns `hem` and `Hem stitch` are for the same field"),
        (b"hem,hem\nraw,raw\n", "for the same field"),
        (b"+++\nbasis = \"specimen\"\n+++\n", "give it a name that ends in `.md`"),
    ];
    for (content, said) in cases {
        let ran = desk.import(&[&desk.put("bad.csv", content)]);
        assert_eq!(ran.code, 2, "{}", ran.told);
        assert!(ran.summary.contains(said), "{}", ran.summary);
    }
    let sheet = desk.put("s.csv", "hem\nlockstitch\n");
    let ran = desk.import(&[&sheet, "--map", &desk.put("m.toml", "[columns]\nhem = \"hemm\"\n")]);
    assert!(ran.code == 2 && ran.summary.contains("a column can hold no `hemm`; near it: `hem`"), "{}", ran.summary);
    let nameless = desk.import(&[&desk.put("n.csv", "hem,,\nlockstitch,5,\n")]);
    assert!(nameless.told.contains("#   1 column without a heading"), "{}", nameless.told);
    assert!(desk.import(&[&sheet, &sheet]).summary.contains("one sheet at a time"));
}

/// A sheet as it leaves an office program: a title, a line for the separator, no UTF-8, sums, and a row twice.
#[test]
fn what_stands_around_the_garments_is_passed_over_and_named() {
    let desk = Desk::new();
    let text = "sep=;\r\nGarments of the M\u{fc}hle;;;;\r\n;;;;\r\nModel;Line;Cut for;Notes;Paid\r\n\
        Sluice 118;Underlode;men;F\u{e4}hre;40\r\n;;;;\r\n;;;;\r\nSluice 118;Underlode;men;F\u{e4}hre;40\r\n\
        Sluice 118;Underlode;men;Bahn;35\r\nTotal;;;;115,00 \u{20ac}\r\n";
    // In windows-1252 these letters have the numbers that they have in Unicode, but for the euro.
    let bytes: Vec<u8> =
        text.chars().map(|letter| if letter == '\u{20ac}' { 0x80 } else { u8::try_from(letter).unwrap() }).collect();
    let sheet = desk.put("office.csv", &bytes);
    let ran = desk.import(&[&sheet]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    for said in [
        "encoding = \"windows-1252\"\n",
        "# How the sheet was read:\n#   read as windows-1252, because it is not UTF-8, with words such as `M\u{fc}hle` and \
         `F\u{e4}hre`; if that is wrong, say in the mapping what it is",
        "#   row 1: `sep=;`, which names the separator\n#   row 2: `Garments of the M\u{fc}hle`, above the headings\n\
         #   rows 6 to 7: empty\n#   row 8: is the same as row 5, word for word\n\
         #   row 10: a row of sums: `Total` and `115,00 \u{20ac}`\n",
    ] {
        assert!(ran.told.contains(said), "{said} in {}", ran.told);
    }
    assert_eq!(ran.summary, "2 entries to write, 0 wrong, 4 rows passed over; nothing is written without --write\n");
    // What was assumed is an answer, and said no more once it is given.
    let settled = desk.import(&[&sheet, "--map", &desk.put("m.toml", &ran.told), "--write"]);
    assert!(!settled.told.contains("How the sheet was read"), "{}", settled.told);
    assert!(desk.read(&format!("{FOLDER}/undated.md")).contains("F\u{e4}hre"));
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let wide = desk.import(&[&desk.put("wide.csv", [b"\xff\xfe", wide.as_slice()].concat())]);
    assert_eq!(wide.summary, "0 entries to write, 0 wrong, 2 recorded already, 4 rows passed over\n");
}

#[test]
fn a_quotation_mark_that_is_never_closed_is_told_and_not_swallowed() {
    let desk = Desk::new();
    let text = format!(
        "variant,hem,notes\n{VARIANT},lockstitch,fine\n{VARIANT},lockstitch,\"open\n{VARIANT},lockstitch,lost\n"
    );
    let ran = desk.import(&[&desk.put("s.csv", text)]);
    assert!(ran.told.contains("row 3: a quotation mark is opened in this row and never closed"), "{}", ran.told);
    assert_eq!(ran.summary, "1 entry to write, 1 wrong; nothing is written without --write\n");
}

#[test]
fn rows_of_other_places_are_told_from_the_variant_they_name() {
    let desk = Desk::new();
    let head = "maker,model,variant,line,wearer,hem\n";
    for (row, said) in [
        (
            format!("Quillander,,{VARIANT},,,lockstitch"),
            "row 2, `maker`: the variant `brackwold-tharn/sluice-118/underlode-men` is not of the maker `quillander`",
        ),
        (
            format!(",,{VARIANT},Standing Gate,,lockstitch"),
            "row 2, `line`: the variant `brackwold-tharn/sluice-118/underlode-men` is not of the line `standing-gate`",
        ),
        (
            format!(",,{VARIANT},,women,lockstitch"),
            "row 2, `wearer`: the variant `brackwold-tharn/sluice-118/underlode-men` is not cut for women",
        ),
        (",,,,giants,lockstitch".to_string(), "the wearer must be `men`, `women`, `youth` or `unisex`, not `giants`"),
        (",Sluice,,,,lockstitch".to_string(), "there is no model `Sluice`"),
    ] {
        let ran = desk.import(&[&desk.put("s.csv", format!("{head}{row}\n"))]);
        assert_eq!(ran.code, 1);
        assert!(ran.told.contains(said), "{}", ran.told);
    }
    let unplaced =
        desk.import(&[&desk.put("s.csv", format!("{head}Brackwold Tharn,Sluice 118,,,mens,lockstitch\n")), "--write"]);
    assert_eq!(unplaced.code, 0, "{}", unplaced.told);
    let text = desk.read("entries/unplaced/undated.md");
    assert!(
        text.contains("maker = \"brackwold-tharn\"\nmodel = \"brackwold-tharn/sluice-118\"\nwearer = \"men\"\n"),
        "{text}"
    );
}

/// A key to the lot numbers of one maker: month and year.
const KEY: &str = "+++\ntitle = \"Month and year of a lot\"\nreads = \"LOT\"\nmakers = [\"brackwold-tharn\"]\n\
    sources = [\"bt-catalogue-1961\"]\nnot-before = \"1950\"\nnot-after = \"1984\"\n\
    parts = [{ digits = 2, is = \"month\" }, { digits = 1, is = \"year-of-decade\" }]\n+++\n";

#[test]
fn codes_are_kept_as_they_stand_and_what_keys_make_of_them_is_said() {
    let desk = Desk::new();
    std::fs::create_dir_all(desk.root().join("entries/keys")).unwrap();
    std::fs::write(desk.root().join("entries/keys/lots.md"), KEY.replace("LOT", LOT)).unwrap();
    let sheet = format!(
        "variant,maker,{LOT},notes\n{VARIANT},,\"04-8\"\n{VARIANT},,04-8,second\n{VARIANT},,13-8\n{VARIANT},,04-8 !unsure\n,,048\n,quillander,048\n"
    );
    let ran = desk.import(&[&desk.put("lots.csv", &sheet), "--write"]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    let said = "Codes, and what keys read from them:\n\
        #   `04-8`, 2 times: reads April 1958, April 1968 or April 1978 through `lots`\n\
        #   `048`: who made it is not known; it could read April 1958, April 1968 or April 1978 through `lots`\n\
        #   `13-8`: no key of its maker can read it; look at it again\n";
    assert!(ran.told.contains(said), "{}", ran.told);
    let written: Vec<String> = desk.files().into_iter().filter(|path| ran.told.contains(path.as_str())).collect();
    let kept = written.iter().filter(|path| desk.read(path).contains(&format!("{LOT} = \"04-8\"\n"))).count();
    assert_eq!(kept, 2, "{written:?}");
    assert!(written.iter().all(|path| !desk.read(path).contains("made = ")), "what is read goes into no entry");
}

/// The maker's earlier id was followed for makers, models and variants, and not for lines.
#[test]
fn a_line_is_found_under_an_earlier_id_of_its_maker() {
    let desk = Desk::new();
    let maker = desk.root().join("entries/makers/brackwold-tharn/maker.md");
    let text = fs::read_to_string(&maker).unwrap();
    let formerly = "+++\nformerly = [\"makers/brackwold-sons/maker\"]\n";
    fs::write(&maker, text.replacen("+++\n", formerly, 1)).unwrap();
    let sheet = |id: &str| format!("Model;Line;Wearer;Seen on\nSluice 118;{id};men;2026-03-14\n");
    let ran = desk.import(&[&desk.put("old.csv", sheet("brackwold-sons/line:underlode"))]);
    assert_eq!((ran.code, ran.told.contains(FOLDER)), (0, true), "{}{}", ran.told, ran.summary);
    let ran = desk.import(&[&desk.put("none.csv", sheet("brackwold-sons/line:no-such"))]);
    assert_eq!(ran.code, 1, "{}", ran.told);
    assert!(ran.told.contains("there is no line `brackwold-sons/line:no-such`"), "{}", ran.told);
}

/// A run that is killed leaves half of an entry under a hidden name, of which nobody was told.
#[test]
fn what_a_killed_import_left_is_named_by_later_ones_and_stays() {
    let desk = Desk::new();
    let sheet = desk.put("barn.csv", "Model;Line;Wearer;Seen on\nSluice 118;Underlode;men;2026-03-14\n");
    let left = format!("{FOLDER}/.bartack-0123456789abcdef");
    fs::write(desk.root().join(&left), "+++\nbasis").unwrap();
    fs::write(desk.root().join(format!("{FOLDER}/.bartack-notes")), "mine").unwrap();
    for more in [&[][..], &["--write"][..]] {
        let ran = desk.import(&[&[sheet.as_str()], more].concat());
        assert!(ran.summary.contains(&format!("{left}`, half of an entry; remove it")), "{}", ran.summary);
        assert!(!ran.summary.contains("bartack-notes"), "{}", ran.summary);
        assert_eq!(desk.read(&left), "+++\nbasis", "another import may be at work on it");
    }
}
