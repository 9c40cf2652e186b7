//! The content of one file of `entries/`: typed, complete, still alone.
//!
//! Nothing here looks at other records; ids may lead nowhere.

pub mod citation;
pub mod claim;
pub mod id;
pub mod key;
pub mod landmark;
pub mod market;
pub mod observation;

use std::collections::BTreeMap;

use crate::record::citation::Source;
use crate::record::claim::Claim;
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, StateId, VariantId, VoiceName};
use crate::record::key::CodeKey;
use crate::record::landmark::Landmark;
use crate::record::observation::{Observation, Wearer};
use crate::source::{FileId, FilePath, Span, Spanned};

/// One file of `entries/`.
#[derive(Clone, Debug)]
pub struct Record {
    pub file: FileId,
    /// Its path, which is its identity.
    pub path: FilePath,
    /// Its earlier addresses: paths under `entries/` without `.md`.
    pub formerly: Vec<Spanned<String>>,
    /// Lints that are not to be raised here.
    pub allow: Vec<Allowance>,
    /// The Markdown below the front matter.
    pub body: Span,
    /// Its kind, with everything else it says.
    pub content: Content,
}

/// A lint that a contributor has considered and accepts.
#[derive(Clone, Debug)]
pub struct Allowance {
    /// The lint's code.
    pub lint: Spanned<String>,
    /// Why.
    pub reason: String,
}

/// The kinds of record.
#[derive(Clone, Debug)]
pub enum Content {
    /// `entries/about.md`.
    About(Box<About>),
    /// `entries/sources/…`.
    Source(Box<Source>),
    /// `entries/landmarks/…`.
    Landmark(Box<Landmark>),
    /// `entries/keys/…`.
    Key(Box<CodeKey>),
    /// `entries/disputes/…`.
    Dispute(Box<Dispute>),
    /// `…/maker.md`.
    Maker(Box<Maker>),
    /// `…/model.md`.
    Model(Box<Model>),
    /// `…/variant.md`.
    Variant(Box<Variant>),
    /// An observation, placed or not.
    Observation(Box<Observation>),
}

impl Content {
    /// The claims of the file.
    pub fn claims(&self) -> &[Claim] {
        match self {
            Content::Maker(maker) => &maker.claims,
            Content::Model(model) => &model.claims,
            Content::Variant(variant) => &variant.claims,
            Content::Observation(observation) => &observation.claims,
            _ => &[],
        }
    }

    /// The claim of a name: its own id, or else its number.
    pub fn claim(&self, name: &str) -> Option<&Claim> {
        self.claims().iter().find(|claim| match &claim.id {
            Some(id) => id.value == name,
            None => claim.number.to_string() == name,
        })
    }

    /// The sources that only this file uses.
    pub fn local_sources(&self) -> &[Source] {
        match self {
            Content::Maker(maker) => &maker.local_sources,
            Content::Model(model) => &model.local_sources,
            Content::Variant(variant) => &variant.local_sources,
            Content::Observation(observation) => &observation.local_sources,
            Content::Landmark(landmark) => &landmark.local_sources,
            Content::Key(key) => &key.local_sources,
            _ => &[],
        }
    }

    /// The observation, if it is one.
    pub fn observation(&self) -> Option<&Observation> {
        match self {
            Content::Observation(observation) => Some(observation),
            _ => None,
        }
    }
}

/// The settings of the knowledge base.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// Its name.
    pub title: String,
    /// One or two sentences.
    pub summary: String,
    /// Under which licence it is, SPDX.
    pub licence: String,
    /// Its language, BCP 47.
    pub language: String,
    /// The address of the site.
    pub address: Option<String>,
    /// The address at which a new file is begun at the Git host.
    pub edit_url: Option<String>,
    /// Where people without an account send what they saw: a mail address, or an address on the web.
    pub contact: Option<String>,
    /// How many years `~` widens a year.
    pub circa_years: u32,
    /// Entries that are published but not counted.
    pub withheld: Vec<Withheld>,
    /// The weights of sources.
    pub weight: Weights,
}

/// Entries taken out of all conclusions.
#[derive(Clone, Debug, PartialEq)]
pub struct Withheld {
    /// Which entries.
    pub what: Spanned<WithheldWhat>,
    /// Why.
    pub reason: String,
}

/// Which entries are withheld.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WithheldWhat {
    /// One entry, or all below a folder: a path under `entries/` without `.md`.
    Path(String),
    /// All entries of an observer.
    Observer(String),
    /// All that rests on a source alone: its id, or `<path>#<id>` for one that only a file has.
    Source(String),
}

/// The weights of sources, whole positive numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weights {
    /// A source made at the time.
    pub contemporary: u32,
    /// A garment or a dated paper in hand.
    pub in_hand: u32,
    /// Written later from others.
    pub secondary: u32,
    /// Somebody says so.
    pub statement: u32,
}

impl Default for Weights {
    fn default() -> Weights {
        Weights { contemporary: 4, in_hand: 4, secondary: 2, statement: 1 }
    }
}

/// A conflict that people have looked at.
#[derive(Clone, Debug)]
pub struct Dispute {
    /// The claims it is about, and what each said then.
    pub claims: Vec<DisputedClaim>,
    /// Whether it is settled.
    pub status: DisputeStatus,
    /// The voices that it sets aside, if it is settled.
    pub set_aside: Vec<Spanned<VoiceName>>,
}

/// A claim of a dispute.
#[derive(Clone, Debug)]
pub struct DisputedClaim {
    /// Its name.
    pub claim: Spanned<VoiceName>,
    /// The claim's words when the dispute was written: `introduced 1977~`.
    pub says: Spanned<String>,
}

/// Whether people agree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DisputeStatus {
    /// Not yet.
    Open,
    /// They do.
    Settled,
}

/// A maker and its label lines.
#[derive(Clone, Debug)]
pub struct Maker {
    /// Its id, from the path.
    pub id: MakerId,
    /// Its name.
    pub name: String,
    /// Its label lines.
    pub lines: Vec<Line>,
    /// Claims about dates.
    pub claims: Vec<Claim>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
}

/// A label line: a product line of one maker, told by its label.
#[derive(Clone, Debug)]
pub struct Line {
    /// Its id.
    pub id: Spanned<LineId>,
    /// Its name.
    pub name: String,
    /// How to recognise its label.
    pub sign: Option<String>,
    /// The features of its label: `defining` features, each with the one value that every garment
    /// of the line has.
    pub shows: BTreeMap<FeatureId, Spanned<StateId>>,
}

/// A model: the pattern as the maker named or numbered it.
#[derive(Clone, Debug)]
pub struct Model {
    /// Its id, from the path.
    pub id: ModelId,
    /// Its name.
    pub name: String,
    /// What sort of garment it is: `trousers`.
    pub garment: Spanned<String>,
    /// What somebody says about dates.
    pub claims: Vec<Claim>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
}

/// A variant: one model in one label line for one wearer, in one unbroken run.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its id, from the path.
    pub id: VariantId,
    /// Its name.
    pub name: String,
    /// Its label line.
    pub line: Spanned<LineId>,
    /// The wearer it was cut for.
    pub wearer: Wearer,
    /// The variant whose run it takes up again.
    pub revives: Option<Spanned<VariantId>>,
    /// What somebody says about dates.
    pub claims: Vec<Claim>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
}
