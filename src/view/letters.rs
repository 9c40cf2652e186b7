//! The letters that names stand under, and the pages that letters stand on.
//!
//! A small knowledge base has all letters on one page; a big one has a page for each.

pub mod makers;

use crate::view::context::Context;
use crate::view::named::{Named, Sort};
use crate::view::names;

/// The page of all names, or of all letters.
pub const PAGE: &str = "index-a-z.html";

/// More names than these are divided by letter.
const ON_ONE_PAGE: usize = 400;

/// The heading letter of a name: a capital, or one heading for all digits.
pub fn letter(name: &str) -> String {
    match name.chars().find(|character| character.is_alphanumeric()) {
        Some(first) if first.is_alphabetic() => first.to_uppercase().collect(),
        Some(_) => "0–9".to_string(),
        None => "Others".to_string(),
    }
}

/// Says whether names of a sort are listed under letters.
pub fn is_listed(sort: Sort) -> bool {
    !matches!(sort, Sort::State | Sort::Observation | Sort::Guide | Sort::Term | Sort::Comparison | Sort::Changeover)
}

/// Says whether the names have a page for each letter.
pub fn are_divided(named: &[Named]) -> bool {
    named.iter().filter(|named| is_listed(named.sort)).count() > ON_ONE_PAGE
}

/// The page of a letter, where each has its own.
pub fn page(letter: &str) -> String {
    let name = |character: char| match character {
        'A'..='Z' => character.to_ascii_lowercase().to_string(),
        '0'..='9' => character.to_string(),
        '–' => "-".to_string(),
        other if other.is_ascii_alphabetic() => other.to_string(),
        other => format!("u{:04x}", other as u32),
    };
    format!("a-z/{}.html", letter.chars().map(name).collect::<String>())
}

/// A page of a letter by its number from 1; the first is the letter's own page.
pub fn part(letter: &str, number: usize) -> String {
    let first = page(letter);
    match first.strip_suffix(".html") {
        Some(name) if number > 1 => format!("{name}.{number}.html"),
        _ => first,
    }
}

/// Everything with a name; listed when first asked for.
pub fn named<'c>(context: &'c Context<'c>) -> &'c [Named] {
    context.names.get_or_init(|| names::all(context))
}

#[cfg(test)]
mod tests {
    use super::{letter, page};

    #[test]
    fn names_stand_under_their_first_letter_or_digit() {
        for (name, under) in
            [("the line", "T"), ("“Bobbin” ledger", "B"), ("33 years", "0–9"), ("élan", "É"), ("…", "Others")]
        {
            assert_eq!(letter(name), under, "{name}");
        }
    }

    #[test]
    fn every_letter_has_a_plain_path() {
        let paths = ["A", "0–9", "É", "Others"].map(page);
        assert_eq!(paths, ["a-z/a.html", "a-z/0-9.html", "a-z/u00c9.html", "a-z/others.html"]);
    }
}
