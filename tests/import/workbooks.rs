//! Workbooks: made by openpyxl and odfpy (`workbooks/make.py`), and by hand where no library makes them.

use std::fs;
use std::io::{Cursor, Write};

use bartack::sheet::workbook::value::{Epoch, Precision, date};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::import::{Desk, support};

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/underlode-men";

fn made(name: &str) -> Vec<u8> {
    fs::read(support::repository(&format!("tests/import/workbooks/{name}"))).unwrap()
}

/// An archive of parts.
fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

const RELATIONS: &str = "<Relationships><Relationship Id='r1' Type='http://x/worksheet' Target='worksheets/sheet1.xml'/>\
    <Relationship Id='r2' Type='http://x/sharedStrings' Target='/xl/sharedStrings.xml'/></Relationships>";

/// A workbook with one sheet, and the texts that its cells share.
fn xlsx(sheet: &str, shared: &str) -> Vec<u8> {
    let book = "<workbook><sheets><sheet name='One' sheetId='1' r:id='r1'/></sheets></workbook>";
    packed(&[
        ("xl/workbook.xml", book),
        ("xl/_rels/workbook.xml.rels", RELATIONS),
        ("xl/sharedStrings.xml", &format!("<sst>{shared}</sst>")),
        ("xl/worksheets/sheet1.xml", &format!("<worksheet><sheetData>{sheet}</sheetData></worksheet>")),
    ])
}

fn ods(table: &str) -> Vec<u8> {
    let content = format!(
        "<office:document-content><table:table table:name='One'>{table}</table:table></office:document-content>"
    );
    packed(&[("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", &content)])
}

#[test]
fn day_numbers_are_those_of_the_standard_and_of_an_independent_library() {
    // ECMA-376 (1st edition) Part 4, 3.17.4.1; since the 2nd edition Part 1, 18.17.4.1: the examples of DATEVALUE and
    // the limits of both systems, and that 59 is 28 February and 61 is 1 March where days count from 1900.
    let from_1900 = [
        (1, "1900-01-01"),
        (59, "1900-02-28"),
        (61, "1900-03-01"),
        (3687, "1910-02-03"),
        (38749, "2006-02-01"),
        (2_958_465, "9999-12-31"),
    ];
    let from_1904 = [(0, "1904-01-01"), (2225, "1910-02-03"), (37287, "2006-02-01"), (2_957_003, "9999-12-31")];
    for (epoch, examples) in [(Epoch::Year1900, &from_1900[..]), (Epoch::Year1904, &from_1904[..])] {
        for (number, day) in examples {
            assert_eq!(date(f64::from(*number), epoch, Precision::Day).as_deref(), Some(*day), "{number}");
        }
        let beyond = f64::from(examples.last().unwrap().0) + 1.0;
        assert_eq!(date(beyond, epoch, Precision::Day), None);
    }
    let days = String::from_utf8(made("days.tsv")).unwrap();
    assert!(days.lines().count() > 700);
    for line in days.lines().skip(1) {
        let [number, early, late] = line.split('\t').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let number: f64 = number.parse().unwrap();
        assert_eq!(date(number, Epoch::Year1900, Precision::Day).as_deref(), Some(early), "{line}");
        assert_eq!(date(number, Epoch::Year1904, Precision::Day).as_deref(), Some(late), "{line}");
    }
}

#[test]
fn a_workbook_is_read_as_it_is_shown() {
    for name in ["barn.xlsx", "barn-1904.xlsx", "barn.ods"] {
        let desk = Desk::new();
        let book = desk.put(name, made(name));
        let ran = desk.import(&[&book, "--sheet", "garments", "--write"]);
        // The month alone was shown, and the unit of each length stands in its format.
        let first = desk.read(&format!("{FOLDER}/1978-03-wren-t.md"));
        for line in [
            "observed = 2026-03-14",
            "made = \"1978-03\"",
            "belt-loops = 5",
            "leg-opening = 21.5",
            "lot-number = \"0048\"",
        ] {
            assert!(first.lines().any(|own| own == line), "{name}: {line} in {first}");
        }
        let second = desk.read(&format!("{FOLDER}/1975-wren-t.md"));
        for line in ["made = \"1975\"", "leg-opening = { value = 8.25, unit = \"in\" }", "lot-number = \"A&B <7>\""] {
            assert!(second.lines().any(|own| own == line), "{name}: {line} in {second}");
        }
        assert_eq!(desk.run(&["check", FOLDER]).code, 0);
        if name == "barn.ods" {
            assert_eq!((ran.code, ran.summary.as_str()), (0, "2 entries written, 0 wrong\n"), "{}", ran.told);
            continue;
        }
        assert_eq!(ran.summary, "2 entries written, 2 wrong\n", "{}", ran.told);
        for said in [
            "row 4, `Belt loops`: `#NO-RESULT!` holds a formula whose result is not in the file",
            "row 5, `Leg opening`: `#N/A` holds a spreadsheet error",
            "row 5, `Year`: `28200` looks like a spreadsheet day number: counted from 1900 it is 1977-03-16, counted from 1904 \
             1981-03-17",
        ] {
            assert!(ran.told.contains(said), "{said} in {}", ran.told);
        }
    }
}

