//! One answer for each question about a sheet: what is asked, what is printed to paste, and what the answers settle.

use crate::import::Desk;

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/underlode-men";

const SHEET: &str = "Maker,Model,Line,Cut for,Year,Seen by,Seen on,Belt loops,Leg opening,Hem stitch\n\
    Brackwold Thorn,Sluise 118,Underload,mens,'77,Wren,14/3/26,seven,8.25,lockstich\n\
    Brackwold Thorn,Sluise 118,Underload,menn,late '70s,Wren,15/3/26,5?,8.5,lockstich\n\
    Brackwold Tharn,Sluise 118,Underlode,men,3/4/77,Wren,16/3/26,six ?,8.75,raw?\n\
    Brackwold Tharn,Sluice 118,Underlode,men,77,Rowan,17/3/26,5,9,raw\n";

/// Takes the answer that each line suggests.
pub fn taken(printed: &str) -> String {
    let whole = ["day-first", "day-numbers", "century", "observed-century"];
    let is_answer =
        |line: &str| line.starts_with('"') || whole.iter().any(|name| line.starts_with(&format!("{name} = ")));
    let lines = printed.lines().map(|line| match line.strip_prefix("# ").filter(|line| is_answer(line)) {
        Some(answer) => format!("{answer}\n"),
        None => format!("{line}\n"),
    });
    lines.collect()
}

#[test]
fn each_question_is_asked_once_with_its_rows_and_what_is_spelt_alike() {
    let desk = Desk::new();
    let before = desk.files();
    let ran = desk.import(&[&desk.put("s.csv", SHEET)]);
    assert_eq!((ran.code, desk.files()), (1, before));
    for said in [
        "# day-first = true   # row 4: `3/4/77`\n",
        "# century = 1900   # rows 2, 3, 4 and 5: `77`, `late '70s`, `3/4/77`\n",
        "# observed-century = 2000   # rows 2, 3, 4 and 5: `14/3/26`, `15/3/26`, `16/3/26`, …\n",
        "[values.maker]\n# \"Brackwold Thorn\" = \"brackwold-tharn\"   # rows 2 and 3\n",
        "[values.model]\n# \"Sluise 118\" = \"brackwold-tharn/sluice-118\"   # rows 2, 3 and 4\n",
        "[values.line]\n# \"Underload\" = \"brackwold-tharn/line:underlode\"   # rows 2 and 3\n",
        "[values.wearer]\n# \"menn\" = \"men\"   # row 3\n",
        "[states.hem]\n# \"lockstich\" = \"lockstitch\"   # rows 2 and 3\n",
        "# 9 questions about 4 rows; one answer in the mapping settles each. These rows are not written:\n",
        "#   rows 2 and 3, `Maker`: there is no maker `Brackwold Thorn`; near it: `brackwold-tharn`\n",
        "#   rows 2, 3, 4 and 5, `Year`: `77`, `late '70s` and `3/4/77`: which century is meant? Say it for the whole sheet with `century = 1900`\n",
        "#   rows 2, 3, 4 and 5, `Leg opening`: `8.25`, `8.5`, `8.75` and `9`: these fit another unit.",
    ] {
        assert!(ran.told.contains(said), "{said} in {}", ran.told);
    }
    assert!(!ran.told.contains("Wrong, and not written"), "{}", ran.told);
}

#[test]
fn the_answers_that_are_printed_settle_the_sheet_and_the_next_one() {
    let desk = Desk::new();
    let sheet = desk.put("s.csv", SHEET);
    let printed = desk.import(&[&sheet]).told;
    let answers = taken(&printed).replace("\"feature:leg-opening\"", "\"feature:leg-opening (in)\"");
    let map = desk.put("m.toml", &answers);
    let ran = desk.import(&[&sheet, "--map", &map, "--write"]);
    assert_eq!((ran.code, ran.summary.as_str()), (0, "4 entries written, 0 wrong\n"), "{}{answers}", ran.told);
    let third = desk.read(&format!("{FOLDER}/1977-04-03-wren.md"));
    for line in [
        "observed = 2026-03-16",
        "made = \"1977-04-03\"",
        "belt-loops = { value = 6, unsure = true }",
        "hem = { state = \"raw\", unsure = true }",
        "leg-opening = { value = 8.75, unit = \"in\" }",
    ] {
        assert!(third.lines().any(|own| own == line), "{line} in {third}");
    }
    assert!(desk.read(&format!("{FOLDER}/1977-wren.md")).contains("belt-loops = 7\n"));
    assert_eq!(desk.run(&["check", FOLDER]).code, 0);
    // What is printed with the answers keeps them all, and serves for another sheet with the same habits.
    let again = desk.import(&[&sheet, "--map", &map]);
    let next = SHEET.replace("Wren", "Osk").replace("Hem stitch", "Hem").replace("Brackwold Thorn", "Brackwold Torn");
    let next = desk.import(&[&desk.put("next.csv", next), "--map", &desk.put("again.toml", &again.told)]);
    assert!(next.told.contains("# 1 question about 2 rows; one answer"), "{}", next.told);
    assert!(next.told.contains("# \"Brackwold Torn\" = \"brackwold-tharn\"   # rows 2 and 3\n"), "{}", next.told);
    assert!(
        next.told.contains("\"Hem stitch\" = \"feature:hem\"\n"),
        "a column of the other sheet stays: {}",
        next.told
    );
}

#[test]
fn an_empty_answer_leaves_the_cell_out_and_a_wrong_one_is_refused() {
    let desk = Desk::new();
    let sheet = desk.put("s.csv", "Maker,Model,Hem\nsome shop,Sluice 118,lockstitch\n");
    let ran = desk.import(&[&sheet, "--map", &desk.put("m.toml", "[values.maker]\n\"Some Shop\" = \"\"\n")]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    for (map, said) in [
        (
            "[values.maker]\na = \"brackwold-torn\"\n",
            "in `[values.maker]`: there is no maker `brackwold-torn`; near it: `brackwold-tharn`",
        ),
        ("[values.hem]\na = \"raw\"\n", "`[values]` takes keys such as `maker`, not `hem`"),
        ("century = 77\n", "`century` is the first year of a century, such as 1900, not 77"),
        ("[columns]\nHem = \"leg-openin (in)\"\n", "a column can hold no `leg-openin (in)`; near it: `leg-opening`"),
    ] {
        let ran = desk.import(&[&sheet, "--map", &desk.put("bad.toml", map), "--write"]);
        assert!(ran.code == 2 && ran.summary.contains(said), "{}", ran.summary);
    }
}
