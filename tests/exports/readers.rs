//! The vectors before readers: broken ones, each of which must fail one, the module that is published, and the command
//! that holds a reader in any language to them.

use std::path::Path;
use std::process::{Command, Output};

use bartack::compile::example;
use tempfile::TempDir;

use crate::exports::world::{demo, files};
use crate::support::repository;

/// Every file of `rules/` of a knowledge base that holds nothing: the vectors show every rule whatever it holds.
fn kit() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, content) in files(&example::compile("").knowledge, "rules/") {
        let name = path.strip_prefix("rules/").unwrap();
        if !name.contains('/') {
            std::fs::write(folder.path().join(name), content).unwrap();
        }
    }
    folder
}

fn is_node_there() -> bool {
    let is_there = Command::new("node").arg("--version").output().is_ok();
    if !is_there {
        eprintln!("skipped: no node, so no reader is run");
    }
    is_there
}

fn conform(folder: &Path, arguments: &[&str]) -> Output {
    Command::new("node").arg("conform.mjs").args(arguments).current_dir(folder).output().unwrap()
}

/// Status, standard output and errors.
fn said(output: &Output) -> (Option<i32>, String, String) {
    let text = |bytes| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

#[test]
fn vectors_let_no_reader_pass_that_breaks_a_rule() {
    if !is_node_there() {
        return;
    }
    let kit = kit();
    let (status, out, err) = said(&conform(kit.path(), &["--mutants"]));
    assert_eq!(status, Some(0), "{err}{out}");
    assert!(out.contains("194 broken readers, 0 problems"), "{out}");
    // A reader that breaks no rule passes every vector, and that is a problem.
    let list = r#"{"mutants": [{"name": "breaks nothing", "find": ["UNLIKE = 2.33"], "put": ["UNLIKE = 2.330"]}]}"#;
    std::fs::write(kit.path().join("mutants.json"), list).unwrap();
    let (status, _, err) = said(&conform(kit.path(), &["--mutants"]));
    assert_eq!((status, err.trim()), (Some(1), "breaks nothing: every vector lets it pass"));
}

#[test]
fn published_module_answers_every_vector() {
    if !is_node_there() {
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

#[test]
fn runner_says_which_version_a_reader_conforms_to() {
    if !is_node_there() {
        return;
    }
    let kit = kit();
    for command in [&["node", "answer.mjs"][..], &["node", "answer.mjs", "{rules}"]] {
        let (status, out, err) = said(&conform(kit.path(), command));
        assert_eq!((status, err.as_str()), (Some(0), ""), "{out}");
        assert!(out.contains("the reader conforms to version 1 of bartack-rules"), "{out}");
    }
}

#[test]
fn runner_shows_what_a_broken_reader_answers_and_names_its_mistake() {
    if !is_node_there() {
        return;
    }
    let kit = kit();
    let reader = std::fs::read_to_string(kit.path().join("reader.mjs")).unwrap();
    let answer = std::fs::read_to_string(kit.path().join("answer.mjs")).unwrap();
    let broken = reader.replace("(cell) => cell / 20", "(cell) => cell / 10");
    assert_ne!(broken, reader);
    std::fs::write(kit.path().join("broken.mjs"), broken).unwrap();
    std::fs::write(kit.path().join("wrong.mjs"), answer.replace("./reader.mjs", "./broken.mjs")).unwrap();
    let (status, out, err) = said(&conform(kit.path(), &["node", "wrong.mjs"]));
    assert_eq!(status, Some(1), "{err}{out}");
    assert!(out.contains("the reader does not conform to version 1 of bartack-rules"), "{out}");
    assert!(err.contains("/variants/0/probability: expected 0."), "{err}");
    let mistakes: Vec<&str> = err.lines().filter(|line| line.starts_with("these answers")).collect();
    assert_eq!(mistakes, ["these answers are those of a reader that reads cells as tenths of a bit"], "{err}");
}

#[test]
fn runner_says_why_a_command_cannot_be_tried() {
    if !is_node_there() {
        return;
    }
    let kit = kit();
    for (command, expected) in [
        (&[][..], "usage: node conform.mjs COMMAND"),
        (&["no-such-reader"], "`no-such-reader` cannot be run"),
        (&["node", "-e", "console.log('{}')"], "`node` gave 1 lines for"),
        (&["node", "-e", "throw new Error('no rules')"], "`node` gave 0 lines for"),
    ] {
        let (status, out, err) = said(&conform(kit.path(), command));
        assert_eq!((status, out.as_str()), (Some(2), ""), "{err}");
        assert!(err.contains(expected), "{err}");
    }
    std::fs::remove_file(kit.path().join("vectors.json")).unwrap();
    let (status, _, err) = said(&conform(kit.path(), &["node", "answer.mjs"]));
    assert_eq!(status, Some(2));
    assert!(err.contains("vectors.json must lie beside conform.mjs"), "{err}");
}
