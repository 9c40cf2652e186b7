//! The way from an observation's page to the form that corrects it, and to its source.
//!
//! The link carries what the form needs, since a page from a folder can ask nobody: the fields that the form knows, as
//! the entry has them, the names of both its states, and its prose. Whatever else the entry says stays out of it.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use serde_json::{Map, Number, Value};

use crate::import::correction::{self, KEYS};
use crate::page;
use crate::parse;
use crate::record::Record;
use crate::source::tree::{Item, Node};
use crate::view::leaf::Leaf;

/// Prose that is longer, in bytes, is not corrected on the page: some browsers cut long addresses.
const LONGEST_PROSE: usize = 20_000;

/// The links from the page of an observation.
#[derive(Serialize)]
pub(super) struct Amending {
    /// The page that corrects the entry, told which.
    correct: String,
    /// Its source at the Git host.
    source: Option<String>,
    /// Its source, where no Git host is known.
    text: Option<String>,
}

/// The data for the form; the script `recording-correction.js` reads it.
#[derive(Serialize)]
struct Told<'a> {
    path: &'a str,
    name: &'a str,
    seen: String,
    keys: Map<String, Value>,
    /// The prose and the name of it, where it is not too long.
    #[serde(skip_serializing_if = "Option::is_none")]
    prose: Option<&'a str>,
    prose_seen: String,
}

/// Gives the ways to correct a record, which is called by a name.
pub(super) fn of(leaf: &Leaf<'_>, record: &Record, name: &str) -> Amending {
    let catalog = leaf.catalog();
    let file = catalog.sources.file(record.file);
    let source = catalog.about.edit_url.as_deref().and_then(|url| at_host(url, record.path.as_str()));
    let text = source.is_none().then(|| file.text().to_string());
    let raw = parse::record(record.file, file).value;
    let known = raw.front.entries().iter().filter(|entry| {
        let key = entry.key.value.as_str();
        KEYS.contains(&key) || key == "features"
    });
    let prose = file.slice(raw.body);
    let told = Told {
        path: record.path.address(),
        name,
        seen: correction::seen(file.text()),
        keys: known.map(|entry| (entry.key.value.to_string(), json(&entry.value))).collect(),
        prose: (prose.len() <= LONGEST_PROSE).then_some(prose.trim()),
        prose_seen: correction::prose_seen(prose),
    };
    let told = serde_json::to_vec(&told).expect("texts and numbers have a form in JSON");
    let correct = format!("{}#correct/{}", leaf.href("record.html"), URL_SAFE_NO_PAD.encode(told));
    Amending { correct, source, text }
}

/// A value of an entry; one that no record can hold is `null`.
fn json(node: &Node) -> Value {
    match &node.item {
        Item::Text(text) => Value::from(text.as_str()),
        Item::Integer(number) => Value::from(*number),
        Item::Float(number) => Number::from_f64(*number).map_or(Value::Null, Value::Number),
        Item::Boolean(boolean) => Value::from(*boolean),
        Item::Day(day) => Value::from(day.to_string()),
        Item::Unusable(_) => Value::Null,
        Item::List(nodes) => nodes.iter().map(json).collect(),
        Item::Table(table) => {
            table.entries().iter().map(|entry| (entry.key.value.to_string(), json(&entry.value))).collect()
        }
    }
}

/// The address of the page that shows a file, from the address that edits it: hosts write `blob`,
/// or `src/branch` instead of `_edit`.
fn at_host(edit_url: &str, path: &str) -> Option<String> {
    let url = format!("{}/", edit_url.trim_end_matches('/'));
    let shown = [("/edit/", "/blob/"), ("/_edit/", "/src/branch/")].into_iter().find_map(|(edit, show)| {
        let at = url.rfind(edit)?;
        Some(format!("{}{show}{}", &url[..at], &url[at + edit.len()..]))
    });
    shown.filter(|url| page::is_web(url)).map(|url| format!("{url}{path}"))
}

#[cfg(test)]
mod tests {
    use super::at_host;

    #[test]
    fn the_source_is_shown_beside_the_page_that_edits() {
        let rows = [
            ("https://host.example/a/b/edit/main", Some("https://host.example/a/b/blob/main/entries/x.md")),
            ("https://host.example/edit/b/-/edit/main/", Some("https://host.example/edit/b/-/blob/main/entries/x.md")),
            ("https://host.example/a/b/_edit/main", Some("https://host.example/a/b/src/branch/main/entries/x.md")),
            ("https://host.example/edit", Some("https://host.example/blob/entries/x.md")),
            ("https://host.example/a/new", None),
            ("javascript:/edit/", None),
        ];
        for (url, expected) in rows {
            assert_eq!(at_host(url, "entries/x.md").as_deref(), expected, "{url}");
        }
    }
}
