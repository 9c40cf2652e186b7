//! Makers under their letters, each with its kinds of garment, its lines and its years: for a page that has many.
//!
//! Everything that the list can be filtered by is in the text of the entry.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::record::Content;
use crate::record::id::{MakerId, Thing, Whole};
use crate::view::leaf::{Leaf, Link, spaced};
use crate::view::letters;
use crate::view::reasons;

/// The makers of one letter.
#[derive(Debug, Serialize)]
pub struct LetterView {
    letter: String,
    makers: Vec<MakerEntry>,
}

/// A maker in a line.
#[derive(Debug, Serialize)]
struct MakerEntry {
    maker: Link,
    kinds: Vec<String>,
    lines: Vec<String>,
    /// The years in words, and as numbers for the filter; empty if they are open or unknown.
    years: Option<String>,
    from: Option<i32>,
    to: Option<i32>,
}

/// Every maker under its letter, in the order of the alphabet.
pub fn of(leaf: &Leaf<'_>) -> Vec<LetterView> {
    let mut by_letter: BTreeMap<String, Vec<MakerEntry>> = BTreeMap::new();
    for id in leaf.catalog().makers.keys() {
        let entry = entry(leaf, id);
        by_letter.entry(letters::letter(&entry.maker.name)).or_default().push(entry);
    }
    let view = |(letter, mut makers): (String, Vec<MakerEntry>)| {
        makers.sort_by_cached_key(|entry| entry.maker.name.to_lowercase());
        LetterView { letter, makers }
    };
    by_letter.into_iter().map(view).collect()
}

fn entry(leaf: &Leaf<'_>, id: &MakerId) -> MakerEntry {
    let catalog = leaf.catalog();
    let whole = Thing::of(Whole::Maker(id.clone()));
    let era = leaf.context.knowledge.eras.get(&whole);
    let (first, last) = era.map_or((None, None), |era| era.possibly_made());
    let known = catalog.makers.get(id);
    let lines = known.map(|entry| match &catalog.record(entry.record).content {
        Content::Maker(maker) => maker.lines.iter().map(|line| line.name.clone()).collect(),
        _ => Vec::new(),
    });
    let models = known.map_or(&[][..], |entry| entry.models.as_slice()).iter();
    let kinds = models.filter_map(|model| match &catalog.record(catalog.models.get(model)?.record).content {
        Content::Model(model) => Some(spaced(&model.garment.value)),
        _ => None,
    });
    MakerEntry {
        kinds: kinds.collect::<BTreeSet<String>>().into_iter().collect(),
        lines: lines.unwrap_or_default(),
        years: (first.is_some() || last.is_some()).then(|| reasons::years(first, last)),
        from: first.map(|day| day.year()),
        to: last.map(|day| day.year()),
        maker: leaf.thing(&whole),
    }
}
