//! The words that entry files use for values, and the files that are observations.

use crate::record::Record;
use crate::record::observation::{Basis, JudgedFrom, MadeBy, Observation, PlacedBy, Placement, Wearer};
use crate::resolve::{Catalog, RecordIndex};

/// The words of `basis`.
pub const BASES: &[&str] = &["specimen", "document", "statement"];
/// The words of `placed-by`.
pub const PLACED_BY: &[&str] = &["mark", "paper", "judged"];
/// The words of `made-by`.
pub const MADE_BY: &[&str] = &["mark", "paper", "key", "estimate"];

/// One observation with its file.
#[derive(Clone, Copy)]
pub struct Entry<'a> {
    /// Its place in the catalog.
    pub index: RecordIndex,
    /// The file.
    pub record: &'a Record,
    pub observation: &'a Observation,
}

/// Where an entry belongs, as far as it is known.
#[derive(Default)]
pub struct Place {
    /// The maker's id.
    pub maker: String,
    /// The model's id, with its maker.
    pub model: String,
    /// The variant's id, with maker and model.
    pub variant: String,
    /// The label line's id, with its maker.
    pub line: String,
    /// Whom it was cut for.
    pub wearer: String,
}

/// Every observation, placed or not, in order of path.
pub fn all(catalog: &Catalog) -> impl Iterator<Item = Entry<'_>> {
    let records = catalog.records.iter().enumerate();
    records.filter_map(|(number, record)| {
        let observation = record.content.observation()?;
        Some(Entry { index: RecordIndex(number as u32), record, observation })
    })
}

/// Says where an entry belongs; line and wearer of a placed one are its variant's.
pub fn place(catalog: &Catalog, observation: &Observation) -> Place {
    match &observation.placement {
        Placement::Variant(id) => {
            let entry = catalog.variants.get(id);
            let variant = entry.and_then(|entry| match &catalog.record(entry.record).content {
                crate::record::Content::Variant(variant) => Some(variant),
                _ => None,
            });
            Place {
                maker: id.maker().to_string(),
                model: id.model().to_string(),
                variant: id.to_string(),
                line: entry.and_then(|entry| entry.line.as_ref()).map(ToString::to_string).unwrap_or_default(),
                wearer: variant.map(|variant| variant.wearer.word()).unwrap_or_default().to_string(),
            }
        }
        Placement::Unplaced(unplaced) => Place {
            maker: unplaced.maker.as_ref().map(|id| id.value.to_string()).unwrap_or_default(),
            model: unplaced.model.as_ref().map(|id| id.value.to_string()).unwrap_or_default(),
            variant: String::new(),
            line: unplaced.line.as_ref().map(|id| id.value.to_string()).unwrap_or_default(),
            wearer: unplaced.wearer.map(Wearer::word).unwrap_or_default().to_string(),
        },
    }
}

/// The word of a basis.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Specimen => "specimen",
        Basis::Document => "document",
        Basis::Statement => "statement",
    }
}

/// The word of a reason for a placing.
pub fn placed_by(placed_by: PlacedBy) -> &'static str {
    match placed_by {
        PlacedBy::Mark => "mark",
        PlacedBy::Paper => "paper",
        PlacedBy::Judged => "judged",
    }
}

/// The word of how a date is known.
pub fn made_by(made_by: MadeBy) -> &'static str {
    match made_by {
        MadeBy::Mark => "mark",
        MadeBy::Paper => "paper",
        MadeBy::Key => "key",
        MadeBy::Estimate => "estimate",
    }
}

/// The word for what something was judged from.
pub fn judged_from(from: &JudgedFrom) -> &str {
    match from {
        JudgedFrom::Feature(feature) => feature.as_str(),
        JudgedFrom::Word(word) => word,
        JudgedFrom::Unsaid => "unsaid",
    }
}
