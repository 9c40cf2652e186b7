//! The vectors before readers: broken ones, each of which must fail one, and the module that is published.

use std::process::Command;

use bartack::compile::example;

use crate::exports::world::{demo, files};
use crate::support::repository;

/// The knowledge base holds nothing, so the vectors show every rule whatever a knowledge base holds.
#[test]
fn vectors_let_no_reader_pass_that_breaks_a_rule() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so no reader is broken");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let made = files(&example::compile("").knowledge, "rules/");
    let [rules, vectors] = ["rules/rules.json", "rules/vectors.json"].map(|path| {
        let file = folder.path().join(path.strip_prefix("rules/").unwrap());
        std::fs::write(&file, &made[path]).unwrap();
        file
    });
    let script = repository("tests/dating/mutants.cjs");
    let run = Command::new("node").arg(script).args([rules, vectors]).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success(), "{err}{out}");
}

#[test]
fn published_module_answers_every_vector() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so the module is not run");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let made = files(&demo(), "rules/");
    for name in ["rules.json", "vectors.json", "reader.mjs"] {
        std::fs::write(folder.path().join(name), &made[&format!("rules/{name}")]).unwrap();
    }
    let script = repository("tests/exports/module.mjs");
    let run = Command::new("node").arg(script).arg(folder.path()).output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
}
