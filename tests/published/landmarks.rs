//! Every landmark of the demo against a table: its mark, source, how it is known, force, days and market.
//!
//! `landmarks.toml` was written from the sources named in it. Whoever changes a landmark changes the table too, and
//! says there how the fact is known.

use std::collections::BTreeMap;
use std::fs;

use crate::support;
use toml::{Table, Value};

struct Entry {
    front: Table,
    body: String,
}

fn entry(path: &str) -> Entry {
    let text = fs::read_to_string(support::repository(path)).unwrap();
    let mut parts = text.splitn(3, "+++\n").skip(1);
    Entry { front: parts.next().unwrap().parse().unwrap(), body: parts.next().unwrap().to_string() }
}

fn landmarks() -> BTreeMap<String, Entry> {
    let files = support::entries(&support::repository("entries/landmarks"));
    let names = files.iter().map(|path| support::stem(path).to_string());
    names.map(|name| (name.clone(), entry(&format!("entries/landmarks/{name}.md")))).collect()
}

fn table() -> BTreeMap<String, Table> {
    let table: Table = include_str!("landmarks.toml").parse().unwrap();
    table.into_iter().map(|(name, row)| (name, row.as_table().unwrap().clone())).collect()
}

/// The citation behind each source of a landmark, from its own file or from `entries/sources/`.
fn citations(front: &Table) -> Vec<Value> {
    let local = front.get("source").and_then(Value::as_array).cloned().unwrap_or_default();
    let sources = front["sources"].as_array().unwrap().iter().map(|source| source.as_str().unwrap());
    let citation = |source: &str| {
        let id = source.split(' ').next().unwrap();
        let own = local.iter().find(|source| source["id"].as_str() == Some(id));
        own.map_or_else(
            || entry(&format!("entries/sources/{id}.md")).front["citation"].clone(),
            |source| source["citation"].clone(),
        )
    };
    sources.map(citation).collect()
}

#[test]
fn every_landmark_has_the_mark_the_days_the_force_and_the_sources_of_the_table() {
    let (landmarks, table) = (landmarks(), table());
    let names = |keys: Vec<&String>| keys.into_iter().cloned().collect::<Vec<String>>();
    assert_eq!(names(landmarks.keys().collect()), names(table.keys().collect()), "a landmark and its row go together");
    for (name, row) in &table {
        let front = &landmarks[name].front;
        for key in ["when", "force", "not-before", "not-after", "market", "stock-years"] {
            assert_eq!(front.get(key), row.get(key), "{name}: {key}");
        }
        assert_eq!(&citations(front), row["sources"].as_array().unwrap(), "{name}");
    }
}

#[test]
fn what_is_from_memory_or_second_hand_is_soft_and_says_so() {
    let landmarks = landmarks();
    for (name, row) in table() {
        let entry = &landmarks[&name];
        let (known, is_soft) = (row["known"].as_str().unwrap(), entry.front["force"].as_str() == Some("soft"));
        let said = match known {
            "from memory" => entry.body.contains("from memory"),
            "second hand" | "read" => entry.body.to_lowercase().contains("read"),
            other => panic!("{name}: known cannot be `{other}`"),
        };
        assert!(said, "{name}: the entry does not say that it is {known}");
        assert!(known == "read" || is_soft, "{name}: {known}, and hard");
    }
}

#[test]
fn the_end_of_a_wording_a_mark_or_a_code_is_never_hard() {
    let landmarks = landmarks();
    let ends: Vec<_> = landmarks.iter().filter(|(_, entry)| entry.front.contains_key("not-after")).collect();
    assert!(ends.len() > 15, "only {}", ends.len());
    for (name, entry) in ends {
        assert_eq!(entry.front["force"].as_str(), Some("soft"), "{name}");
    }
}

/// The crossed triangle was open before 2005, filled in ISO 3758:2005, open again from 2012: read in the account of a
/// national textile institute. The set of 1963 had no symbol for drying: read second hand.
#[test]
fn garments_of_the_sixties_with_an_open_triangle_are_possible() {
    let landmarks = landmarks();
    let about =
        |word: &'static str| landmarks.iter().filter(move |(_, entry)| entry.front["when"].to_string().contains(word));
    let names: Vec<&String> = about("\"bleach-triangle\"").map(|(name, _)| name).collect();
    assert_eq!(names, ["bleach-triangle-filled"]);
    for (name, entry) in about("\"care-symbols\"") {
        assert_eq!(entry.front["force"].as_str(), Some("soft"), "{name}");
    }
}
