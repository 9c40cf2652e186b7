//! The mistakes that contributors make: what `check` answers, at which line, and what `check --fix` makes of them.
//!
//! Each folder of `tests/mistakes/` is written into a fresh knowledge base.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tempfile::TempDir;

use super::{VARIANT, bartack, code, err, fix, folder, out};
use crate::support;

/// Each mistake, the place that the finding points to, what it says is wrong, and what it says to write instead.
const MISTAKES: [[&str; 4]; 45] = [
    ["basis-left-out", "barn-find.md:1", "the key `basis` is missing", "as `specimen`, `document` or `statement`"],
    ["capital-in-a-name", "Barn-Find.md:1", "is not made of small letters", "rename it to `barn-find.md`"],
    ["claim-without-when", "variant.md:5", "the event `attested` needs `when`", "such as `when = \"1975\"`"],
    ["count-in-words", "barn-find.md:4", "found `seven`", "write `7`"],
    ["curly-quotation-marks", "barn-find.md:4", "not TOML", "write `\"raw\"`"],
    ["dash-of-a-letter-program-in-a-date", "barn-find.md:3", "is not a date", "write `1974-05-01`"],
    ["date-in-words", "barn-find.md:3", "`circa 1977` is not a date", "write `1977~`"],
    ["day-in-quotation-marks", "barn-find.md:3", "found a text", "write `2024-05-01`"],
    ["day-or-month-first", "barn-find.md:3", "`03/04/1975` is not a date", "write `1975-04-03` if the day comes first"],
    ["day-still-to-come", "barn-find.md:3", "`2126-05-01` lies in the future", "correct the date"],
    ["decimal-comma", "barn-find.md:4", "not TOML", "write `8.25`"],
    ["ending-of-a-text", "variant.md:1", "`barn-find.txt` looks like an entry", "rename it to `barn-find.md`"],
    ["fence-left-out", "barn-find.md:1", "does not begin with a line `+++`", "between two lines `+++`"],
    ["fence-not-closed", "barn-find.md:1", "the fields at the top do not end", "add a line `+++`"],
    ["folder-of-the-model", "no-4/barn-find.md:1", "no kind of record belongs at", "into the folder of a variant"],
    ["front-matter-in-yaml", "barn-find.md:1", "begin with a line `---`", "write `+++`"],
    ["hidden-character", "barn-find.md:3", "the hidden character U+200B", "type the marked words again"],
    ["judged-from-what-is-not-recorded", "barn-find.md:4", "placed by `zip`", "record that feature"],
    ["judged-without-saying-from-what", "barn-find.md:3", "without saying from which", "placed-from = [\"unsaid\"]"],
    ["key-again-below-the-features", "barn-find.md:6", "`observer` is a key of the entry", "keep one of the two"],
    ["key-below-the-features", "barn-find.md:5", "`observer` is a key of the entry", "move it above `[features]`"],
    ["key-twice", "barn-find.md:4", "the key `observer` is written twice", "keep one of the two"],
    ["made-after-it-was-seen", "barn-find.md:4", "`1986` is after the day in `observed`", "on or before that day"],
    ["market-by-another-code", "barn-find.md:3", "`UK` is not a country code of ISO 3166-1", "write `GB`"],
    ["measure-as-text", "barn-find.md:4", "found `8.25in`", "write `8.25`"],
    ["measure-without-its-unit", "barn-find.md:4", "`21 in` is outside the range", "value = 21, unit = \"cm\""],
    ["misspelt-feature", "barn-find.md:4", "unknown feature `belt-loop`", "write `belt-loops`"],
    ["misspelt-key", "barn-find.md:3", "unknown key `factry`", "write `factory`"],
    [
        "misspelt-maker",
        "barn-find.md:1",
        "`entries/makers/holin/maker.md`, which",
        "if `entries/makers/hollin` is meant",
    ],
    ["misspelt-model", "unplaced/barn-find.md:3", "there is no model `hollin/no-44`", "write `hollin/no-4`"],
    ["misspelt-source", "barn-find.md:3", "there is no source `spring-list-1957`", "write `spring-list-1975`"],
    ["misspelt-state", "barn-find.md:4", "`hem` has no state `chain-stich`", "write `chain-stitch`"],
    ["month-that-does-not-exist", "barn-find.md:3", "`1974-13` names a month or season", "write `1974`"],
    ["none-for-absent", "barn-find.md:4", "`hem` has no state `none`", "write `absent`"],
    ["photograph-as-heic", "barn-find.md:4", "is not a JPEG or PNG picture", "save it again as JPEG or PNG"],
    ["photograph-in-other-capitals", "barn-find.md:4", "there is no file `hem.jpg`", "write `Hem.JPG`"],
    ["photograph-missing", "barn-find.md:4", "there is no file `hem.jpg`", "put the photograph in the folder"],
    ["quotation-mark-left-open", "barn-find.md:3", "not TOML", "write `\"rowan-k\"`"],
    ["same-as-itself", "barn-find.md:3", "`barn-find` is this entry itself", "another entry of the same garment"],
    ["saved-as-utf-16", "barn-find.md:1", "is not UTF-8", "save it again as UTF-8"],
    ["space-in-a-name", "barn find.md:1", "is not made of small letters", "rename it to `barn-find.md`"],
    ["two-states", "barn-find.md:4", "found a list, expected one reading", "write one of them"],
    ["unit-in-the-plural", "barn-find.md:4", "found `inches`", "write `in`"],
    ["year-without-century", "barn-find.md:3", "`77` does not say which century", "write `1877` or `1977`"],
    ["year-without-quotation-marks", "barn-find.md:3", "found a number", "write `\"1974\"`"],
];

