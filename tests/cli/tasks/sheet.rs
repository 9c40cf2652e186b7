//! Someone with a sheet of 40 rows: one round of answers, to 38 merged entries.

use std::fs;

use super::{assert_code, assert_says, err, merge, out};
use crate::import::answers::taken;
use crate::import::forty::ANSWERS;
use crate::support;
use crate::support::history::History;

#[test]
fn a_sheet_of_forty_rows_becomes_merged_entries_after_one_round_of_answers() {
    let history = History::of_demo();
    history.git(&["checkout", "--quiet", "-b", "change"]);
    // Beside the repository, as a sheet lies on somebody's desk.
    let desk = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &[u8]| {
        let path = desk.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_string_lossy().into_owned()
    };
    let sheet = put("forty.csv", &fs::read(support::repository("tests/import/workbooks/forty.csv")).unwrap());
    let asked = history.run(&["import", &sheet]);
    assert_code(&asked, 1);
    assert_says(&out(&asked), &["22 questions about", "one answer in the mapping settles each"]);
    assert_eq!(history.git(&["status", "--porcelain"]), "", "questions write nothing");
    let mut answers = taken(&out(&asked));
    for (printed, answer) in ANSWERS {
        assert!(answers.contains(printed), "{printed} in {answers}");
        answers = answers.replace(printed, answer);
    }
    let map = put("answers.toml", answers.as_bytes());
    let written = history.run(&["import", &sheet, "--map", &map, "--write"]);
    assert_code(&written, 0);
    assert_eq!(err(&written), "38 entries written, 0 wrong, 4 rows passed over\n");
    assert_code(&history.run(&["check", "--since", "HEAD"]), 0);
    history.commit("a collector's sheet");
    let added = history.git(&["diff", "--name-status", "main"]);
    assert_eq!(added.lines().filter(|line| line.starts_with("A\tbase/entries/")).count(), 38, "{added}");
    assert_eq!(added.lines().count(), 38, "nothing else changes: {added}");
    merge(&history);
    assert_code(&history.run(&["check"]), 0);
    let diff = out(&history.run(&["diff", "HEAD^", "--format", "json"]));
    let diff: serde_json::Value = serde_json::from_str(&diff).unwrap();
    assert_eq!(diff["new"]["observations"].as_array().unwrap().len(), 38);
    // The same sheet brought once more says what is there already.
    let again = history.run(&["import", &sheet, "--map", &map]);
    assert_eq!(err(&again), "0 entries to write, 0 wrong, 38 recorded already, 4 rows passed over\n");
}
