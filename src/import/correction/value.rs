//! Values of entries: whether two are the same, and how one is written on one line.

use crate::import::toml_string::quoted;
use crate::source::tree::{Item, Node, Table};

/// Says whether two values say the same, wherever and however they are written; `8` and `8.0` do.
pub fn is_same(one: &Node, other: &Node) -> bool {
    match (&one.item, &other.item) {
        (Item::Table(one), Item::Table(other)) => is_same_table(one, other),
        (Item::List(one), Item::List(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| is_same(one, other))
        }
        _ => match (one.number(), other.number()) {
            (Some(one), Some(other)) => one == other,
            _ => one.item == other.item,
        },
    }
}

/// The same of what may be missing.
pub fn are_same(one: Option<&Node>, other: Option<&Node>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => is_same(one, other),
        (one, other) => one.is_none() && other.is_none(),
    }
}

fn is_same_table(one: &Table, other: &Table) -> bool {
    let has = |key: &str, value: &Node| other.get(key).is_some_and(|other| is_same(value, other));
    one.entries().len() == other.entries().len()
        && one.entries().iter().all(|entry| has(&entry.key.value, &entry.value))
}

/// A value as TOML writes it on one line; nothing for one that no record can hold.
pub fn written(node: &Node) -> Option<String> {
    Some(match &node.item {
        Item::Text(text) => quoted(text),
        Item::Integer(number) => number.to_string(),
        Item::Float(number) => number.to_string(),
        Item::Boolean(boolean) => boolean.to_string(),
        Item::Day(day) => day.to_string(),
        Item::Unusable(_) => return None,
        Item::List(nodes) => {
            let items: Vec<String> = nodes.iter().map(written).collect::<Option<_>>()?;
            format!("[{}]", items.join(", "))
        }
        Item::Table(table) => {
            let pairs = table.entries().iter().map(|entry| pair(&entry.key.value, &entry.value));
            format!("{{ {} }}", pairs.collect::<Option<Vec<String>>>()?.join(", "))
        }
    })
}

/// A key with its value.
pub fn pair(key: &str, value: &Node) -> Option<String> {
    let is_bare = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_';
    let key = if !key.is_empty() && key.bytes().all(is_bare) { key.to_string() } else { quoted(key) };
    Some(format!("{key} = {}", written(value)?))
}

/// A value for people: what is missing is `nothing`.
pub fn said(node: Option<&Node>) -> String {
    node.and_then(written).map_or_else(|| "nothing".to_string(), |text| crate::diagnostic::wording::quote(&text))
}
