//! Which row of a sheet names its columns, and which of its rows are garments.
//!
//! Titles above the headings, sums, rows without anything, headings again and rows that say the same are passed over,
//! each by name. What a cell means is not asked here.

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::import::cell;
use crate::import::heading::{self, Target, plain};
use crate::import::mapping::Mapping;
use crate::import::row::Column;
use crate::import::sheet::{Passed, Row, Sheet};
use crate::resolve::Catalog;

/// How many rows may stand above the headings.
const MOST_TITLES: usize = 10;

/// The words that begin a row of sums, in letters only.
const SUMS: [&str; 13] = [
    "total",
    "totals",
    "grandtotal",
    "totalcost",
    "totalpaid",
    "subtotal",
    "sum",
    "sums",
    "average",
    "mean",
    "count",
    "balance",
    "median",
];

/// Makes the row with the headings the first; the rows above it are passed over.
pub fn headed(catalog: &Catalog, sheet: Sheet, mapping: &Mapping) -> Sheet {
    let known = |cells: &[String]| {
        let is_known = |cell: &&String| {
            !cell.is_empty() && (mapping.column(cell).is_some() || heading::target(&catalog.vocabulary, cell).is_some())
        };
        cells.iter().filter(is_known).count()
    };
    let filled = |cells: &[String]| cells.iter().filter(|cell| !cell.is_empty()).count();
    let first = sheet.rows.iter().take(MOST_TITLES).map(|row| &row.cells);
    let rows: Vec<(usize, usize)> =
        std::iter::once(&sheet.headings).chain(first).map(|cells| (known(cells), filled(cells))).collect();
    let most = rows.iter().map(|(known, _)| *known).max().unwrap_or(0);
    let at = rows.iter().position(|(known, _)| *known == most).unwrap_or(0);
    // A row that has several cells and a known one may be the headings, and what follows a garment.
    let are_titles = rows[..at].iter().all(|(known, filled)| *known == 0 || (*filled == 1 && most > 1));
    if are_titles { sheet.below(at) } else { sheet }
}

/// Passes over the rows that are no garments, or that are there already.
pub fn garments(mut sheet: Sheet, columns: &[Column]) -> Sheet {
    let mut seen: BTreeMap<Vec<String>, usize> = BTreeMap::new();
    let mut last = sheet.heading_number;
    for row in std::mem::take(&mut sheet.rows) {
        sheet.passed.extend(gap(last, row.number));
        last = row.number;
        let what = no_garment(&row, &sheet.headings, columns).or_else(|| {
            let cells = trimmed(&row.cells);
            let before = seen.get(&cells).map(|before| format!("is the same as row {before}, word for word"));
            seen.entry(cells).or_insert(row.number);
            before
        });
        match what {
            // A cell that swallows the rest of the sheet is a mistake, whatever its text.
            Some(what) if !row.is_unclosed => sheet.passed.push(Passed { rows: row.number..=row.number, what }),
            _ => sheet.rows.push(row),
        }
    }
    sheet
}

/// The empty rows between two others.
fn gap(before: usize, after: usize) -> Option<Passed> {
    (after > before + 1).then(|| Passed { rows: before + 1..=after - 1, what: "empty".to_string() })
}

fn trimmed(cells: &[String]) -> Vec<String> {
    let end = cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |at| at + 1);
    cells[..end].to_vec()
}

/// Why a row is no garment, if it is none.
fn no_garment(row: &Row, headings: &[String], columns: &[Column]) -> Option<String> {
    let filled: Vec<&String> = row.cells.iter().filter(|cell| !cell.is_empty()).collect();
    if trimmed(&row.cells) == trimmed(headings) {
        return Some("the headings again".to_string());
    }
    if filled.iter().any(|cell| SUMS.contains(&plain(cell).as_str())) && filled.iter().all(|cell| is_of_sum(cell)) {
        return Some(format!("a row of sums: {}", wording::join_quoted(&filled, "and")));
    }
    let is_surplus = row.cells.iter().skip(columns.len()).any(|cell| !cell.is_empty());
    let cells = columns.iter().zip(&row.cells).filter(|(column, _)| column.target != Target::LeftOut);
    let mut says = cells.filter(|(_, cell)| !cell.is_empty());
    (says.next().is_none() && !is_surplus)
        .then(|| format!("nothing in a known column: {}", wording::join_quoted(&filled, "and")))
}

/// A word for sums, a number with or without a currency, or what a spreadsheet failed to work out.
fn is_of_sum(cell: &str) -> bool {
    let is_number = cell.contains(|letter: char| letter.is_ascii_digit())
        && cell.chars().filter(|letter| letter.is_alphabetic()).count() <= 3;
    SUMS.contains(&plain(cell).as_str()) || is_number || cell::flaw(cell).is_some()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{garments, headed};
    use crate::compile::example;
    use crate::import::mapping::Mapping;
    use crate::import::{columns, sheet};

    /// The first cell of the row of headings, the numbers of the rows that are garments, and what is passed over.
    fn shaped(text: &str) -> (String, Vec<usize>, Vec<String>) {
        let catalog = example::compile("").knowledge.catalog;
        let mapping = Mapping::default();
        let sheet = headed(&catalog, sheet::read(text, None).unwrap(), &mapping);
        let columns = columns(&catalog, &sheet, &mapping).unwrap();
        let sheet = garments(sheet, &columns);
        let passed = sheet.passed.iter().map(ToString::to_string).collect();
        (sheet.headings[0].clone(), sheet.rows.iter().map(|row| row.number).collect(), passed)
    }

    #[test]
    fn rows_above_the_headings_are_passed_over_and_others_are_not() {
        for (text, heading, garments) in [
            ("Barn, spring\n\nmodel,hem,price\na,raw,5\n", "model", vec![4]),
            ("Notes\nmodel,hem\na,raw\n", "model", vec![3]),
            ("sep=;\nmodel;hem\na;raw\n", "model", vec![3]),
            // A first row with some known headings remains the row of headings.
            ("hem,price,loops\nmodel,maker,hem\n", "hem", vec![2]),
            ("hem\nraw\n", "hem", vec![2]),
        ] {
            let found = shaped(text);
            assert_eq!((found.0.as_str(), found.1), (heading, garments), "{text}");
        }
        assert_eq!(
            shaped("Barn, spring\n\nmodel,hem,price\na,raw,5\n").2,
            ["row 1: `Barn` and `spring`, above the headings"]
        );
    }

    #[test]
    fn sums_empty_rows_and_copies_are_passed_over_by_name() {
        let text = "hem,belt-loops,price,notes\nraw,5,10,\n,,,\n,,,\nraw,6,12,\nraw,5,10\nhem,belt-loops,price,notes\n,,99,\nraw,5,11,\nTotal,,$43.00,\n";
        let (_, garments, passed) = shaped(text);
        assert_eq!(garments, [2, 5, 9], "another price is another garment");
        let expected = [
            "rows 3 to 4: empty",
            "row 6: is the same as row 2, word for word",
            "row 7: the headings again",
            "row 8: nothing in a known column: `99`",
            "row 10: a row of sums: `Total` and `$43.00`",
        ];
        assert_eq!(passed, expected);
    }

    #[test]
    fn a_garment_that_has_a_sum_in_its_words_stays_one() {
        let text = "hem,maker,notes\nraw,total,worn by two\nraw,,total restored\n,,count\n";
        assert_eq!(shaped(text).1, [2, 3]);
    }
}
