//! A text as a string of TOML, on one line. What it says is not asked.

use std::fmt::Write;

use crate::diagnostic::wording;

/// A text as TOML writes it on one line.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            hidden if wording::is_hidden(hidden) => {
                write!(quoted, "\\u{:04x}", u32::from(hidden)).expect("text takes all that is written to it");
            }
            shown => quoted.push(shown),
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::quoted;

    #[test]
    fn texts_are_quoted_on_one_line() {
        assert_eq!(quoted("a \"b\"\\\n\u{7f}"), "\"a \\\"b\\\"\\\\\\n\\u007f\"");
        let read: toml::Table = toml::from_str(&format!("k = {}", quoted("a \"b\"\\\n\t"))).unwrap();
        assert_eq!(read["k"].as_str(), Some("a \"b\"\\\n\t"));
    }
}
