//! Turns knowledge into evidence: what was counted of each feature of a variant, on which garments.
//!
//! A garment counts once, a find once for each state it shows, copies of one document once. The difference between two
//! variants is computed in `comparison`.

pub mod coded;
mod items;
pub mod key;
pub mod landmark;
pub mod reading;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use ecow::EcoString;
use smallvec::SmallVec;

use crate::chronology::voice::document_roots;
use crate::date::{Day, DaySpan};
use crate::evidence::items::state;
use crate::evidence::reading::ByFeature;
use crate::knowledge::{Knowledge, Saying, Standing, VoiceIndex};
use crate::record::id::{FeatureId, VariantId};
use crate::record::observation::{Basis, Observation, Value};
use crate::resolve::{Catalog, GarmentIndex, RecordIndex};
use crate::vocabulary::Feature;

/// The name of a covariate that is no feature: the ten years in which a garment was made.
pub const DECADE: &str = "decade";

/// The name of a covariate that is no feature: where a garment was made.
pub const FACTORY: &str = "factory";

/// The evidence on one variant; copies share it.
#[derive(Clone, Debug)]
pub struct Evidence<'a> {
    /// The variant.
    pub variant: VariantId,
    /// The garments and documents that count, in order of path.
    pub bearers: Arc<[Bearer<'a>]>,
    /// Their items, by feature; only features with an item.
    pub features: Arc<BTreeMap<FeatureId, Vec<Item>>>,
}

/// A knowledge base with the counts of each variant, which are computed once.
#[derive(Clone, Copy)]
pub struct CountedEvidence<'a> {
    /// The knowledge base.
    pub knowledge: &'a Knowledge,
    /// The evidence on a variant.
    pub of: &'a (dyn Fn(&VariantId) -> Evidence<'a> + Sync),
}

/// A garment or a document that counts.
#[derive(Clone, Debug)]
pub struct Bearer<'a> {
    /// The garment, unless it is a document.
    pub garment: Option<GarmentIndex>,
    /// Its observations.
    pub records: Vec<RecordIndex>,
    /// Its readings.
    pub shown: ByFeature<'a>,
    /// Whether its placing is contested.
    pub contested: bool,
    /// Where it was made, if that is known.
    pub factory: Option<&'a str>,
    dates: Dates,
    group: Group,
}

/// The group that counts as one: the garments of a find, the copies of a document.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    Alone(RecordIndex),
    Find(String),
    Document(BTreeSet<String>),
}

/// When a bearer was made, by its own dates.
#[derive(Clone, Debug)]
enum Dates {
    /// By mark, paper or key, or the kept date of a document: their intersection, open if the dates exclude one
    /// another.
    Known(DaySpan),
    /// By estimates that fit, each with its observation.
    Guessed(Vec<(RecordIndex, DaySpan)>),
}

/// Some bearers, by number in [`Evidence::bearers`].
pub type Numbers = SmallVec<[usize; 2]>;

/// One count: a state shown by a garment or a find, or a measure.
#[derive(Clone, Debug)]
pub struct Item {
    /// The counted value.
    pub seen: Seen,
    /// The bearers that show it, by number in [`Evidence::bearers`].
    pub bearers: Numbers,
    /// Whether a placing among them is contested.
    pub contested: bool,
}

/// The value of an item.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// A state, a count, `absent` or `other`, as text.
    State(EcoString),
    /// A quantity in the vocabulary's unit.
    Measure(f64),
}

impl Seen {
    /// The state's text, unless it is a measure.
    pub fn state(&self) -> Option<&str> {
        match self {
            Seen::State(state) => Some(state),
            Seen::Measure(_) => None,
        }
    }

    /// The quantity, unless it is a state.
    pub fn measure(&self) -> Option<f64> {
        match self {
            Seen::State(_) => None,
            Seen::Measure(number) => Some(*number),
        }
    }
}

/// Counts what was seen of a variant.
pub fn of<'a>(knowledge: &'a Knowledge, variant: &VariantId) -> Evidence<'a> {
    let bearers = bearers(knowledge, variant);
    let groups = items::groups(&bearers);
    let mut readings: BTreeMap<&FeatureId, Vec<(usize, &Value)>> = BTreeMap::new();
    for (number, bearer) in bearers.iter().enumerate() {
        for (feature, shown) in &bearer.shown {
            if let Some(value) = items::counted(shown) {
                readings.entry(feature).or_default().push((number, value));
            }
        }
    }
    let features = readings.into_iter().filter_map(|(id, readings)| {
        let feature = knowledge.catalog.vocabulary.feature(id.as_str())?;
        Some((id.clone(), items::of(&bearers, &groups, feature, readings)))
    });
    let features = Arc::new(features.filter(|(_, items)| !items.is_empty()).collect());
    Evidence { variant: variant.clone(), bearers: bearers.into(), features }
}

