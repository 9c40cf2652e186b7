//! A sheet of 40 rows as people keep them, as CSV and as a workbook: one round of answers takes it in.
//!
//! `workbooks/forty.py` makes both, the workbook with openpyxl.

use std::collections::BTreeMap;
use std::fs;

use crate::import::answers::taken;
use crate::import::{Desk, support};

/// What the collector says where nothing is spelt alike: the line that is printed, and the answer.
pub const ANSWERS: [(&str, &str); 3] = [
    ("\"long ago\" = \"\"", "\"long ago\" = \"../1980\""),
    ("\"5 or 6\" = \"\"", "\"5 or 6\" = \"5 !unsure | or 6\""),
    ("\"QOW\" = \"\"", "\"QOW\" = \"quillander\""),
];

fn made(name: &str) -> Vec<u8> {
    fs::read(support::repository(&format!("tests/import/workbooks/{name}"))).unwrap()
}

/// The rows that the questions name, counted once for each question, and how many questions there are.
fn asked(told: &str) -> (usize, usize) {
    let lines: Vec<&str> = told.lines().skip_while(|line| !line.contains(" questions about ")).skip(1).collect();
    let rows = |line: &&str| -> usize {
        let places = line.split(", `").next().unwrap();
        let numbers = places.split([',', ' ']).filter_map(|word| word.parse::<usize>().ok());
        // Of many rows twelve are named, and the others counted.
        match places.rsplit_once(" and ").and_then(|(_, more)| more.strip_suffix(" more")?.parse::<usize>().ok()) {
            Some(more) => 12 + more,
            None => numbers.count(),
        }
    };
    (lines.iter().map(rows).sum(), lines.len())
}

#[test]
fn one_round_of_answers_takes_in_a_sheet_of_forty_rows() {
    let mut entries: Vec<BTreeMap<String, String>> = Vec::new();
    for (name, complaints) in [("forty.csv", 110), ("forty.xlsx", 98)] {
        let desk = Desk::new();
        let before = desk.files();
        let sheet = desk.put(name, made(name));
        let dry = desk.import(&[&sheet]);
        assert_eq!((dry.code, desk.files()), (1, before.clone()), "{}", dry.told);
        assert_eq!(asked(&dry.told), (complaints, 22), "{}", dry.told);
        for passed in [
            "row 1: `Trousers of Wren and Rowan, spring 2026`, above the headings",
            "row 19: is the same as row 12, word for word",
            "row 42: is the same as row 41, word for word",
            "row 45: a row of sums: `Total`",
        ] {
            assert!(dry.told.contains(passed), "{passed} in {}", dry.told);
        }
        let mut answers = taken(&dry.told);
        for (printed, answer) in ANSWERS {
            assert!(answers.contains(printed), "{printed} in {answers}");
            answers = answers.replace(printed, answer);
        }
        let map = desk.put("answers.toml", &answers);
        let ran = desk.import(&[&sheet, "--map", &map, "--write"]);
        let summary = "38 entries written, 0 wrong, 4 rows passed over\n";
        assert_eq!((ran.code, ran.summary.as_str()), (0, summary), "{}{answers}", ran.told);
        let check = desk.run(&["check"]);
        assert_eq!(check.code, 0, "{}{}", check.told, check.summary);
        let again = desk.import(&[&sheet, "--map", &map]);
        assert_eq!(again.summary, "0 entries to write, 0 wrong, 38 recorded already, 4 rows passed over\n");
        let new = desk.files().into_iter().filter(|path| !before.contains(path));
        entries.push(new.map(|path| (path.clone(), without_words(&desk.read(&path)))).collect());
    }
    assert_eq!(entries[0].len(), 38);
    assert_eq!(entries[0], entries[1], "both forms of the sheet say the same");
    let third = &entries[0]["entries/makers/brackwold-tharn/sluice-118/underlode-men/1976-1979-wren-t.md"];
    for line in [
        "made = \"1976/1979\"",
        "belt-loops = { value = 5, unsure = true }",
        "leg-opening = { value = 8.25, unit = \"in\" }",
        "zip-metal = \"brass\"",
        "one pocket torn",
    ] {
        assert!(third.lines().any(|own| own == line), "{line} in {third}");
    }
}

/// A CSV loses the sign before `'77`, which spreadsheets take for a mark of text.
fn without_words(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with("made-as-written")).map(|line| format!("{line}\n")).collect()
}
