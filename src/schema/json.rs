//! A table of keys and values to the JSON that the schemas speak of.
//!
//! What JSON cannot hold becomes null, which no schema allows, so that it is reported as a wrong type.

use serde_json::{Map, Value};

use crate::source::tree::{Entry, Item, Node, Table};

/// The keys that hold a day without quotation marks; everywhere else such a day is a wrong type.
const DAYS: [&str; 2] = ["observed", "checked"];

/// Turns the keys of a record into JSON.
pub(super) fn record(table: &Table) -> Value {
    object(table, |entry| if entry.key.value == "features" { plain(&entry.value) } else { keyed(entry) })
}

fn object(table: &Table, value: impl Fn(&Entry) -> Value) -> Value {
    Value::Object(
        table.entries().iter().map(|entry| (entry.key.value.to_string(), value(entry))).collect::<Map<_, _>>(),
    )
}

/// The value of a key that may be one of those with a day, and of the keys below it.
fn keyed(entry: &Entry) -> Value {
    match &entry.value.item {
        Item::Day(day) if is_day(entry) => Value::String(day.to_string()),
        Item::Text(_) if is_day(entry) => Value::Null,
        Item::Table(table) => object(table, keyed),
        Item::List(nodes) => Value::Array(nodes.iter().map(element).collect()),
        _ => plain(&entry.value),
    }
}

fn is_day(entry: &Entry) -> bool {
    DAYS.contains(&entry.key.value.as_str())
}

fn element(node: &Node) -> Value {
    match &node.item {
        Item::Table(table) => object(table, keyed),
        _ => plain(node),
    }
}

fn plain(node: &Node) -> Value {
    match &node.item {
        Item::Text(text) => Value::String(text.to_string()),
        Item::Integer(number) => Value::from(*number),
        Item::Float(number) => Value::from(*number),
        Item::Boolean(boolean) => Value::Bool(*boolean),
        Item::Day(_) | Item::Unusable(_) => Value::Null,
        Item::List(nodes) => Value::Array(nodes.iter().map(plain).collect()),
        Item::Table(table) => object(table, |entry| plain(&entry.value)),
    }
}