/// The mistakes that can mean one thing only.
const REPAIRED: [&str; 13] = [
    "count-in-words",
    "curly-quotation-marks",
    "dash-of-a-letter-program-in-a-date",
    "date-in-words",
    "day-in-quotation-marks",
    "decimal-comma",
    "key-below-the-features",
    "measure-as-text",
    "misspelt-key",
    "none-for-absent",
    "quotation-mark-left-open",
    "unit-in-the-plural",
    "year-without-quotation-marks",
];

/// What editors write of themselves, and what says the same: no mistakes.
const HARMLESS: [&str; 3] = ["byte-order-mark", "line-ends-of-windows", "tabs"];

fn case(name: &str) -> PathBuf {
    support::repository("tests/mistakes").join(name)
}

/// The files of a text, each under a line `--- ` with its path and perhaps a remark in brackets.
fn files(text: &str) -> BTreeMap<String, Vec<u8>> {
    let parts = text.strip_prefix("--- ").unwrap().split("\n--- ");
    let file = |part: &str| {
        let (head, lines) = part.split_once('\n').unwrap_or((part, ""));
        let (path, remark) = head.split_once(" (").unwrap_or((head, ""));
        // The line end before the next head belongs to the file.
        let end = if lines.is_empty() || lines.ends_with('\n') { "" } else { "\n" };
        (path.to_string(), bytes(remark.trim_end_matches(')'), &format!("{lines}{end}")))
    };
    parts.map(file).collect()
}

fn bytes(remark: &str, text: &str) -> Vec<u8> {
    match remark {
        "" => text.as_bytes().to_vec(),
        "UTF-16" => std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect(),
        "HEIC" => b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(),
        "picture" => fs::read(support::repository("tests/disk/three-by-two.png")).unwrap(),
        other => panic!("unknown remark {other}"),
    }
}

