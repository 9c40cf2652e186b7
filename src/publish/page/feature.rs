//! A feature's page: how to look, each state drawn, where and when it is seen, its landmarks, and photographs.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::evidence::landmark;
use crate::explain;
use crate::page::PageError;
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::StateId;
use crate::view::context::Context;
use crate::view::figures::{self, StatePlate};
use crate::view::leaf::{Frame, Leaf, Link, spaced};
use crate::view::letters;
use crate::view::path;
use crate::view::photographs::pictures::{self, FeaturePhotograph, RowPhotographs};
use crate::view::sightings::{self, Sightings};
use crate::vocabulary::{Feature, Kind};

/// Writes the features' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "feature",
    description: "a page for each feature: how to look, each state drawn, and where and when it is seen",
    owns: &["features/*.html"],
    publish,
};

/// The most photographs on a page.
const PHOTOGRAPHS: usize = 24;

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    also: Vec<String>,
    look: String,
    zone: Option<String>,
    garments: Vec<String>,
    retired: Option<String>,
    instead: Option<Link>,
    has_states: bool,
    states: Vec<StateView>,
    /// Where measures, numbers and codes were read.
    read: Option<Sightings>,
    landmarks: Vec<Link>,
    photographs: Vec<FeaturePhotograph>,
    more_photographs: usize,
}

#[derive(Serialize)]
struct StateView {
    anchor: String,
    label: String,
    also: Vec<String>,
    plate: Option<StatePlate>,
    seen: Option<Sightings>,
    row: RowPhotographs,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let features = context.knowledge.catalog.vocabulary.iter();
    features.map(|one| OutputFile::new(path::feature(&one.id), move || page(context, one))).collect()
}

fn page<'a>(context: &'a Context<'a>, feature: &'a Feature) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::feature(&feature.id));
    let mut seen = sightings::of(&leaf, feature);
    let (photographs, more_photographs) = pictures::of_feature(&leaf, &feature.id, PHOTOGRAPHS);
    let read = seen.remove(sightings::READ).filter(|seen| !seen.is_empty());
    let retired = feature.retired.as_ref();
    let about = format!("{}: how to look, and where and when it was seen. {}", feature.name, feature.look);
    let view = View {
        frame: leaf.frame(feature.name.clone(), &about, vec![leaf.link("A–Z", letters::PAGE)]),
        caution: explain::CAUTION,
        name: feature.name.clone(),
        also: feature.synonyms.clone(),
        look: feature.look.clone(),
        zone: feature.zone.as_deref().map(spaced),
        garments: feature.garments.iter().map(|garment| spaced(garment)).collect(),
        retired: retired.map(|retired| retired.reason.clone()),
        instead: retired.and_then(|retired| instead(&leaf, retired.instead.as_ref()?.as_str())),
        has_states: feature.has_states(),
        states: states(&leaf, feature, seen),
        read,
        landmarks: landmarks(&leaf, feature),
        photographs,
        more_photographs,
    };
    leaf.render("feature.html", &view)
}

fn instead(leaf: &Leaf<'_>, id: &str) -> Option<Link> {
    let other = leaf.catalog().vocabulary.feature(id)?;
    Some(leaf.link(&other.name, &path::feature(&other.id)))
}

/// The states of the vocabulary in its order, then whatever else was recorded; counts by size.
fn states<'a>(leaf: &Leaf<'a>, feature: &'a Feature, mut seen: BTreeMap<String, Sightings>) -> Vec<StateView> {
    let listed: Vec<String> = match &feature.kind {
        Kind::State { states } => states.iter().map(|state| state.as_str().to_string()).collect(),
        _ => Vec::new(),
    };
    let mut others: Vec<String> = seen.keys().filter(|state| !listed.contains(state)).cloned().collect();
    others.sort_by_key(|state| (state.parse::<u32>().unwrap_or(u32::MAX), state.clone()));
    let mut plates = figures::of_states(leaf, &feature.id);
    let mut photographs = pictures::by_state(leaf, pictures::every_record(leaf), &feature.id);
    let order: Vec<String> = listed.into_iter().chain(others).collect();
    let views = order.into_iter().map(|state| StateView {
        anchor: path::feature_state_anchor(&state),
        label: feature.label(&state),
        also: feature.state_synonyms.get(&StateId::new(&state)).cloned().unwrap_or_default(),
        plate: plates.draw(feature, &state),
        seen: seen.remove(&state),
        row: photographs.remove(&state).unwrap_or_default(),
    });
    views.collect()
}

/// The landmarks that are read from the feature, by their day.
fn landmarks(leaf: &Leaf<'_>, feature: &Feature) -> Vec<Link> {
    let circa = leaf.catalog().circa();
    let indexes = leaf.catalog().landmarks.values();
    let mut found: Vec<_> = indexes
        .filter_map(|index| {
            let one = landmark::of(leaf.catalog(), *index)?;
            let day = landmark::not_before(one, circa).or_else(|| landmark::not_after(one, circa));
            one.when.value.features().contains(&&feature.id).then(|| (day, leaf.record(*index)))
        })
        .collect();
    found.sort_by_key(|(one, _)| *one);
    found.into_iter().map(|(_, link)| link).collect()
}
