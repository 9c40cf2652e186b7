//! The vectors before broken readers: each reader that breaks one rule of dating must fail one.

use std::process::Command;

use bartack::compile::example;

use crate::exports::world::files;
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
