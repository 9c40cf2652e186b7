//! Escapes control characters, so that a terminal obeys nothing in a text.
//!
//! The escapes are those of JSON, so exports on stdout keep their meaning.

use std::borrow::Cow;

use crate::report::text::Style;

/// Returns a text in which a terminal obeys only line ends, tabs and, in a coloured style, colours.
///
/// Drawn findings contain no control characters from strangers (`report/text`), so any colours in
/// them come from bartack.
pub(super) fn text(text: &str, style: Style) -> Cow<'_, str> {
    if !text.contains(is_obeyed) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some(at) = rest.find(is_obeyed) {
        shown.push_str(&rest[..at]);
        rest = &rest[at..];
        let colour = if style == Style::Coloured { colour(rest) } else { 0 };
        if colour > 0 {
            shown.push_str(&rest[..colour]);
            rest = &rest[colour..];
            continue;
        }
        let mut characters = rest.chars();
        characters.by_ref().take(1).for_each(|character| shown.push_str(&format!("\\u{:04x}", u32::from(character))));
        rest = characters.as_str();
    }
    shown.push_str(rest);
    Cow::Owned(shown)
}

/// Controls (Unicode category Cc) except line ends and tabs, and characters that change the direction of a text.
fn is_obeyed(character: char) -> bool {
    (character.is_control() && !matches!(character, '\n' | '\t'))
        || matches!(character, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The length of the colour at the beginning of a text: a graphic rendition (ECMA-48, 8.3.117); 0
/// if there is none.
fn colour(text: &str) -> usize {
    let Some(inner) = text.strip_prefix("\u{1b}[") else { return 0 };
    let end = inner.find(|character: char| !character.is_ascii_digit() && character != ';');
    end.filter(|end| inner[*end..].starts_with('m')).map_or(0, |end| end + 3)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::text;
    use crate::report::text::Style;

    #[test]
    fn nothing_of_a_strangers_is_obeyed_and_all_of_it_is_seen() {
        let hostile = "a\u{1b}]0;title\u{7}b\u{1b}[2Jc\rd\u{9b}1me\u{7f}\u{202e}f\n\tg";
        let shown = "a\\u001b]0;title\\u0007b\\u001b[2Jc\\u000dd\\u009b1me\\u007f\\u202ef\n\tg";
        assert_eq!(text(hostile, Style::Plain), shown);
        assert_eq!(text(hostile, Style::Coloured), shown);
    }

    #[test]
    fn colours_stay_only_where_colours_are_wanted() {
        let coloured = "\u{1b}[1m\u{1b}[38;5;9merror\u{1b}[0m \u{1b}[8;1H";
        assert_eq!(text(coloured, Style::Coloured), "\u{1b}[1m\u{1b}[38;5;9merror\u{1b}[0m \\u001b[8;1H");
        assert_eq!(text("\u{1b}[1m", Style::Plain), "\\u001b[1m");
    }

    #[test]
    fn json_keeps_its_meaning() {
        let value = serde_json::Value::from("\u{85}\u{202e}\u{1b}");
        let line = serde_json::to_string(&value).unwrap();
        assert_eq!(serde_json::from_str::<serde_json::Value>(&text(&line, Style::Plain)).unwrap(), value);
    }
}
