//! Fills in drawings: a garment's from a variant's evidence, and states of features without any.
//!
//! How a mark is drawn is decided in `figure`; which features have numbers, by the page that has the rows.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::evidence::Evidence;
use crate::explain::comparison as words;
use crate::figure::{Drawing, Feature as Drawn, Known, Mark, Setting};
use crate::page::{self, drawings};
use crate::record::Content;
use crate::record::id::{FeatureId, StateId, VariantId};
use crate::resolve::Catalog;
use crate::view::leaf::Leaf;
use crate::view::pairs;
use crate::vocabulary::{Feature, Kind};

/// The numbers of a comparison's rows, by feature.
pub type Numbers = BTreeMap<FeatureId, usize>;

/// One side of a garment, drawn of one variant or of two.
#[derive(Debug, Serialize)]
pub struct Plate {
    caption: String,
    /// Whether a metal is drawn, which its hatch tells.
    has_metal: bool,
    figures: Vec<String>,
}

impl Plate {
    fn new(drawing: &Drawing, features: &[&[Drawn<'_>]], figures: Vec<String>) -> Plate {
        let has_metal = features.iter().copied().flatten().any(|feature| is_metal_drawn(drawing, feature));
        Plate { caption: drawing.title().to_string(), has_metal, figures }
    }
}

/// Whether a drawing has a mark for a state that was seen of the metal of a part.
fn is_metal_drawn(drawing: &Drawing, feature: &Drawn<'_>) -> bool {
    let Known::Seen(states) = &feature.known else { return false };
    let is_seen = |mark: &Mark| states.iter().any(|(state, _)| mark.state.as_ref() == Some(state));
    feature.id.ends_with("-metal") && drawing.marks().iter().any(|mark| mark.feature == feature.id && is_seen(mark))
}

/// Draws every side of a variant's garment that can show a known feature; none if nothing was examined.
pub fn of(leaf: &Leaf<'_>, evidence: &Evidence<'_>) -> Vec<Plate> {
    let features = features(leaf.catalog(), evidence, &Numbers::new());
    let plate = |(side, drawing): &(&str, &Drawing)| {
        let scope = format!("figure-{side}-");
        let setting = Setting { scope: &scope, shares: None, of: "", around: None };
        Plate::new(drawing, &[&features], vec![drawing.filled(&features, &setting)])
    };
    if features.iter().all(|feature| matches!(feature.known, Known::Unexamined)) {
        return Vec::new();
    }
    let shows = |drawing: &Drawing| features.iter().any(|feature| drawing.shows(feature.id));
    drawings(leaf, &evidence.variant).iter().filter(|(_, drawing)| shows(drawing)).map(plate).collect()
}

/// Draws the sides that have a place for a number, of two variants of one model side by side.
pub fn pair(leaf: &Leaf<'_>, [a, b]: [&Evidence<'_>; 2], numbers: &Numbers) -> Vec<Plate> {
    let drawn = [a, b].map(|evidence| (features(leaf.catalog(), evidence, numbers), name(leaf, evidence)));
    let has_number = |drawing: &Drawing| numbers.keys().any(|feature| drawing.has_place(feature.as_str()));
    let plate = |(side, drawing): &(&str, &Drawing)| {
        let scopes = ["a", "b"].map(|end| format!("figure-{side}-{end}-"));
        let figure = |end: usize| {
            let (features, name) = &drawn[end];
            let shares = (end == 1).then_some(scopes[0].as_str());
            drawing.filled(features, &Setting { scope: &scopes[end], shares, of: name, around: None })
        };
        Plate::new(drawing, &[&drawn[0].0, &drawn[1].0], vec![figure(0), figure(1)])
    };
    let sides = drawings(leaf, &a.variant);
    sides.iter().filter(|(_, drawing)| has_number(drawing)).map(plate).collect()
}

/// One state of a feature, drawn.
#[derive(Debug, Serialize)]
pub struct StatePlate {
    figure: String,
    caption: String,
}

/// Draws the states of one feature, each on the drawing that shows the most of them.
pub struct StatePlates<'a> {
    feature: &'a FeatureId,
    /// The drawings with a mark of the feature, with how many states each shows, most first.
    drawings: Vec<(&'a str, &'a Drawing)>,
    /// The drawings that stand on the page already, with the scope of their ids.
    scopes: BTreeMap<&'a str, String>,
}

