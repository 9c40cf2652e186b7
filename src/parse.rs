//! Parses a text file into a raw record: front matter with a span on every key and value, and the place of the body.
//!
//! It knows nothing of kinds of record; `validate` interprets the keys.

mod front_matter;

use crate::fault::{Fault, FaultKind, Malformed};
use crate::source::tree::Table;
use crate::source::{FileId, Place, SourceFile, Span};

/// One file as parsed, before validation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RawRecord {
    /// The keys; its own span is the fence that opens it.
    pub front: Table,
    /// The Markdown below.
    pub body: Span,
}

/// The result of parsing a text, and what is wrong with it.
#[derive(Clone, Debug)]
pub struct Parsed<T> {
    /// The parsed value; complete only if there are no faults.
    pub value: T,
    pub faults: Vec<Fault>,
}

/// Reads a record: TOML between two lines of `+++`, then Markdown.
pub fn record(id: FileId, file: &SourceFile) -> Parsed<RawRecord> {
    let text = file.text();
    if let Some(fault) = control_character(id, text) {
        return Parsed { value: RawRecord::default(), faults: vec![fault] };
    }
    match fences(text) {
        Ok(fences) => between(id, text, &fences),
        Err((span, malformed)) => {
            let place = Place { file: id, span };
            Parsed { value: RawRecord::default(), faults: vec![Fault::new(place, FaultKind::Malformed(malformed))] }
        }
    }
}

/// Reads a file that is TOML from its first byte to its last, such as the vocabulary.
pub fn toml(id: FileId, file: &SourceFile) -> Parsed<Table> {
    let text = file.text();
    if let Some(fault) = control_character(id, text) {
        return Parsed { value: Table::default(), faults: vec![fault] };
    }
    let start = byte_order_mark(text);
    front_matter::read(id, text, Span::new(start, text.len()), Span::new(start, start))
}

struct Fences {
    opening: Span,
    front: Span,
    body: Span,
}

fn between(id: FileId, text: &str, fences: &Fences) -> Parsed<RawRecord> {
    let Parsed { value: front, faults } = front_matter::read(id, text, fences.front, fences.opening);
    Parsed { value: RawRecord { front, body: fences.body }, faults }
}

fn fences(text: &str) -> Result<Fences, (Span, Malformed)> {
    let start = byte_order_mark(text);
    let mut lines = lines_from(text, start);
    let opening = lines.next().unwrap_or(Span::new(start, start));
    let opening = Span::new(start, start + trimmed(text, opening).len());
    if !is_fence(text, opening) {
        let is_of_others = trimmed(text, opening) == "---";
        return Err((opening, if is_of_others { Malformed::OtherFence } else { Malformed::NoFence }));
    }
    let front_start = next_line(text, opening);
    let closing = lines.find(|line| is_fence(text, *line));
    let closing = closing.ok_or((opening, Malformed::UnclosedFence))?;
    let body = Span::new(next_line(text, closing), text.len());
    Ok(Fences { opening, front: Span::new(front_start, closing.start()), body })
}

/// Gives the lines from a byte on, without their line feeds.
fn lines_from(text: &str, start: usize) -> impl Iterator<Item = Span> {
    let mut next = start;
    text[start..].split('\n').map(move |line| {
        let span = Span::new(next, next + line.len());
        next = span.end() + 1;
        span
    })
}

fn is_fence(text: &str, line: Span) -> bool {
    trimmed(text, line) == "+++"
}

/// The line without blanks and carriage return at its end.
fn trimmed(text: &str, line: Span) -> &str {
    text[line.start()..line.end()].trim_end_matches([' ', '\t', '\r'])
}

fn next_line(text: &str, line: Span) -> usize {
    text[line.end()..].find('\n').map_or(text.len(), |newline| line.end() + newline + 1)
}

fn byte_order_mark(text: &str) -> usize {
    if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 }
}

/// Finds the first character that no text needs; what follows it is most likely no text at all.
fn control_character(id: FileId, text: &str) -> Option<Fault> {
    let (offset, character) = text.char_indices().find(|(_, character)| is_unwanted(*character))?;
    let span = Span::new(offset, offset + character.len_utf8());
    Some(Fault::new(Place { file: id, span }, FaultKind::Malformed(Malformed::ControlCharacter(character))))
}

