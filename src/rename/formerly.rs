//! The earlier addresses of a record after it has moved, written into its front matter and nowhere else.
//!
//! A move back to the latest of them undoes that move: the record is then as if it had never been elsewhere.

use crate::parse::{self, Parsed, RawRecord};
use crate::source::edit::{Edit, apply};
use crate::source::tree::{Node, Table};
use crate::source::{FileId, FilePath, SourceFile, Span};

const KEY: &str = "formerly";

/// A record's text with its earlier addresses brought up to date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Updated {
    pub text: String,
    /// Whether the move only undid an earlier one, so that the address it had last is forgotten.
    pub is_undone: bool,
}

/// Brings the earlier addresses up to date for a record that moves from one path to another.
pub fn update(text: &str, from: &FilePath, to: &FilePath) -> Updated {
    let addresses = listed(text);
    let is_undone = addresses.last().is_some_and(|last| last == to.address());
    let mut text = text.to_string();
    for _ in addresses.iter().filter(|address| *address == to.address()) {
        text = without(&text, to.address());
    }
    if !is_undone && !addresses.iter().any(|address| address == from.address()) {
        text = with(&text, from);
    }
    Updated { text, is_undone }
}

fn front(text: &str) -> Table {
    let Parsed { value: RawRecord { front, .. }, .. } = read(text);
    front
}

fn read(text: &str) -> Parsed<RawRecord> {
    parse::record(FileId(0), &SourceFile::new(FilePath::new(""), text.to_string()))
}

fn listed(text: &str) -> Vec<String> {
    front(text).texts(KEY).iter().map(|path| FilePath::new(path.value.as_str()).address().to_string()).collect()
}

fn is_of(node: &Node, address: &str) -> bool {
    node.text().is_some_and(|path| FilePath::new(path).address() == address)
}

/// Takes an address out, and the whole line with the last of them.
fn without(text: &str, address: &str) -> String {
    let front = front(text);
    let nodes = front.list(KEY);
    let Some(at) = nodes.iter().position(|node| is_of(node, address)) else { return text.to_string() };
    let span = match (at.checked_sub(1).map(|before| nodes[before].span), nodes.get(at + 1)) {
        (Some(before), _) => Span::new(before.end(), nodes[at].span.end()),
        (None, Some(next)) => Span::new(nodes[at].span.start(), next.span.start()),
        (None, None) => front.entry(KEY).map_or(nodes[at].span, |entry| {
            whole_lines(text, Span::new(entry.key.span.start(), entry.value.span.end()))
        }),
    };
    apply(text, vec![Edit { span, text: String::new() }])
}

/// Widens a span to its whole lines, if they contain nothing else.
fn whole_lines(text: &str, span: Span) -> Span {
    let start = text[..span.start()].rfind('\n').map_or(0, |newline| newline + 1);
    let end = text[span.end()..].find('\n').map_or(text.len(), |newline| span.end() + newline + 1);
    let is_alone = text[start..span.start()].trim().is_empty() && text[span.end()..end].trim().is_empty();
    if is_alone { Span::new(start, end) } else { span }
}

/// Adds a path: behind the others, else on a line of its own behind the keys that stand before any table.
fn with(text: &str, path: &FilePath) -> String {
    let front = front(text);
    let quoted = format!("\"{path}\"");
    if let Some(last) = front.list(KEY).last() {
        return insert(text, last.span.end(), &format!(", {quoted}"));
    }
    if let Some(entry) = front.entry(KEY) {
        return insert(text, entry.value.span.start() + 1, &quoted);
    }
    let opening = next_line(text, front.span().end());
    let line = |at: usize| format!("{KEY} = [{quoted}]{}", line_end(text, at));
    let made = insert(text, behind_keys(text, &front), &line(opening));
    // A key directly after the fence never belongs to a table, whatever follows.
    let is_read = read(&made).faults.is_empty() && listed(&made) == [path.address()];
    if is_read { made } else { insert(text, opening, &line(opening)) }
}

