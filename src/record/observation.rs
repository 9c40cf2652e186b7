//! The readings of one garment or document of one variant.
//!
//! Readings are kept as recorded; `evidence` decides which count.

use litemap::LiteMap;

use crate::date::Day;
use crate::date::edtf::Edtf;
use crate::record::citation::Source;
use crate::record::claim::{Claim, SourceReference};
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, StateId, VariantId};
use crate::source::{Span, Spanned};

/// One observation file.
#[derive(Clone, Debug)]
pub struct Observation {
    /// The variant it is filed under, or what is known of an unplaced garment.
    pub placement: Placement,
    /// The kind of object examined.
    pub basis: Spanned<Basis>,
    /// The day somebody looked.
    pub observed: Option<Spanned<Day>>,
    /// Who looked.
    pub observer: Option<Spanned<String>>,
    /// Another entry of this same garment.
    pub same_as: Option<Spanned<String>>,
    /// Garments found together carry the same word.
    pub find: Option<String>,
    /// Where it was made, a free id.
    pub factory: Option<String>,
    /// Where it was sold new, ISO 3166-1 alpha-2.
    pub market: Option<Spanned<String>>,
    /// Why it is of this variant.
    pub placed_by: Option<Spanned<PlacedBy>>,
    /// The features it was placed by; never empty if `placed_by` is judged.
    pub placed_from: Vec<Spanned<JudgedFrom>>,
    /// When it was made, or the date of the document.
    pub made: Option<Spanned<Edtf>>,
    /// How that is known; a specimen without it is an estimate.
    pub made_by: Option<Spanned<MadeBy>>,
    /// The source of the key the date was read through.
    pub made_source: Option<Spanned<SourceReference>>,
    /// The features an estimate was judged from; `None` means every feature.
    pub made_from: Option<Vec<Spanned<JudgedFrom>>>,
    /// The contributor's own words for the date.
    pub made_as_written: Option<String>,
    /// The evidence for the date.
    pub made_note: Option<String>,
    /// Where the document or the statement is.
    pub sources: Vec<Spanned<SourceReference>>,
    /// The examined features and their readings.
    pub features: LiteMap<FeatureId, Reading>,
    /// Its statements about dates.
    pub claims: Vec<Claim>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
    /// Photographs in the file's folder.
    pub photographs: Vec<PhotographReference>,
}

impl Observation {
    /// The code of its market without its place.
    pub fn market(&self) -> Option<&str> {
        self.market.as_ref().map(|market| market.value.as_str())
    }
}

/// Where an observation belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Placement {
    /// Filed under a variant.
    Variant(VariantId),
    /// Filed under `entries/unplaced/`.
    Unplaced(Box<Unplaced>),
}

/// The facts about a garment without a known variant.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Unplaced {
    /// Its maker.
    pub maker: Option<Spanned<MakerId>>,
    /// Its model.
    pub model: Option<Spanned<ModelId>>,
    /// Its label line.
    pub line: Option<Spanned<LineId>>,
    /// The wearer it was cut for.
    pub wearer: Option<Wearer>,
    /// Variants it may be of.
    pub perhaps: Vec<Spanned<VariantId>>,
}

/// The kind of object examined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A garment.
    Specimen,
    /// A catalogue page, a photograph, a patent.
    Document,
    /// Somebody's words; gives claims, never evidence about features.
    Statement,
}

/// Why an observation is of its variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlacedBy {
    /// A label or number on it names it.
    Mark,
    /// A receipt or document names it.
    Paper,
    /// Somebody judged so.
    Judged,
}

/// How a date made is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MadeBy {
    /// A date on the garment.
    Mark,
    /// A receipt or dated photograph.
    Paper,
    /// A code read through somebody's key.
    Key,
    /// Somebody's judgement.
    Estimate,
}

/// The evidence for a placing or an estimate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum JudgedFrom {
    /// A feature.
    Feature(FeatureId),
    /// A word that is no feature: `line`, `model`, `variant`, `wear`.
    Word(String),
    /// No reason stated (`unsaid`): counts as every feature.
    Unsaid,
}

/// The wearer a garment was cut for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wearer {
    /// Men.
    Men,
    /// Women.
    Women,
    /// Youth.
    Youth,
    /// Anybody.
    Unisex,
}

impl Wearer {
    /// Every wearer with its word.
    pub const ALL: [(Wearer, &'static str); 4] =
        [(Wearer::Men, "men"), (Wearer::Women, "women"), (Wearer::Youth, "youth"), (Wearer::Unisex, "unisex")];

    /// Reads the word.
    pub fn parse(word: &str) -> Option<Wearer> {
        Wearer::ALL.iter().find(|(_, name)| *name == word).map(|(wearer, _)| *wearer)
    }

    /// The word.
    pub fn word(self) -> &'static str {
        Wearer::ALL.iter().find(|(wearer, _)| *wearer == self).map_or("", |(_, word)| word)
    }
}

/// The reading of a feature.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The value.
    pub value: Value,
    /// The part was replaced or changed: shown, never evidence.
    pub altered: bool,
    /// The reading is doubtful: shown, not counted.
    pub unsure: bool,
    /// Anything else to say.
    pub note: Option<String>,
    /// The key and its value.
    pub span: Span,
}

/// The value of a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A state the vocabulary lists.
    State(StateId),
    /// How many; never 0.
    Count(u32),
    /// A length or another quantity in the vocabulary's unit.
    Measure(f64),
    /// A printed number.
    Number(f64),
    /// Letters and digits as they stand.
    Code(String),
    /// Looked for, was never there.
    Absent,
    /// Was there and is gone, or cannot be told.
    Lost,
    /// The vocabulary has no word for it yet.
    Other(String),
}

/// A photograph in the file's folder.
#[derive(Clone, Debug)]
pub struct PhotographReference {
    /// The file's name in the same folder.
    pub file: Spanned<String>,
    /// The features it shows.
    pub shows: Vec<Spanned<FeatureId>>,
    /// Who took it.
    pub credit: Option<String>,
    /// Under which licence, SPDX.
    pub licence: Option<String>,
}
