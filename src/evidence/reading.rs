//! The readings of one garment, joined over its observations, and why it was placed where it is.
//!
//! Whether a reading counts as evidence also depends on conflicts, which `evidence` checks.

use std::collections::BTreeSet;

use litemap::LiteMap;
use smallvec::{SmallVec, smallvec};

use crate::record::Record;
use crate::record::id::{FeatureId, StateId};
use crate::record::observation::{Basis, JudgedFrom, Observation, PlacedBy, Reading, Value};
use crate::resolve::{Catalog, Garment, RecordIndex};
use crate::vocabulary::{self, Feature, Kind, Vocabulary};

/// A feature of a garment, as its observations have it.
#[derive(Clone, Debug)]
pub struct Shown<'a> {
    /// Every reading, with its observation.
    pub readings: Vec<(RecordIndex, &'a Reading)>,
    /// The distinct values that may be used: not altered in any observation, not unsure, not lost.
    pub usable: SmallVec<[Value; 1]>,
    /// Whether the garment was placed by this feature, by all that placed it.
    pub judged: bool,
}

impl Shown<'_> {
    /// The one value that may be used, if the observations agree.
    pub fn agreed(&self) -> Option<&Value> {
        match &self.usable[..] {
            [value] => Some(value),
            _ => None,
        }
    }

    /// Says whether two observations of the garment contradict each other in it.
    pub fn differs(&self) -> bool {
        self.usable.len() > 1
    }
}

/// The features that observations speak of.
pub type ByFeature<'a> = LiteMap<FeatureId, Shown<'a>>;

/// Joins the readings of a garment.
pub fn of_garment<'a>(catalog: &'a Catalog, garment: &Garment) -> ByFeature<'a> {
    joined(catalog, &garment.observations)
}

/// Gives the readings of a document, which no other entry joins.
pub fn of_document(catalog: &Catalog, document: RecordIndex) -> ByFeature<'_> {
    joined(catalog, &[document])
}

fn joined<'a>(catalog: &'a Catalog, records: &[RecordIndex]) -> ByFeature<'a> {
    let observations = records.iter().filter_map(|index| Some((*index, catalog.record(*index).content.observation()?)));
    let readings = observations.flat_map(|(index, seen)| seen.features.iter().map(move |(id, one)| (id, (index, one))));
    let mut readings: Vec<(&FeatureId, (RecordIndex, &Reading))> = readings.collect();
    if records.len() > 1 {
        readings.sort_by_key(|(feature, _)| *feature);
    }
    let mut shown = Vec::with_capacity(readings.len());
    shown.extend(readings.chunk_by(|(one, _), (other, _)| one == other).map(|same| {
        let feature = same[0].0;
        let readings: Vec<(RecordIndex, &Reading)> = same.iter().map(|(_, reading)| *reading).collect();
        let usable = usable(catalog, feature, &readings);
        let judged = records.iter().all(|index| is_judged_from(catalog, *index, feature));
        (feature.clone(), Shown { readings, usable, judged })
    }));
    LiteMap::from_sorted_store_unchecked(shown)
}

/// The distinct values of readings that may be used; of a retired feature none.
fn usable(catalog: &Catalog, feature: &FeatureId, readings: &[(RecordIndex, &Reading)]) -> SmallVec<[Value; 1]> {
    if catalog.vocabulary.is_retired(feature.as_str()) {
        return SmallVec::new();
    }
    let kept = readings.iter().filter(|(index, _)| !catalog.is_set_aside(*index, format_args!("features.{feature}")));
    if kept.clone().any(|(_, reading)| reading.altered) {
        return SmallVec::new();
    }
    let sure = kept.filter(|(_, reading)| is_usable(reading));
    let values: SmallVec<[&Value; 2]> = sure.map(|(_, reading)| &reading.value).collect();
    distinct(&values, tolerance(&catalog.vocabulary, feature))
}

/// Says whether a reading may be used by itself: not altered, not unsure, not lost.
pub fn is_usable(reading: &Reading) -> bool {
    !reading.altered && !reading.unsure && reading.value != Value::Lost
}

fn tolerance(vocabulary: &Vocabulary, feature: &FeatureId) -> f64 {
    match vocabulary.feature(feature.as_str()).map(|feature| &feature.kind) {
        Some(Kind::Measure(measure)) => measure.tolerance,
        _ => 0.0,
    }
}

/// Lists values that differ; measures within twice the tolerance of each other become their mean.
fn distinct(values: &[&Value], tolerance: f64) -> SmallVec<[Value; 1]> {
    let mut different: SmallVec<[Value; 1]> = SmallVec::new();
    for value in values {
        if !different.iter().any(|other| is_same(other, value)) {
            different.push((*value).clone());
        }
    }
    if different.len() < 2 {
        return different;
    }
    let measures: Vec<f64> = values.iter().filter_map(|value| measure(value)).collect();
    if measures.len() == values.len() {
        let least = measures.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = measures.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if vocabulary::is_within(greatest - least, 2.0 * tolerance) {
            return smallvec![Value::Measure(vocabulary::mean(&measures))];
        }
    }
    different
}

