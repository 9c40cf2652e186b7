//! The photographs of an observation's page: pictures in several widths, alternative text, and credits.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::record::id::FeatureId;
use crate::record::observation::{Observation, Value};
use crate::resolve::RecordIndex;
use crate::view::leaf::{Leaf, Link};
use crate::view::photographs::Photograph;
use crate::view::readings;

/// The width of the picture for browsers without `srcset`.
const USUAL_WIDTH: u32 = 960;

/// The most photographs in a row of a page.
const IN_A_ROW: usize = 4;

/// A photograph as its page shows it.
#[derive(Debug, Serialize)]
pub struct PhotographView {
    file: String,
    /// The ids of the features it shows.
    features: Vec<String>,
    shows: Vec<String>,
    credit: Option<String>,
    licence: Option<String>,
    picture: Option<PictureView>,
}

/// A photograph of a feature, with the entry it belongs to.
#[derive(Debug, Serialize)]
pub struct FeaturePhotograph {
    photograph: PhotographView,
    observation: Link,
}

/// The photographs of one feature that stand in a row of a page.
#[derive(Debug, Default, Serialize)]
pub struct RowPhotographs {
    photographs: Vec<FeaturePhotograph>,
    /// How many more there are.
    more: usize,
}

impl RowPhotographs {
    /// Says whether there is none.
    pub fn is_empty(&self) -> bool {
        self.photographs.is_empty()
    }
}

/// The place of a photograph in the entries.
#[derive(Clone, Copy)]
struct Placed<'a> {
    index: RecordIndex,
    number: usize,
    observation: &'a Observation,
}

/// The pictures made of a photograph.
#[derive(Debug, Serialize)]
struct PictureView {
    text: String,
    small: String,
    small_width: u32,
    small_height: u32,
    usual: String,
    choice: String,
    wide: String,
    width: u32,
    height: u32,
}

/// Puts the photographs of an observation into words and links.
pub fn of(leaf: &Leaf<'_>, index: RecordIndex, observation: &Observation) -> Vec<PhotographView> {
    let numbers = 0..observation.photographs.len();
    numbers.map(|number| view(leaf, index, number, observation)).collect()
}

/// The smallest picture of each photograph of an observation, with its alternative text.
pub fn small(leaf: &Leaf<'_>, index: RecordIndex, observation: &Observation) -> Vec<(String, String)> {
    let found = (0..observation.photographs.len()).filter_map(|number| {
        let photograph = leaf.context.photographs.find(index, number)?;
        let (path, _) = photograph.pictures().into_iter().next()?;
        let text = view(leaf, index, number, observation).picture?.text;
        Some((leaf.href(&path), text))
    });
    found.collect()
}

/// The photographs that entries say show a feature, in the order of the entries, and how many were left out.
pub fn of_feature(leaf: &Leaf<'_>, feature: &FeatureId, most: usize) -> (Vec<FeaturePhotograph>, usize) {
    let places: Vec<Placed<'_>> = every_record(leaf).flat_map(|index| showing(leaf, index, feature)).collect();
    let row = taken(leaf, &places, most);
    (row.photographs, row.more)
}

/// The photographs of a feature in some entries, as many as a row has room for.
pub fn in_row(leaf: &Leaf<'_>, records: impl IntoIterator<Item = RecordIndex>, feature: &FeatureId) -> RowPhotographs {
    let places: Vec<Placed<'_>> = records.into_iter().flat_map(|index| showing(leaf, index, feature)).collect();
    taken(leaf, &places, IN_A_ROW)
}

/// Every record.
pub fn every_record(leaf: &Leaf<'_>) -> impl Iterator<Item = RecordIndex> {
    (0_u32..).map(RecordIndex).zip(&leaf.catalog().records).map(|(index, _)| index)
}

