//! New landmarks that rest only on sources without a copy.
//!
//! It has no words. A landmark that the earlier state had is not looked at again.

use std::collections::BTreeSet;

use crate::difference::from_nowhere;
use crate::difference::moved::Moves;
use crate::evidence::landmark;
use crate::knowledge::Knowledge;
use crate::resolve::{Catalog, RecordIndex, SourceIndex};
use crate::source::{FilePath, Place};

/// A new landmark, none of whose sources anybody can look up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnsupportedLandmark {
    /// Its record.
    pub record: RecordIndex,
    /// Where its title is written.
    pub place: Place,
    /// Its sources, in the order of its file, each once; never empty.
    pub sources: Vec<SourceIndex>,
}

/// Finds them in the state of now, in order of the landmarks' ids.
pub fn of(earlier: &Knowledge, now: &Knowledge, moves: &Moves) -> Vec<UnsupportedLandmark> {
    let (before, catalog) = (&earlier.catalog, &now.catalog);
    let known: BTreeSet<FilePath> =
        before.landmarks.values().map(|index| moves.path(&before.record(*index).path)).collect();
    let new = catalog.landmarks.values().filter(|index| !known.contains(&catalog.record(**index).path));
    let new: Vec<UnsupportedLandmark> = new.filter_map(|index| with_sources(catalog, *index)).collect();
    let sources = new.iter().flat_map(|one| one.sources.iter().copied()).collect();
    let without_copy = from_nowhere::without_copy(catalog, sources);
    new.into_iter().filter(|one| one.sources.iter().all(|source| without_copy.contains(source))).collect()
}

/// The landmark of a record with its sources, if it has any.
fn with_sources(catalog: &Catalog, index: RecordIndex) -> Option<UnsupportedLandmark> {
    let record = catalog.record(index);
    let landmark = landmark::of(catalog, index)?;
    let mut sources: Vec<SourceIndex> = Vec::new();
    for named in landmark.sources.iter().filter_map(|source| catalog.source_named(record.file, &source.value.id)) {
        if !sources.contains(&named) {
            sources.push(named);
        }
    }
    let place = catalog.place(record, &landmark.title);
    (!sources.is_empty()).then_some(UnsupportedLandmark { record: index, place, sources })
}
