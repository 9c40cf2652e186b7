//! Every lint against its own examples and against the cases in `lints/<code>/<case>/`.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;

use crate::support;
use bartack::diagnostic::Check;
use bartack::lints::LINTS;

#[test]
fn every_wrong_example_raises_its_lint_and_no_other() {
    for lint in LINTS.iter().filter(|lint| !matches!(lint.check, Check::Retired)) {
        let codes: BTreeSet<&str> = support::codes(lint.wrong).into_iter().collect();
        assert_eq!(codes, BTreeSet::from([lint.code]), "{}\n{}", lint.code, support::findings(lint.wrong));
    }
}

#[test]
fn every_right_example_raises_nothing() {
    for lint in LINTS {
        assert_eq!(support::findings(lint.right), "clean\n", "{}", lint.code);
    }
}

#[test]
fn examples_are_small() {
    for lint in LINTS {
        assert!(lint.wrong.lines().count() <= 40 && lint.right.lines().count() <= 40, "{}", lint.code);
    }
}

#[test]
fn every_file_of_a_lint_is_in_the_list() {
    let files = support::entries(&support::repository("src/lints"));
    let codes: Vec<String> = files.iter().map(|path| support::stem(path).replace('_', "-")).collect();
    let listed: Vec<String> = LINTS.iter().map(|lint| lint.code.to_string()).collect();
    assert_eq!(codes, listed, "a file in src/lints and its entry in src/lints.rs go together");
}

#[test]
fn every_lint_has_cases_and_every_folder_of_cases_a_lint() {
    let folders = support::folders(&support::repository("tests/lints"));
    let named: Vec<String> = folders.iter().map(|path| support::stem(path)).collect();
    let listed: Vec<String> = LINTS.iter().map(|lint| lint.code.to_string()).collect();
    assert_eq!(named, listed);
}

#[test]
fn every_case_reports_what_is_expected() {
    let mut differing = Vec::new();
    for lint in support::folders(&support::repository("tests/lints")) {
        for case in support::folders(&lint) {
            let text = fs::read_to_string(case.join("entries.txt")).unwrap();
            differing.extend(support::differs(&case.join("expected.txt"), &support::findings(&text)));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn every_lint_has_a_case_that_raises_it_and_one_that_stays_silent() {
    for lint in support::folders(&support::repository("tests/lints")) {
        let code = support::stem(&lint);
        let texts =
            support::folders(&lint).into_iter().map(|case| fs::read_to_string(case.join("expected.txt")).unwrap());
        let (raising, silent): (Vec<String>, Vec<String>) = texts.partition(|text| text.contains(&format!("[{code}]")));
        assert!(!raising.is_empty() && !silent.is_empty(), "{code}");
    }
}

#[test]
fn messages_and_helps_follow_the_house() {
    for lint in LINTS {
        for diagnostic in &support::compile(lint.wrong).diagnostics {
            let message = diagnostic.message();
            let first = message.chars().next().unwrap();
            assert!(!first.is_uppercase() && !message.ends_with('.'), "{}: {message}", lint.code);
            assert!(diagnostic.advice().is_some_and(|help| !help.ends_with('.')), "{}", lint.code);
            for leaked in ["Option", "Some(", "None", "Err(", "#/", "^[", "::"] {
                assert!(!message.contains(leaked), "{}: {message}", lint.code);
            }
        }
    }
}
