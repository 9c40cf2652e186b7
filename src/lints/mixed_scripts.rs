//! Names of observers, and forms of keys, written in letters of several scripts.
//!
//! Ids are small Latin letters, digits and hyphens and need no such check.

use std::sync::LazyLock;

use regex::Regex;

use crate::code::{Alphabet, Form, Part};
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::{Content, Record};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "mixed-scripts",
    level: Level::Warning,
    title: "a name or a key mixes letters of different scripts",
    explanation: "\
A Cyrillic а looks like a Latin a. A name that mixes scripts can look like another person's name without being the same: entries under it would not be counted with theirs, and `withheld` would miss them.

A form of a key that mixes scripts matches no real code: a character only looks like the letter on the garment. `letters` of a form are A to Z, so they count as Latin.

Write the name, or the texts of the form, in one script. Chinese characters together with Japanese, Korean or Bopomofo letters count as one script here, as in Unicode Technical Standard 39. Allow it if the name is really written that way.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
observer = \"w\u{0440}en-t\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
observer = \"wren-t\"
+++
",
    check: Check::Knowledge(check),
};

/// The pattern of a script's letters, under its name; scripts that are written together are one. Letters of scripts
/// that are not listed count as one more.
static SCRIPTS: LazyLock<Vec<(&str, Regex)>> = LazyLock::new(|| {
    let scripts = [
        ("Latin", r"^\p{Latin}$"),
        ("Cyrillic", r"^\p{Cyrillic}$"),
        ("Greek", r"^\p{Greek}$"),
        ("Armenian", r"^\p{Armenian}$"),
        ("Cherokee", r"^\p{Cherokee}$"),
        ("Hebrew", r"^\p{Hebrew}$"),
        ("Arabic", r"^\p{Arabic}$"),
        ("East Asian", r"^[\p{Han}\p{Hiragana}\p{Katakana}\p{Hangul}\p{Bopomofo}]$"),
        ("no", r"^[\p{Common}\p{Inherited}]$"),
    ];
    let compiled = |pattern| Regex::new(pattern).expect("the patterns are written well");
    scripts.into_iter().map(|(name, pattern)| (name, compiled(pattern))).collect()
});

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.catalog.records.iter().filter_map(|record| of_observer(record).or_else(|| of_key(record))).collect()
}

fn of_observer(record: &Record) -> Option<Diagnostic> {
    let observer = record.content.observation()?.observer.as_ref()?;
    let [first, .., last] = scripts(&observer.value)[..] else { return None };
    let place = Place { file: record.file, span: observer.span };
    let found = wording::quote(&observer.value);
    let message = format!("the name {found} mixes {first} and {last} letters, expected letters of one script");
    Some(LINT.at(place, message).help("write the name in one script"))
}

/// A key with a form that mixes scripts.
fn of_key(record: &Record) -> Option<Diagnostic> {
    let Content::Key(key) = &record.content else { return None };
    let forms = key.notation.forms.iter().filter_map(|form| Some((foreign_text(form)?, scripts(&letters(form)))));
    let (text, scripts) = forms.into_iter().find(|(_, scripts)| scripts.len() > 1)?;
    let [first, .., last] = scripts[..] else { return None };
    let place = Place { file: record.file, span: key.title.span };
    let found = wording::quote(text);
    let message =
        format!("the form with the text {found} mixes {first} and {last} letters, expected letters of one script");
    Some(LINT.at(place, message).help("write the texts of the form in one script"))
}

fn foreign_text(form: &Form) -> Option<&str> {
    let texts = form.parts.iter().filter_map(|part| match part {
        Part::Text(text) => Some(text.as_str()),
        Part::Field(_) => None,
    });
    texts.into_iter().find(|text| !text.is_ascii())
}

/// The letters that a form takes; A for any of A to Z.
fn letters(form: &Form) -> String {
    let letters = form.parts.iter().map(|part| match part {
        Part::Text(text) => text.as_str(),
        Part::Field(field) if field.alphabet == Alphabet::Letters => "A",
        Part::Field(_) => "",
    });
    letters.collect()
}

/// The scripts of a text's letters in the order in which they come up, each once.
fn scripts(text: &str) -> Vec<&'static str> {
    let mut found = Vec::new();
    if text.is_ascii() {
        return found;
    }
    for letter in text.chars().filter(|letter| letter.is_alphabetic()) {
        let letter = letter.to_string();
        let script = SCRIPTS.iter().find(|(_, pattern)| pattern.is_match(&letter)).map_or("other", |(name, _)| name);
        if script != "no" && !found.contains(&script) {
            found.push(script);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::scripts;

    #[test]
    fn letters_of_one_script_are_one_and_marks_and_digits_are_none() {
        for (text, expected) in [
            ("wren-t", &[][..]),
            ("Zoë Brandt 3rd", &["Latin"]),
            ("w\u{0440}en", &["Latin", "Cyrillic"]),
            ("\u{03bf}ttoline", &["Greek", "Latin"]),
            ("山田ようこ", &["East Asian"]),
            ("김", &["East Asian"]),
            ("Анна", &["Cyrillic"]),
        ] {
            assert_eq!(scripts(text), expected, "{text}");
        }
    }
}
