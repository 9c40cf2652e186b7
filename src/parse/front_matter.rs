//! Parses TOML into a tree of keys and values whose spans count from the beginning of the file.
//!
//! Every syntax error is reported, up to a limit that only a file of another format reaches.

use toml::de::{DeArray, DeTable, DeValue};
use toml::value::Datetime;

use crate::date::Day;
use crate::fault::{Fault, FaultKind, Malformed};
use crate::parse::{Parsed, is_unwanted};
use crate::source::tree::{Entry, Item, Node, Table};
use crate::source::{FileId, Place, Span, Spanned, is_invisible};

/// How many syntax errors of one file are reported.
const MOST_ERRORS: usize = 20;

/// Reads the TOML in a part of a text; the table takes the span of its header.
pub(super) fn read(file: FileId, text: &str, part: Span, header: Span) -> Parsed<Table> {
    let (table, errors) = DeTable::parse_recoverable(&text[part.start()..part.end()]);
    let mut builder = Builder { offset: part.start(), file, faults: Vec::new() };
    for error in errors.iter().take(MOST_ERRORS) {
        let span = builder.span(error.span().unwrap_or(0..0));
        let malformed = match error.message() {
            // The reader's own words; `tests/lints/malformed-record` holds that they stay the same.
            "duplicate key" => Malformed::RepeatedKey(text[span.start()..span.end()].to_string()),
            message => Malformed::Toml(message.to_string()),
        };
        builder.report(span, malformed);
    }
    let value = builder.table(table.get_ref(), header);
    builder.faults.sort_by_key(Fault::span);
    Parsed { value, faults: builder.faults }
}

struct Builder {
    offset: usize,
    file: FileId,
    faults: Vec<Fault>,
}

impl Builder {
    fn report(&mut self, span: Span, malformed: Malformed) {
        self.faults.push(Fault::new(Place { file: self.file, span }, FaultKind::Malformed(malformed)));
    }

    fn span(&self, range: std::ops::Range<usize>) -> Span {
        Span::new(range.start + self.offset, range.end + self.offset)
    }

    fn table(&mut self, table: &DeTable<'_>, span: Span) -> Table {
        let mut entries = Vec::with_capacity(table.len());
        for (key, value) in table {
            let key_span = self.span(key.span());
            self.refuse_control_characters(key.get_ref(), key_span);
            let span = self.span(value.span());
            let value = Node { item: self.item(value.get_ref(), span), span };
            entries.push(Entry { key: Spanned::new(key.get_ref().as_ref().into(), key_span), value });
        }
        Table::new(entries, span)
    }

    fn item(&mut self, value: &DeValue<'_>, span: Span) -> Item {
        match value {
            DeValue::String(text) => {
                self.refuse_control_characters(text, span);
                Item::Text(text.as_ref().into())
            }
            DeValue::Integer(integer) => match i64::from_str_radix(integer.as_str(), integer.radix()) {
                Ok(number) => Item::Integer(number),
                Err(_) => Item::Unusable("a number that is too large"),
            },
            DeValue::Float(float) => match float.as_str().parse::<f64>() {
                Ok(number) if number.is_finite() => Item::Float(number),
                _ => Item::Unusable("a number without an end"),
            },
            DeValue::Boolean(boolean) => Item::Boolean(*boolean),
            DeValue::Datetime(datetime) => date(datetime),
            DeValue::Array(list) => Item::List(self.list(list)),
            DeValue::Table(table) => Item::Table(self.table(table, span)),
        }
    }

    fn list(&mut self, list: &DeArray<'_>) -> Vec<Node> {
        let mut nodes = Vec::with_capacity(list.len());
        for value in list.iter() {
            let span = self.span(value.span());
            nodes.push(Node { item: self.item(value.get_ref(), span), span });
        }
        nodes
    }

    /// TOML lets a text name any character by its number, so a clean file may still hold unclean texts. What cannot be
    /// seen makes two names that look alike, or turns a line around; prose below the front matter may need it.
    fn refuse_control_characters(&mut self, text: &str, span: Span) {
        let is_refused = |character: &char| is_unwanted(*character) || is_invisible(*character);
        if let Some(character) = text.chars().find(is_refused) {
            self.report(span, Malformed::ControlCharacter(character));
        }
    }
}

fn date(datetime: &Datetime) -> Item {
    match (datetime.date, datetime.time) {
        (Some(date), None) => match Day::from_ymd(i32::from(date.year), date.month, date.day) {
            Some(day) if date.year > 0 => Item::Day(day),
            _ => Item::Unusable("a day that does not exist"),
        },
        (Some(_), Some(_)) => Item::Unusable("a date with a time of day"),
        _ => Item::Unusable("a time of day"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::read;
    use crate::source::tree::Item;
    use crate::source::{FileId, Span};

    #[test]
    fn every_kind_of_value_is_kept_or_named() {
        let rows = [
            ("\"x\"", "a text"),
            ("0x1F", "a number"),
            ("1_000.5", "a number"),
            ("inf", "a number without an end"),
            ("nan", "a number without an end"),
            ("99999999999999999999", "a number that is too large"),
            ("2026-03-14", "a date without quotation marks"),
            ("2026-03-14T10:00:00", "a date with a time of day"),
            ("10:00:00", "a time of day"),
            ("0000-01-01", "a day that does not exist"),
            ("[1]", "a list"),
            ("{ a = 1 }", "a table"),
            ("true", "true or false"),
        ];
        for (written, kind) in rows {
            let text = format!("k = {written}");
            let parsed = read(FileId(0), &text, Span::new(0, text.len()), Span::default());
            assert!(parsed.faults.is_empty(), "{text}");
            assert_eq!(parsed.value.get("k").unwrap().kind(), kind, "{text}");
        }
    }

    #[test]
    fn numbers_are_read_in_their_base() {
        let text = "a = 0x1F\nb = 1_000.5";
        let table = read(FileId(0), text, Span::new(0, text.len()), Span::default()).value;
        assert_eq!(table.get("a").unwrap().item, Item::Integer(31));
        assert_eq!(table.get("b").unwrap().item, Item::Float(1000.5));
    }
}
