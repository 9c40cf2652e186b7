//! The answer for a garment in words: the paragraph a seller may paste, and the sentences it is made of.

use crate::dating::answer::{Answer, Garment, Hard, Spread};
use crate::evidence::landmark;
use crate::explain::CAUTION;
use crate::knowledge::Knowledge;
use crate::record::id::{LandmarkId, VariantId};
use crate::record::landmark::Landmark;
use crate::record::{Content, Record};

/// Stands over the variants where the maker of the garment is not known.
pub const NEAREST: &str = "nearest among the recorded ones; it may be none of them";

/// What is said where no hard landmark speaks.
pub const UNBOUND: &str = "No landmark bounds its date.";

/// The condition of every bound that rests on a label.
pub const ORIGINAL: &str = "if the label is original to the garment and no copy";

/// What silence means where few garments are recorded.
pub const SILENCE: &str = "Where few garments are recorded, that nothing looks unusual means little.";

/// Writes what may stand under an offer: bounds and years with what they rest on, and what they are worth.
pub fn paragraph(knowledge: &Knowledge, version: &str, (garment, answer): (&Garment, &Answer)) -> String {
    let mut sentences = vec![format!("Dated with {}, version {version}.", knowledge.catalog.about.title)];
    sentences.extend(bounds(knowledge, &answer.hard));
    if answer.is_contradiction {
        sentences.push("What it shows cannot all be so; one of its parts may be replaced or misread.".to_string());
    } else if garment.known.has_maker() {
        sentences.extend(likeness(knowledge, &answer.variants));
        sentences.extend(answer.years.as_ref().map(years));
    } else {
        sentences.push("Its maker is not known, so no variant is named.".to_string());
    }
    if answer.is_unlike() {
        sentences.push("It is unlike anything recorded.".to_string());
    }
    sentences.push(CAUTION.to_string());
    sentences.join(" ")
}

/// Says what no opinion can move, and what gives it.
pub fn bounds(knowledge: &Knowledge, hard: &Hard) -> Vec<String> {
    let mut sentences = Vec::new();
    if let Some(day) = hard.not_before {
        sentences.push(format!("Not made before {day}, {ORIGINAL}: {}.", titles(knowledge, &hard.not_before_by)));
    }
    if let Some(day) = hard.not_after {
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

/// What a landmark is called.
pub fn title<'a>(knowledge: &'a Knowledge, id: &'a LandmarkId) -> &'a str {
    landmark(knowledge, id).map_or(id.as_str(), |(_, landmark)| landmark.title.value.as_str())
}

/// The sources of a landmark, each with the place in it.
pub fn cited(knowledge: &Knowledge, id: &LandmarkId) -> Vec<String> {
    let Some((record, landmark)) = landmark(knowledge, id) else { return Vec::new() };
    let catalog = &knowledge.catalog;
    let sources = landmark.sources.iter().map(|source| {
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

/// The first variant, and the next where it is worth a percent.
fn likeness(knowledge: &Knowledge, variants: &[(VariantId, f64)]) -> Option<String> {
    let said = |(variant, probability): &(VariantId, f64)| {
        format!("{} ({} %)", name(knowledge, variant), percent(*probability))
    };
    let first = variants.first().map(said)?;
    let next = variants.get(1).filter(|(_, probability)| percent(*probability) > 0).map(said);
    let next = next.map_or(String::new(), |next| format!(", then {next}"));
    Some(format!("Of the recorded variants it is most like {first}{next}."))
}

/// What people call a variant, with its maker and model.
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

/// Says in which years it was made, with 50 and with 95 percent.
pub fn years(spread: &Spread) -> String {
    format!("Made {} with 50 %, {} with 95 %.", spans(&spread.spans(0.5)), spans(&spread.spans(0.95)))
}

/// Writes runs of years: `from 1971 to 1975 or in 1979`.
pub fn spans(spans: &[(i32, i32)]) -> String {
    let words = spans.iter().map(|(first, last)| match first == last {
        true => format!("in {first}"),
        false => format!("from {first} to {last}"),
    });
    words.collect::<Vec<String>>().join(" or ")
}

/// A probability in whole percent.
pub fn percent(probability: f64) -> u32 {
    (probability * 100.0 + 0.5).floor() as u32
}

#[cfg(test)]
mod tests {
    use super::{percent, spans};

    #[test]
    fn runs_of_years_read_as_people_say_them() {
        assert_eq!(spans(&[(1971, 1975), (1979, 1979)]), "from 1971 to 1975 or in 1979");
        assert_eq!((percent(0.615), percent(0.004), percent(1.0)), (62, 0, 100));
    }
}
