//! The eras of details: when each state of a feature was used on a maker's, model's or variant's garments, with
//! photographs of it.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::explain;
use crate::record::id::{FeatureId, ModelId, Thing, VariantId, Whole};
use crate::resolve::{Catalog, RecordIndex};
use crate::view::leaf::{Leaf, Link};
use crate::view::path;
use crate::view::photographs::pictures::{self, RowPhotographs};
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
    /// Photographs of it on these garments.
    row: RowPhotographs,
}

/// The states of a whole that have an era with a bound, in the vocabulary's order.
pub fn of(leaf: &Leaf<'_>, whole: &Whole) -> Vec<StateView> {
    let order: Vec<&str> = leaf.catalog().vocabulary.iter().map(|feature| feature.id.as_str()).collect();
    let mut things = leaf.context.index.states(whole).to_vec();
    things.sort_by_key(|thing| {
        let feature = thing.state.as_ref().map_or("", |(feature, _)| feature.as_str());
        (order.iter().position(|known| *known == feature), thing.state.clone())
    });
    let mut photographs = photographs(leaf, whole, &things);
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
            row: photographs.get_mut(feature).and_then(|rows| rows.remove(state.as_str())).unwrap_or_default(),
        })
    });
    views.collect()
}

/// The photographs of the states of a whole, by feature and state, of the garments of the whole.
fn photographs<'t>(
    leaf: &Leaf<'_>,
    whole: &Whole,
    things: &[&'t Thing],
) -> BTreeMap<&'t FeatureId, BTreeMap<String, RowPhotographs>> {
    let pictured = pictured(leaf.catalog(), whole);
    let mut rows = BTreeMap::new();
    for (feature, _) in things.iter().filter_map(|thing| thing.state.as_ref()) {
        rows.entry(feature).or_insert_with(|| pictures::by_state(leaf, pictured.iter().copied(), feature));
    }
    rows
}

/// The entries with photographs that are filed under a whole; none for a line, whose states have no eras.
fn pictured(catalog: &Catalog, whole: &Whole) -> Vec<RecordIndex> {
    let of_model = |id: &ModelId| catalog.models.get(id).map_or(&[][..], |entry| entry.variants.as_slice());
    let variants: Vec<&VariantId> = match whole {
        Whole::Maker(id) => {
            catalog.makers.get(id).into_iter().flat_map(|maker| &maker.models).flat_map(of_model).collect()
        }
        Whole::Model(id) => of_model(id).iter().collect(),
        Whole::Variant(id) => vec![id],
        Whole::Line(_) => Vec::new(),
    };
    let entries = variants.into_iter().filter_map(|id| catalog.variants.get(id)).flat_map(|entry| &entry.observations);
    let has_photographs = |index: &RecordIndex| {
        catalog.record(*index).content.observation().is_some_and(|observation| !observation.photographs.is_empty())
    };
    entries.copied().filter(has_photographs).collect()
}