fn is_same(one: &Value, other: &Value) -> bool {
    matches!((one, other), (Value::Other(_), Value::Other(_))) || one == other
}

fn measure(value: &Value) -> Option<f64> {
    match value {
        Value::Measure(number) => Some(*number),
        _ => None,
    }
}

/// The state that a value has an era and a row under; `other` and quantities have none.
pub fn state(value: &Value) -> Option<StateId> {
    match value {
        Value::State(state) => Some(state.clone()),
        Value::Count(count) => Some(StateId::new(count.to_string())),
        Value::Absent => Some(StateId::new("absent")),
        _ => None,
    }
}

/// The states that readings name, each once; both of two that differ. Only states and counts have eras.
pub fn states(catalog: &Catalog, shown: &ByFeature<'_>) -> Vec<(FeatureId, StateId)> {
    let mut all = Vec::with_capacity(shown.len());
    for (feature, entry) in shown.iter() {
        if catalog.vocabulary.feature(feature.as_str()).is_some_and(|found| found.has_states()) {
            let mut states: SmallVec<[StateId; 1]> = entry.usable.iter().filter_map(state).collect();
            states.sort();
            states.dedup();
            all.extend(states.into_iter().map(|state| (feature.clone(), state)));
        }
    }
    all
}

/// Says whether an observation was placed by judgement, stated or by default.
pub fn is_judged(catalog: &Catalog, index: RecordIndex) -> bool {
    let record = catalog.record(index);
    record.content.observation().is_some_and(|observation| placed_by(catalog, observation) == PlacedBy::Judged)
}

/// Why an observation is of its variant: its own statement, if it has one. Otherwise a document is placed by paper, and
/// a specimen by mark if it shows a defining feature unaltered, else by judgement.
pub fn placed_by(catalog: &Catalog, observation: &Observation) -> PlacedBy {
    if let Some(placed_by) = &observation.placed_by {
        return placed_by.value;
    }
    if observation.basis.value != Basis::Specimen {
        return PlacedBy::Paper;
    }
    let is_mark = |(feature, reading): (&FeatureId, &Reading)| {
        is_usable(reading) && catalog.vocabulary.feature(feature.as_str()).is_some_and(is_sign)
    };
    if observation.features.iter().any(is_mark) { PlacedBy::Mark } else { PlacedBy::Judged }
}

fn is_sign(feature: &Feature) -> bool {
    feature.defining && feature.retired.is_none()
}

fn is_judged_from(catalog: &Catalog, index: RecordIndex, feature: &FeatureId) -> bool {
    let Some(observation) = catalog.record(index).content.observation() else { return false };
    let names = |from: &JudgedFrom| match from {
        JudgedFrom::Feature(named) => named == feature,
        JudgedFrom::Unsaid => true,
        JudgedFrom::Word(_) => false,
    };
    placed_by(catalog, observation) == PlacedBy::Judged
        && (observation.placed_from.is_empty() || observation.placed_from.iter().any(|from| names(&from.value)))
}

/// Says whether an estimate was judged from a feature: it names it, or names nothing at all.
pub fn is_estimated_from(observation: &Observation, feature: &FeatureId) -> bool {
    observation.made_from.as_ref().is_none_or(|named| {
        named.iter().any(|from| match &from.value {
            JudgedFrom::Feature(named) => named == feature,
            JudgedFrom::Unsaid => true,
            JudgedFrom::Word(_) => false,
        })
    })
}

/// The value on which all that state one agree, if they do.
pub fn shared<'a>(records: impl Iterator<Item = &'a Record>, get: fn(&Observation) -> Option<&str>) -> Option<&'a str> {
    let stated: BTreeSet<&str> = records.filter_map(|record| get(record.content.observation()?)).collect();
    if stated.len() == 1 { stated.into_iter().next() } else { None }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::of_garment;
    use crate::compile::example;
    use crate::record::observation::Value;

    /// The value that counts for a garment measured twice; the example's tolerance is 0.25.
    fn measured(one: f64, other: f64) -> Option<Value> {
        let entry = |name: &str, more: &str, leg: f64| {
            format!(
                "--- entries/makers/hollin/no-4/best/{name}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{more}\
                 [features]\nleg-opening = {leg:?}\n+++\n"
            )
        };
        let text = entry("first", "", one) + &entry("second", "same-as = \"first\"\n", other);
        let catalog = example::compile(&text).knowledge.catalog;
        let readings = of_garment(&catalog, &catalog.garments[0]);
        readings.values().next().unwrap().agreed().cloned()
    }

    #[test]
    fn measures_within_twice_the_tolerance_become_their_mean_as_decimals_have_it() {
        // In binary 8.3 and 7.8 lie a little further apart than 0.5.
        for (one, other, mean) in [(8.3, 7.8, Some(8.05)), (8.3, 8.3, Some(8.3)), (8.3, 7.75, None)] {
            assert_eq!(measured(one, other), mean.map(Value::Measure), "{one} and {other}");
        }
    }
}
