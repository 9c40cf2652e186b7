//! Turns what a contributor wrote and what would be allowed into pieces of a sentence.
//!
//! Knows no lint; every text that comes from a contributor passes through here before it is shown.

use crate::fault::listed::MOST as MOST_OF_A_FILE;
use crate::fault::repair::{Deed, Repair};
use crate::source::is_invisible;

/// The longest text of a contributor that a message repeats, in characters.
const LONGEST: usize = 80;

/// How many permitted values a message lists before it only names the nearest.
const MOST_LISTED: usize = 8;

/// Puts a contributor's text in backticks, on one line and not too long.
///
/// ```
/// use bartack::diagnostic::wording::quote;
/// assert_eq!(quote("two\nlines"), "`two\\nlines`");
/// ```
pub fn quote(text: &str) -> String {
    let mut quoted = String::from("`");
    for character in text.chars().take(LONGEST) {
        match character {
            '`' => quoted.push('\''),
            character if is_hidden(character) => quoted.extend(character.escape_default()),
            character => quoted.push(character),
        }
    }
    if text.chars().nth(LONGEST).is_some() {
        quoted.push('…');
    }
    quoted.push('`');
    quoted
}

/// Says whether a character would change how the text around it is shown: control characters and those that turn it.
pub fn is_hidden(character: char) -> bool {
    character.is_control() || is_invisible(character)
}

/// Joins texts with commas, and the last with a word.
pub fn join(texts: &[String], word: &str) -> String {
    match texts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} {word} {last}", first.join(", ")),
    }
}

/// Quotes texts and joins them.
pub fn join_quoted<T: AsRef<str>>(texts: &[T], word: &str) -> String {
    let quoted: Vec<String> = texts.iter().map(|text| quote(text.as_ref())).collect();
    join(&quoted, word)
}

/// Says what is expected: all permitted values, or the nearest of many and where the list lives.
pub fn expected(found: &str, allowed: &[String], home: &str) -> String {
    if let Some(few) = few(allowed) {
        return format!("expected {few}");
    }
    match allowed {
        [] => "nothing is allowed here".to_string(),
        many => match nearest(found, many, 3).as_slice() {
            [] => format!("expected one of the {} in {home}", many.len()),
            [one] => format!("the nearest is {}; all are in {home}", quote(one)),
            near => format!("the nearest are {}; all are in {home}", join_quoted(near, "and")),
        },
    }
}

/// Lists permitted values, unless there are none or too many to list.
pub fn few(allowed: &[String]) -> Option<String> {
    (1..=MOST_LISTED).contains(&allowed.len()).then(|| join_quoted(allowed, "or"))
}

/// Gives an instruction that says the same as a repair.
pub fn repair(repair: &Repair) -> String {
    match &repair.deed {
        Deed::Write(text) => format!("write {}", quote(text)),
        Deed::MoveAbove(header) => format!("move it above {}", quote(header)),
    }
}

/// Gives an instruction to write the nearest word, where one is near.
pub fn write_nearest(found: &str, allowed: &[String]) -> Option<String> {
    nearest(found, allowed, 1).first().map(|near| format!("write {}", quote(near)))
}

/// Gives up to `most` of the words that are spelt like another, the nearest first.
///
/// ```
/// use bartack::diagnostic::wording::nearest;
/// assert_eq!(nearest("belt-loop", &["belt-loops", "hem"], 3), ["belt-loops"]);
/// assert!(nearest("pocket", &["belt-loops", "hem"], 3).is_empty());
/// ```
pub fn nearest<'a, T: AsRef<str>>(found: &str, words: &'a [T], most: usize) -> Vec<&'a str> {
    let length = found.chars().count();
    if length > LONGEST {
        return Vec::new();
    }
    // A third of the letters may be wrong, so that short words are not taken for any other short word.
    let limit = (length / 3).max(1);
    let found = found.to_lowercase().replace('_', "-");
    let mut near: Vec<(usize, &str)> = words
        .iter()
        .map(AsRef::as_ref)
        .filter(|word| word.chars().count().abs_diff(length) <= limit)
        .map(|word| (strsim::damerau_levenshtein(&found, &word.to_lowercase()), word))
        .filter(|(distance, _)| *distance <= limit)
        .collect();
    near.sort_unstable();
    near.into_iter().take(most).map(|(_, word)| word).collect()
}

/// The advice for a file with more mistakes than are listed.
pub const REPAIR_LISTED: &str = "repair those listed, and check again";

/// Says how many mistakes of one kind a file has beyond those that are listed.
pub fn unlisted(number: usize) -> String {
    format!("{} of this kind in this file, beyond the {MOST_OF_A_FILE} that are listed", count(number, "more mistake"))
}

/// Writes a number of things: `1 finding`, `3 findings`.
pub fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {thing}s") }
}

#[cfg(test)]
mod tests {
    use super::{expected, nearest, quote};

    fn words(number: usize) -> Vec<String> {
        (0..number).map(|at| format!("word-{at}")).collect()
    }

    #[test]
    fn eight_values_are_listed_and_nine_are_not() {
        assert!(expected("x", &words(8), "the list").ends_with("or `word-7`"));
        assert_eq!(expected("quite-else", &words(9), "the list"), "expected one of the 9 in the list");
        assert!(expected("word-3", &words(9), "the list").starts_with("the nearest are `word-3`,"));
    }

    #[test]
    fn swapped_letters_are_one_mistake() {
        assert_eq!(nearest("hme", &["hem", "zip"], 3), ["hem"]);
        assert_eq!(nearest("belt_loops", &["belt-loops"], 3), ["belt-loops"]);
    }

    #[test]
    fn quoted_text_cannot_reach_the_terminal() {
        assert_eq!(quote("a\u{1b}[31m"), "`a\\u{1b}[31m`");
        assert_eq!(quote("tick ` tock"), "`tick ' tock`");
        assert_eq!(quote(&"x".repeat(90)).chars().count(), 83);
    }
}
