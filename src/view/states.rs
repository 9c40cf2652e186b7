//! The eras of details: when each state of a feature was used on a maker's, model's or variant's garments.

use serde::Serialize;

use crate::explain;
use crate::record::id::Whole;
use crate::view::leaf::{Leaf, Link};
use crate::view::path;
use crate::view::reasons;

/// One state with its era.
#[derive(Debug, Serialize)]
pub struct StateView {
    anchor: String,
    feature: Link,
    state: String,
    surely: Option<String>,
    possibly: Option<String>,
    words: String,
}

/// The states of a whole that have an era with a bound, in the vocabulary's order.
pub fn of(leaf: &Leaf<'_>, whole: &Whole) -> Vec<StateView> {
    let order: Vec<&str> = leaf.catalog().vocabulary.iter().map(|feature| feature.id.as_str()).collect();
    let mut things = leaf.context.index.states(whole).to_vec();
    things.sort_by_key(|thing| {
        let feature = thing.state.as_ref().map_or("", |(feature, _)| feature.as_str());
        (order.iter().position(|known| *known == feature), thing.state.clone())
    });
    let views = things.into_iter().filter_map(|thing| {
        let (era, (feature, state)) = (leaf.context.knowledge.eras.get(thing)?, thing.state.as_ref()?);
        let (first, last) = era.possibly_made();
        let found = leaf.catalog().vocabulary.feature(feature.as_str());
        Some(StateView {
            anchor: path::state_anchor(thing),
            feature: leaf.link(found.map_or(feature.as_str(), |found| &found.name), &path::feature(feature)),
            state: leaf.catalog().vocabulary.label(feature, state.as_str()),
            surely: era.surely_made().map(|span| reasons::years(span.first(), span.last())),
            possibly: (first.is_some() || last.is_some()).then(|| reasons::years(first, last)),
            words: explain::made(era),
        })
    });
    views.collect()
}
