//! The words of a feature besides its ids: its synonyms, the labels of its states, and the
//! successors of former states.
//!
//! Only present states can have other words or labels, and only former ones are replaced.

use std::collections::{BTreeMap, BTreeSet};

use crate::record::id::StateId;
use crate::source::tree::{Entry, Item, Node, Table};
use crate::validate::reader::Reader;
use crate::validate::thing::is_count;
use crate::vocabulary::Kind;

/// The key of `also` under which a table names the feature itself.
const FEATURE: &str = "feature";

/// The words of a feature.
#[derive(Default)]
pub(super) struct Wording {
    pub(super) synonyms: Vec<String>,
    /// Other words for its states.
    pub(super) state_synonyms: BTreeMap<StateId, Vec<String>>,
    /// How its states read on a page.
    pub(super) labels: BTreeMap<StateId, String>,
    /// Earlier states, each with the one that replaced it.
    pub(super) replaced: BTreeMap<StateId, StateId>,
}

/// Reads `also`, `labels` and `replaced`; of a feature whose kind could not be read, nothing.
pub(super) fn read(reader: &mut Reader<'_>, table: &Table, kind: Option<&Kind>) -> Wording {
    let Some(states) = kind.map(States::of) else { return Wording::default() };
    let mut wording = Wording { replaced: replaced(reader, table, &states), ..Wording::default() };
    match table.get("also").map(|node| &node.item) {
        Some(Item::List(_)) => wording.synonyms = words(table, "also"),
        Some(Item::Table(own)) => {
            wording.synonyms = words(own, FEATURE);
            let named = own.entries().iter().filter(|entry| entry.key.value != FEATURE);
            let known = named.filter_map(|entry| Some((state(reader, entry, &states)?, texts(&entry.value))));
            wording.state_synonyms = known.collect();
        }
        _ => {}
    }
    let labels = table.table("labels").map(Table::entries).unwrap_or_default().iter();
    let known = labels.filter_map(|entry| Some((state(reader, entry, &states)?, entry.value.text()?.to_string())));
    wording.labels = known.collect();
    wording
}

fn words(table: &Table, key: &str) -> Vec<String> {
    table.texts(key).into_iter().map(|word| word.value).collect()
}

fn texts(node: &Node) -> Vec<String> {
    let nodes = if let Item::List(nodes) = &node.item { nodes.as_slice() } else { &[] };
    nodes.iter().filter_map(|node| Some(node.text()?.to_string())).collect()
}

/// The states of a feature, to be looked up many times.
struct States<'k> {
    listed: BTreeSet<&'k str>,
    is_count: bool,
}

impl<'k> States<'k> {
    fn of(kind: &'k Kind) -> States<'k> {
        let states = if let Kind::State { states } = kind { states.as_slice() } else { &[] };
        let listed = states.iter().map(|state| state.as_str()).chain(["absent"]).collect();
        States { listed, is_count: *kind == Kind::Count }
    }

    fn has(&self, name: &str) -> bool {
        self.listed.contains(name) || self.is_count && is_count(name)
    }
}

/// The state that a key names, which the feature must have.
fn state(reader: &mut Reader<'_>, entry: &Entry, states: &States<'_>) -> Option<StateId> {
    let name = entry.key.value.as_str();
    if states.has(name) {
        return Some(StateId::new(name));
    }
    reader.other(entry.key.span, format!("`{name}`"), "one of the `states` of this feature");
    None
}

fn replaced(reader: &mut Reader<'_>, table: &Table, states: &States<'_>) -> BTreeMap<StateId, StateId> {
    let mut replaced = BTreeMap::new();
    for entry in table.table("replaced").map(Table::entries).unwrap_or_default() {
        let (old, Some(new)) = (entry.key.value.as_str(), entry.value.text()) else { continue };
        if states.has(old) || ["other", "lost"].contains(&old) {
            let expected = "a state that entries used to have, which is no longer one of the `states`";
            reader.other(entry.key.span, format!("`{old}`"), expected);
        } else if !states.has(new) {
            reader.other(entry.value.span, format!("`{new}`"), "one of the `states` of this feature");
        } else {
            replaced.insert(StateId::new(old), StateId::new(new));
        }
    }
    replaced
}
