//! Observations, sources and keys that the earlier state did not have.

use std::collections::BTreeSet;

use crate::difference::Files;
use crate::difference::from_nowhere;
use crate::difference::moved::Moves;
use crate::difference::state::Change;
use crate::record::id::VoiceName;
use crate::record::{Content, Record};
use crate::resolve::{Catalog, CitedSource, RecordIndex, SourceIndex};

/// Records and sources of now that the earlier state did not have.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Newcomers {
    /// Observations, in order of path.
    pub observations: Vec<RecordIndex>,
    /// Sources, shared ones first.
    pub sources: Vec<SourceIndex>,
    /// Keys to codes, in order of path.
    pub keys: Vec<RecordIndex>,
}

/// Finds them, each list in order of path or name.
pub(super) fn of(change: &Change<'_>) -> Newcomers {
    let now = &change.now.knowledge.catalog;
    Newcomers {
        observations: added(now, &change.files, |record| record.content.observation().is_some()),
        sources: sources(change),
        keys: added(now, &change.files, |record| matches!(record.content, Content::Key(_))),
    }
}

fn added(now: &Catalog, files: &Files, is_meant: fn(&Record) -> bool) -> Vec<RecordIndex> {
    let numbered = (0..).map(RecordIndex).zip(&now.records);
    let added = numbered.filter(|(_, record)| is_meant(record) && files.added.contains(&record.path));
    added.map(|(index, _)| index).collect()
}

/// Sources whose words and name both differ from every earlier one: a corrected or moved source is not new.
fn sources(change: &Change<'_>) -> Vec<SourceIndex> {
    let (earlier, now) = (change.earlier.knowledge, change.now.knowledge);
    let names = |catalog: &Catalog, moves: &Moves| -> BTreeSet<VoiceName> {
        catalog.cited.iter().map(|source| moves.voice(&name(catalog, source))).collect()
    };
    let known = names(&earlier.catalog, &change.earlier.moves);
    let new = from_nowhere::new_sources(earlier, now).into_iter();
    new.filter(|index| !known.contains(&name(&now.catalog, now.catalog.cited(*index)))).collect()
}

/// A name that says in which file a source stands.
fn name(catalog: &Catalog, source: &CitedSource) -> VoiceName {
    match source.record {
        Some(record) => VoiceName::new(format!("{}#", catalog.record(record).path)),
        None => VoiceName::new(source.name.clone()),
    }
}
