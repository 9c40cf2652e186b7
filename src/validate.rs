//! Raw records to typed records, against the JSON Schemas and the vocabulary.
//!
//! One record at a time: whether an id leads anywhere is not asked here.

use std::collections::BTreeMap;

use crate::fault::Fault;
use crate::record::Record;
use crate::source::{FileId, FilePath};
use crate::vocabulary::Vocabulary;

/// What could be made of all files.
#[derive(Clone, Debug, Default)]
pub struct Validated {
    /// The features and states.
    pub vocabulary: Vocabulary,
    /// The records that can be used, sorted by path.
    pub records: Vec<Record>,
    /// The records that cannot, whose ids stay known so that nobody else is blamed.
    pub unusable: BTreeMap<FilePath, FileId>,
    /// What is wrong.
    pub faults: Vec<Fault>,
}
