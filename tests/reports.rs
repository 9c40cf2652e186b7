//! Reports that programs read: held to the standard's schema, to expected files, and to names and texts meant to break them.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;

use crate::support;
use serde_json::Value;

/// A conflict over two files, one of whose places has several lines, and a wrong feature of letters with several bytes.
fn ordinary() -> String {
    let wide = "--- entries/makers/hollin/no-4/no-4-best/wide.md\n+++\nbasis = \"specimen\"\nfeatures = { \"süße-ö\" = 5 }\n+++\n";
    bartack::lints::find("era-conflict").unwrap().wrong.to_string() + wide
}

/// Names and values that try to leave their line, their property, their text or the terminal.
const HOSTILE: &str = "\
--- entries/makers/hollin/a, title=b:c%0A::error::x y?#.md
+++
basis = \"specimen\"
+++
--- entries/makers/hollin/no-4/no-4-best/find.md
+++
basis = \"\\u001b[31m\\u202e\"
+++
--- entries/makers/hollin/no-4/no-4-best/lines.md
+++
basis = \"100%\\n::stop-commands::x\\n##[add-mask]y\"
+++
--- entries/makers/hollin/no-4/no-4-best/link.md
+++
basis = \"[here](javascript:z) {0}\"
+++
--- entries/makers/hollin/no-4/no-4-best/second.md
+++
basis = \"specimen\"
\"%0A::error::key\" = 1
+++
";

fn expect(name: &str, made: &str) {
    let file = support::repository("tests/reports").join(name);
    if let Some(difference) = support::differs(&file, made) {
        panic!("{difference}");
    }
}

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// What the schema of the standard has to say against a log, formats of its texts included.
fn against_schema(log: &Value) -> Vec<String> {
    let schema = fs::read_to_string(support::repository("tests/reports/sarif-schema-2.1.0.json")).unwrap();
    // As printed, this pattern has a bracket that nothing opens, for which strict readers of patterns refuse the schema.
    let (printed, meant) = ("^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$", "^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}?$");
    assert_eq!(schema.matches(printed).count(), 2);
    let schema = parsed(&schema.replace(printed, meant));
    let validator = jsonschema::draft7::options()
        .should_validate_formats(true)
        .should_ignore_unknown_formats(false)
        .build(&schema)
        .unwrap();
    validator.iter_errors(log).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

#[test]
fn a_log_holds_to_the_schema_of_the_standard() {
    for text in [String::new(), ordinary(), HOSTILE.to_string()] {
        let faults = against_schema(&parsed(&support::reports::sarif(&text, "base")));
        assert!(faults.is_empty(), "{faults:?}");
    }
    for lint in bartack::lints::LINTS {
        let faults = against_schema(&parsed(&support::reports::sarif(lint.wrong, "")));
        assert!(faults.is_empty(), "{}: {faults:?}", lint.code);
    }
}

#[test]
fn the_schema_refuses_what_is_no_log() {
    let mut log = parsed(&support::reports::sarif(&ordinary(), ""));
    log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] = 0.into();
    log["runs"][0]["columnKind"] = "characters".into();
    assert_eq!(against_schema(&log).len(), 2);
}

#[test]
fn a_log_says_what_is_found_where() {
    let mut log = parsed(&support::reports::sarif(&ordinary(), "base"));
    // The rules are the lints, which have tests of their own, and their numbers are another test's.
    for result in log["runs"][0]["results"].as_array_mut().unwrap() {
        result["ruleIndex"].take();
    }
    log["runs"][0]["tool"]["driver"]["rules"].take();
    log["runs"][0]["tool"]["driver"]["semanticVersion"].take();
    expect("ordinary.sarif.json", &(serde_json::to_string_pretty(&log).unwrap() + "\n"));
}

