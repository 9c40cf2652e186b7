//! The browser's reader of the rules, run under Node: edited rules, strange garments and shared addresses.

use std::process::Command;

use crate::support;

/// How many inputs are tried beside the corpus.
const EXECUTIONS: usize = 2000;

#[test]
fn rules_and_garments_give_an_answer_in_numbers_or_an_error_in_words() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so the browser's reader is not tried");
        return;
    }
    let corpus = support::repository("tests/fuzz/corpus/rules");
    let rules = support::repository("tests/knowledge_base/expected/rules/rules.json");
    let mut command = Command::new("node");
    command.arg(support::repository("tests/fuzz/rules.cjs")).args([&rules, &corpus]).arg(EXECUTIONS.to_string());
    let run = command.output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success(), "{out}{err}");
    let count = support::entries(&corpus).len() + EXECUTIONS;
    assert_eq!(out.trim(), format!("{count} inputs"));
    support::tried("fuzz inputs of rules", count);
}
