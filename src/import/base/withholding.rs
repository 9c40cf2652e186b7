//! Turns the withheld entries of another knowledge base into lines of `withheld` in the settings of
//! this one.
//!
//! Each entry is withheld by its own path, so that no other entry is affected.

use crate::import::toml_string::quoted;
use crate::parse;
use crate::record::{Record, Withheld, WithheldWhat};
use crate::resolve::Catalog;
use crate::source::tree::Table;
use crate::source::{FileId, FilePath, SourceFile};

/// Where the settings are.
pub const SETTINGS: &str = "entries/about.md";

/// A record to withhold here.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    /// `path` or `source`.
    pub key: &'static str,
    /// Its name here.
    pub name: String,
    /// Why it is withheld there.
    pub reason: String,
}

impl Line {
    /// The line as TOML.
    pub fn written(&self) -> String {
        format!("{{ {} = {}, reason = {} }}", self.key, quoted(&self.name), quoted(&self.reason))
    }
}

/// Why a record is withheld there.
pub fn reason(catalog: &Catalog, record: &Record) -> String {
    let address = record.path.address();
    let observer = record.content.observation().and_then(|seen| seen.observer.as_ref());
    let is_named = |withheld: &&Withheld| match &withheld.what.value {
        WithheldWhat::Path(path) => is_at_or_below(address, path),
        WithheldWhat::Observer(name) => observer.is_some_and(|observer| observer.value == *name),
        WithheldWhat::Source(_) => false,
    };
    words(catalog, catalog.about.withheld.iter().find(is_named))
}

/// Why a source is withheld there, by its name there.
pub fn reason_of_source(catalog: &Catalog, name: &str) -> String {
    let is_named = |withheld: &&Withheld| matches!(&withheld.what.value, WithheldWhat::Source(own) if own == name);
    words(catalog, catalog.about.withheld.iter().find(is_named))
}

fn words(catalog: &Catalog, withheld: Option<&Withheld>) -> String {
    let otherwise = || format!("withheld in {}", catalog.about.title);
    withheld.map(|withheld| withheld.reason.clone()).filter(|reason| !reason.is_empty()).unwrap_or_else(otherwise)
}

/// Says whether the settings here withhold an address already.
pub fn is_covered(catalog: &Catalog, address: &str) -> bool {
    let is_it =
        |withheld: &Withheld| matches!(&withheld.what.value, WithheldWhat::Path(path) if is_at_or_below(address, path));
    catalog.about.withheld.iter().any(is_it)
}

fn is_at_or_below(address: &str, path: &str) -> bool {
    address.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// The settings with more lines in `withheld`; `None` if the list is written in a way that cannot be extended.
pub fn added(text: &str, lines: &[Line]) -> Option<String> {
    let before = front(text)?;
    let mut made = text.to_string();
    let written: Vec<String> = lines.iter().map(Line::written).collect();
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    match before.get("withheld") {
        None => {
            let opening = text[before.span().end()..].find('\n').map(|at| before.span().end() + at + 1)?;
            let listed: String = written.iter().map(|line| format!("  {line},{end}")).collect();
            made.insert_str(opening, &format!("withheld = [{end}{listed}]{end}"));
        }
        Some(node) if text[node.span.start()..].starts_with("[[") || !text[node.span.start()..].starts_with('[') => {
            let body = parse::record(FileId(0), &file(text)).value.body;
            let closing = text[..body.start()].rfind("+++")?;
            let listed = lines.iter().map(|line| {
                format!(
                    "[[withheld]]{end}{} = {}{end}reason = {}{end}",
                    line.key,
                    quoted(&line.name),
                    quoted(&line.reason)
                )
            });
            made.insert_str(closing, &listed.collect::<String>());
        }
        Some(node) => {
            let last = before.list("withheld").last().map(|last| last.last_byte());
            let listed = written.join(&format!(",{end}  "));
            match last {
                Some(last) => made.insert_str(last, &format!(",{end}  {listed}")),
                None => made.insert_str(node.span.start() + 1, &listed),
            }
        }
    }
    let after = front(&made)?;
    let names = |table: &Table| table.tables("withheld").count();
    (names(&after) == names(&before) + lines.len()).then_some(made)
}

fn front(text: &str) -> Option<Table> {
    let parsed = parse::record(FileId(0), &file(text));
    parsed.faults.is_empty().then_some(parsed.value.front)
}

fn file(text: &str) -> SourceFile {
    SourceFile::new(FilePath::new(SETTINGS), text.to_string())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Line, added};

    #[test]
    fn lines_are_added_to_every_form_of_the_list_and_nothing_else_changes() {
        let line = Line { key: "path", name: "unplaced/a".to_string(), reason: "a \"doubt\"".to_string() };
        let written = r#"{ path = "unplaced/a", reason = "a \"doubt\"" }"#;
        let tabled = "[[withheld]]\npath = \"unplaced/a\"\nreason = \"a \\\"doubt\\\"\"\n";
        let rows = [
            (
                "title = \"T\"\n[weight]\nstatement = 1\n",
                format!("withheld = [\n  {written},\n]\ntitle = \"T\"\n[weight]\nstatement = 1\n"),
            ),
            ("withheld = []\n", format!("withheld = [{written}]\n")),
            (
                "withheld = [{ path = \"b\", reason = \"c\" }] # two\nx = 1\n",
                format!("withheld = [{{ path = \"b\", reason = \"c\" }},\n  {written}] # two\nx = 1\n"),
            ),
            (
                "withheld = [\n  { path = \"b\", reason = \"c\" },\n]\n",
                format!("withheld = [\n  {{ path = \"b\", reason = \"c\" }},\n  {written},\n]\n"),
            ),
            (
                "[[withheld]]\npath = \"b\"\nreason = \"c\"\n[weight]\nstatement = 1\n",
                format!("[[withheld]]\npath = \"b\"\nreason = \"c\"\n[weight]\nstatement = 1\n{tabled}"),
            ),
        ];
        for (before, after) in rows {
            let made = added(&format!("+++\n{before}+++\nHome +++\n"), std::slice::from_ref(&line)).unwrap();
            assert_eq!(made, format!("+++\n{after}+++\nHome +++\n"));
        }
    }
}