/// A fresh knowledge base with the files of a case in it.
fn base(files: &BTreeMap<String, Vec<u8>>) -> TempDir {
    let variant = "+++\nname = \"No. 4 Best\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
    let base = folder(&format!("--- {VARIANT}/variant.md\n{variant}"));
    for (path, bytes) in files {
        let path = base.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    base
}

/// The files of a case, with those that a second text has changed.
fn after(name: &str) -> BTreeMap<String, Vec<u8>> {
    let mut all = files(&fs::read_to_string(case(name).join("entries.txt")).unwrap());
    if let Ok(text) = fs::read_to_string(case(name).join("repaired.txt")) {
        all.extend(files(&text));
    }
    all
}

fn before(name: &str) -> BTreeMap<String, Vec<u8>> {
    files(&fs::read_to_string(case(name).join("entries.txt")).unwrap())
}

/// All that `check` says, without the folder it was said of.
fn said(root: &Path) -> String {
    let output = bartack(root, &["check"]);
    format!("{}{}", out(&output), err(&output)).replace(&root.to_string_lossy().into_owned(), "ROOT")
}

fn assert_holds(root: &Path, files: &BTreeMap<String, Vec<u8>>, name: &str) {
    for (path, bytes) in files {
        let found = fs::read(root.join(path)).unwrap();
        assert!(&found == bytes, "{name}: {path} is now\n{}", String::from_utf8_lossy(&found));
    }
}

#[test]
fn every_folder_of_mistakes_is_listed_and_says_whether_it_is_repaired() {
    let folders: Vec<String> = support::folders(&case("")).iter().map(|path| support::stem(path)).collect();
    let mut listed: Vec<&str> = MISTAKES.iter().map(|[name, ..]| *name).chain(HARMLESS).collect();
    listed.sort_unstable();
    assert_eq!(folders, listed);
    for name in folders {
        assert_eq!(case(&name).join("repaired.txt").exists(), REPAIRED.contains(&name.as_str()), "{name}");
    }
}

#[test]
fn each_mistake_is_one_finding_at_its_line_that_says_what_to_write() {
    for [name, place, found, instead] in MISTAKES {
        let base = base(&before(name));
        let said = said(base.path());
        let is_finding = |line: &&str| line.starts_with("error[") || line.starts_with("warning[");
        assert_eq!(said.lines().filter(is_finding).count(), 1, "{name}\n{said}");
        let at = |text: &str| said.find(text).unwrap_or_else(|| panic!("{name} lacks {text}\n{said}"));
        let head = said.find('\n').unwrap();
        assert!(at(found) < head && at("--> ") > head, "{name}\n{said}");
        assert!(said[at("--> ")..].lines().next().unwrap().contains(&format!("/{place}:")), "{name}\n{said}");
        let rest = &said[at(found) + found.len()..];
        assert!(rest.contains(instead), "{name} does not say {instead}\n{said}");
        assert_eq!(said.contains("`--fix` repairs 1"), REPAIRED.contains(&name), "{name}\n{said}");
        assert_eq!(code(&bartack(base.path(), &["check", "--deny", "warning"])), 1, "{name}");
    }
}

#[test]
fn a_month_that_does_not_exist_is_not_answered_with_the_nearest() {
    let said = said(base(&before("month-that-does-not-exist")).path());
    assert!(!said.contains("1974-12"), "{said}");
}

#[test]
fn every_answer_is_as_expected() {
    let names = MISTAKES.iter().map(|[name, ..]| *name).chain(HARMLESS);
    let differing: Vec<String> = names
        .filter_map(|name| support::differs(&case(name).join("expected.txt"), &said(base(&before(name)).path())))
        .collect();
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn what_can_mean_one_thing_is_repaired_and_everything_else_stays() {
    for [name, ..] in MISTAKES {
        let base = base(&before(name));
        bartack(base.path(), &["check", "--fix"]);
        assert_holds(base.path(), &after(name), name);
    }
}

#[test]
fn what_editors_write_of_themselves_is_no_mistake() {
    for name in HARMLESS {
        let base = base(&before(name));
        assert_eq!(said(base.path()), "no findings\n", "{name}");
        bartack(base.path(), &["check", "--fix"]);
        assert_holds(base.path(), &before(name), name);
    }
}

#[test]
fn other_programs_are_offered_the_same_repairs_and_no_others() {
    for [name, ..] in MISTAKES {
        let base = base(&before(name));
        let log: Value = serde_json::from_str(&out(&bartack(base.path(), &["check", "--format", "sarif"]))).unwrap();
        let fixes = &log["runs"][0]["results"][0]["fixes"];
        assert_eq!(fixes.is_array(), REPAIRED.contains(&name), "{name}");
        if fixes.is_array() {
            let path = fixes[0]["artifactChanges"][0]["artifactLocation"]["uri"].as_str().unwrap();
            let text = String::from_utf8(before(name)[path].clone()).unwrap();
            assert_eq!(fix::with_fix(&text, fixes).as_bytes(), after(name)[path], "{name}");
        }
    }
}
