//! Bars for the stages: on a terminal, once a command has taken a second, and nowhere else.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use tempfile::TempDir;

use crate::cli::{VARIANT, folder, support};

/// How many garments are tried, until a build takes long enough for bars to be worth showing.
const GARMENTS: [usize; 5] = [1500, 2500, 5000, 10_000, 20_000];

const STAGES: [&str; 7] = [
    "reading the files",
    "reading the entries",
    "linking the entries",
    "reasoning about dates",
    "looking for mistakes",
    "making the pictures",
    "writing the site",
];

/// Many garments, one of them with a photograph.
fn base(garments: usize) -> TempDir {
    let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1972\"\nmade-by = \"mark\"\n";
    let mut text = format!("--- {VARIANT}/drawn.md\n{head}photos = [{{ file = \"drawn.png\" }}]\n+++\n");
    for number in 0..garments {
        text += &format!("--- {VARIANT}/g{number}.md\n{head}[features]\nbelt-loops = {}\n+++\n", 4 + number % 4);
    }
    let base = folder(&text);
    let photograph = support::repository("entries/makers/quillander/stackyard/long-furrow-men/code-d-1957-rivet.png");
    fs::copy(photograph, base.path().join(VARIANT).join("drawn.png")).unwrap();
    base
}

/// Builds on one thread into a folder of the terminal's name; gives all that appears on it.
fn seen(base: &Path, terminal: &str) -> Option<String> {
    let (program, root) = (env!("CARGO_BIN_EXE_bartack"), base.display());
    let build = format!("'{program}' --root '{root}' build --out '{root}/{terminal}'");
    let mut command = Command::new("script");
    command.args(["--quiet", "--return", "--command", &build, "/dev/null"]);
    command.env("TERM", terminal).env("RAYON_NUM_THREADS", "1").stdin(Stdio::null());
    let output = command.output().ok()?;
    assert!(output.status.success(), "{output:?}");
    Some(String::from_utf8(output.stdout).unwrap())
}

fn has_a_bar(shown: &str, words: &str) -> bool {
    shown.split(words).skip(1).any(|after| after.trim_start().starts_with("[="))
}

/// A knowledge base whose build takes long enough for bars, and what a terminal shows of it; nothing without a terminal.
fn large() -> Option<(TempDir, String)> {
    for garments in GARMENTS {
        let base = base(garments);
        let shown = seen(base.path(), "xterm")?;
        if STAGES.iter().all(|words| has_a_bar(&shown, words)) {
            return Some((base, shown));
        }
    }
    panic!("no build shows a bar for each of its stages");
}

#[test]
fn a_terminal_shows_a_bar_for_each_stage_and_nothing_else_shows_any() {
    let Some((base, shown)) = large() else {
        eprintln!("skipped: no `script` to make a terminal with");
        return;
    };
    assert!(shown.contains(" 100 %"), "a stage that has ended is done");
    let dumb = seen(base.path(), "dumb").unwrap();
    assert!(STAGES.iter().all(|words| !dumb.contains(words)) && dumb.contains("wrote "), "{dumb}");

    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    let piped = command.arg("--root").arg(base.path()).arg("build").env("RAYON_NUM_THREADS", "1").output().unwrap();
    let told = String::from_utf8(piped.stderr).unwrap();
    assert!(piped.status.success() && piped.stdout.is_empty(), "{told}");
    let lines: Vec<&str> = told.lines().collect();
    assert!(lines.len() == 2 && lines[0].starts_with("wrote ") && lines[1].starts_with("no findings"), "{told}");
}
