//! What people come to do, each from the front door to the merged entry: real Git repositories, the real commands.

use std::path::Path;
use std::process::Output;

use super::{code, err, out};
use crate::support::history::History;

#[path = "tasks/editor.rs"]
mod editor;
#[path = "tasks/maintainer.rs"]
mod maintainer;
#[path = "tasks/phone.rs"]
mod phone;
#[path = "tasks/sheet.rs"]
mod sheet;

/// Takes the branch `change` into `main`, as a keeper does.
fn merge(history: &History) {
    history.git(&["checkout", "--quiet", "main"]);
    history.git(&["merge", "--quiet", "--no-ff", "-m", "merged", "change"]);
    assert_eq!(history.git(&["status", "--porcelain"]), "", "nothing is left uncommitted");
}

/// Everything a run printed.
fn told(output: &Output) -> String {
    out(output) + &err(output)
}

fn assert_code(output: &Output, expected: i32) {
    assert_eq!(code(output), expected, "{}", told(output));
}

fn assert_says(text: &str, phrases: &[&str]) {
    for phrase in phrases {
        assert!(text.contains(phrase), "`{phrase}` in {text}");
    }
}

/// The codes of findings, each with the file that it points to first.
fn findings(text: &str) -> Vec<(String, String)> {
    let mut lines = text.lines().peekable();
    let mut found = Vec::new();
    while let Some(line) = lines.next() {
        let Some(place) = lines.peek().and_then(|next| next.trim_start().strip_prefix("--> ")) else { continue };
        let lint = line.split(['[', ']']).nth(1).unwrap();
        let path = place.split(':').next().unwrap();
        found.push((lint.to_string(), Path::new(path).file_name().unwrap().to_string_lossy().into_owned()));
    }
    found
}
