//! The rules of the house that a text can show: who touches the world, what may import what, order, sizes.

#![allow(clippy::unwrap_used, clippy::panic)]

use crate::support;
use std::fs;
use std::path::Path;

/// A file of `src/`.
pub struct Source {
    /// Its path below `src/`, with forward slashes.
    pub path: String,
    text: String,
}

impl Source {
    /// The module of `lib.rs` it belongs to.
    pub fn module(&self) -> &str {
        self.path.split(['/', '.']).next().unwrap()
    }

    /// Says whether it is made for tests only, as the test below holds of every file of this name.
    fn is_test(&self) -> bool {
        self.path.ends_with("/tests.rs")
    }

    /// Its lines of code before its own tests, without comments, numbered from 1.
    pub fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().take_while(|line| !self.is_test() && *line != "#[cfg(test)]").enumerate();
        lines.map(|(number, line)| (number + 1, line)).filter(|(_, line)| !line.trim_start().starts_with("//"))
    }

    /// The places whose code holds a text.
    pub fn holding(&self, text: &str) -> Vec<String> {
        let lines = self.code().filter(|(_, line)| line.contains(text));
        lines.map(|(number, line)| format!("src/{}:{number}: {}", self.path, line.trim())).collect()
    }
}

pub fn sources() -> Vec<Source> {
    let mut sources = Vec::new();
    collect(&support::repository("src"), &mut sources);
    sources
}

fn collect(folder: &Path, sources: &mut Vec<Source>) {
    let root = support::repository("src");
    for path in support::entries(folder) {
        if path.is_dir() {
            collect(&path, sources);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let below = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
            sources.push(Source { path: below, text: fs::read_to_string(&path).unwrap() });
        }
    }
}

/// The modules in reading order.
fn order() -> Vec<String> {
    let text = fs::read_to_string(support::repository("src/lib.rs")).unwrap();
    let names = text.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'));
    names.map(str::to_string).collect()
}

pub fn assert_none(found: Vec<String>, rule: &str) {
    assert!(found.is_empty(), "{rule}:\n{}", found.join("\n"));
}

#[test]
fn only_few_modules_touch_the_world() {
    // What is touched, and the modules that may.
    let rules: [(&[&str], &[&str]); 6] = [
        (&["std::fs", "fs::read", "fs::write", "File::open", "File::create"], &["disk"]),
        (&["std::net"], &["serve"]),
        (&["std::env", "env::var", "env::args"], &["cli", "main"]),
        (&["SystemTime", "Instant"], &["cli", "main"]),
        (&["std::process"], &["cli", "main", "repository", "disk"]),
        (&["process::Command", "Command::new(", "Stdio"], &["repository"]),
    ];
    for (texts, modules) in rules {
        let others = sources().into_iter().filter(|source| !modules.contains(&source.module()));
        let found =
            others.flat_map(|source| texts.iter().flat_map(|text| source.holding(text)).collect::<Vec<String>>());
        assert_none(found.collect(), &format!("{texts:?} belongs to {modules:?}"));
    }
}

#[test]
fn files_of_tests_are_made_for_tests_only() {
    let all = sources();
    for source in all.iter().filter(|source| source.is_test()) {
        let parent = format!("{}.rs", source.path.trim_end_matches("/tests.rs"));
        let parent = all.iter().find(|other| other.path == parent).unwrap();
        assert!(parent.text.contains("#[cfg(test)]\nmod tests;"), "src/{}", source.path);
    }
}

#[test]
fn only_the_command_line_writes_to_the_terminal() {
    let others = sources().into_iter().filter(|source| source.module() != "cli");
    let streams = ["io::stdout", "io::stderr", "is_terminal"];
    let found = others.flat_map(|source| streams.iter().flat_map(|text| source.holding(text)).collect::<Vec<String>>());
    assert_none(found.collect(), "the terminal belongs to `cli`");
}

/// Imports that still run backward: documents are dated as voices.
const STILL_BACKWARD: &[(&str, &str)] = &[("evidence", "chronology")];

#[test]
fn modules_import_only_from_modules_before_them() {
    let order = order();
    let place = |module: &str| order.iter().position(|name| name == module);
    let mut found = Vec::new();
    for source in sources().iter().filter(|source| !["main", "lib"].contains(&source.module())) {
        let own = place(source.module()).unwrap_or_else(|| panic!("lib.rs does not list {}", source.module()));
        for (number, line) in source.code() {
            for imported in line.split("crate::").skip(1) {
                let name: String =
                    imported.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
                let is_excused = STILL_BACKWARD.contains(&(source.module(), name.as_str()));
                // What is no module is in `lib.rs` itself.
                if place(&name).is_some_and(|other| other > own) && !is_excused {
                    found.push(format!("src/{}:{number}: {}", source.path, line.trim()));
                }
            }
        }
    }
    assert_none(found, "a module imports only from modules above it in lib.rs");
}

#[test]
fn stages_return_mistakes_as_values() {
    let stages = ["parse", "validate", "resolve", "evidence", "chronology", "comparison", "dating", "lints"];
    let sources = sources().into_iter().filter(|source| stages.contains(&source.module()));
    let found = sources.flat_map(|source| {
        let lines = source.holding("pub fn").into_iter();
        lines.filter(|line| line.contains("Result<")).collect::<Vec<String>>()
    });
    assert_none(found.collect(), "a contributor's mistake is a value, never an `Err`");
}