fn bearers<'a>(knowledge: &'a Knowledge, variant: &VariantId) -> Vec<Bearer<'a>> {
    let catalog = &knowledge.catalog;
    let Some(entry) = catalog.variants.get(variant) else { return Vec::new() };
    let mut bearers: Vec<Bearer<'a>> = Vec::new();
    for index in &entry.observations {
        let Some(observation) = catalog.record(*index).content.observation() else { continue };
        match observation.basis.value {
            Basis::Document if !catalog.withheld.contains(index) => {
                bearers.push(document(knowledge, *index, observation))
            }
            Basis::Specimen => bearers.extend(garment(knowledge, *index)),
            _ => {}
        }
    }
    bearers
}

fn document<'a>(knowledge: &'a Knowledge, index: RecordIndex, observation: &'a Observation) -> Bearer<'a> {
    let catalog = &knowledge.catalog;
    let span = knowledge.documents.get(&index).copied().unwrap_or(DaySpan::OPEN);
    Bearer {
        garment: None,
        records: vec![index],
        shown: reading::of_document(catalog, index),
        contested: false,
        factory: observation.factory.as_deref(),
        dates: Dates::Known(span),
        group: Group::Document(document_roots(catalog, index)),
    }
}

/// The garment whose first observation this is, unless its placing is set aside.
fn garment<'a>(knowledge: &'a Knowledge, index: RecordIndex) -> Option<Bearer<'a>> {
    let catalog = &knowledge.catalog;
    let at = catalog.garments.binary_search_by_key(&index, |garment| garment.observations[0]).ok()?;
    let (number, garment) = (GarmentIndex(at as u32), &catalog.garments[at]);
    let seen = knowledge.voice(*knowledge.placings.get(&number)?);
    if seen.standing == Standing::SetAside {
        return None;
    }
    let records = || garment.observations.iter().map(|index| catalog.record(*index));
    let find = reading::shared(records(), |observation| observation.find.as_deref());
    Some(Bearer {
        garment: Some(number),
        records: garment.observations.to_vec(),
        shown: reading::of_garment(catalog, garment),
        contested: seen.standing == Standing::Contested,
        factory: reading::shared(records(), |observation| observation.factory.as_deref())
            .or_else(|| knowledge.code_factories.get(&number).map(EcoString::as_str)),
        dates: garment_dates(knowledge, number),
        group: find.map_or(Group::Alone(index), |find| Group::Find(find.to_string())),
    })
}

/// The kept dates of a garment; without any, its estimates that fit.
fn garment_dates(knowledge: &Knowledge, garment: GarmentIndex) -> Dates {
    let kept = kept_dates(knowledge, garment);
    if let Some((first, rest)) = kept.split_first() {
        let span = rest.iter().try_fold(*first, |span, other| span.intersection(*other));
        return Dates::Known(span.unwrap_or(DaySpan::OPEN));
    }
    // Estimates come garment by garment, so those of one stand together.
    let first = knowledge.estimates.partition_point(|estimate| estimate.garment < garment);
    let own = knowledge.estimates[first..].iter().take_while(|estimate| estimate.garment == garment);
    let own = own.filter(|estimate| estimate.fits);
    Dates::Guessed(own.map(|estimate| (estimate.record, estimate.span)).collect())
}

/// The spans of a garment's dates by mark, paper or key that are kept; a date read through a key needs the key kept.
fn kept_dates(knowledge: &Knowledge, garment: GarmentIndex) -> Vec<DaySpan> {
    let dates = knowledge.dates.get(&garment).into_iter().flatten();
    let holds = |voices: &[VoiceIndex]| voices.iter().all(|voice| knowledge.voice(*voice).is_kept());
    let kept = dates.filter(|voices| holds(voices));
    kept.filter_map(|voices| match knowledge.voice(*voices.first()?).says {
        Saying::Made(span) => Some(span),
        _ => None,
    })
    .collect()
}

