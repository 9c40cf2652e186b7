//! Sources without a copy that overturn older statements, new landmarks on such sources, and what else is new, as JSON.

use serde::Serialize;

use crate::difference::from_nowhere::FromNowhere;
use crate::difference::landmarks::UnsupportedLandmark;
use crate::evidence::landmark;
use crate::explain;
use crate::knowledge::Knowledge;
use crate::report::difference::Told;
use crate::report::difference::json::standing;
use crate::resolve::{CitedSource, RecordIndex};

/// A new source that names no copy, with what it overturns.
#[derive(Serialize)]
pub(super) struct FromNowhereObject<'a> {
    source: &'a str,
    citation: &'a str,
    path: &'a str,
    line: usize,
    overturns: Vec<OverturnedObject<'a>>,
}

#[derive(Serialize)]
struct OverturnedObject<'a> {
    claim: &'a str,
    says: String,
    rests_on: String,
    weight: f64,
    standing: &'static str,
}

/// A new landmark that rests only on sources without a copy.
#[derive(Serialize)]
pub(super) struct LandmarkObject<'a> {
    title: &'a str,
    path: &'a str,
    line: usize,
    sources: Vec<SourceObject<'a>>,
}

/// All that is new.
#[derive(Serialize)]
pub(super) struct NewObject<'a> {
    observations: Vec<ObservationObject<'a>>,
    sources: Vec<SourceObject<'a>>,
    keys: Vec<&'a str>,
}

#[derive(Serialize)]
struct ObservationObject<'a> {
    path: &'a str,
    observer: Option<&'a str>,
}

#[derive(Serialize)]
struct SourceObject<'a> {
    source: &'a str,
    citation: &'a str,
    kind: &'static str,
    address: bool,
}

/// Converts the sources that overturn older statements.
pub(super) fn from_nowhere<'a>(told: &Told<'a>) -> Vec<FromNowhereObject<'a>> {
    told.difference.from_nowhere.iter().map(|found| overturning(told.now, found)).collect()
}

fn overturning<'a>(now: &'a Knowledge, found: &FromNowhere) -> FromNowhereObject<'a> {
    let source = now.catalog.cited(found.source);
    let file = now.catalog.sources.file(found.place.file);
    let overturned = found.overturned.iter().map(|statement| {
        let (voice, part) = statement.of(now);
        OverturnedObject {
            claim: part.name.as_str(),
            says: explain::saying(now, voice),
            rests_on: explain::authority(now, voice, part),
            weight: voice.weight.as_f64(),
            standing: standing(voice.standing),
        }
    });
    FromNowhereObject {
        source: &source.name,
        citation: &source.citation,
        path: file.path().as_str(),
        line: file.line_and_column(found.place.span.start()).0,
        overturns: overturned.collect(),
    }
}

/// Converts the landmarks that rest only on sources without a copy.
pub(super) fn landmarks<'a>(told: &Told<'a>) -> Vec<LandmarkObject<'a>> {
    told.difference.landmarks.iter().map(|found| unsupported(told.now, found)).collect()
}

fn unsupported<'a>(now: &'a Knowledge, found: &UnsupportedLandmark) -> LandmarkObject<'a> {
    let catalog = &now.catalog;
    let file = catalog.sources.file(found.place.file);
    LandmarkObject {
        title: landmark::of(catalog, found.record).map_or("", |landmark| landmark.title.value.as_str()),
        path: file.path().as_str(),
        line: file.line_and_column(found.place.span.start()).0,
        sources: found.sources.iter().map(|index| described(catalog.cited(*index))).collect(),
    }
}

fn described(source: &CitedSource) -> SourceObject<'_> {
    SourceObject {
        source: &source.name,
        citation: &source.citation,
        kind: source.kind.word(),
        address: source.has_address(),
    }
}

/// Converts what is new, all of it.
pub(super) fn new<'a>(told: &Told<'a>) -> NewObject<'a> {
    let (new, catalog) = (&told.difference.newcomers, &told.now.catalog);
    let observation = |index: &RecordIndex| {
        let record = catalog.record(*index);
        let observer = record.content.observation().and_then(|observation| observation.observer.as_ref());
        ObservationObject { path: record.path.as_str(), observer: observer.map(|observer| observer.value.as_str()) }
    };
    NewObject {
        observations: new.observations.iter().map(observation).collect(),
        sources: new.sources.iter().map(|index| described(catalog.cited(*index))).collect(),
        keys: new.keys.iter().map(|index| catalog.record(*index).path.as_str()).collect(),
    }
}