#[test]
fn one_answer_settles_all_day_numbers_and_the_rest_of_a_workbook_is_csv() {
    let desk = Desk::new();
    let head = "Model,Line,Cut for,Year,Seen on\n";
    let sheet = desk.put("days.csv", format!("{head}Sluice 118,Underlode,men,28200,38749\n"));
    let asked = desk.import(&[&sheet]);
    assert!(
        asked.told.contains("row 2, `Year` and `Seen on`: `28200` and `38749`: these look like numbers of days"),
        "{}",
        asked.told
    );
    let ran = desk.import(&[&sheet, "--map", &desk.put("m.toml", "day-numbers = 1904\n"), "--write"]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    assert!(desk.read(&format!("{FOLDER}/1981-03-17.md")).contains("observed = 2010-02-02\nmade = \"1981-03-17\"\n"));
    let rest = desk.0.path().join("rest.csv");
    desk.import(&[
        &desk.put("barn.xlsx", made("barn.xlsx")),
        "--sheet",
        "Garments",
        "--write",
        "--rest",
        rest.to_str().unwrap(),
    ]);
    let rest = fs::read_to_string(&rest).unwrap();
    let lines: Vec<&str> = rest.lines().collect();
    assert_eq!(lines[0], "Model,Line,Cut for,Year,Seen by,Seen on,Lot number,Belt loops,Leg opening,Price");
    assert_eq!(lines[1], "Sluice 118,Underlode,men,1974,Wren T.,2026-03-15,0007,#NO-RESULT!,20.75,#NO-RESULT!");
    assert_eq!((lines.len(), lines[2]), (3, "Sluice 118,Underlode,men,28200,Wren T.,2026-03-15,0008,6,#N/A,0"));
}

#[test]
fn which_sheet_is_meant_is_asked_and_kept_in_the_mapping() {
    let desk = Desk::new();
    let book = desk.put("barn.xlsx", made("barn.xlsx"));
    let ran = desk.import(&[&book]);
    assert_eq!(ran.code, 2);
    // A sheet that is hidden or empty is no choice.
    let said = "has several sheets with content: `Garments` and `Prices`. Say which with `--sheet NAME`";
    assert!(ran.summary.contains(said), "{}", ran.summary);
    let named = desk.import(&[&book, "--sheet", "Garments"]);
    assert!(named.told.contains("\nsheet = \"Garments\"\n"), "{}", named.told);
    let again = desk.import(&[&book, "--map", &desk.put("m.toml", &named.told)]);
    assert_eq!(again.told, named.told.replace("\"Price\" = \"\"   # not known, so left out", "\"Price\" = \"\""));
    let wrong = desk.import(&[&book, "--sheet", "Coats"]);
    assert!(wrong.summary.contains("has no sheet `Coats`; its sheets are `Garments`, `Prices`, `Old` and `Empty`"));
    let empty = desk.import(&[&book, "--sheet", "Empty"]);
    assert!(empty.code == 2 && empty.summary.contains("is empty"), "{}", empty.summary);
    let text = desk.import(&[&desk.put("s.csv", "hem\nlockstitch\n"), "--sheet", "x"]);
    assert!(text.code == 2 && text.summary.contains("remove --sheet"), "{}", text.summary);
}

#[test]
fn texts_that_cells_share_and_what_stands_between_them_are_read() {
    let desk = Desk::new();
    let shared = "<si><t>Model</t></si><si><r><t>Sluice</t></r><r><t xml:space='preserve'> 118</t></r><rPh><t>no</t></rPh></si>\
        <si><t>a_x000D_b &#228; &amp; _x41</t></si><si><t>Notes</t></si><si><t>leg opening</t></si>";
    let rows = "<row r='2'><c r='B2' t='s'><v>0</v></c><c t='s'><v>3</v></c><c r='D2' t='s'><v>4</v></c></row>\
        <row r='4'><c r='B4' t='s'><v>1</v></c><c r='C4' t='s'><v>2</v></c><c r='D4'><v>20.100000000000001</v></c></row>";
    let ran = desk.import(&[&desk.put("s.xlsx", xlsx(rows, shared)), "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert!(ran.told.contains("row 4"), "rows count as the spreadsheet does: {}", ran.told);
    let text = desk.read("entries/unplaced/undated.md");
    assert!(text.contains("leg-opening = 20.1\n") && text.ends_with("+++\na\nb ä & _x41\n"), "{text}");
}

#[test]
fn what_is_no_workbook_or_too_large_is_refused_by_name() {
    let desk = Desk::new();
    let before = desk.files();
    let row = |cell: &str| format!("<row>{cell}</row>");
    let many = "<si><t>x</t></si>".to_string() + &" ".repeat(129 << 20);
    let wide = row("<c r='A1' t='inlineStr'><is><t>hem</t></is></c>") + &row("<c r='XFD2'><v>1</v></c>").repeat(300);
    let wide =
        wide + &(3..400).map(|at| format!("<row r='{at}'><c r='XFD{at}'><v>1</v></c></row>")).collect::<String>();
    let repeated = "<table:table-row table:number-rows-repeated='1048576'><table:table-cell office:value-type='float' \
        office:value='1' table:number-columns-repeated='16384'/></table:table-row>";
    let long = format!("<si><t>{}</t></si>", "x".repeat(1 << 20));
    let again = (1..70).map(|at| format!("<row r='{at}'><c r='A{at}' t='s'><v>0</v></c></row>")).collect::<String>();
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        (
            "old.xls",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest".to_vec(),
            "is an old workbook (`.xls`) or one with a password; save it as `.xlsx`",
        ),
        ("page.xls", b"<html><table></table></html>".to_vec(), "is a web page or XML, not a sheet"),
        ("s.pdf", b"%PDF-1.7".to_vec(), "is a PDF"),
        (
            "s.xlsm",
            packed(&[("xl/workbook.xml", ""), ("xl/vbaProject.bin", "")]),
            "is a workbook with macros, which are programs",
        ),
        ("s.xlsb", packed(&[("xl/workbook.bin", "")]), "is a binary workbook (`.xlsb`)"),
        ("s.numbers", packed(&[("Index/Document.iwa", "")]), "is a document of Numbers"),
        ("s.docx", packed(&[("word/document.xml", "")]), "is an archive or a document, not a workbook"),
        ("cut.xlsx", made("barn.xlsx")[..3000].to_vec(), "is damaged: its list of parts cannot be read"),
        ("bad.xlsx", xlsx("<row", ""), "no well-formed XML"),
        ("lost.xlsx", xlsx("<row><c t='s'><v>9</v></c></row>", ""), "a cell has a text that is not there"),
        ("none.xlsx", xlsx("", ""), "has no content in any visible sheet"),
        (
            "bomb.xlsx",
            xlsx("", &many),
            "unpacks to more than 128 MiB, which no sheet of garments needs, so it was not read",
        ),
        ("wide.xlsx", xlsx(&wide, ""), "has more than 4 million cells"),
        ("again.xlsx", xlsx(&again, &long), "has more than 64 MiB of text"),
        ("wide.ods", ods(repeated), "has more than 4 million cells"),
    ];
    for (name, bytes, said) in cases {
        assert!(bytes.len() < 1 << 21, "{name} is small");
        let ran = desk.import(&[&desk.put(name, bytes), "--write"]);
        assert_eq!(ran.code, 2, "{name}: {}", ran.told);
        assert!(ran.summary.contains(name) && ran.summary.contains(said), "{name}: {}", ran.summary);
    }
    let locked = [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", "x"),
        ("META-INF/manifest.xml", "<encryption-data/>"),
    ];
    let ran = desk.import(&[&desk.put("locked.ods", packed(&locked))]);
    assert!(ran.code == 2 && ran.summary.contains("has a password; save it without one"), "{}", ran.summary);
    assert_eq!(desk.files(), before);
}
