//! What changed when: one state of a feature giving way to another within a variant, a model or a line.
//!
//! `evidence` decides which garments count, and `statistics::segmentation` searches for changes. This module puts dated
//! garments in sequence and names what is found, unless another variant, factory or size explains it. It has no
//! sentences.

pub mod claim;
mod covariate;
pub mod items;
mod search;

use std::collections::BTreeMap;

use ecow::EcoString;

use crate::changeover::items::{Dated, Member};
use crate::date::DaySpan;
use crate::evidence::{CountedEvidence, Evidence};
use crate::record::id::{FeatureId, LineId, ModelId, VariantId, Whole};
use crate::resolve::Catalog;
use crate::vocabulary::Feature;

/// The changes of one feature among the dated garments of a variant, a model or a line.
#[derive(Clone, Debug)]
pub struct History {
    /// The variant, model or line.
    pub thing: Whole,
    /// The feature.
    pub feature: FeatureId,
    /// The dated items, in order of time.
    pub items: Vec<Dated>,
    /// At how many different times they lie.
    pub blocks: usize,
    /// The probability of one change or more; `None` if there are too few items, or one state was seen.
    pub probability: Option<f64>,
    /// The conclusion in one word.
    pub word: Word,
    /// The changes, in order of time; empty if no change is reported.
    pub changes: Vec<Change>,
    /// The covariates that could explain the changes.
    pub covariates: Vec<Looked>,
    /// How many settings the items come from.
    pub settings: usize,
}

/// The verdict on a feature's history.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Word {
    /// One state gave way to another.
    Changed,
    /// One state seems to have given way to another; more dated garments would tell.
    MayHaveChanged,
    /// No state gave way, but the shares of the states changed.
    ShareChanged,
    /// It seems to change, but this covariate accounts for it.
    Explained(String),
    /// It seems to change, and so may this covariate.
    CannotSeparate(String),
    /// There is no sign of a change.
    NoChangeSeen,
    /// There may be a change or none.
    Unclear,
    /// Fewer than six dated items, or all at one moment.
    TooFew,
}

/// One change.
#[derive(Clone, Debug)]
pub struct Change {
    /// Whether a state gives way to another.
    pub kind: Kind,
    /// The commonest state before it.
    pub before: Segment,
    /// The commonest state after it.
    pub after: Segment,
    /// The days within which it lies with 95 %.
    pub span: DaySpan,
}

/// Whether a state gives way to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// It does, with three items or more on either side.
    Real,
    /// The shares change.
    Share,
}

/// The items between two changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Segment {
    /// The state seen most; none if two are.
    pub state: Option<EcoString>,
    /// How many items there are.
    pub n: u64,
    /// How many show another state; `None` if no state was seen most.
    pub against: Option<u64>,
    /// The first of them, by place in [`History::items`].
    pub first: usize,
}

/// A covariate that could explain the changes, and whether it does.
#[derive(Clone, Debug)]
pub struct Looked {
    /// `variant`, `factory` or a feature's id.
    pub name: String,
    /// How many items it is known of.
    pub n: usize,
    /// The probability of a change among those garments, before any covariate is held equal; `None`
    /// if it cannot be computed.
    pub probability: Option<f64>,
    /// The same at equal values.
    pub probability_within: Option<f64>,
    /// The result of the comparison.
    pub outcome: Outcome,
}

/// The result of holding a covariate equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The change is there at equal values too.
    Holds,
    /// The change is the covariate's.
    Explains,
    /// The two cannot be told apart.
    CannotSeparate,
    /// Too little is known of it; a change is reported with a note.
    NotKnown,
}

impl Word {
    /// The words, with the covariate's name where there is one.
    pub fn words(&self) -> String {
        match self {
            Word::Changed => "changed".into(),
            Word::MayHaveChanged => "may have changed".into(),
            Word::ShareChanged => "share changed".into(),
            Word::Explained(covariate) => format!("explained by {covariate}"),
            Word::CannotSeparate(covariate) => format!("cannot separate from {covariate}"),
            Word::NoChangeSeen => "no change seen".into(),
            Word::Unclear => "unclear".into(),
            Word::TooFew => "too few".into(),
        }
    }

    /// The covariate that it names.
    pub fn covariate(&self) -> Option<&str> {
        match self {
            Word::Explained(covariate) | Word::CannotSeparate(covariate) => Some(covariate),
            _ => None,
        }
    }

    /// Says whether the conclusion is a change, sure or possible.
    pub fn is_change(&self) -> bool {
        matches!(self, Word::Changed | Word::MayHaveChanged)
    }
}

impl History {
    /// The changes in which a state gives way to another.
    pub fn real(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.kind == Kind::Real)
    }

    /// Says whether the state of the first segment came back after another.
    pub fn came_back(&self) -> bool {
        self.changes.windows(2).any(|pair| {
            let are_real = pair.iter().all(|change| change.kind == Kind::Real);
            are_real && pair[0].before.state == pair[1].after.state
        })
    }

    /// Says whether a change is reported although the factory of too few garments is known.
    pub fn is_factory_unknown(&self) -> bool {
        self.covariates.iter().any(|looked| looked.outcome == Outcome::NotKnown)
    }
}

/// The history of every feature of every line, model and variant, in this order; features in the vocabulary's.
pub fn all(counted: CountedEvidence<'_>) -> Vec<History> {
    let catalog = &counted.knowledge.catalog;
    let evidence: BTreeMap<&VariantId, Evidence<'_>> =
        catalog.variants.keys().map(|id| (id, (counted.of)(id))).collect();
    let mut things: BTreeMap<Whole, Vec<&VariantId>> = BTreeMap::new();
    for id in catalog.variants.keys() {
        wholes(catalog, id).into_iter().for_each(|whole| things.entry(whole).or_default().push(id));
    }
    let histories = things.into_iter().flat_map(|(thing, variants)| {
        let members: Vec<Member<'_>> =
            variants.iter().filter_map(|id| Some(Member::new(catalog, evidence.get(id)?))).collect();
        of_members(catalog, &thing, &members)
    });
    histories.collect()
}

/// The histories of the features of a variant, model or line; empty for anything else.
pub fn of(counted: CountedEvidence<'_>, thing: &Whole) -> Vec<History> {
    let catalog = &counted.knowledge.catalog;
    let own = catalog.variants.keys().filter(|id| wholes(catalog, id).contains(thing));
    let evidence: Vec<Evidence<'_>> = own.map(|id| (counted.of)(id)).collect();
    let members: Vec<Member<'_>> = evidence.iter().map(|evidence| Member::new(catalog, evidence)).collect();
    of_members(catalog, thing, &members)
}

/// The line, model and variant that a variant's garments are of.
fn wholes(catalog: &Catalog, id: &VariantId) -> Vec<Whole> {
    let line: Option<LineId> = catalog.variants.get(id).and_then(|entry| entry.line.clone());
    let model: ModelId = id.model();
    line.map(Whole::Line).into_iter().chain([Whole::Model(model), Whole::Variant(id.clone())]).collect()
}

fn of_members(catalog: &Catalog, thing: &Whole, members: &[Member<'_>]) -> Vec<History> {
    let features = catalog.vocabulary.iter().filter(|feature| feature.has_states());
    let explained = |feature: &Feature| {
        let mut history = search::history(catalog, thing, feature, members)?;
        if !history.changes.is_empty() && history.word != Word::Unclear {
            history.covariates = covariate::all(catalog, feature, members, &history);
            history.word = search::outcome(&history);
        }
        Some(history)
    };
    features.filter_map(explained).collect()
}