#[test]
fn a_log_describes_every_lint_and_points_to_the_right_one() {
    let log = parsed(&support::reports::sarif(&ordinary(), ""));
    let run = &log["runs"][0];
    let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
    let ids: Vec<&str> = rules.iter().map(|rule| rule["id"].as_str().unwrap()).collect();
    let codes: Vec<&str> = bartack::lints::LINTS.iter().map(|lint| lint.code).collect();
    assert_eq!(ids, codes);
    assert!(rules.iter().all(|rule| !rule["help"]["markdown"].as_str().unwrap().is_empty()));
    for result in run["results"].as_array().unwrap() {
        let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(result["ruleId"], rules[index]["id"]);
    }
}

#[test]
fn hostile_names_and_texts_stay_what_they_are_in_a_log() {
    let log = parsed(&support::reports::sarif(HOSTILE, ""));
    let results = log["runs"][0]["results"].as_array().unwrap();
    let uris = results.iter().map(|one| &one["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]);
    assert_eq!(
        uris.collect::<Vec<&Value>>()[0],
        "entries/makers/hollin/a%2C%20title%3Db%3Ac%250A%3A%3Aerror%3A%3Ax%20y%3F%23.md"
    );
    for result in results {
        let text = result["message"]["text"].as_str().unwrap();
        assert!(!text.contains(['\u{1b}', '\r', '\u{202e}']) && !text.contains("]("), "{text}");
        assert!(!text.replace("{{", "").replace("}}", "").contains(['{', '}']), "{text}");
    }
}

#[test]
fn annotations_say_what_is_found_where() {
    expect("ordinary.github.txt", &support::reports::github(&ordinary(), "base"));
}

#[test]
fn an_annotation_is_one_line_whatever_it_tells() {
    let text = support::reports::github(HOSTILE, "");
    expect("hostile.github.txt", &text);
    for line in text.split('\n').filter(|line| !line.is_empty()) {
        assert!(["::error ", "::warning ", "::notice "].iter().any(|head| line.starts_with(head)), "{line}");
        assert!(!line.contains(|character: char| character.is_control()), "{line}");
        // The properties end at the first `::` after the head, and none of them adds another.
        let properties = line[2..].split_once(' ').unwrap().1.split_once("::").unwrap().0;
        let names: Vec<&str> = properties.split(',').map(|one| one.split_once('=').unwrap().0).collect();
        let known = ["file", "line", "col", "endLine", "endColumn", "title"];
        assert_eq!(
            known.iter().filter(|name| names.contains(name)).collect::<Vec<_>>(),
            names.iter().collect::<Vec<_>>(),
            "{line}"
        );
    }
}

#[test]
fn a_place_on_several_lines_has_no_columns() {
    // Somebody's word against a date on a garment: the conflict is reported at the whole claim.
    let conflict = bartack::lints::find("era-conflict").unwrap().wrong.replace("price-list", "recollection");
    let text = support::reports::github(&conflict, "");
    let (line, end) = (number(&text, "line"), number(&text, "endLine"));
    assert!(line < end, "{text}");
    assert!(!text.contains("col=") && !text.contains("endColumn="), "{text}");
}

fn number(command: &str, property: &str) -> usize {
    let value = command.split([',', ' ']).find_map(|part| part.strip_prefix(property)?.strip_prefix('=')).unwrap();
    value.parse().unwrap()
}

#[test]
fn paths_begin_where_the_program_ran() {
    let folder = tempfile::tempdir().unwrap();
    let base = folder.path().join("shop/base");
    write(&base, "entries/about.md", "no fence\n");
    for (format, expected) in
        [("github", "file=shop/base/entries/about.md,"), ("sarif", "\"uri\": \"shop/base/entries/")]
    {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_bartack"));
        command.current_dir(folder.path()).args(["--root", "./shop/base", "check", "--format", format]);
        let output = command.output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(text.contains(expected), "{text}");
    }
}

fn write(root: &Path, path: &str, text: &str) {
    let path = root.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}
