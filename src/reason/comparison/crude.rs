//! The difference of a feature between two variants as it stands, before anything is held equal.

use std::collections::{BTreeMap, BTreeSet};

use crate::reason::comparison::ENOUGH;
use crate::reason::evidence::Evidence;
use crate::statistics::association::{self, Table};
use crate::statistics::difference;
use crate::statistics::rank::{self, Direction, Sample};
use crate::vocabulary::{Feature, Kind};

/// How far two variants differ in a feature, and how sure that is.
#[derive(Clone, Debug)]
pub struct Crude {
    /// Items of the first variant.
    pub n_a: u64,
    /// Items of the second.
    pub n_b: u64,
    /// The difference, from 0 to 1: total variation for states, |2 · AUC − 1| for measures.
    pub difference: f64,
    /// The lower limit of its 95 % interval.
    pub low: f64,
    /// The upper limit.
    pub high: f64,
    /// How often the feature alone names the right variant, each garment judged by the others; `None` for measures.
    pub right: Option<f64>,
    /// The p value of the test of independence, or of Mann and Whitney.
    pub p: f64,
    /// `exact`, `chi-square` or `normal`.
    pub p_method: &'static str,
    /// The smallest p value that these numbers of garments could give.
    pub smallest_p: f64,
    /// The states that speak for the first variant.
    pub group: BTreeSet<String>,
    /// Which variant has the greater readings, for measures.
    pub direction: Option<Direction>,
    /// The shift from the first to the second in the vocabulary's unit, for measures.
    pub shift: Option<f64>,
}

impl Crude {
    /// Says whether both variants have enough garments for a verdict.
    pub fn is_enough(&self) -> bool {
        self.n_a >= ENOUGH && self.n_b >= ENOUGH
    }

    /// Says whether a state is one of those that speak for the first variant.
    pub fn groups(&self, state: &str) -> bool {
        self.group.contains(state)
    }
}

/// Compares a feature that both variants have been counted in.
pub fn of(feature: &Feature, a: &Evidence<'_>, b: &Evidence<'_>) -> Option<Crude> {
    match feature.kind {
        Kind::Measure(_) => measures(feature, a, b),
        _ => states(feature, a, b),
    }
}

fn states(feature: &Feature, a: &Evidence<'_>, b: &Evidence<'_>) -> Option<Crude> {
    let mut counts: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
    a.counts(&feature.id).into_iter().for_each(|(state, count)| counts.entry(state).or_default().0 = count);
    b.counts(&feature.id).into_iter().for_each(|(state, count)| counts.entry(state).or_default().1 = count);
    let table = Table::new(counts.values().copied())?;
    let named: Vec<(&str, u64, u64)> = counts.iter().map(|(state, (a, b))| (*state, *a, *b)).collect();
    let difference = difference::of_states(&named)?;
    let test = association::test(&table);
    Some(Crude {
        n_a: counts.values().map(|count| count.0).sum(),
        n_b: counts.values().map(|count| count.1).sum(),
        difference: difference.difference,
        low: difference.interval.low,
        high: difference.interval.high,
        right: difference::right(&named),
        p: test.p,
        p_method: test.method.name(),
        smallest_p: association::smallest_p(&table),
        group: difference.group.into_iter().map(str::to_string).collect(),
        direction: None,
        shift: None,
    })
}

fn measures(feature: &Feature, a: &Evidence<'_>, b: &Evidence<'_>) -> Option<Crude> {
    let sample = |evidence: &Evidence<'_>| {
        Sample::new(evidence.items(&feature.id).iter().filter_map(|item| item.seen.measure()).collect())
    };
    let (a, b) = (sample(a)?, sample(b)?);
    let separation = rank::separation(&a, &b);
    Some(Crude {
        n_a: a.total(),
        n_b: b.total(),
        difference: separation.difference,
        low: separation.interval.low,
        high: separation.interval.high,
        right: None,
        p: rank::mann_whitney(&a, &b),
        p_method: if rank::is_exact(&a, &b) { "exact" } else { "normal" },
        smallest_p: rank::smallest_p(a.total(), b.total()),
        group: BTreeSet::new(),
        direction: Some(separation.direction),
        shift: Some(rank::hodges_lehmann(&a, &b)),
    })
}
