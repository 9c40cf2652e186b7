//! Keys as a table: whose codes each reads, and how much less likely it makes the years that it does not read.

use crate::evidence::key;
use crate::publish::export::rules::keys::used;
use crate::publish::export::rules::sql::{Rows, Table};
use crate::view::context::Context;

/// Keys with the feature they read and their odds.
pub const KEYS: Table = Table {
    name: "keys",
    summary: "keys to codes, with the divisor for years that they do not read",
    columns: &["code_key", "feature", "odds"],
    rows: keys,
};

fn keys<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let catalog = &context.knowledge.catalog;
    let standing = used(context.knowledge).into_iter();
    Box::new(standing.map(|standing| {
        let odds = key::odds(catalog, standing);
        vec![standing.id.to_string(), standing.key.reads.value.to_string(), odds.to_string()]
    }))
}
