//! Sources without a copy that overturn older claims, new landmarks on such sources, and what else is new in a change, in words.

use crate::difference::from_nowhere::FromNowhere;
use crate::difference::landmarks::UnsupportedLandmark;
use crate::explain;
use crate::knowledge::{Knowledge, Standing};
use crate::record::Record;
use crate::report::difference::{Item, Told, quoted};
use crate::resolve::{CitedSource, RecordIndex};
use crate::source::Place;

/// Each new source that names no copy and overturns older statements, with whose evidence these rest on.
pub(super) fn from_nowhere(told: &Told<'_>) -> Vec<Item> {
    told.difference.from_nowhere.iter().map(|found| overturning(told.now, found)).collect()
}

fn overturning(now: &Knowledge, found: &FromNowhere) -> Item {
    let source = now.catalog.cited(found.source);
    let (citation, place) = (plain(&source.citation), written(now, found.place));
    let lead = format!("`{citation}` in `{place}` names no copy and overturns older statements");
    let details = found.overturned.iter().map(|statement| {
        let (voice, part) = statement.of(now);
        let became = if voice.standing == Standing::SetAside { "set aside" } else { "contested" };
        format!("`{}`: {}, {became}", part.name, explain::testimony(now, voice, part))
    });
    Item { lead, details: details.collect() }
}

/// Each new landmark that rests only on sources without a copy, with these.
pub(super) fn landmarks(told: &Told<'_>) -> Vec<Item> {
    told.difference.landmarks.iter().map(|found| unsupported(told.now, found)).collect()
}

fn unsupported(now: &Knowledge, found: &UnsupportedLandmark) -> Item {
    let address = now.catalog.record(found.record).path.address();
    let lead =
        format!("`{address}` in `{}` bounds dates and rests on no source with a copy", written(now, found.place));
    let details = found.sources.iter().map(|index| {
        let source = now.catalog.cited(*index);
        let place = written(now, source.places[0]);
        format!("`{}` ({}) in `{place}` names no copy", plain(&source.citation), source.kind.word())
    });
    Item { lead, details: details.collect() }
}

/// The path and the line of a place.
fn written(now: &Knowledge, place: Place) -> String {
    let file = now.catalog.sources.file(place.file);
    format!("{}:{}", file.path(), file.line_and_column(place.span.start()).0)
}

/// The new observations, each with who recorded it.
pub(super) fn observations(told: &Told<'_>) -> Vec<Item> {
    records(told, &told.difference.newcomers.observations)
}

/// The new keys to codes.
pub(super) fn keys(told: &Told<'_>) -> Vec<Item> {
    records(told, &told.difference.newcomers.keys)
}

/// The new sources, each with its kind and citation.
pub(super) fn sources(told: &Told<'_>) -> Vec<Item> {
    let sources = told.difference.newcomers.sources.iter().map(|index| told.now.catalog.cited(*index));
    let lead = |source: &CitedSource| {
        let copy = if source.has_address() { "" } else { ", without an address" };
        format!("`{}`: `{}` ({}{copy})", plain(&source.name), plain(&source.citation), source.kind.word())
    };
    sources.map(|source| Item { lead: lead(source), details: Vec::new() }).collect()
}

fn records(told: &Told<'_>, indexes: &[RecordIndex]) -> Vec<Item> {
    let records = indexes.iter().map(|index| told.now.catalog.record(*index));
    let lead = |record: &Record| {
        let observer = record.content.observation().and_then(|observation| observation.observer.as_ref());
        let by = observer.map(|observer| format!(", recorded by `{}`", plain(&observer.value)));
        quoted(&record.path) + &by.unwrap_or_default()
    };
    records.map(|record| Item { lead: lead(record), details: Vec::new() }).collect()
}

fn plain(text: &str) -> String {
    text.replace('`', "'")
}
