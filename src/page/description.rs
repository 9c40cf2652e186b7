//! The one sentence with which other programs introduce a page: short, on one line, cut at a word.
//!
//! Each page chooses its text; it is escaped where it is written.

use std::sync::LazyLock;

use regex::Regex;

/// The most characters of a description.
pub const MOST: usize = 160;

static LINK: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"\[([^\]]*)\]\([^)]*\)").expect("the expression is well formed"));

/// A text on one line without backticks, cut after a word if it is longer than [`MOST`] characters.
///
/// ```
/// use bartack::page::description;
/// assert_eq!(description::cut(" A coat.\n  It is blue."), "A coat. It is blue.");
/// let long = description::cut(&"word ".repeat(40));
/// assert!(long.ends_with("word …") && long.chars().count() <= description::MOST);
/// ```
pub fn cut(text: &str) -> String {
    let text = text.replace('`', "");
    let mut line = String::new();
    let mut length = 0;
    let whole: Vec<&str> = text.split_whitespace().collect();
    let fits = whole.iter().map(|word| word.chars().count() + 1).sum::<usize>() <= MOST + 1;
    for word in whole {
        length += word.chars().count() + 1;
        // Room for the sign that more would follow.
        if !fits && length > MOST - 1 {
            return line.trim_end_matches([',', ';', ':']).to_string() + " …";
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    line
}

/// The first paragraph of a Markdown text without its marks.
///
/// ```
/// use bartack::page::description;
/// assert_eq!(description::of_markdown("\n## Head\n\nSee [the *key*](keys.md) of `x`.\n"), "See the key of x.");
/// ```
pub fn of_markdown(text: &str) -> String {
    let first = text.lines().find(|line| line.starts_with(char::is_alphabetic) || line.starts_with(['[', '*', '`']));
    LINK.replace_all(first.unwrap_or_default(), "$1").replace(['*', '`'], "")
}

/// A number of things in words.
///
/// ```
/// use bartack::page::description::counted;
/// assert_eq!((counted(1, "model"), counted(2, "model")), ("1 model".into(), "2 models".into()));
/// ```
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests {
    use super::{MOST, cut};

    #[test]
    fn no_description_is_longer_than_its_limit_whatever_the_words() {
        for width in 1..30 {
            for count in 1..200 {
                let text = vec!["ä".repeat(width); count].join(" ");
                let shown = cut(&text);
                assert!(shown.chars().count() <= MOST, "{width} {count}: {shown}");
                assert_eq!(shown == text, text.chars().count() <= MOST, "{width} {count}");
            }
        }
    }
}
