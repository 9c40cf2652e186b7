//! The unambiguous repair of a mistake, as bytes to write in place of others.
//!
//! A mistake that can mean two things has none, nor has one whose repair would change what somebody saw.

use crate::source::edit::Edit;

/// The one repair of a mistake, in the file that it stands in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// The changes, sorted by place; no two overlap.
    pub edits: Vec<Edit>,
    /// What they do.
    pub deed: Deed,
}

/// What a repair does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deed {
    /// Writes this text, without the quotation marks that stay.
    Write(String),
    /// A key moves above the header of a table; this is the header.
    MoveAbove(String),
}

impl Repair {
    /// Writes a text in place of another.
    pub fn write(edit: Edit, shown: impl Into<String>) -> Repair {
        Repair { edits: vec![edit], deed: Deed::Write(shown.into()) }
    }

    /// Says whether the two change the same bytes, or write at the same place.
    pub fn overlaps(&self, other: &Repair) -> bool {
        let pairs = self.edits.iter().flat_map(|edit| other.edits.iter().map(move |other| (edit.span, other.span)));
        let mut pairs = pairs.map(|(one, two)| one == two || one.start() < two.end() && two.start() < one.end());
        pairs.any(|is_overlap| is_overlap)
    }
}
