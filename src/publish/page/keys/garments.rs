//! The garments whose codes a key covers, as its page lists them: each reading, and how it is used.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use crate::evidence::coded::{self, CodedGarment};
use crate::evidence::key;
use crate::explain::key::{cut, reading, unread};
use crate::record::id::{KeyId, Thing, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link};

/// Garments by the keys that speak of their codes.
pub type GarmentsByKey<'a> = BTreeMap<&'a KeyId, Vec<Arc<CodedGarment<'a>>>>;

/// One garment.
#[derive(Debug, Serialize)]
pub struct GarmentView {
    code: String,
    garment: Link,
    within: Option<Link>,
    reads: String,
    counts: &'static str,
}

/// Finds them all.
pub fn by_key<'a>(context: &'a Context<'a>) -> GarmentsByKey<'a> {
    let mut found: GarmentsByKey<'a> = BTreeMap::new();
    for garment in coded::all(&context.knowledge.catalog).into_iter().map(Arc::new) {
        let seen = &garment.code.seen;
        let read = seen.reads.iter().map(|read| read.key.id);
        for id in read.chain(seen.unread.iter().map(|(key, _)| key.id)) {
            found.entry(id).or_default().push(Arc::clone(&garment));
        }
    }
    found
}

/// Puts a garment into words.
pub fn view(leaf: &Leaf<'_>, id: &KeyId, garment: &CodedGarment<'_>) -> GarmentView {
    let catalog = leaf.catalog();
    let seen = &garment.code.seen;
    let read = seen.reads.iter().find(|read| read.key.id == id);
    let why = seen.unread.iter().find(|(key, _)| key.id == id);
    let reads = match (read, why) {
        (Some(read), _) => reading(&read.reading).replace('`', ""),
        (None, Some((key, why))) => unread(key.key, why),
        (None, None) => String::new(),
    };
    let mut entries = garment.observations.iter().filter_map(|index| catalog.record(*index).content.observation());
    let counts = match (read, seen.used().is_empty()) {
        (None, _) => "",
        (Some(_), true) => "another key reads it differently, so neither is used",
        _ if !garment.own_dates_against(catalog).is_empty() => "its entry gives another date, which counts",
        _ if entries.any(key::has_own_date) => "agrees with the date its entry gives",
        _ => "dates the garment",
    };
    let variant = leaf.context.index.garment(garment.code.record);
    let variant = variant.and_then(|garment| catalog.garment(garment).variant.clone());
    GarmentView {
        code: cut(seen.code),
        garment: leaf.observation(garment.code.record),
        within: variant.map(|variant| leaf.thing(&Thing::of(Whole::Variant(variant)))),
        reads,
        counts,
    }
}
