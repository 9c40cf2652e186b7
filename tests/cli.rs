//! The program as a whole: what it answers where, and with which exit code.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::support::{self, folder};
use tempfile::TempDir;

#[path = "cli/date.rs"]
mod date;
#[path = "cli/fix.rs"]
mod fix;
#[path = "cli/given_up.rs"]
mod given_up;
#[path = "cli/mistakes.rs"]
mod mistakes;
#[path = "cli/own_site.rs"]
mod own_site;
#[path = "cli/progress.rs"]
mod progress;
#[path = "cli/shells.rs"]
mod shells;
#[path = "cli/since.rs"]
mod since;
#[path = "cli/tasks.rs"]
mod tasks;

const VARIANT: &str = "entries/makers/hollin/no-4/no-4-best";

/// One note-free, one contradicted and one broken entry.
fn contradicted() -> String {
    bartack::lints::find("era-conflict").unwrap().wrong.to_string()
}

fn broken() -> String {
    format!("--- {VARIANT}/shop-find.md\n+++\nbasis = \"garment\"\n+++\n")
}

fn clean() -> String {
    format!("--- {VARIANT}/shop-find.md\n+++\nbasis = \"specimen\"\n+++\n")
}

fn bartack(root: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    command.arg("--root").arg(root).args(arguments).env_remove("NO_COLOR");
    command.output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn clean_entries_are_answered_by_silence_and_code_0() {
    let output = bartack(folder(&clean()).path(), &["check"]);
    assert_eq!((code(&output), out(&output).as_str(), err(&output).as_str()), (0, "", "no findings\n"));
}

#[test]
fn errors_fail_and_warnings_only_where_they_are_denied() {
    let base = folder(&contradicted());
    assert_eq!(code(&bartack(base.path(), &["check"])), 0);
    assert_eq!(code(&bartack(base.path(), &["check", "--deny", "warning"])), 1);
    let output = bartack(folder(&broken()).path(), &["check"]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).starts_with("error[schema-violation]: found `garment`"), "{}", out(&output));
    assert_eq!(err(&output), "1 error\n");
}

#[test]
fn what_could_not_run_is_code_2_and_says_why() {
    let output = bartack(Path::new("/no/such/folder"), &["check"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).starts_with("bartack: /no/such/folder: "), "{}", err(&output));
    let empty = tempfile::tempdir().unwrap();
    assert!(err(&bartack(empty.path(), &["check"])).contains("has no folder `entries/`"));
    fs::create_dir_all(empty.path().join("entries")).unwrap();
    for command in ["check", "build"] {
        let output = bartack(empty.path(), &[command]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("holds no entries"), "{}", err(&output));
    }
    assert_eq!(code(&bartack(Path::new("."), &["check", "--deny", "everything"])), 2);
    assert_eq!(code(&bartack(Path::new("."), &["chekc"])), 2);
}

#[test]
fn only_findings_that_touch_the_path_are_reported_and_the_rest_is_counted() {
    let base = folder(&(contradicted() + &broken()));
    let output = bartack(base.path(), &["check", &format!("{VARIANT}/barn-find.md")]);
    assert_eq!(code(&output), 0, "the error lies elsewhere");
    assert!(out(&output).contains("[era-conflict]") && !out(&output).contains("[schema-violation]"));
    assert_eq!(err(&output), "1 warning here; 1 error elsewhere\n");
    let whole = bartack(base.path(), &["check", base.path().join("entries").to_str().unwrap()]);
    assert_eq!((code(&whole), err(&whole).as_str()), (1, "1 error, 1 warning here, none elsewhere\n"));
}

