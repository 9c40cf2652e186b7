//! Exports landmarks: bounds as days, years of stock included.

use crate::date::Day;
use crate::evidence::landmark::{not_after, not_before, of};
use crate::publish::export::rules::condition;
use crate::publish::export::rules::format::{Landmark, Source};
use crate::record::Record;
use crate::record::claim::SourceReference;
use crate::record::id::LandmarkId;
use crate::record::landmark::{self, Force};
use crate::resolve::Catalog;

/// Exports every landmark, sorted by id.
pub fn all(catalog: &Catalog) -> Vec<Landmark<'_>> {
    let landmarks = catalog.landmarks.iter();
    landmarks
        .filter_map(|(id, index)| Some(export(catalog, id, catalog.record(*index), of(catalog, *index)?)))
        .collect()
}

fn export<'a>(
    catalog: &'a Catalog,
    id: &'a LandmarkId,
    record: &'a Record,
    landmark: &'a landmark::Landmark,
) -> Landmark<'a> {
    let (force, odds) = match landmark.force {
        Force::Hard { odds } => ("hard", odds),
        Force::Soft { odds } => ("soft", odds),
    };
    let day = |day: Option<Day>| day.map(|day| day.to_string());
    Landmark {
        id: id.as_str(),
        title: &landmark.title.value,
        condition: condition::export(&landmark.when.value),
        not_before: day(not_before(landmark, catalog.circa())),
        not_after: day(not_after(landmark, catalog.circa())),
        force,
        odds,
        market: landmark.market(),
        sources: landmark.sources.iter().map(|source| self::source(catalog, record, &source.value)).collect(),
    }
}

/// Exports a source that a record names.
pub fn source<'a>(catalog: &'a Catalog, record: &Record, reference: &'a SourceReference) -> Source<'a> {
    let cited = catalog.source_named(record.file, &reference.id).map(|index| catalog.cited(index));
    Source {
        citation: cited.map_or(reference.id.as_str(), |cited| cited.citation.as_str()),
        locator: Some(reference.locator.as_str()).filter(|locator| !locator.is_empty()),
        url: cited.and_then(|cited| cited.url.as_deref()),
    }
}
