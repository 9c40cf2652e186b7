//! Where to look next: the features that would tell most, and the marks that would bound most.

use std::cmp::Reverse;

use crate::dating::answer::bound::Bounded;
use crate::dating::answer::garment::Garment;
use crate::dating::answer::posterior::Posterior;
use crate::dating::answer::{Case, LookNext, WouldBound};
use crate::dating::likelihood::years::{self, Years};
use crate::dating::likelihood::{CELLS_PER_BIT, Table};
use crate::record::id::FeatureId;
use crate::record::landmark::Condition;
use crate::vocabulary::{Feature, Replaceable};

/// How many features to name.
const FEATURES: usize = 3;

/// How many marks to name.
const MARKS: usize = 5;

/// The share of the probability that the variants looked at hold.
const HELD: f64 = 0.99;

/// Shares and bits closer than this are equal when they are ranked: the difference is rounding.
const EQUAL: f64 = 1e-9;

/// The features with the greatest expected gain about variant and year; features that are often
/// replaced come last.
pub fn look_next(case: &Case<'_, '_>, posterior: &Posterior<'_>) -> Vec<LookNext> {
    let held = held(posterior);
    if held.is_empty() {
        return Vec::new();
    }
    let share: f64 = held.iter().map(|at| posterior.variants[*at]).sum();
    let mut found: Vec<(bool, LookNext)> = Vec::new();
    for (number, feature) in case.prepared.features.iter().enumerate() {
        if feature.defining || !is_open(case, feature) {
            continue;
        }
        let tables =
            held.iter().map(|at| (&posterior.joint[*at], &*case.prepared.members[case.members[*at]].cells[number]));
        let entropy_drop = drop(tables, posterior.temper, share);
        if entropy_drop <= EQUAL {
            continue;
        }
        found.push((feature.replaceable == Replaceable::Often, LookNext { feature: feature.id.clone(), entropy_drop }));
    }
    found.sort_by(|(often, one), (other_often, other)| {
        let rank = |often: &bool, next: &LookNext| {
            (*often, Reverse((next.entropy_drop / EQUAL).round() as i64), next.feature.clone())
        };
        rank(often, one).cmp(&rank(other_often, other))
    });
    found.into_iter().take(FEATURES).map(|(_, next)| next).collect()
}

/// The most probable variants that hold all but a little of the probability.
fn held(posterior: &Posterior<'_>) -> Vec<usize> {
    let mut sum = 0.0;
    let mut held = Vec::new();
    for at in &posterior.order {
        if sum >= HELD - 1e-12 {
            break;
        }
        sum += posterior.variants[*at];
        held.push(*at);
    }
    held.retain(|_| sum > 0.0);
    held
}

/// Says whether a feature was not examined and belongs to a garment type in question.
fn is_open(case: &Case<'_, '_>, feature: &Feature) -> bool {
    let of_garment = |member: &usize| feature.is_of(&case.prepared.members[*member].model.garment);
    !case.garment.features.contains_key(&feature.id) && case.members.iter().any(of_garment)
}

/// The mutual information of a feature with variant and year, in bits.
fn drop<'t>(tables: impl Iterator<Item = (&'t Years, &'t Table)>, temper: f64, share: f64) -> f64 {
    let mut overall: Vec<f64> = Vec::new();
    let mut known = 0.0;
    for (joint, table) in tables {
        overall.resize(table.columns.len(), 0.0);
        for (run, start) in table.starts.iter().enumerate() {
            let end = table.starts.get(run + 1).copied().unwrap_or(years::COUNT);
            let probability = joint[*start..end].iter().sum::<f64>() / share;
            let powers: Vec<f64> =
                table.columns.iter().map(|cells| (temper * f64::from(cells[*start]) / CELLS_PER_BIT).exp2()).collect();
            let total: f64 = powers.iter().sum();
            for (sum, power) in overall.iter_mut().zip(powers) {
                let state = power / total;
                *sum += probability * state;
                known += probability * state * state.log2();
            }
        }
    }
    let unknown: f64 = overall.iter().filter(|share| **share > 0.0).map(|share| share * share.log2()).sum();
    (known - unknown).max(0.0)
}

/// The unseen states with a hard landmark that would rule out most of the probability of the years, and not all of it.
pub fn would_bound(case: &Case<'_, '_>, bounded: &Bounded, posterior: &Posterior<'_>) -> Vec<WouldBound> {
    if bounded.is_outside {
        return Vec::new();
    }
    let years = weights(case, bounded, posterior);
    let possible = possible(case.garment);
    let market = case.garment.market.as_deref();
    let mut marks: Vec<WouldBound> = Vec::new();
    for dated in case.prepared.landmarks.iter().filter(|dated| dated.is_hard(market)) {
        let left = bounded.left_with(dated);
        let part = |wanted: bool, years: &[f64]| -> f64 {
            years.iter().zip(left).filter(|(_, is_left)| *is_left == wanted).map(|(weight, _)| weight).sum()
        };
        let rules_out = part(false, &years[..]);
        // A landmark that rules out none of the years in which it can have been made, or all, is no use.
        if part(false, &years[..possible]) <= EQUAL || part(true, &years[..possible]) <= EQUAL {
            continue;
        }
        for (feature, state) in states(&dated.landmark.when.value) {
            if is_unseen(case, &feature) {
                marks.push(WouldBound { feature, state, landmark: dated.id.clone(), rules_out });
            }
        }
    }
    marks.sort_by_cached_key(|mark| {
        (
            Reverse((mark.rules_out / EQUAL).round() as i64),
            mark.feature.clone(),
            mark.state.clone(),
            mark.landmark.clone(),
        )
    });
    marks.truncate(MARKS);
    marks
}

/// How many of the considered years had begun when somebody examined the garment.
fn possible(garment: &Garment) -> usize {
    let Some(day) = garment.in_hand else { return years::COUNT };
    (day.year() - years::FIRST + 1).clamp(0, years::COUNT as i32) as usize
}

fn is_unseen(case: &Case<'_, '_>, feature: &FeatureId) -> bool {
    let described = case.prepared.knowledge.catalog.vocabulary.feature(feature.as_str());
    let is_of_garment = |feature: &Feature| {
        let applies = |member: &usize| feature.is_of(&case.prepared.members[*member].model.garment);
        case.members.is_empty() || case.members.iter().any(applies)
    };
    !case.garment.features.contains_key(feature) && described.is_some_and(is_of_garment)
}

/// The weight of each year: its probability, or without one an equal share of the years left.
fn weights(case: &Case<'_, '_>, bounded: &Bounded, posterior: &Posterior<'_>) -> Years {
    if let Some(spread) = case.years(bounded, posterior).filter(|_| !case.members.is_empty()) {
        return *spread.probability;
    }
    let count = bounded.is_left.iter().filter(|is_left| **is_left).count().max(1) as f64;
    bounded.is_left.map(|is_left| if is_left { 1.0 / count } else { 0.0 })
}

/// The single states that would meet a condition by themselves.
fn states(condition: &Condition) -> Vec<(FeatureId, String)> {
    match condition {
        Condition::State { feature, state } => vec![(feature.clone(), state.to_string())],
        Condition::Any(parts) => parts.iter().flat_map(states).collect(),
        Condition::Range { .. } | Condition::All(_) => Vec::new(),
    }
}