/// Where hashing is welcome: inside the solver, over interned ids, where nothing is iterated toward an output.
const HASHED: &[&str] = &[
    "chronology/solver/conflict.rs",
    "chronology/solver/conflict/count.rs",
    "chronology/solver/smallest.rs",
    "chronology/solver/bounds.rs",
    "chronology/voice.rs",
];

#[test]
fn order_never_depends_on_hashing() {
    let others = sources().into_iter().filter(|source| !HASHED.contains(&source.path.as_str()));
    let found = others.flat_map(|source| [source.holding("HashMap"), source.holding("HashSet")].concat());
    assert_none(found.collect(), "what is iterated toward an output is a BTreeMap, a BTreeSet or a sorted Vec");
}

#[test]
fn files_are_short() {
    let mut all = sources();
    collect_tests(&mut all);
    collect_scripts(&support::repository("site"), &mut all);
    collect_scripts(&support::repository("tests"), &mut all);
    let long = all.iter().filter(|source| source.text.lines().count() > 350);
    assert_none(
        long.map(|source| format!("{} has {} lines", source.path, source.text.lines().count())).collect(),
        "350 lines",
    );
    let scripts = all.iter().filter(|source| source.path.starts_with("site/") && source.path.ends_with(".js"));
    assert!(scripts.count() > 50, "the scripts of the pages are among them");
}

fn collect_tests(sources: &mut Vec<Source>) {
    for path in support::entries(&support::repository("tests")) {
        if path.extension().is_some_and(|ending| ending == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            sources.push(Source { path: format!("tests/{}", support::stem(&path)), text });
        }
    }
}

/// The scripts in a folder and below it, except what tests expect to be written.
fn collect_scripts(folder: &Path, sources: &mut Vec<Source>) {
    let endings = ["js", "cjs", "mjs", "ts", "mts", "py"];
    for path in support::entries(folder) {
        if path.is_dir() && !path.ends_with("expected") {
            collect_scripts(&path, sources);
        } else if path.extension().and_then(|ending| ending.to_str()).is_some_and(|ending| endings.contains(&ending)) {
            let below = path.strip_prefix(support::repository("")).unwrap().to_string_lossy().replace('\\', "/");
            sources.push(Source { path: below, text: fs::read_to_string(&path).unwrap() });
        }
    }
}

#[test]
fn functions_are_short() {
    let mut found = Vec::new();
    for source in sources() {
        let mut open: Option<(usize, usize, String)> = None;
        for (number, line) in source.text.lines().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let is_function = ["fn ", "pub fn ", "pub(crate) fn ", "pub(super) fn "]
                .iter()
                .any(|head| line.trim_start().starts_with(head));
            if is_function && open.is_none() && !line.trim_end().ends_with('}') {
                open = Some((number, indent, line.trim().to_string()));
            } else if let Some((from, at, name)) = &open
                && indent == *at
                && line.trim() == "}"
            {
                if number - from + 1 > 50 {
                    found.push(format!("src/{}: {} lines: {name}", source.path, number - from + 1));
                }
                open = None;
            }
        }
    }
    assert_none(found, "no function has more than 50 lines");
}

#[test]
fn every_file_says_what_it_does_and_does_not() {
    let mut found = Vec::new();
    for source in sources() {
        let lines = source.text.lines().take_while(|line| line.starts_with("//!")).count();
        if !(1..=6).contains(&lines) {
            found.push(format!("src/{} opens with {lines} lines of comment", source.path));
        }
    }
    assert_none(found, "every file opens with one to six lines `//!`");
}

#[test]
fn what_is_public_says_what_it_is() {
    let items = ["fn ", "const fn ", "struct ", "enum ", "trait ", "type ", "const ", "static "];
    let is_public = |line: &str| {
        let item = line.trim_start().strip_prefix("pub ");
        item.is_some_and(|item| items.iter().any(|head| item.starts_with(head)))
    };
    let mut found = Vec::new();
    for source in sources() {
        let lines: Vec<&str> = source.text.lines().collect();
        for (number, line) in source.code().filter(|(_, line)| is_public(line)) {
            // Fields, variants and modules may go without: a name, or the file's own opening, says enough.
            let above = lines[..number - 1].iter().rev().map(|line| line.trim_start());
            // What a macro writes has the comment that it was given.
            let mut above = above.skip_while(|line| line.starts_with("#["));
            if !above.next().is_some_and(|above| above.starts_with("///") || above.starts_with("$(#[")) {
                found.push(format!("src/{}:{number}: {}", source.path, line.trim()));
            }
        }
    }
    assert_none(found, "every public function, type and constant has a doc comment");
}

#[test]
fn nothing_is_passed_on_or_taken_whole() {
    let passed_on = sources().into_iter().filter(|source| source.path != "lib.rs");
    assert_none(passed_on.flat_map(|source| source.holding("pub use")).collect(), "no `pub use`");
    let globs = sources().into_iter().flat_map(|source| source.holding("::*;"));
    assert_none(globs.collect(), "no glob imports");
}

#[test]
fn names_say_what_a_file_is_about() {
    let empty = ["util", "utils", "helpers", "common", "misc", "types", "core", "manager", "data", "info", "handler"];
    let found = sources().into_iter().filter(|source| source.path.split(['/', '.']).any(|part| empty.contains(&part)));
    assert_none(found.map(|source| source.path).collect(), "names that say nothing");
}
