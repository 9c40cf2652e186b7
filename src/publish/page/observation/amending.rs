//! The way from an observation's page to the form that corrects it, and to its source.
//!
//! The link carries what the form needs, since a page from a folder can ask nobody: the fields that the form knows, as
//! the entry has them, the names of both its states, its prose, claims, sources and photographs. Whatever else the entry
//! says stays out of it.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use serde_json::{Map, Number, Value};

use crate::import::correction::item::LISTS;
use crate::import::correction::{self, KEYS};
use crate::page;
use crate::parse;
use crate::record::Record;
use crate::source::tree::{Item, Node};
use crate::source::{FileId, SourceFile};
use crate::view::leaf::Leaf;

/// How many bytes of prose, claims, sources and photographs the link has room for: some browsers cut long addresses.
const ROOM: usize = 20_000;

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
    /// The lists of the entry that the link has no room for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    left: Vec<&'static str>,
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
    let correct = format!("{}#correct/{}", leaf.href("record.html"), told(file, record.path.address(), name));
    Amending { correct, source, text }
}

/// What the form is told of an entry, as the address of its page carries it.
fn told(file: &SourceFile, path: &str, name: &str) -> String {
    let raw = parse::record(FileId(0), file).value;
    let known = raw.front.entries().iter().filter(|entry| {
        let key = entry.key.value.as_str();
        KEYS.contains(&key) || key == "features"
    });
    let mut keys: Map<String, Value> = known.map(|entry| (entry.key.value.to_string(), json(&entry.value))).collect();
    let prose = file.slice(raw.body);
    let is_prose_short = prose.len() <= ROOM;
    let mut room = if is_prose_short { ROOM - prose.len() } else { ROOM };
    let mut left = Vec::new();
    for (list, _) in LISTS {
        let Some(value) = raw.front.get(list).map(json) else { continue };
        let length = value.to_string().len();
        if length <= room {
            room -= length;
            keys.insert(list.to_string(), value);
        } else {
            left.push(list);
        }
    }
    let told = Told {
        path,
        name,
        seen: correction::seen(file.text()),
        keys,
        left,
        prose: is_prose_short.then_some(prose.trim()),
        prose_seen: correction::prose_seen(prose),
    };
    URL_SAFE_NO_PAD.encode(serde_json::to_vec(&told).expect("texts and numbers have a form in JSON"))
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
    use base64::Engine;
    use base64::engine::general_purpose::URL_SAFE_NO_PAD;
    use serde_json::{Value, json};

    use super::{at_host, told};
    use crate::source::{FilePath, SourceFile};

    fn told_of(text: &str) -> Value {
        let file = SourceFile::new(FilePath::new("entries/unplaced/a.md"), text.to_string());
        let bytes = URL_SAFE_NO_PAD.decode(told(&file, "unplaced/a", "A")).expect("the link is Base64");
        serde_json::from_slice(&bytes).expect("the link holds JSON")
    }

    const ENTRY: &str = "+++\nbasis = \"specimen\"\nsources = [\"notes\"]\nphotos = [{ file = \"hem.jpg\" }]\n[[claims]]\n\
                         event = \"attested\"\nsources = [\"notes\"]\n[[source]]\nid = \"notes\"\nchecked = 2024-02-19\n+++\nText.\n";

    #[test]
    fn the_link_carries_claims_sources_and_photographs() {
        let told = told_of(ENTRY);
        let keys = json!({
            "sources": ["notes"],
            "photos": [{ "file": "hem.jpg" }],
            "claims": [{ "event": "attested", "sources": ["notes"] }],
            "source": [{ "id": "notes", "checked": "2024-02-19" }],
        });
        assert_eq!((&told["keys"], told.get("left"), &told["prose"]), (&keys, None, &json!("Text.")));
    }

    #[test]
    fn what_the_link_has_no_room_for_is_named() {
        let long = ENTRY.replace("event = \"attested\"", &format!("as-written = \"{}\"", "a".repeat(20_000)));
        let told = told_of(&long);
        assert_eq!((&told["left"], told["keys"].get("claims")), (&json!(["claims"]), None));
        assert_eq!(told["keys"]["source"][0]["id"], "notes", "a list that is short has room beside one that is long");
        let prose = told_of(&ENTRY.replace("Text.", &"a".repeat(20_001)));
        assert_eq!((prose.get("prose"), prose.get("left")), (None, None));
    }

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
