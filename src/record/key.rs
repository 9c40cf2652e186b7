//! A key: how a maker's code on a garment is read, and who says so.

use crate::code::Notation;
use crate::date::edtf::Edtf;
use crate::record::citation::Source;
use crate::record::claim::SourceReference;
use crate::record::id::{FeatureId, MakerId};
use crate::source::Spanned;

/// One key file.
#[derive(Clone, Debug)]
pub struct CodeKey {
    /// The name of the code.
    pub title: Spanned<String>,
    /// The feature that holds the code.
    pub reads: Spanned<FeatureId>,
    /// The makers on whose garments it is read; empty for all.
    pub makers: Vec<Spanned<MakerId>>,
    /// Codes of its forms were not used before the first day of this.
    pub not_before: Option<Spanned<Edtf>>,
    /// Codes of its forms were not used after the last day of this.
    pub not_after: Option<Spanned<Edtf>>,
    /// Its forms, with the days of these two.
    pub notation: Notation,
    /// Codes with what the key must read from them.
    pub examples: Vec<KeyExample>,
    /// Who says how the code is read.
    pub sources: Vec<Spanned<SourceReference>>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
}

/// An example: a code with what its key must read from it.
#[derive(Clone, Debug)]
pub struct KeyExample {
    /// The code.
    pub code: Spanned<String>,
    /// Every date it can mean.
    pub reads: Spanned<Edtf>,
    /// The factory it names.
    pub factory: Option<Spanned<String>>,
}

impl CodeKey {
    /// Says whether it is read on garments of a maker.
    pub fn is_of(&self, maker: &MakerId) -> bool {
        self.makers.is_empty() || self.makers.iter().any(|own| own.value == *maker)
    }
}