#[test]
fn a_path_that_leads_to_nothing_is_named() {
    let output = bartack(folder(&clean()).path(), &["check", "entries/sources/almanac.md"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("`entries/sources/almanac.md`"), "{}", err(&output));
}

#[test]
fn json_holds_to_its_schema_and_to_the_text() {
    let base = folder(&(contradicted() + &broken()));
    let output = bartack(base.path(), &["check", "--format", "json"]);
    let findings: serde_json::Value = serde_json::from_str(&out(&output)).unwrap();
    let schema = fs::read_to_string(support::repository("schema/findings.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&findings).map(|error| error.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    let codes: Vec<&str> =
        findings["findings"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["era-conflict", "schema-violation"], "in order of path");
    assert_eq!(findings["findings"][1]["place"]["path"], format!("{VARIANT}/shop-find.md"));
    assert_eq!((&findings["findings"][1]["place"]["line"], &findings["elsewhere"]), (&2.into(), &0.into()));
    assert_eq!(code(&output), 1);
}

#[test]
fn nothing_is_coloured_when_it_is_not_a_terminal() {
    let output = bartack(folder(&broken()).path(), &["check"]);
    assert!(!output.stdout.contains(&0x1b) && !output.stderr.contains(&0x1b));
}

#[test]
fn a_conflict_shows_a_label_in_each_file() {
    let output = bartack(folder(&contradicted()).path(), &["check"]);
    for path in ["variant.md", "barn-find.md"] {
        assert!(out(&output).contains(&format!("{VARIANT}/{path}")), "{}", out(&output));
    }
}

#[test]
fn build_refuses_errors_and_writes_nothing() {
    let base = folder(&broken());
    let output = bartack(base.path(), &["build"]);
    assert_eq!(code(&output), 1);
    assert!(err(&output).contains("not built: 1 error"), "{}", err(&output));
    assert!(!base.path().join("out").exists());
}

#[test]
fn build_keeps_going_without_the_broken_and_says_so() {
    let base = folder(&broken());
    let output = bartack(base.path(), &["build", "--keep-going"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert!(err(&output).contains(&format!("left out 1 broken file: `{VARIANT}/shop-find.md`")), "{}", err(&output));
    assert!(base.path().join("out").is_dir());
}

#[test]
fn build_writes_where_it_is_told() {
    let (base, out) = (folder(&clean()), TempDir::new().unwrap());
    let target = out.path().join("site");
    let output = bartack(base.path(), &["build", "--out", target.to_str().unwrap()]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(target.is_dir() && !base.path().join("out").exists());
}

#[test]
fn a_lint_is_explained_anywhere_with_its_examples() {
    let output = bartack(Path::new("/no/such/folder"), &["explain", "era-conflict"]);
    assert_eq!(code(&output), 0);
    let lint = bartack::lints::find("era-conflict").unwrap();
    assert!(out(&output).contains(lint.title) && out(&output).contains("Wrong:") && out(&output).contains("Right:"));
}

#[test]
fn a_misspelt_code_is_answered_with_the_nearest() {
    let output = bartack(Path::new("/no/such/folder"), &["explain", "era-conflit"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("near it: `era-conflict`"), "{}", err(&output));
}

#[test]
fn an_era_is_explained_by_the_voices_behind_each_bound() {
    let base = folder(bartack::lints::find("era-conflict").unwrap().right);
    for subject in ["hollin/no-4/no-4-best", &format!("{VARIANT}/variant.md")] {
        let output = bartack(base.path(), &["explain", subject]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let text = out(&output);
        assert!(text.contains("It did not begin before 1971:"), "{text}");
        assert!(text.contains("spring-list") && text.contains("variant.md#1"), "{text}");
        assert!(text.contains("Nothing limits how late it ended."), "{text}");
    }
}

#[test]
fn an_unknown_thing_is_answered_with_the_nearest() {
    let output = bartack(folder(&clean()).path(), &["explain", "hollin/no-4/no-4-bset"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("`hollin/no-4/no-4-best`"), "{}", err(&output));
}

#[test]
fn timings_are_told_stage_by_stage_beside_the_answer() {
    let base = folder(bartack::lints::find("era-conflict").unwrap().right);
    let plain = bartack(base.path(), &["check"]);
    let timed = bartack(base.path(), &["check", "--timings"]);
    assert_eq!((code(&timed), out(&timed)), (code(&plain), out(&plain)));
    let told = err(&timed);
    let stages = ["reading the files", "reading the entries", "linking the entries", "reasoning", "mistakes", "in all"];
    let mut lines = told.lines();
    for stage in stages {
        let line = lines.find(|line| line.contains(stage)).unwrap_or_else(|| panic!("{stage}: {told}"));
        let seconds: f64 = line.trim_start().split(" s  ").next().unwrap().parse().unwrap();
        assert!((0.0..60.0).contains(&seconds), "{line}");
    }
}

#[test]
fn version_and_help_are_answers() {
    let output = bartack(Path::new("."), &["--version"]);
    assert_eq!((code(&output), out(&output)), (0, format!("bartack {}\n", env!("CARGO_PKG_VERSION"))));
    assert_eq!(code(&bartack(Path::new("."), &["--help"])), 0);
}

#[test]
fn garments_are_reviewed_only_where_somebody_asks_about_them() {
    let folder = folder(bartack::lints::find("unlike-its-variant").unwrap().wrong);
    let said = |arguments: &[&str]| out(&bartack(folder.path(), arguments)).contains("unlike-its-variant");
    assert!(!said(&["check"]), "reviewing takes time");
    assert!(said(&["check", VARIANT]));
    assert!(said(&["check", "."]));
    assert!(!said(&["check", "schema"]));
}

/// Every sign that a terminal would obey, but for ends of lines.
fn obeyed(output: &Output) -> Vec<char> {
    let told = out(output) + &err(output);
    told.chars().filter(|sign| sign.is_control() && !matches!(sign, '\n' | '\t')).collect()
}

#[test]
fn an_escape_in_a_cell_a_name_or_an_argument_is_shown_and_not_obeyed() {
    let base = folder(&clean());
    let sheet = base.path().join("sheet.csv");
    fs::write(&sheet, "maker,model\n\u{1b}]0;title\u{7},\u{9b}2J\n").unwrap();
    let sheet = sheet.to_str().unwrap();
    #[cfg(unix)]
    fs::write(base.path().join("entries/\u{1b}[2J.md"), "+++\n+++\n").unwrap();
    let runs: [&[&str]; 8] = [
        &["date", "--batch", sheet],
        &["import", sheet],
        &["check"],
        &["check", "--format", "github"],
        &["check", "--format", "json"],
        &["check", "\u{1b}[2J"],
        &["explain", "\u{1b}[2J"],
        &["\u{1b}[2J"],
    ];
    for arguments in runs {
        let output = bartack(base.path(), arguments);
        assert!(obeyed(&output).is_empty(), "{arguments:?}: {:?} {:?}", out(&output), err(&output));
        assert!(code(&output) > 0 && !(out(&output) + &err(&output)).is_empty(), "{arguments:?}");
    }
    let told = err(&bartack(base.path(), &["date", "--batch", sheet]));
    assert!(told.contains("]0;title"), "it is still seen: {told}");
    #[cfg(unix)]
    assert!(out(&bartack(base.path(), &["check", "--format", "github"])).contains("\\u001b[2J.md"));
}
