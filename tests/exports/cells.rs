//! Cells: what a spreadsheet would run is shown as text, and everything can be read back.

use bartack::sheet::notation::{Marked, Written, read};
use bartack::sheet::unprotect;

use crate::exports::world::{self, files, knowledge, table};

#[test]
fn no_cell_of_any_table_begins_a_formula() {
    for (path, csv) in files(&knowledge(), "data/").iter().filter(|(path, _)| path.ends_with(".csv")) {
        let table = world::read(csv);
        for cell in table.rows.iter().flat_map(|row| row.values()).chain(&table.header) {
            let is_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
            assert!(!is_formula, "{cell} in {path}");
        }
    }
}

#[test]
fn formulas_in_entries_come_back_as_they_were_written() {
    let garments = table("garments");
    let first = garments.row("path", "entries/makers/orrin/no-7/best/first.md");
    assert_eq!(first["made-note"], "'=HYPERLINK(\"https://example.org\")");
    assert_eq!(unprotect(&first["made-note"]), "=HYPERLINK(\"https://example.org\")");
    assert_eq!(first["observer"], "'-rowan");
    assert_eq!(table("sources").row("source", "spring-list")["citation"], "'=Spring list, 1977");
    assert_eq!(table("features").row("note", "'-looks odd")["kind"], "other");
}

#[test]
fn a_garment_has_one_row_with_every_feature_in_the_order_of_the_vocabulary() {
    let garments = table("garments");
    // A feature called like a column of the sheet keeps its own name apart.
    assert_eq!(garments.header[27..], ["hem", "loops", "opening", "size", "lot", "feature:market"]);
    let first = garments.row("path", "entries/makers/orrin/no-7/best/first.md");
    assert_eq!(first["opening"], "8.25");
    assert_eq!(first["loops"], "5 !altered");
    assert_eq!((first["market"].as_str(), first["feature:market"].as_str()), ("DE", "west-germany"));
    assert_eq!((first["placed-from"].as_str(), first["sources"].as_str()), ("hem", "echo p. 14\\|15"));
    assert_eq!((first["line"].as_str(), first["wearer"].as_str()), ("best", "men"));
    assert_eq!(first["text"], "It was *folded* away.");
    let hem = Marked {
        value: Written::Other("seven rows | in pairs!".into()),
        altered: false,
        unsure: true,
        note: Some("-looks odd".into()),
    };
    assert_eq!(read(unprotect(&first["hem"])), hem);
    assert_eq!(read(unprotect(&first["lot"])).value, Written::Value("-7\\A | !altered".into()));
    let second = garments.row("path", "entries/makers/orrin/no-7/best/second.md");
    assert_eq!((second["loops"].as_str(), second["lot"].as_str(), second["opening"].as_str()), ("absent", "lost", ""));
    let stray = garments.row("path", "entries/unplaced/stray.md");
    assert_eq!((stray["variant"].as_str(), stray["perhaps"].as_str()), ("", "orrin/no-7/best orrin/no-7/plain"));
}

#[test]
fn tables_are_plain_text_with_one_kind_of_line_end() {
    for (path, csv) in files(&knowledge(), "data/") {
        let text = String::from_utf8(csv).unwrap();
        assert!(!text.contains('\r') && text.ends_with('\n') && !text.starts_with('\u{feff}'), "{path}");
    }
}
