//! A landmark: a public fact that bounds the date of anything bearing a feature.

use crate::date::edtf::Edtf;
use crate::record::citation::Source;
use crate::record::claim::SourceReference;
use crate::record::id::{FeatureId, StateId};
use crate::source::Spanned;

/// One landmark file.
#[derive(Clone, Debug)]
pub struct Landmark {
    /// The name of the fact.
    pub title: Spanned<String>,
    /// Which garments it applies to.
    pub when: Spanned<Condition>,
    /// Nothing that bears it was made before the first day of this.
    pub not_before: Option<Spanned<Edtf>>,
    /// Nothing that bears it was made after the last day of this, and the years of stock.
    pub not_after: Option<Spanned<Edtf>>,
    /// Whether exceptions are possible.
    pub force: Force,
    /// The market it holds in, ISO 3166-1 alpha-2; `None` is everywhere.
    pub market: Option<Spanned<String>>,
    /// Years that old labels were used up, added to `not_after`.
    pub stock_years: u32,
    /// The sources of the fact.
    pub sources: Vec<Spanned<SourceReference>>,
    /// Sources used only in this file.
    pub local_sources: Vec<Source>,
}

impl Landmark {
    /// The code of its market without its place.
    pub fn market(&self) -> Option<&str> {
        self.market.as_ref().map(|market| market.value.as_str())
    }
}

/// Whether a landmark can be broken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Force {
    /// No exceptions; the odds count if the garment's market is not known, which makes the landmark soft.
    Hard {
        /// How many times less likely outside.
        odds: f64,
    },
    /// Exceptions are unlikely.
    Soft {
        /// How many times less likely outside.
        odds: f64,
    },
}

impl Force {
    /// The odds of a hard landmark that names none.
    pub const DEFAULT_ODDS: f64 = 10.0;
}

/// The readings a garment needs for a landmark to apply.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// A feature in a state.
    State {
        /// The feature.
        feature: FeatureId,
        /// The state, or `absent` or `lost`.
        state: StateId,
    },
    /// A feature whose number lies in a range, ends included.
    Range {
        /// The feature.
        feature: FeatureId,
        /// The least value.
        from: Option<f64>,
        /// The greatest value.
        to: Option<f64>,
    },
    /// Any of these.
    Any(Vec<Condition>),
    /// All of these.
    All(Vec<Condition>),
}

impl Condition {
    /// The features it names, in the order it names them.
    pub fn features(&self) -> Vec<&FeatureId> {
        match self {
            Condition::State { feature, .. } | Condition::Range { feature, .. } => vec![feature],
            Condition::Any(parts) | Condition::All(parts) => parts.iter().flat_map(Condition::features).collect(),
        }
    }
}
