//! The photographs of an observation's page: pictures in several widths, words for who cannot see them, and whose they are.

use serde::Serialize;

use crate::record::id::FeatureId;
use crate::record::observation::Observation;
use crate::resolve::RecordIndex;
use crate::view::leaf::{Leaf, Link};
use crate::view::photographs::Photograph;
use crate::view::readings;

/// The picture that a browser takes that knows no choice of widths.
const USUAL_WIDTH: u32 = 960;

/// A photograph as its page shows it.
#[derive(Debug, Serialize)]
pub struct PhotographView {
    file: String,
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

/// The pictures made of a photograph.
#[derive(Debug, Serialize)]
struct PictureView {
    text: String,
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

/// The smallest picture of each photograph of an observation, with the words for who cannot see it.
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
    let records = (0_u32..).map(RecordIndex).zip(&leaf.catalog().records);
    let mut places = Vec::new();
    for (index, record) in records {
        let Some(observation) = record.content.observation() else { continue };
        for (number, reference) in observation.photographs.iter().enumerate() {
            let is_shown = reference.shows.iter().any(|shown| shown.value == *feature);
            if is_shown && leaf.context.photographs.find(index, number).is_some() {
                places.push((index, number, observation));
            }
        }
    }
    let photographs = places.iter().take(most).map(|(index, number, observation)| FeaturePhotograph {
        photograph: view(leaf, *index, *number, observation),
        observation: leaf.record(*index),
    });
    (photographs.collect(), places.len().saturating_sub(most))
}

fn view(leaf: &Leaf<'_>, index: RecordIndex, number: usize, observation: &Observation) -> PhotographView {
    let reference = &observation.photographs[number];
    let vocabulary = &leaf.catalog().vocabulary;
    let known = reference.shows.iter().filter_map(|shown| vocabulary.feature(shown.value.as_str()));
    let shows: Vec<String> = known
        .map(|feature| match observation.features.get(&feature.id) {
            Some(reading) => format!("{}: {}", feature.name, readings::value(feature, &reading.value)),
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
        shows,
        credit: reference.credit.clone(),
        licence: reference.licence.clone(),
        picture: whole.and_then(|photograph| picture(leaf, photograph, text)),
    }
}

fn picture(leaf: &Leaf<'_>, photograph: &Photograph, text: String) -> Option<PictureView> {
    let pictures = photograph.pictures();
    let (wide, size) = pictures.last()?;
    let (usual, _) = pictures.iter().rfind(|(_, size)| size.width <= USUAL_WIDTH).or(pictures.first())?;
    let choice = pictures.iter().map(|(path, size)| format!("{} {}w", leaf.href(path), size.width));
    Some(PictureView {
        text,
        usual: leaf.href(usual),
        choice: choice.collect::<Vec<_>>().join(", "),
        wide: leaf.href(wide),
        width: size.width,
        height: size.height,
    })
}
