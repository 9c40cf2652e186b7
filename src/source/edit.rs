//! Bytes of a text in place of others: everything around a name stays as it is.

use crate::source::Span;

/// A text that takes the place of a span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; may be empty.
    pub span: Span,
    /// What stands there then.
    pub text: String,
}

/// A text before and after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// As it was read.
    pub before: String,
    /// As it is to be written.
    pub after: String,
}

/// Makes all edits, which do not overlap.
pub fn apply(text: &str, mut edits: Vec<Edit>) -> String {
    edits.sort_by_key(|edit| edit.span);
    let mut made = String::with_capacity(text.len());
    let mut done = 0;
    for edit in edits {
        made.push_str(text.get(done..edit.span.start()).unwrap_or_default());
        made.push_str(&edit.text);
        done = edit.span.end();
    }
    made.push_str(text.get(done..).unwrap_or_default());
    made
}

/// Writes another key or value in the quotes that the old one has; one with escapes is written anew.
pub fn requoted(text: &str, span: Span, old: &str, new: &str) -> Edit {
    let raw = text.get(span.start()..span.end()).unwrap_or_default();
    let inner = ["\"\"\"", "'''", "\"", "'"].into_iter().find_map(|quote| between(raw, quote)).unwrap_or((0, raw));
    match inner {
        (start, inner) if inner == old => {
            let start = span.start() + start;
            Edit { span: Span::new(start, start + old.len()), text: new.to_string() }
        }
        _ => Edit { span, text: toml::Value::String(new.to_string()).to_string() },
    }
}

/// What stands between two quotes, and where it begins; a line end after three quotes is no part of it.
fn between<'a>(raw: &'a str, quote: &str) -> Option<(usize, &'a str)> {
    let inner = raw.strip_prefix(quote)?.strip_suffix(quote)?;
    let trimmed = match quote.len() {
        3 => inner.strip_prefix("\r\n").or_else(|| inner.strip_prefix('\n')).unwrap_or(inner),
        _ => inner,
    };
    Some((quote.len() + inner.len() - trimmed.len(), trimmed))
}

#[cfg(test)]
mod tests {
    use super::{Edit, apply, requoted};
    use crate::source::Span;

    #[test]
    fn quotes_stay_and_only_escapes_are_written_anew() {
        let rows = [
            ("\"old p. 1\"", "\"new p. 1\""),
            ("'old p. 1'", "'new p. 1'"),
            ("\"\"\"old p. 1\"\"\"", "\"\"\"new p. 1\"\"\""),
            ("'''\r\nold p. 1'''", "'''\r\nnew p. 1'''"),
            ("old p. 1", "new p. 1"),
            ("\"\\u006fld p. 1\"", "\"new p. 1\""),
        ];
        for (raw, expected) in rows {
            let edit = requoted(raw, Span::new(0, raw.len()), "old p. 1", "new p. 1");
            assert_eq!(apply(raw, vec![edit]), expected, "{raw}");
        }
    }

    #[test]
    fn edits_are_made_in_order_of_place() {
        let edit = |start, end, text: &str| Edit { span: Span::new(start, end), text: text.to_string() };
        assert_eq!(apply("ä-b-c", vec![edit(5, 6, "z"), edit(2, 2, "_"), edit(3, 4, "")]), "ä_--z");
    }
}
