//! Sources, and references to them.

use crate::record::citation::{Source, SourceKind};
use crate::record::claim::SourceReference;
use crate::record::id::SourceId;
use crate::source::tree::{Node, Table};
use crate::source::{Span, Spanned};
use crate::validate::reader::Reader;

/// Reads a record of `entries/sources/`, whose id is its file name.
pub(super) fn shared(reader: &mut Reader<'_>, table: &Table, id: &SourceId) -> Option<Source> {
    read(reader, table, Spanned::new(id.clone(), table.span()))
}

/// Reads the `[[source]]` tables of a file.
pub(super) fn local(reader: &mut Reader<'_>, table: &Table) -> Vec<Source> {
    let ids: Vec<Spanned<String>> = table.tables("source").filter_map(|source| source.text("id")).collect();
    reader.check_ids(&ids);
    table.tables("source").filter_map(|source| one(reader, source)).collect()
}

fn one(reader: &mut Reader<'_>, table: &Table) -> Option<Source> {
    let id = reader.text(table, "id")?;
    read(reader, table, Spanned::new(SourceId::new(id.value), id.span))
}

fn read(reader: &mut Reader<'_>, table: &Table, id: Spanned<SourceId>) -> Option<Source> {
    let date = reader.date(table, "date");
    let repeats = table.texts("repeats");
    for repeated in repeats.iter().filter(|repeated| repeated.value == id.value.as_str()) {
        reader.other(repeated.span, format!("`{}`", repeated.value), "a source other than this one");
    }
    let kind = reader.word(table, "kind", &SourceKind::ALL);
    Some(Source {
        id,
        citation: reader.text(table, "citation")?,
        kind: kind?,
        date,
        url: table.text("url"),
        archived: table.text("archived"),
        checked: table.day("checked"),
        repeats: repeats.into_iter().map(|id| Spanned::new(SourceId::new(id.value), id.span)).collect(),
        span: table.whole(),
    })
}

/// Reads the references of a key that holds a list of them.
pub(super) fn references(table: &Table, key: &str) -> Vec<Spanned<SourceReference>> {
    table.list(key).iter().filter_map(node_reference).collect()
}

/// Reads the reference of a key that holds one.
pub(super) fn reference(table: &Table, key: &str) -> Option<Spanned<SourceReference>> {
    table.get(key).and_then(node_reference)
}

fn node_reference(node: &Node) -> Option<Spanned<SourceReference>> {
    let span: Span = node.span;
    node.text().map(|text| Spanned::new(SourceReference::parse(text), span))
}