fn insert(text: &str, at: usize, what: &str) -> String {
    apply(text, vec![Edit { span: Span::new(at, at), text: what.to_string() }])
}

/// The beginning of the line after the last key outside any table.
fn behind_keys(text: &str, front: &Table) -> usize {
    let is_plain = |start: usize| {
        let line = text[..start].rfind('\n').map_or(0, |newline| newline + 1);
        text[line..start].trim().is_empty()
    };
    let plain = front.entries().iter().take_while(|entry| is_plain(entry.key.span.start()));
    let end = plain.map(|entry| entry.value.last_byte()).max();
    next_line(text, end.unwrap_or_default().max(front.span().end()))
}

fn next_line(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |newline| at + newline + 1)
}

/// The line end in front of a byte.
fn line_end(text: &str, at: usize) -> &'static str {
    if text[..at].ends_with("\r\n") { "\r\n" } else { "\n" }
}

#[cfg(test)]
mod tests {
    use super::{Updated, update};
    use crate::source::FilePath;

    fn moved(text: &str, from: &str, to: &str) -> Updated {
        let path = |name: &str| FilePath::new(format!("entries/sources/{name}.md"));
        update(text, &path(from), &path(to))
    }

    #[test]
    fn the_old_path_stands_behind_the_keys_and_goes_with_a_move_back() {
        let line = "formerly = [\"entries/sources/a.md\"]";
        let rows = [
            ("+++\nx = 1 # one\n\n[t]\ny = 2\n+++\n", format!("+++\nx = 1 # one\n{line}\n\n[t]\ny = 2\n+++\n")),
            (
                "\u{feff}+++\r\nx = [\r\n1,\r\n]\r\n+++\r\n",
                format!("\u{feff}+++\r\nx = [\r\n1,\r\n]\r\n{line}\r\n+++\r\n"),
            ),
            ("+++\n[[t]]\ny = 2\n+++", format!("+++\n{line}\n[[t]]\ny = 2\n+++")),
            (
                "+++\na.b = 1\na.c = '''\n[t]\n'''\n[u]\n+++\n",
                format!("+++\na.b = 1\na.c = '''\n[t]\n'''\n{line}\n[u]\n+++\n"),
            ),
            ("+++\n+++\n", format!("+++\n{line}\n+++\n")),
            ("+++\nz = { q = [\n  2 ] }\n+++\n", format!("+++\nz = {{ q = [\n  2 ] }}\n{line}\n+++\n")),
        ];
        for (text, expected) in rows {
            let there = moved(text, "a", "b");
            assert_eq!(there, Updated { text: expected, is_undone: false });
            assert_eq!(moved(&there.text, "b", "a"), Updated { text: text.to_string(), is_undone: true });
        }
    }

    #[test]
    fn earlier_addresses_stay_in_their_order() {
        let rows = [
            (
                "formerly = [\"sources/z\"] # long ago",
                "formerly = [\"sources/z\", \"entries/sources/a.md\"] # long ago",
            ),
            (
                "formerly = [\n  \"sources/z\", # first\n]",
                "formerly = [\n  \"sources/z\", \"entries/sources/a.md\", # first\n]",
            ),
            ("formerly = [\"sources/b\", \"sources/z\"]", "formerly = [\"sources/z\", \"entries/sources/a.md\"]"),
            ("formerly = [\"sources/z\", \"sources/b\"]", "formerly = [\"sources/z\"]"),
            ("formerly = []", "formerly = [\"entries/sources/a.md\"]"),
            ("formerly = [\"sources/a\"]", "formerly = [\"sources/a\"]"),
        ];
        for (text, expected) in rows {
            let made = moved(&format!("+++\n{text}\n+++\n"), "a", "b").text;
            assert_eq!(made, format!("+++\n{expected}\n+++\n"));
        }
    }
}
