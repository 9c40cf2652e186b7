//! Keys and values of a file, each with its span: what front matter and vocabulary look like once they are read.
//!
//! Knows no grammar and no kind of record; a value that no record can hold is kept as the words for it.

use ecow::EcoString;

use crate::date::Day;
use crate::source::{Span, Spanned};

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// What was written.
    pub item: Item,
    /// Where; a table with a header has the header's span.
    pub span: Span,
}

/// What a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    Text(EcoString),
    /// A whole number.
    Integer(i64),
    /// A number with a fraction; always finite.
    Float(f64),
    /// True or false.
    Boolean(bool),
    /// A day without quotation marks.
    Day(Day),
    /// A value that nothing here can hold, in words: `a date with a time of day`.
    Unusable(&'static str),
    List(Vec<Node>),
    Table(Table),
}

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub key: Spanned<EcoString>,
    pub value: Node,
}

/// Keys and values in the order of the file; no key stands twice.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Table {
    entries: Vec<Entry>,
    /// The places of the entries, sorted by key: a stranger's table may have tens of thousands.
    by_key: Vec<u32>,
    span: Span,
}

impl Table {
    /// Takes the entries and the span of the header or of the braces, and sorts the entries by place.
    pub fn new(mut entries: Vec<Entry>, span: Span) -> Table {
        entries.sort_by_key(|entry| entry.key.span);
        let mut by_key: Vec<u32> = (0..entries.len() as u32).collect();
        by_key.sort_by(|one, other| entries[*one as usize].key.value.cmp(&entries[*other as usize].key.value));
        Table { entries, by_key, span }
    }

    /// The entries, in the order of the file.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The header, the braces, or the fence that opens front matter.
    pub fn span(&self) -> Span {
        self.span
    }

    /// The header and all that belongs to it.
    pub fn whole(&self) -> Span {
        let end = self.entries.iter().map(|entry| entry.value.last_byte()).max();
        Span::new(self.span.start(), end.unwrap_or_default().max(self.span.end()))
    }

    /// Finds a key with its value.
    pub fn entry(&self, key: &str) -> Option<&Entry> {
        let place = self.by_key.binary_search_by(|place| self.entries[*place as usize].key.value.as_str().cmp(key));
        place.ok().map(|found| &self.entries[self.by_key[found] as usize])
    }

    /// Finds the value of a key.
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.entry(key).map(|entry| &entry.value)
    }

    /// Says whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// The text of a key, if it holds one.
    pub fn text(&self, key: &str) -> Option<Spanned<String>> {
        self.get(key).and_then(Node::spanned_text)
    }

    /// The text of a key without its place.
    pub fn words(&self, key: &str) -> Option<String> {
        self.get(key).and_then(Node::text).map(str::to_string)
    }

    /// The number of a key, if it holds one.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.get(key).and_then(Node::number)
    }

    /// The whole number of a key, if it holds one that is not below 0.
    pub fn count(&self, key: &str) -> Option<u32> {
        self.get(key).and_then(Node::count)
    }

    /// The day of a key, if it holds one.
    pub fn day(&self, key: &str) -> Option<Spanned<Day>> {
        let node = self.get(key)?;
        match node.item {
            Item::Day(day) => Some(Spanned::new(day, node.span)),
            _ => None,
        }
    }

    /// Says whether a key holds `true`.
    pub fn is_set(&self, key: &str) -> bool {
        self.get(key).is_some_and(|node| node.item == Item::Boolean(true))
    }

    /// The table of a key, if it holds one.
    pub fn table(&self, key: &str) -> Option<&Table> {
        self.get(key).and_then(Node::table)
    }

    /// The nodes of a list; none where the key is missing or holds something else.
    pub fn list(&self, key: &str) -> &[Node] {
        match self.get(key).map(|node| &node.item) {
            Some(Item::List(nodes)) => nodes,
            _ => &[],
        }
    }

    /// The tables of a list.
    pub fn tables(&self, key: &str) -> impl Iterator<Item = &Table> {
        self.list(key).iter().filter_map(Node::table)
    }

    /// The texts of a list.
    pub fn texts(&self, key: &str) -> Vec<Spanned<String>> {
        self.list(key).iter().filter_map(Node::spanned_text).collect()
    }
}

impl Node {
    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.item {
            Item::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The text with its place, if it is one.
    pub fn spanned_text(&self) -> Option<Spanned<String>> {
        self.text().map(|text| Spanned::new(text.to_string(), self.span))
    }

    /// The number, if it is one.
    pub fn number(&self) -> Option<f64> {
        match self.item {
            Item::Integer(number) => Some(number as f64),
            Item::Float(number) => Some(number),
            _ => None,
        }
    }

    /// The whole number, if it is one that is not below 0; `5.0` is one.
    pub fn count(&self) -> Option<u32> {
        let number = self.number()?;
        let fits = number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number);
        fits.then_some(number as u32)
    }

    /// The table, if it is one.
    pub fn table(&self) -> Option<&Table> {
        match &self.item {
            Item::Table(table) => Some(table),
            _ => None,
        }
    }

    /// What it is, in words: `a number`.
    pub fn kind(&self) -> &'static str {
        match self.item {
            Item::Text(_) => "a text",
            Item::Integer(_) | Item::Float(_) => "a number",
            Item::Boolean(_) => "true or false",
            Item::Day(_) => "a date without quotation marks",
            Item::Unusable(words) => words,
            Item::List(_) => "a list",
            Item::Table(_) => "a table",
        }
    }

    /// The byte after all that belongs to it.
    pub fn last_byte(&self) -> usize {
        let inner = match &self.item {
            Item::Table(table) => table.whole().end(),
            Item::List(nodes) => nodes.iter().map(Node::last_byte).max().unwrap_or_default(),
            _ => 0,
        };
        inner.max(self.span.end())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Entry, Item, Node, Table};
    use crate::source::{Span, Spanned};

    fn entry(key: &str, item: Item, start: usize) -> Entry {
        let key = Spanned::new(key.into(), Span::new(start, start + 1));
        Entry { key, value: Node { item, span: Span::new(start + 4, start + 5) } }
    }

    #[test]
    fn entries_stand_in_the_order_of_the_file() {
        let table = Table::new(
            vec![entry("b", Item::Integer(1), 20), entry("a", Item::Float(2.0), 30), entry("c", Item::Float(2.5), 10)],
            Span::new(0, 3),
        );
        let keys: Vec<&str> = table.entries().iter().map(|entry| entry.key.value.as_str()).collect();
        assert_eq!(keys, ["c", "b", "a"]);
        let found: Vec<bool> = ["a", "b", "c", "d", ""].iter().map(|key| table.has(key)).collect();
        assert_eq!(found, [true, true, true, false, false], "keys are found wherever they stand");
        assert_eq!(table.whole(), Span::new(0, 35));
        assert_eq!((table.count("a"), table.count("c"), table.number("b")), (Some(2), None, Some(1.0)));
    }

    #[test]
    fn a_table_ends_where_its_last_part_ends() {
        let inner = Table::new(vec![entry("x", Item::Boolean(true), 50)], Span::new(40, 43));
        let table = Table::new(vec![entry("t", Item::Table(inner), 39)], Span::new(0, 3));
        assert_eq!(table.whole().end(), 55);
        assert!(table.table("t").unwrap().is_set("x"));
    }
}
