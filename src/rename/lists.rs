//! The vocabulary with a state that gave way to another, a feature that is retired, or a state that was split.
//!
//! Of the text only what must changes; whether the result is a vocabulary is asked by compiling it.

use crate::parse;
use crate::source::edit::{Edit, apply, requoted};
use crate::source::tree::{Entry, Item, Node, Table};
use crate::source::{FileId, SourceFile, Span};

/// Takes a state out of the list of its feature, and has it read as another.
pub(super) fn merged(file: &SourceFile, feature: &str, [old, new]: [&str; 2]) -> Option<String> {
    let table = parse::toml(FileId(0), file).value;
    let feature = table.table(feature)?;
    let states = feature.list("states");
    let place = states.iter().position(|state| state.text() == Some(old))?;
    let spans: Vec<Span> = states.iter().map(|state| state.span).collect();
    let mut edits = vec![without(&spans, place)];
    edits.extend(replaced(file, feature, [old, new])?);
    edits.extend(feature.table("labels").and_then(|labels| taken_out(labels, old)));
    if let Some(also) = feature.table("also") {
        edits.extend(synonyms(file, also, [old, new]));
    }
    Some(apply(file.text(), edits))
}

/// Says of a feature that another took its place.
pub(super) fn retired(file: &SourceFile, feature: &str, new: &str) -> Option<String> {
    let table = parse::toml(FileId(0), file).value;
    let first = table.table(feature)?.entries().first()?;
    let line = format!("retired = {{ reason = \"recorded as `{new}`\", use = \"{new}\" }}\n");
    let start = line_start(file.text(), first.key.span.start());
    Some(apply(file.text(), vec![Edit { span: Span::new(start, start), text: line }]))
}

/// Adds states after the one that is split.
pub(super) fn split(file: &SourceFile, feature: &str, old: &str, parts: &[String]) -> Option<String> {
    let table = parse::toml(FileId(0), file).value;
    let state = table.table(feature)?.list("states").iter().find(|state| state.text() == Some(old))?;
    let end = state.span.end();
    let text: String = parts.iter().map(|part| format!(", \"{part}\"")).collect();
    Some(apply(file.text(), vec![Edit { span: Span::new(end, end), text }]))
}

/// Adds a state to `replaced`; words that were read as it are read as its successor.
fn replaced(file: &SourceFile, feature: &Table, [old, new]: [&str; 2]) -> Option<Vec<Edit>> {
    let entry = format!("{old} = \"{new}\"");
    let entries = feature.table("replaced").map(Table::entries).unwrap_or_default();
    let Some(first) = entries.first() else {
        let after = feature.get("states")?.span.end();
        let end = file.text()[after..].find('\n').map_or(file.text().len(), |at| after + at + 1);
        return Some(vec![Edit { span: Span::new(end, end), text: format!("replaced = {{ {entry} }}\n") }]);
    };
    let start = first.key.span.start();
    let is_inline = file.slice(feature.get("replaced")?.span).starts_with('{');
    let added = Edit { span: Span::new(start, start), text: entry + if is_inline { ", " } else { "\n" } };
    let chained = entries.iter().filter(|entry| entry.value.text() == Some(old));
    let chained = chained.map(|entry| requoted(file.text(), entry.value.span, old, new));
    Some(chained.chain([added]).collect())
}

/// Gives the words for a state to another.
fn synonyms(file: &SourceFile, also: &Table, [old, new]: [&str; 2]) -> Vec<Edit> {
    let Some(own) = also.entry(old) else { return Vec::new() };
    match also.list(new).last() {
        None if also.has(new) => Vec::new(),
        None => vec![Edit { span: own.key.span, text: new.to_string() }],
        Some(last) => {
            let words: String = nodes(own).iter().map(|word| format!(", {}", file.slice(word.span))).collect();
            let end = last.span.end();
            let added = Edit { span: Span::new(end, end), text: words };
            taken_out(also, old).into_iter().chain([added]).collect()
        }
    }
}

fn nodes(entry: &Entry) -> &[Node] {
    match &entry.value.item {
        Item::List(nodes) => nodes,
        _ => &[],
    }
}

/// Takes a key and its value out of a table.
fn taken_out(table: &Table, key: &str) -> Option<Edit> {
    let place = table.entries().iter().position(|entry| entry.key.value == key)?;
    let span = |entry: &Entry| Span::new(entry.key.span.start(), entry.value.last_byte());
    Some(without(&table.entries().iter().map(span).collect::<Vec<Span>>(), place))
}

/// Removes one of several parts, with the text between it and the next part, or the one before.
fn without(spans: &[Span], place: usize) -> Edit {
    let own = spans[place];
    let span = match (spans.get(place + 1), place.checked_sub(1)) {
        (Some(next), _) => Span::new(own.start(), next.start()),
        (None, Some(before)) => Span::new(spans[before].end(), own.end()),
        (None, None) => own,
    };
    Edit { span, text: String::new() }
}

fn line_start(text: &str, offset: usize) -> usize {
    text[..offset].rfind('\n').map_or(0, |at| at + 1)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{merged, retired, split};
    use crate::source::{FilePath, SourceFile};

    fn file(text: &str) -> SourceFile {
        SourceFile::new(FilePath::new("schema/vocabulary.toml"), text.to_string())
    }

    #[test]
    fn a_state_leaves_its_lists_and_stays_readable() {
        let rows = [
            ("[h]\nstates = [\"a\", \"b\"] # two\n", "[h]\nstates = [\"b\"] # two\nreplaced = { a = \"b\" }\n"),
            (
                "[h]\nstates = [\"b\", \"a\"]\nreplaced = { z = \"a\", y = \"b\" }\n",
                "[h]\nstates = [\"b\"]\nreplaced = { a = \"b\", z = \"b\", y = \"b\" }\n",
            ),
            (
                "[h]\nstates = [\"a\", \"b\"]\nlabels = { b = \"B\", a = \"A\" }\nalso = { a = [\"x\"], b = [\"y\"] }\n",
                "[h]\nstates = [\"b\"]\nreplaced = { a = \"b\" }\nlabels = { b = \"B\" }\nalso = { b = [\"y\", \"x\"] }\n",
            ),
            (
                "[h]\nstates = [\"a\", \"b\"]\nalso = { a = [\"x\"] }\n[h.replaced]\nz = \"b\"\n",
                "[h]\nstates = [\"b\"]\nalso = { b = [\"x\"] }\n[h.replaced]\na = \"b\"\nz = \"b\"\n",
            ),
        ];
        for (before, after) in rows {
            assert_eq!(merged(&file(before), "h", ["a", "b"]).unwrap(), after);
        }
    }

    #[test]
    fn a_feature_is_retired_and_a_state_is_split_behind_itself() {
        let text = "[h] # hem\nname = \"H\"\nstates = [\"a\", \"b\"]\n";
        let with = retired(&file(text), "h", "k").unwrap();
        assert!(with.contains("[h] # hem\nretired = { reason = \"recorded as `k`\", use = \"k\" }\nname"), "{with}");
        let parts = ["c".to_string(), "d".to_string()];
        assert!(split(&file(text), "h", "a", &parts).unwrap().contains("[\"a\", \"c\", \"d\", \"b\"]"));
    }
}