impl Bearer<'_> {
    /// The find it belongs to.
    pub fn find(&self) -> Option<&str> {
        match &self.group {
            Group::Find(find) => Some(find),
            _ => None,
        }
    }

    /// Its own date by mark, paper or key, or as a document; `None` if none is kept or its dates leave no day.
    pub fn own_date(&self) -> Option<DaySpan> {
        match &self.dates {
            Dates::Known(span) => Some(*span).filter(|span| !span.is_open()),
            Dates::Guessed(_) => None,
        }
    }

    /// The days that estimates leave it, if it has only estimates and none was judged from the feature.
    pub fn guess(&self, catalog: &Catalog, feature: &FeatureId) -> Option<DaySpan> {
        let Dates::Guessed(guesses) = &self.dates else { return None };
        guess(catalog, guesses, feature)
    }
}

/// The days on which estimates that were not judged from a feature agree.
fn guess(catalog: &Catalog, guesses: &[(RecordIndex, DaySpan)], feature: &FeatureId) -> Option<DaySpan> {
    let named = |index: RecordIndex| {
        let observation = catalog.record(index).content.observation();
        observation.is_none_or(|observation| reading::is_estimated_from(observation, feature))
    };
    let mut usable = guesses.iter().filter(|(index, _)| !named(*index)).map(|(_, span)| *span);
    let first = usable.next()?;
    usable.try_fold(first, |span, other| span.intersection(other))
}

impl Evidence<'_> {
    /// The items of a feature.
    pub fn items(&self, feature: &FeatureId) -> &[Item] {
        self.features.get(feature).map_or(&[], Vec::as_slice)
    }

    /// The same variant with other items of one feature and no other feature.
    pub fn of_one(&self, feature: &FeatureId, items: Vec<Item>) -> Self {
        Evidence { features: Arc::new(BTreeMap::from([(feature.clone(), items)])), ..self.clone() }
    }

    /// How many of each state were counted, by state.
    pub fn counts(&self, feature: &FeatureId) -> BTreeMap<&str, u64> {
        let mut counts = BTreeMap::new();
        for state in self.items(feature).iter().filter_map(|item| item.seen.state()) {
            *counts.entry(state).or_insert(0) += 1;
        }
        counts
    }

    /// The decade an item of a feature was made in, such as 1970, if all its bearers share one.
    pub fn decade(&self, catalog: &Catalog, feature: &FeatureId, item: &Item) -> Option<i32> {
        shared(item.bearers.iter().map(|number| decade(catalog, &self.bearers[*number].dates, feature)))
    }

    /// Where an item was made, if all its bearers share it.
    pub fn factory(&self, item: &Item) -> Option<&str> {
        shared(item.bearers.iter().map(|number| self.bearers[*number].factory))
    }

    /// The value of another feature that explains an item, if all its bearers share one.
    pub fn covariate(&self, item: &Item, covariate: &Feature) -> Option<String> {
        shared(item.bearers.iter().map(|number| {
            let value = self.bearers[*number].shown.get(&covariate.id)?.agreed()?;
            stratum(value, covariate)
        }))
    }
}

/// The value that all share, if they share one.
fn shared<T: PartialEq>(mut values: impl Iterator<Item = Option<T>>) -> Option<T> {
    let first = values.next()??;
    values.all(|value| value.as_ref() == Some(&first)).then_some(first)
}

/// The stratum a value of a covariate belongs to: its band for quantities, itself for states and counts.
pub fn stratum(value: &Value, covariate: &Feature) -> Option<String> {
    match value {
        Value::Measure(number) | Value::Number(number) => band(*number, &covariate.bands),
        _ => state(value).map(String::from),
    }
}

/// The number of the band a value lies in, counted from 0; a value on a cut belongs above it.
fn band(number: f64, bands: &[f64]) -> Option<String> {
    (!bands.is_empty()).then(|| format!("band {}", bands.iter().filter(|cut| **cut <= number).count()))
}

/// The decade of the middle day of a bearer's own date; unknown if it is open or spans twelve years or more.
fn decade(catalog: &Catalog, dates: &Dates, feature: &FeatureId) -> Option<i32> {
    let span = match dates {
        Dates::Known(span) => *span,
        Dates::Guessed(guesses) => guess(catalog, guesses, feature)?,
    };
    Some(middle_day(span)?.year().div_euclid(10) * 10)
}

/// The middle day of a span, rounded down; `None` if it is open or spans twelve years or more.
pub fn middle_day(span: DaySpan) -> Option<Day> {
    let (first, last) = (span.first()?, span.last()?);
    let middle = Day::from_number((first.number() + last.number()).div_euclid(2));
    (last < first.plus_years(12)).then_some(middle)
}
