//! The data package before an independent reader: the `frictionless` validator, where `validate.sh` has installed it.

use std::path::{Path, PathBuf};
use std::process::Command;

use bartack::knowledge::Knowledge;

use crate::exports::world::{demo, files, knowledge};

fn program() -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/frictionless/bin/frictionless");
    path.is_file().then_some(path)
}

#[test]
fn an_independent_validator_accepts_the_package() {
    let Some(program) = program() else {
        eprintln!("skipped: no frictionless validator; tests/exports/validate.sh installs it");
        assert!(std::env::var_os("FRICTIONLESS_REQUIRED").is_none(), "the validator is not installed");
        return;
    };
    assert_accepted(&program, &knowledge());
    assert_accepted(&program, &demo());
}

fn assert_accepted(program: &Path, knowledge: &Knowledge) {
    let folder = tempfile::tempdir().unwrap();
    for (path, content) in files(knowledge, "data/") {
        let name = path.strip_prefix("data/").unwrap();
        std::fs::write(folder.path().join(name), content).unwrap();
    }
    let answer =
        Command::new(program).args(["validate", "datapackage.json"]).current_dir(folder.path()).output().unwrap();
    assert!(answer.status.success(), "{}", String::from_utf8_lossy(&answer.stdout));
}
