//! The page of landmarks: public facts that bound the date of anything bearing a feature, on one scale with the models.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::date::{Day, DaySpan, spoken};
use crate::evidence::landmark;
use crate::explain;
use crate::page::PageError;
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::FeatureId;
use crate::record::landmark::{Condition, Force, Landmark};
use crate::resolve::RecordIndex;
use crate::view::chart::{Mark, Scale, Shape};
use crate::view::context::Context;
use crate::view::leaf::{Cited, Frame, Leaf, Link, name, spaced};
use crate::view::model_overview;
use crate::view::path;
use crate::vocabulary::measure::{self, rounded};
use crate::vocabulary::{Kind, Unit};

/// Writes the page of landmarks.
pub const PUBLISHER: Publisher = Publisher {
    name: "landmarks",
    description: "all landmarks with their dates, force and sources",
    owns: &["landmarks.html"],
    publish,
};

/// The description of the page.
const ABOUT: &str =
    "Public facts, such as laws and postal codes, that bound the date of a garment whose label bears their mark.";

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    landmarks: Vec<LandmarkView>,
    ruler: Option<String>,
    makers: Vec<model_overview::MakerView>,
}

#[derive(Serialize)]
struct LandmarkView {
    anchor: String,
    /// Its former names in addresses.
    aliases: Vec<String>,
    title: String,
    /// Its days on the scale of the page.
    strip: Option<String>,
    when: String,
    features: Vec<Link>,
    not_before: Option<String>,
    not_after: Option<String>,
    stock_years: u32,
    hard: bool,
    odds: String,
    market: Option<String>,
    sources: Vec<Cited>,
    body: String,
    #[serde(skip)]
    order: (Option<Day>, String),
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("landmarks.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "landmarks.html");
    let indexes = leaf.catalog().landmarks.values();
    let scale = model_overview::scale(&leaf, &marks(&leaf));
    let mut landmarks: Vec<_> = indexes.filter_map(|index| view(&leaf, *index, scale)).collect();
    moved::settle(&mut landmarks, |landmark| (&landmark.anchor, &mut landmark.aliases));
    landmarks.sort_by(|one, other| one.order.cmp(&other.order));
    let frame = leaf.frame("Landmarks", ABOUT, Vec::new());
    leaf.render(
        "landmarks.html",
        &View {
            frame,
            caution: explain::CAUTION,
            landmarks,
            ruler: scale.map(|scale| scale.ruler()),
            makers: model_overview::makers(&leaf, scale),
        },
    )
}

/// The days of all landmarks, for a scale that holds them.
fn marks(leaf: &Leaf<'_>) -> Vec<Mark> {
    let found = leaf.catalog().landmarks.values().filter_map(|index| landmark::of(leaf.catalog(), *index));
    let circa = leaf.catalog().circa();
    let days = found.flat_map(|found| [landmark::not_before(found, circa), landmark::not_after(found, circa)]);
    days.filter_map(|day| Mark::new(Shape::Document, DaySpan::new(day, day)?)).collect()
}

fn view(leaf: &Leaf<'_>, index: RecordIndex, scale: Option<Scale>) -> Option<LandmarkView> {
    let record = leaf.catalog().record(index);
    let found: &Landmark = landmark::of(leaf.catalog(), index)?;
    let circa = leaf.catalog().circa();
    let (not_before, not_after) = (landmark::not_before(found, circa), landmark::not_after(found, circa));
    let (Force::Hard { odds } | Force::Soft { odds }) = found.force;
    Some(LandmarkView {
        anchor: path::anchor(record, record.path.stem()),
        aliases: moved::aliases(leaf.context, record),
        strip: scale.map(|scale| strip(found, (not_before, not_after), scale)),
        title: name(record),
        when: condition(leaf, &found.when.value),
        features: features(leaf, &found.when.value),
        not_before: not_before.map(spoken::before),
        not_after: not_after.map(spoken::by),
        stock_years: found.stock_years,
        hard: matches!(found.force, Force::Hard { .. }),
        odds: rounded(odds),
        market: found.market().map(str::to_string),
        sources: found.sources.iter().map(|source| leaf.cited(record.file, &source.value)).collect(),
        body: leaf.prose(record),
        order: (not_before.or(not_after), record.path.to_string()),
    })
}

fn strip(found: &Landmark, days: (Option<Day>, Option<Day>), scale: Scale) -> String {
    let not_before = days.0.map(|day| format!("not before {}", spoken::before(day)));
    let not_after = days.1.map(|day| format!("not after {}", spoken::by(day)));
    let words: Vec<String> = [not_before, not_after].into_iter().flatten().collect();
    scale.bound(
        days.0,
        days.1,
        &words.join(", "),
        if matches!(found.force, Force::Hard { .. }) { "hard" } else { "soft" },
    )
}

/// Links to the features a landmark is read from, each once.
fn features(leaf: &Leaf<'_>, condition: &Condition) -> Vec<Link> {
    let ids: BTreeSet<&FeatureId> = condition.features().into_iter().collect();
    let known = ids.into_iter().filter_map(|id| leaf.catalog().vocabulary.feature(id.as_str()));
    known.map(|feature| leaf.link(&feature.name, &path::feature(&feature.id))).collect()
}

/// Says which garments a landmark speaks of.
fn condition(leaf: &Leaf<'_>, condition: &Condition) -> String {
    let feature =
        |id: &str| leaf.catalog().vocabulary.feature(id).map_or_else(|| spaced(id), |found| found.name.clone());
    let joined = |parts: &[Condition], word: &str| {
        parts.iter().map(|part| self::condition(leaf, part)).collect::<Vec<_>>().join(word)
    };
    match condition {
        Condition::State { feature: id, state } => {
            format!("{}: {}", feature(id.as_str()), leaf.catalog().vocabulary.label(id, state.as_str()))
        }
        Condition::Range { feature: id, from, to } => {
            let unit = leaf.catalog().vocabulary.feature(id.as_str()).and_then(|found| match &found.kind {
                Kind::Measure(measure) => Some(measure.unit),
                _ => None,
            });
            format!("{} {}", feature(id.as_str()), range(*from, *to, unit))
        }
        Condition::Any(parts) => joined(parts, ", or "),
        Condition::All(parts) => joined(parts, ", and "),
    }
}

fn range(from: Option<f64>, to: Option<f64>, unit: Option<Unit>) -> String {
    let said = |number| unit.map_or_else(|| rounded(number), |unit| measure::words(number, unit));
    match (from, to, unit) {
        (Some(from), Some(to), Some(unit)) if from < to => format!("from {}", measure::range(from, to, unit)),
        (Some(from), Some(to), _) => format!("from {} to {}", said(from), said(to)),
        (Some(from), None, _) => format!("{} or more", said(from)),
        (None, Some(to), _) => format!("{} or less", said(to)),
        (None, None, _) => "with any number".to_string(),
    }
}
