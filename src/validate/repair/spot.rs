//! Turns a span of a file into the key or value at that place, and the lines that belong to it
//! alone.

use crate::source::Span;
use crate::source::tree::{Item, Node, Table};

/// A key or value, and the way to it.
pub(super) struct Spot<'t> {
    /// The keys on the way, its own last.
    pub(super) keys: Vec<&'t str>,
    /// The span of its key.
    pub(super) key_span: Span,
    /// The value.
    pub(super) node: &'t Node,
    /// The table with the key.
    pub(super) table: &'t Table,
}

impl<'t> Spot<'t> {
    /// Its own key.
    pub(super) fn key(&self) -> Option<&'t str> {
        self.keys.last().copied()
    }

    /// From the key to the end of the value.
    pub(super) fn span(&self) -> Span {
        Span::new(self.key_span.start(), self.node.last_byte())
    }

    /// The feature whose reading it is, or is a part of.
    pub(super) fn reading(&self) -> Option<&'t str> {
        match self.keys.as_slice() {
            ["features", feature] | ["features", feature, _] => Some(feature),
            _ => None,
        }
    }

    /// Says whether it is a reading outside any table.
    pub(super) fn is_bare_reading(&self) -> bool {
        self.keys.len() == 2
    }
}

/// Finds the key or value that has the span.
pub(super) fn find(table: &Table, span: Span) -> Option<Spot<'_>> {
    table.entries().iter().find_map(|entry| {
        let keys = vec![entry.key.value.as_str()];
        let spot = Spot { keys, key_span: entry.key.span, node: &entry.value, table };
        if entry.key.span == span || entry.value.span == span && entry.value.table().is_none() {
            return Some(spot);
        }
        within(&entry.value, span).map(|(mut below, node)| match below.take() {
            Some(mut found) => {
                found.keys.insert(0, entry.key.value.as_str());
                found
            }
            None => Spot { node, ..spot },
        })
    })
}

/// Finds it in a value: with its key where it has one of its own there, else as a part of a list.
fn within(node: &Node, span: Span) -> Option<(Option<Spot<'_>>, &Node)> {
    match &node.item {
        Item::Table(table) => find(table, span).map(|spot| (Some(spot), node)),
        Item::List(nodes) => nodes.iter().find_map(|node| {
            if node.span == span && node.table().is_none() { Some((None, node)) } else { within(node, span) }
        }),
        _ => None,
    }
}

/// The whole lines of a key and its value, if they contain nothing else except a remark.
pub(super) fn lines(text: &str, span: Span, headers: &[Span]) -> Option<Span> {
    let start = text[..span.start()].rfind('\n').map_or(0, |at| at + 1);
    let end = text[span.end()..].find('\n').map_or(text.len(), |at| span.end() + at + 1);
    let (before, after) = (&text[start..span.start()], text[span.end()..end].trim_start());
    let is_alone = before.trim().is_empty() && (after.is_empty() || after.starts_with('#'));
    let holds_header = headers.iter().any(|header| (start..end).contains(&header.start()));
    (is_alone && !holds_header).then(|| Span::new(start, end))
}

/// The end of the last line above a header that is neither empty nor a remark; not above the fence.
pub(super) fn above(text: &str, header: usize, fence: usize) -> usize {
    let start = text[..header].rfind('\n').map_or(0, |at| at + 1);
    let top = text[fence..].find('\n').map_or(text.len(), |at| fence + at + 1);
    let mut place = start;
    while place > top {
        let line = text[..place - 1].rfind('\n').map_or(0, |at| at + 1);
        let content = text[line..place].trim();
        if !content.is_empty() && !content.starts_with('#') {
            break;
        }
        place = line;
    }
    place.max(top.min(start))
}
