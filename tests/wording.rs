//! What people read is plain English: no turn of phrase that was once put right comes back, and no sentence is too long.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use crate::architecture::{assert_none, sources};
use crate::support;
use crate::support::site;
use bartack::lints;
use regex::Regex;

/// Turns of phrase that read as if translated; each has a plain wording.
const CLUMSY: &[&str] = &[
    "all that is known",
    "as it stands",
    "cannot all hold",
    "count for nothing",
    "counts for nothing",
    "counted nowhere",
    "from the earliest begin",
    "hold by itself",
    "is not worked out",
    "nobody dated it",
    "of whom nothing",
    "that nothing looks unusual",
    "there is no word of",
    "voice would bound",
    "way out",
    "were the two alike",
    "what else is known",
    "what stands",
    "what was said",
    "whoever",
    "whole of it",
];

/// The guide that is exported beside the rules.
const RULES_GUIDE: &str = "src/publish/export/rules/guide.md";

/// The most words of a sentence in the explanation of a check or in the guide.
const MOST_WORDS: usize = 40;

/// All files below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let below = |path: PathBuf| if path.is_dir() { files(&path) } else { vec![path] };
    support::entries(folder).into_iter().flat_map(below).collect()
}

/// The lines of a file that people may read, without the comments of its language.
fn shown(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let is_comment = |line: &str| ["//", "/*", "* "].iter().any(|mark| line.trim_start().starts_with(mark));
    let is_script = path.extension().is_some_and(|ending| ending == "js");
    text.lines().filter(|line| !is_script || !is_comment(line)).collect::<Vec<&str>>().join("\n")
}

fn clumsy(name: &str, text: &str) -> Vec<String> {
    // A text that goes on in the next line is one text.
    let text = text.to_lowercase().split('\\').map(str::trim_start).collect::<Vec<&str>>().join("");
    let found = CLUMSY.iter().filter(|phrase| text.contains(**phrase));
    found.map(|phrase| format!("{name}: {phrase}")).collect()
}

/// The sentences of a Markdown text, without its blocks of code, that have more words than people follow.
fn long(name: &str, text: &str) -> Vec<String> {
    let lines = text.lines().filter(|line| !line.starts_with("    ") && !line.starts_with('|'));
    let sentences = lines.flat_map(|line| line.split(". "));
    let long = sentences.filter(|sentence| sentence.split_whitespace().count() > MOST_WORDS);
    long.map(|sentence| format!("{name}: {sentence}")).collect()
}

#[test]
fn no_text_that_people_read_has_a_clumsy_phrase() {
    let mut found = Vec::new();
    for source in sources() {
        let code: Vec<&str> = source.code().map(|(_, line)| line.split("// ").next().unwrap()).collect();
        found.extend(clumsy(&format!("src/{}", source.path), &code.join("\n")));
    }
    for folder in ["site/templates", "site/assets", "site/guide", "site/start"] {
        for path in files(&support::repository(folder)) {
            if path.extension().is_some_and(|ending| ["html", "js", "md"].iter().any(|known| ending == *known)) {
                found.extend(clumsy(&path.display().to_string(), &shown(&path)));
            }
        }
    }
    found.extend(clumsy(RULES_GUIDE, &shown(&support::repository(RULES_GUIDE))));
    assert_none(found, "say it in plain English (subject, verb, object)");
}

#[test]
fn explanations_of_checks_and_the_guide_have_no_endless_sentence() {
    let explained = lints::LINTS.iter().flat_map(|lint| long(lint.code, lint.explanation));
    let guide = files(&support::repository("site/guide"));
    let rules = support::repository(RULES_GUIDE);
    let guide = guide.iter().filter(|path| path.extension().is_some_and(|ending| ending == "md")).chain([&rules]);
    let guided = guide.flat_map(|path| long(&path.display().to_string(), &fs::read_to_string(path).unwrap()));
    assert_none(explained.chain(guided).collect(), "one thought a sentence");
}

#[test]
fn words_of_the_program_lead_to_their_place_in_the_glossary() {
    let output = site::output(&support::repository(""));
    let text = |path: &str| String::from_utf8_lossy(&output[path]).into_owned();
    let glossary = text("guide/glossary.html");
    let link = Regex::new(r#"guide/glossary\.html#([a-z-]+)""#).unwrap();
    let mut linked = BTreeSet::new();
    for path in output.keys().filter(|path| path.ends_with(".html")) {
        for found in link.captures_iter(&text(path)) {
            assert!(glossary.contains(&format!("id=\"{}\"", &found[1])), "{path}: {}", &found[1]);
            linked.insert(found[1].trim_start_matches("guide-section-").to_string());
        }
    }
    let words = ["changeover", "landmark", "tell", "voice"].map(String::from);
    assert!(linked.is_superset(&BTreeSet::from(words)), "{linked:?}");
}
