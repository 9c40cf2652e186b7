//! Items of an entry's lists, one by one: a claim, a source of its own, a photograph.
//!
//! A key such as `claims.run` names one. A claim without an id is called by a number, which only the correction knows;
//! it is found by what it says.

use std::collections::BTreeMap;

use crate::import::correction::value;
use crate::import::correction::wanted::Wanted;
use crate::source::tree::{Node, Table};

/// The lists of an entry, and the key by which each of their items is called.
pub const LISTS: [(&str, &str); 3] = [("claims", "id"), ("source", "id"), ("photos", "file")];

/// An item that a correction names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Item<'k> {
    /// The key of its list.
    pub list: &'static str,
    /// The key that holds its name.
    pub called: &'static str,
    /// Its name.
    pub name: &'k str,
}

impl<'k> Item<'k> {
    /// Reads the key of a change, such as `photos.hem.jpg`; `None` if it names no item.
    pub fn of(key: &'k str) -> Option<Item<'k>> {
        let (list, name) = key.split_once('.')?;
        let (list, called) = LISTS.into_iter().find(|(own, _)| *own == list)?;
        let is_letter = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        let is_name = match list {
            "photos" => !name.starts_with('.') && !name.contains(['/', '\\', ':']) && !name.contains(char::is_control),
            _ => name.bytes().all(is_letter),
        };
        (is_name && !name.is_empty()).then_some(Item { list, called, name })
    }

    /// Says whether it is called by a number, as claims without an id are.
    fn is_numbered(&self) -> bool {
        self.list == "claims" && self.name.bytes().all(|byte| byte.is_ascii_digit())
    }

    /// Finds the place of an item in its list: by name, or else by what it was or is to be.
    pub fn place(&self, front: &Table, wanted: &Wanted) -> Option<usize> {
        let nodes = front.list(self.list);
        if !self.is_numbered() {
            let is_called = |node: &Node| node.table().and_then(|table| table.words(self.called));
            return nodes.iter().position(|node| is_called(node).as_deref() == Some(self.name));
        }
        let unnamed = |node: &Node| node.table().is_some_and(|table| !table.has(self.called));
        let find = |is_it: &dyn Fn(&Node) -> bool| nodes.iter().position(|node| unnamed(node) && is_it(node));
        let [was, now] = [&wanted.was, &wanted.now].map(Option::as_ref);
        let same = |other: Option<&Node>| find(&|node| other.is_some_and(|other| value::is_same(node, other)));
        same(was).or_else(|| same(now)).or_else(|| find(&|node| was.is_some_and(|was| speaks_alike(node, was))))
    }

    /// The mistake in a change that no entry could satisfy; `None` if there is none.
    pub fn problem(&self, wanted: &Wanted) -> Option<&'static str> {
        let tables = [&wanted.was, &wanted.now].map(|node| node.as_ref().map(Node::table));
        if tables.contains(&Some(None)) {
            return Some("is not given field by field");
        }
        let [was, now] = tables.map(Option::flatten);
        let is_called_otherwise = |table: &&Table| match table.words(self.called) {
            Some(name) => name != self.name,
            None => table.has(self.called) || !self.is_numbered(),
        };
        if [was, now].iter().flatten().any(is_called_otherwise) {
            return Some("is given another name; a claim, a source or a photograph keeps its own");
        }
        let names_none = |table: &Table| table.list("sources").is_empty();
        if self.list == "claims" && now.is_some_and(names_none) && !was.is_some_and(names_none) {
            return Some("would name no source; say in `sources` where it was read, or who said it");
        }
        None
    }
}

/// Says whether two claims speak of the same event of the same thing.
fn speaks_alike(one: &Node, other: &Node) -> bool {
    let said = |node: &Node| node.table().map(|table| (table.words("about"), table.words("event")));
    said(one) == said(other)
}

/// The effect of the changes on the items of a list.
#[derive(Default)]
pub struct Planned<'w> {
    /// The existing items that change, by place: a new value, or `None` to remove one.
    pub changed: BTreeMap<usize, Option<&'w Node>>,
    /// The items that come, in the order of the correction.
    pub added: Vec<&'w Node>,
}

impl<'w> Planned<'w> {
    /// The changes to one list of an entry, except changes already present.
    pub fn of(list: &str, front: &Table, changes: &'w [Wanted]) -> Planned<'w> {
        let mut planned = Planned::default();
        for wanted in changes {
            let Some(item) = Item::of(&wanted.key).filter(|item| item.list == list) else { continue };
            let place = item.place(front, wanted);
            let now = wanted.now.as_ref();
            match (place.map(|place| (place, &front.list(list)[place])), now) {
                (Some((_, found)), Some(now)) if value::is_same(found, now) => {}
                (Some((place, _)), now) => {
                    planned.changed.insert(place, now);
                }
                (None, Some(now)) => planned.added.push(now),
                (None, None) => {}
            }
        }
        planned
    }

    /// Says whether nothing is asked.
    pub fn is_empty(&self) -> bool {
        self.changed.is_empty() && self.added.is_empty()
    }

    /// The items as they are to be, in order.
    pub fn expected(&self, nodes: &'w [Node]) -> Vec<&'w Node> {
        let kept = nodes.iter().enumerate().filter_map(|(place, node)| match self.changed.get(&place) {
            Some(now) => *now,
            None => Some(node),
        });
        kept.chain(self.added.iter().copied()).collect()
    }
}
