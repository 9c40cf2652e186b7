//! The feature that tells most of the variant among some garments.

use std::collections::{BTreeMap, BTreeSet};

use ecow::EcoString;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::comparison::steps::unit::Unit;

/// The fewest garments that must show a state for it to lead somewhere.
const LEAST_SHOWN: usize = 2;

/// The least that a feature must tell to be worth a look, in bits.
const LEAST_TOLD: f64 = 0.1;

/// A feature is asked for only if chance alone would tell as much less often than this.
const CHANCE: f64 = 0.01;

/// A feature to ask for.
pub(super) struct Question {
    /// Its number.
    pub feature: usize,
    /// The states that lead somewhere, in order.
    pub states: Vec<EcoString>,
    /// The information about the variant that it gives at this place, in bits; 0 for a garment
    /// without a reading.
    pub told: f64,
    /// How often chance alone would tell as much.
    pub p: f64,
}

/// The feature that tells most, of some; the first of equals.
pub(super) fn best(units: &[&Unit], features: impl Iterator<Item = usize>) -> Option<Question> {
    let questions = features.filter_map(|feature| question(units, feature));
    let better = |best: Option<Question>, next: Question| match best {
        Some(best) if best.told >= next.told => Some(best),
        _ => Some(next),
    };
    questions.filter(|question| question.told >= LEAST_TOLD && question.p < CHANCE).fold(None, better)
}

/// How much some garments weigh together.
pub(super) fn weight(units: &[&Unit]) -> f64 {
    units.iter().map(|unit| unit.weight).sum()
}

/// The mutual information of a feature and the variant, less what chance alone gives. For n garments of v variants and
/// s states, chance gives (v − 1)(s − 1) / (2 n ln 2) bits (Miller 1955, from memory). A find is one of the n.
///
/// By chance 2 n ln 2 times the information is distributed as χ² with (v − 1)(s − 1) degrees (the G test; Sokal and Rohlf,
/// Biometry, from memory).
pub(super) fn question(units: &[&Unit], feature: usize) -> Option<Question> {
    let mut states: BTreeMap<&EcoString, Vec<&Unit>> = BTreeMap::new();
    for unit in units {
        if let Some(state) = unit.shown.get(&feature) {
            states.entry(state).or_default().push(unit);
        }
    }
    states.retain(|_, units| units.len() >= LEAST_SHOWN);
    let shown: Vec<&Unit> = states.values().flatten().copied().collect();
    let variants = by_variant(&shown).len();
    if states.len() < 2 || variants < 2 {
        return None;
    }
    let whole = weight(&shown);
    let left: f64 = states.values().map(|units| weight(units) / whole * entropy(units)).sum();
    let degrees = ((variants - 1) * (states.len() - 1)) as f64;
    let groups: BTreeSet<usize> = shown.iter().map(|unit| unit.group).collect();
    let scale = 2.0 * groups.len() as f64 * std::f64::consts::LN_2;
    let information = entropy(&shown) - left;
    let told = (information - degrees / scale) * whole / weight(units);
    let p = ChiSquared::new(degrees).ok()?.sf(information * scale);
    Some(Question { feature, states: states.into_keys().cloned().collect(), told, p })
}

fn by_variant(units: &[&Unit]) -> BTreeMap<usize, f64> {
    let mut shares = BTreeMap::new();
    units.iter().for_each(|unit| *shares.entry(unit.variant).or_insert(0.0) += unit.weight);
    shares
}

/// How open the variant of some garments is, in bits (Shannon 1948).
fn entropy(units: &[&Unit]) -> f64 {
    let whole = weight(units);
    by_variant(units).values().map(|share| -share / whole * (share / whole).log2()).sum()
}
