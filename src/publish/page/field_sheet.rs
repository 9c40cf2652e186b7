//! A sheet of paper for each model: its features with how to look and boxes to tick, for use at a stall without a
//! signal.
//!
//! It asks for features that were examined on this model, so that garments can be compared, and names the rest.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use serde::Serialize;

use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Content;
use crate::record::id::{ModelId, Thing, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, name, spaced, whole_name};
use crate::view::pairs;
use crate::view::path;
use crate::view::zone_order;
use crate::vocabulary::{Feature, Kind};

/// Writes the sheets.
pub const PUBLISHER: Publisher = Publisher {
    name: "field-sheet",
    description: "a sheet to print for each model, with its features, how to look, and boxes to tick",
    owns: &["sheets/*/*.html"],
    publish,
};

/// How many features have room on both sides of one sheet of A4.
const MOST: usize = 30;

/// How many letters longer a state's label may be than the words of its id.
const ROOM: usize = 15;

#[derive(Serialize)]
struct View {
    frame: Frame,
    model: Link,
    garment: String,
    variants: Vec<String>,
    parts: Vec<Part>,
    rest: Vec<String>,
}

#[derive(Serialize)]
struct Part {
    name: String,
    features: Vec<FeatureToTick>,
}

#[derive(Serialize)]
struct FeatureToTick {
    name: String,
    look: String,
    /// The states to tick; empty if the reader writes a value.
    states: Vec<String>,
    /// The value to write: `how many`, or the unit.
    written: Option<String>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.keys();
    models.map(|id| OutputFile::new(path::field_sheet(id), move || page(context, id))).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::field_sheet(id));
    let catalog = leaf.catalog();
    let missing = || PageError::Words(format!("no record of the model {id}"));
    let entry = catalog.models.get(id).ok_or_else(missing)?;
    let Content::Model(model) = &catalog.record(entry.record).content else { return Err(missing()) };
    let evidence = pairs::evidence(context, id);
    let garment = &model.garment.value;
    let fitting: Vec<&Feature> = catalog.vocabulary.current().filter(|feature| feature.is_of(garment)).collect();
    let counted = |feature: &Feature| evidence.values().map(|one| one.items(&feature.id).len()).sum::<usize>();
    let (asked, rest) = divided(&fitting, |feature| if feature.defining { usize::MAX } else { counted(feature) });
    let named = |variant| catalog.variants.get(variant).map(|entry| name(catalog.record(entry.record)));
    let maker = leaf.thing(&Thing::of(Whole::Maker(id.maker())));
    let about = format!(
        "A sheet to print and write on: what to look at on the {} {} by {}, part by part.",
        spaced(garment),
        model.name,
        maker.name
    );
    let view = View {
        frame: leaf.frame(format!("Field sheet: {}", model.name), &about, vec![maker]),
        model: leaf
            .link(whole_name(catalog, &Whole::Model(id.clone())), &path::thing(&Thing::of(Whole::Model(id.clone())))),
        garment: spaced(garment),
        variants: entry.variants.iter().filter_map(named).collect(),
        parts: parts(&asked),
        rest: rest.iter().map(|feature| feature.name.clone()).collect(),
    };
    leaf.render("field-sheet.html", &view)
}

/// The features that there is room for, those counted most, and the rest; each in the vocabulary's order.
fn divided<'f>(features: &[&'f Feature], counted: impl Fn(&Feature) -> usize) -> (Vec<&'f Feature>, Vec<&'f Feature>) {
    let mut ranked: Vec<(usize, usize)> = features
        .iter()
        .enumerate()
        .map(|(at, feature)| (counted(feature), at))
        .filter(|(count, _)| *count > 0)
        .collect();
    ranked.sort_by_key(|(count, at)| (Reverse(*count), *at));
    let chosen: BTreeSet<usize> = ranked.into_iter().take(MOST).map(|(_, at)| at).collect();
    let (asked, rest): (Vec<_>, Vec<_>) = features.iter().enumerate().partition(|(at, _)| chosen.contains(at));
    let plain = |list: Vec<(usize, &&'f Feature)>| list.into_iter().map(|(_, feature)| *feature).collect();
    (plain(asked), plain(rest))
}

fn parts(features: &[&Feature]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for feature in features {
        let zone = feature.zone.as_deref().unwrap_or(zone_order::ELSEWHERE);
        match parts.iter_mut().find(|part| part.name == zone) {
            Some(part) => part.features.push(asked(feature)),
            None => parts.push(Part { name: zone.to_string(), features: vec![asked(feature)] }),
        }
    }
    parts.sort_by_key(|part| zone_order::place(&part.name));
    parts.iter_mut().for_each(|part| part.name = spaced(&part.name));
    parts
}

/// The label of a state if the sheet has room for it, and otherwise the words of its id.
fn tick(feature: &Feature, state: &str) -> String {
    let label = feature.label(state);
    let words = spaced(state);
    if label.chars().count() <= words.chars().count() + ROOM { label } else { words }
}

fn asked(feature: &Feature) -> FeatureToTick {
    let (states, written) = match &feature.kind {
        Kind::State { states } => {
            let told = states.iter().map(|state| state.as_str()).filter(|state| *state != "absent");
            (told.map(|state| tick(feature, state)).collect(), None)
        }
        Kind::Count => (Vec::new(), Some("how many".to_string())),
        Kind::Measure(measure) => (Vec::new(), Some(measure.unit.word().to_string())),
        Kind::Number | Kind::Code => (Vec::new(), Some("exactly as written".to_string())),
    };
    FeatureToTick { name: feature.name.clone(), look: feature.look.clone(), states, written }
}