/// The photographs of each state of a feature in some entries, as many as a row has room for. What was altered, and
/// what the entry is unsure of, is in no state.
pub fn by_state(
    leaf: &Leaf<'_>,
    records: impl IntoIterator<Item = RecordIndex>,
    feature: &FeatureId,
) -> BTreeMap<String, RowPhotographs> {
    let mut by_state: BTreeMap<String, Vec<Placed<'_>>> = BTreeMap::new();
    for placed in records.into_iter().flat_map(|index| showing(leaf, index, feature)) {
        let reading = placed.observation.features.get(feature).filter(|reading| !reading.altered && !reading.unsure);
        if let Some(state) = reading.and_then(|reading| state(&reading.value)) {
            by_state.entry(state).or_default().push(placed);
        }
    }
    by_state.into_iter().map(|(state, places)| (state, taken(leaf, &places, IN_A_ROW))).collect()
}

/// Says whether an entry has a photograph of a feature.
pub fn has(leaf: &Leaf<'_>, index: RecordIndex, feature: &FeatureId) -> bool {
    !showing(leaf, index, feature).is_empty()
}

fn showing<'a>(leaf: &Leaf<'a>, index: RecordIndex, feature: &FeatureId) -> Vec<Placed<'a>> {
    let Some(observation) = leaf.catalog().record(index).content.observation() else { return Vec::new() };
    let is_of = |number: usize| observation.photographs[number].shows.iter().any(|shown| shown.value == *feature);
    let photographs = &leaf.context.photographs;
    let is_whole = |number| photographs.find(index, number).is_some_and(|photograph| photograph.fault().is_none());
    let numbers = (0..observation.photographs.len()).filter(|number| is_of(*number) && is_whole(*number));
    numbers.map(|number| Placed { index, number, observation }).collect()
}

fn taken(leaf: &Leaf<'_>, places: &[Placed<'_>], most: usize) -> RowPhotographs {
    let photographs = places.iter().take(most).map(|placed| FeaturePhotograph {
        photograph: view(leaf, placed.index, placed.number, placed.observation),
        observation: leaf.record(placed.index),
    });
    RowPhotographs { photographs: photographs.collect(), more: places.len().saturating_sub(most) }
}

fn state(value: &Value) -> Option<String> {
    match value {
        Value::State(state) => Some(state.as_str().to_string()),
        Value::Count(count) => Some(count.to_string()),
        Value::Absent => Some("absent".to_string()),
        Value::Measure(_) | Value::Number(_) | Value::Code(_) | Value::Lost | Value::Other(_) => None,
    }
}

fn view(leaf: &Leaf<'_>, index: RecordIndex, number: usize, observation: &Observation) -> PhotographView {
    let reference = &observation.photographs[number];
    let vocabulary = &leaf.catalog().vocabulary;
    let known = reference.shows.iter().filter_map(|shown| vocabulary.feature(shown.value.as_str()));
    let features = known.clone().map(|feature| feature.id.to_string()).collect();
    let shows: Vec<String> = known
        .map(|feature| match observation.features.get(&feature.id) {
            Some(reading) => {
                let doubt = if reading.altered { " (altered)" } else { "" };
                format!("{}: {}{doubt}", feature.name, readings::value(feature, &reading.value))
            }
            None => feature.name.clone(),
        })
        .collect();
    let photograph = leaf.context.photographs.find(index, number);
    let whole = photograph.filter(|photograph| photograph.fault().is_none());
    let text = match shows.is_empty() {
        true => format!("{}; its entry does not say what this photograph shows", leaf.name(index)),
        false => shows.join("; "),
    };
    PhotographView {
        file: reference.file.value.clone(),
        features,
        shows,
        credit: reference.credit.clone(),
        licence: reference.licence.clone(),
        picture: whole.and_then(|photograph| picture(leaf, photograph, text)),
    }
}

fn picture(leaf: &Leaf<'_>, photograph: &Photograph, text: String) -> Option<PictureView> {
    let pictures = photograph.pictures();
    let (wide, size) = pictures.last()?;
    let (small, small_size) = pictures.first()?;
    let (usual, _) = pictures.iter().rfind(|(_, size)| size.width <= USUAL_WIDTH).or(pictures.first())?;
    let choice = pictures.iter().map(|(path, size)| format!("{} {}w", leaf.href(path), size.width));
    Some(PictureView {
        text,
        small: leaf.href(small),
        small_width: small_size.width,
        small_height: small_size.height,
        usual: leaf.href(usual),
        choice: choice.collect::<Vec<_>>().join(", "),
        wide: leaf.href(wide),
        width: size.width,
        height: size.height,
    })
}