/// Gets ready to draw the states of a feature.
pub fn of_states<'a>(leaf: &Leaf<'a>, feature: &'a FeatureId) -> StatePlates<'a> {
    let every = leaf.context.site.every_drawing();
    let mut drawings: Vec<_> = every.filter(|(_, drawing)| drawing.shows(feature.as_str())).collect();
    let shown = |drawing: &Drawing| {
        let own = drawing.marks().iter().filter(|mark| mark.feature == feature.as_str());
        own.filter(|mark| mark.state.is_some() || mark.nth.is_some()).count()
    };
    drawings.sort_by_key(|(name, drawing)| (Reverse(shown(drawing)), *name));
    StatePlates { feature, drawings, scopes: BTreeMap::new() }
}

impl StatePlates<'_> {
    /// Draws a state, where a drawing has a mark for it.
    pub fn draw(&mut self, of: &Feature, state: &str) -> Option<StatePlate> {
        let (side, drawing) = self.place(state)?;
        let feature = self.feature.as_str();
        let scope = format!("figure-{side}-{}-", page::anchor(state));
        let drawn = [in_state(of, state)];
        let setting =
            Setting { scope: &scope, shares: self.scopes.get(side).map(String::as_str), of: "", around: Some(feature) };
        let figure = drawing.filled(&drawn, &setting);
        self.scopes.entry(side).or_insert(scope);
        Some(StatePlate { figure, caption: drawing.title().to_string() })
    }
}

impl<'a> StatePlates<'a> {
    /// Puts drawings of the garments that variants are first, so that a state is drawn on one of them if it can be.
    fn of_garments(mut self, leaf: &Leaf<'a>, variants: &[VariantId]) -> Self {
        let sorts: BTreeSet<&str> = variants.iter().filter_map(|variant| garment(leaf.catalog(), variant)).collect();
        let is_own = |name: &str| {
            let sort = name.rsplit_once('-').map_or(name, |(sort, _)| sort);
            sort == drawings::ANY || sorts.contains(sort)
        };
        self.drawings.sort_by_key(|(name, _)| !is_own(name));
        self
    }

    /// The first drawing with a mark for a state.
    fn place(&self, state: &str) -> Option<(&'a str, &'a Drawing)> {
        let count: Option<u32> = state.parse().ok();
        let is_of = |mark: &Mark| {
            let by_count = mark.nth.is_some_and(|nth| count.is_some_and(|count| nth <= count));
            mark.feature == self.feature.as_str() && (mark.state.as_deref() == Some(state) || by_count)
        };
        self.drawings.iter().find(|(_, drawing)| drawing.marks().iter().any(is_of)).copied()
    }
}

/// A feature in one state, seen once.
fn in_state<'f>(feature: &'f Feature, state: &str) -> Drawn<'f> {
    let label = feature.labels.get(&StateId::new(state)).map(String::as_str);
    let known = Known::Seen(vec![(state.to_string(), 1)]);
    Drawn { id: feature.id.as_str(), name: &feature.name, known, label, number: None }
}