/// Says whether it is a control character other than tab and line ends; XML has no way to write those.
fn is_unwanted(character: char) -> bool {
    matches!(character, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}')
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::prelude::{any, proptest};

    use super::{Parsed, RawRecord, record, toml};
    use crate::fault::{FaultKind, Malformed};
    use crate::source::{FileId, FilePath, SourceFile};

    fn file(text: &str) -> SourceFile {
        SourceFile::new(FilePath::new("entries/a.md"), text.to_string())
    }

    fn parsed(text: &str) -> Parsed<RawRecord> {
        record(FileId(0), &file(text))
    }

    /// Gives `line:column kind` for each fault.
    fn faults(text: &str) -> Vec<String> {
        let source = file(text);
        let found = record(FileId(0), &source).faults;
        found.iter().map(|fault| describe(&source, fault.span().start(), &fault.kind)).collect()
    }

    fn describe(source: &SourceFile, offset: usize, kind: &FaultKind) -> String {
        let (line, column) = source.line_and_column(offset);
        match kind {
            FaultKind::Malformed(Malformed::Toml(_)) => format!("{line}:{column} toml"),
            FaultKind::Malformed(malformed) => format!("{line}:{column} {malformed:?}"),
            other => format!("{line}:{column} {other:?}"),
        }
    }

    #[test]
    fn front_matter_and_body_are_told_apart() {
        for text in ["+++\na = 1\n+++\nbody", "+++\r\na = 1\r\n+++\r\nbody", "\u{feff}+++\na = 1\n+++ \nbody"] {
            let found = parsed(text);
            assert!(found.faults.is_empty(), "{text:?}: {:?}", found.faults);
            let source = file(text);
            assert_eq!(source.slice(found.value.body), "body");
            assert_eq!(source.slice(found.value.front.get("a").unwrap().span), "1");
            assert_eq!(source.slice(found.value.front.entry("a").unwrap().key.span), "a");
            assert_eq!(source.slice(found.value.front.span()), "+++");
        }
    }

    #[test]
    fn a_body_may_be_missing() {
        let found = parsed("+++\n+++");
        assert!(found.faults.is_empty() && found.value.front.entries().is_empty());
        assert_eq!(found.value.body.start(), 7);
    }

    #[test]
    fn what_is_wrong_has_its_place() {
        let table: [(&str, &[&str]); 16] = [
            ("", &["1:1 NoFence"]),
            ("# Title\n+++\n+++\n", &["1:1 NoFence"]),
            ("++++\n+++\n", &["1:1 NoFence"]),
            ("----\n---\n", &["1:1 NoFence"]),
            ("---\na: 1\n---\n", &["1:1 OtherFence"]),
            ("+++\na = 1\n", &["1:1 UnclosedFence"]),
            ("+++\na = 1\0\n+++\n", &["2:6 ControlCharacter('\\0')"]),
            ("+++\n+++\nä\u{7}\n", &["3:2 ControlCharacter('\\u{7}')"]),
            ("+++\na = \"\\u0001\"\n+++\n", &["2:5 ControlCharacter('\\u{1}')"]),
            ("+++\na = \"x\u{202e}y\"\n+++\n", &["2:5 ControlCharacter('\\u{202e}')"]),
            ("+++\na = \"x\u{200b}y\"\n+++\n", &["2:5 ControlCharacter('\\u{200b}')"]),
            ("+++\na = [\"\\u2066\"]\n+++\n", &["2:6 ControlCharacter('\\u{2066}')"]),
            ("+++\n\"a\u{feff}\" = 1\n+++\n", &["2:1 ControlCharacter('\\u{feff}')"]),
            ("+++\na = \"קו\"\n+++\na\u{200d}b\u{202e}", &[]),
            ("+++\na = \nb = 2\nc = ]\n+++\n", &["2:5 toml", "4:5 toml"]),
            ("+++\na = 1\na = 2\n+++\n", &["3:1 RepeatedKey(\"a\")"]),
        ];
        for (text, expected) in table {
            assert_eq!(faults(text), expected, "{text:?}");
        }
    }

    #[test]
    fn deep_nesting_is_a_fault_and_no_overflow() {
        for deep in [format!("a = {}", "[".repeat(10_000)), format!("{} = 1", vec!["a"; 100_000].join("."))] {
            assert!(!faults(&format!("+++\n{deep}\n+++\n")).is_empty());
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in any::<String>(), bytes in "[+\\n\\r=\\[\\]{}\"'a1.# -]{0,80}") {
            parsed(&text);
            parsed(&format!("+++\n{text}\n+++\n{text}"));
            parsed(&format!("+++\n{bytes}\n+++\n"));
            toml(FileId(0), &file(&bytes));
        }
    }
}
