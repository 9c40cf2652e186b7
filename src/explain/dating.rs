//! The sentences of an answer for a garment: bounds, names, readings.

use crate::date::spoken;
use crate::dating::answer::{self, Hard};
use crate::evidence::landmark;
use crate::knowledge::Knowledge;
use crate::record::claim::SourceReference;
use crate::record::id::{LandmarkId, VariantId};
use crate::record::landmark::Landmark;
use crate::record::observation::Value;
use crate::record::{Content, Record};
use crate::source::Spanned;
use crate::vocabulary::{Feature, Kind, measure};

/// The heading over the variants if the maker of the garment is not known.
pub const NEAREST: &str = "nearest of the recorded variants; it may be none of them";

/// The sentence if no hard landmark limits the date.
pub const UNBOUND: &str = "No landmark limits its date.";

/// The condition of every bound that rests on a label.
pub const ORIGINAL: &str = "if the label is original to the garment and not a copy";

/// The caution if few garments are recorded.
pub const SILENCE: &str = "With few garments recorded, an unremarkable result proves little.";

/// A reading, in the words of the vocabulary.
pub fn reading(feature: &Feature, value: &Value) -> String {
    let text = answer::text(value);
    match (value, &feature.kind) {
        (Value::State(_) | Value::Absent | Value::Lost, _) => feature.label(&text),
        (Value::Measure(number), Kind::Measure(kind)) => measure::words(*number, kind.unit),
        _ => text,
    }
}

/// Says the hard bounds, and the landmarks that give them.
pub fn bounds(knowledge: &Knowledge, hard: &Hard) -> Vec<String> {
    let mut sentences = Vec::new();
    if let Some(day) = hard.not_before {
        let day = spoken::before(day);
        sentences.push(format!("Not made before {day}, {ORIGINAL}: {}.", titles(knowledge, &hard.not_before_by)));
    }
    if let Some(day) = hard.not_after {
        let day = spoken::by(day);
        sentences.push(format!("Not made after {day}, {ORIGINAL}: {}.", titles(knowledge, &hard.not_after_by)));
    }
    if sentences.is_empty() {
        sentences.push(UNBOUND.to_string());
    }
    sentences
}

fn titles(knowledge: &Knowledge, landmarks: &[LandmarkId]) -> String {
    let titles: Vec<&str> = landmarks.iter().map(|id| title(knowledge, id)).collect();
    titles.join("; ")
}

/// The title of a landmark.
pub fn title<'a>(knowledge: &'a Knowledge, id: &'a LandmarkId) -> &'a str {
    landmark(knowledge, id).map_or(id.as_str(), |(_, landmark)| landmark.title.value.as_str())
}

/// The sources of a landmark, each with the place in it.
pub fn cited(knowledge: &Knowledge, id: &LandmarkId) -> Vec<String> {
    landmark(knowledge, id).map_or_else(Vec::new, |(record, landmark)| citations(knowledge, record, &landmark.sources))
}

/// The sources that a record names, each with the place in it.
pub fn citations(knowledge: &Knowledge, record: &Record, sources: &[Spanned<SourceReference>]) -> Vec<String> {
    let catalog = &knowledge.catalog;
    let sources = sources.iter().map(|source| {
        let cited = catalog.source_named(record.file, &source.value.id).map(|index| catalog.cited(index));
        let citation = cited.map_or(source.value.id.as_str(), |cited| cited.citation.as_str());
        format!("{citation} {}", source.value.locator).trim_end().to_string()
    });
    sources.collect()
}

fn landmark<'a>(knowledge: &'a Knowledge, id: &LandmarkId) -> Option<(&'a Record, &'a Landmark)> {
    let index = *knowledge.catalog.landmarks.get(id)?;
    Some((knowledge.catalog.record(index), landmark::of(&knowledge.catalog, index)?))
}

/// The name of a variant, with its maker and model.
pub fn name(knowledge: &Knowledge, variant: &VariantId) -> String {
    let catalog = &knowledge.catalog;
    let maker = catalog.makers.get(&variant.maker()).map(|entry| &catalog.record(entry.record).content);
    let model = catalog.models.get(&variant.model()).map(|entry| &catalog.record(entry.record).content);
    let own = catalog.variants.get(variant).map(|entry| &catalog.record(entry.record).content);
    let names = [maker, model, own].into_iter().flatten().filter_map(|content| match content {
        Content::Maker(maker) => Some(maker.name.as_str()),
        Content::Model(model) => Some(model.name.as_str()),
        Content::Variant(variant) => Some(variant.name.as_str()),
        _ => None,
    });
    names.collect::<Vec<&str>>().join(", ")
}

/// A probability in whole percent.
pub fn percent(probability: f64) -> u32 {
    (probability * 100.0 + 0.5).floor() as u32
}

/// The share that a mark would rule out, in words: never all, since such a mark is not named.
pub fn ruled_out(share: f64) -> String {
    match percent(share) {
        100 => "more than 99 %".to_string(),
        percent => format!("{percent} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::{percent, ruled_out};

    #[test]
    fn a_mark_that_leaves_a_little_is_not_rounded_to_all() {
        assert_eq!(ruled_out(0.994), "99 %");
        assert_eq!(ruled_out(0.996), "more than 99 %");
        assert_eq!(ruled_out(0.999_999_9), "more than 99 %");
    }

    #[test]
    fn a_probability_is_said_in_whole_percent() {
        assert_eq!((percent(0.615), percent(0.004), percent(1.0)), (62, 0, 100));
    }
}