/// Draws features in the states given, those of one drawing together, on the sort of garment that the variants are, if a
/// drawing of it shows the state; a state that no drawing shows is left out.
pub fn of_features<'a>(leaf: &Leaf<'a>, variants: &[VariantId], states: &[(&'a FeatureId, &'a str)]) -> Vec<Plate> {
    let mut sides: BTreeMap<&str, (&Drawing, Vec<Drawn<'_>>)> = BTreeMap::new();
    for (id, state) in states {
        let Some(feature) = leaf.catalog().vocabulary.feature(id.as_str()) else { continue };
        let Some((side, drawing)) = of_states(leaf, id).of_garments(leaf, variants).place(state) else { continue };
        let (_, drawn) = sides.entry(side).or_insert_with(|| (drawing, Vec::new()));
        drawn.push(in_state(feature, state));
    }
    let plates = sides.into_iter().map(|(side, (drawing, features))| {
        let scope = format!("figure-{side}-");
        let around = if let [only] = features.as_slice() { Some(only.id) } else { None };
        let setting = Setting { scope: &scope, shares: None, of: "", around };
        Plate::new(drawing, &[&features], vec![drawing.filled(&features, &setting)])
    });
    plates.collect()
}

fn name(leaf: &Leaf<'_>, evidence: &Evidence<'_>) -> String {
    pairs::short_name(leaf, &evidence.variant)
}

fn drawings<'a>(leaf: &Leaf<'a>, variant: &VariantId) -> Vec<(&'a str, &'a Drawing)> {
    let site = leaf.context.site;
    garment(leaf.catalog(), variant).map(|garment| site.drawings(garment)).unwrap_or_default()
}

fn garment<'a>(catalog: &'a Catalog, variant: &VariantId) -> Option<&'a str> {
    let record = catalog.models.get(&variant.model()).map(|entry| catalog.record(entry.record))?;
    match &record.content {
        Content::Model(model) => Some(&model.garment.value),
        _ => None,
    }
}

/// The known state of each feature that the variant's kind of garment has.
fn features<'a>(catalog: &'a Catalog, evidence: &Evidence<'_>, numbers: &Numbers) -> Vec<Drawn<'a>> {
    let garment = garment(catalog, &evidence.variant);
    let is_there =
        |feature: &&Feature| feature.garments.is_empty() || garment.is_some_and(|garment| feature.is_of(garment));
    let drawn = catalog.vocabulary.current().filter(is_there).map(|feature| {
        let known = known(catalog, evidence, feature);
        let most = known.most().map(|(state, ..)| StateId::new(state));
        Drawn {
            id: feature.id.as_str(),
            name: &feature.name,
            label: most.and_then(|state| feature.labels.get(&state)).map(String::as_str),
            known,
            number: numbers.get(&feature.id).copied(),
        }
    });
    drawn.collect()
}

fn known(catalog: &Catalog, evidence: &Evidence<'_>, feature: &Feature) -> Known {
    if let Some(range) = words::range(evidence, feature) {
        return Known::Read(range);
    }
    let counts = evidence.counts(&feature.id);
    if !counts.is_empty() {
        let mut counts: Vec<(String, u64)> = counts.into_iter().map(|(state, n)| (state.to_string(), n)).collect();
        counts.sort_by_key(|(state, _)| place(feature, state));
        return Known::Seen(counts);
    }
    uncounted(catalog, &evidence.variant, feature)
}

/// The place of a state in the vocabulary's order, of a count among numbers; the rest come last.
fn place(feature: &Feature, state: &str) -> usize {
    let listed = match &feature.kind {
        Kind::State { states } => states.iter().position(|listed| listed.as_str() == state),
        _ => state.parse().ok(),
    };
    listed.unwrap_or(usize::MAX)
}

/// The readings that do not count, in words.
fn uncounted(catalog: &Catalog, variant: &VariantId, feature: &Feature) -> Known {
    let entries = catalog.variants.get(variant).map_or(&[][..], |entry| entry.observations.as_slice());
    let observations = entries.iter().filter_map(|index| catalog.record(*index).content.observation());
    let readings: Vec<_> = observations.filter_map(|observation| observation.features.get(&feature.id)).collect();
    if readings.is_empty() {
        Known::Unexamined
    } else if readings.iter().any(|reading| reading.altered) {
        Known::Altered
    } else if matches!(feature.kind, Kind::Number | Kind::Code) {
        Known::Read(format!("read on {}", readings.len()))
    } else {
        Known::Uncounted
    }
}
