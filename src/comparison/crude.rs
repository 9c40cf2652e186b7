//! The crude difference of a feature between two variants, before any covariate is held equal.

use std::collections::{BTreeMap, BTreeSet};

use crate::comparison::ENOUGH;
use crate::evidence::{Evidence, Seen};
use crate::statistics::association::{self, Table};
use crate::statistics::difference::{self, StateDifference};
use crate::statistics::multiple;
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

    /// The test with the least p value that it could have given.
    pub fn test(&self) -> multiple::Test {
        multiple::Test { p: self.p, smallest: self.smallest_p }
    }

    /// Says whether a state suggests the first variant.
    pub fn groups(&self, state: &str) -> bool {
        self.group.contains(state)
    }
}

/// Compares a feature that both variants have been counted in.
pub fn of(feature: &Feature, a: &Evidence<'_>, b: &Evidence<'_>) -> Option<Crude> {
    let sides = Sides::of(feature, a, b)?;
    Some(sides.crude(sides.test()))
}

/// The counts of a feature in both variants: at least one of each.
#[derive(Clone, Debug)]
pub enum Sides<'e> {
    /// How often each state was seen on the first and on the second, also as a table.
    States(BTreeMap<&'e str, (u64, u64)>, Table),
    /// The readings of the first and of the second.
    Measures(Sample, Sample),
}

impl<'e> Sides<'e> {
    /// Counts both, or gives nothing where one of them has no counts.
    pub fn of(feature: &Feature, a: &'e Evidence<'_>, b: &'e Evidence<'_>) -> Option<Sides<'e>> {
        let seen = |evidence: &'e Evidence<'_>| evidence.items(&feature.id).iter().map(|item| &item.seen);
        Sides::of_seen(feature, seen(a), seen(b))
    }

    /// Counts what is seen of the first and of the second, or gives nothing where one of them shows nothing.
    pub fn of_seen(
        feature: &Feature,
        a: impl Iterator<Item = &'e Seen>,
        b: impl Iterator<Item = &'e Seen>,
    ) -> Option<Sides<'e>> {
        if let Kind::Measure(_) = feature.kind {
            let (a, b) = (
                Sample::new(a.filter_map(Seen::measure).collect()),
                Sample::new(b.filter_map(Seen::measure).collect()),
            );
            return Some(Sides::Measures(a?, b?));
        }
        let mut counts: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
        a.filter_map(Seen::state).for_each(|state| counts.entry(state).or_default().0 += 1);
        b.filter_map(Seen::state).for_each(|state| counts.entry(state).or_default().1 += 1);
        Sides::of_states(counts)
    }

    fn of_states(counts: BTreeMap<&'e str, (u64, u64)>) -> Option<Sides<'e>> {
        let table = Table::new(counts.values().copied())?;
        Some(Sides::States(counts, table))
    }

    /// The same with one count less on a side, 0 being the first; `None` if that was its last.
    pub fn without(&self, side: usize, seen: &Seen) -> Option<Sides<'e>> {
        match (self, seen) {
            (Sides::States(counts, _), Seen::State(state)) => {
                let mut counts = counts.clone();
                let (a, b) = counts.get_mut(&**state)?;
                let own = if side == 0 { &mut *a } else { &mut *b };
                *own = own.checked_sub(1)?;
                if (*a, *b) == (0, 0) {
                    counts.remove(&**state);
                }
                Sides::of_states(counts)
            }
            (Sides::Measures(a, b), Seen::Measure(reading)) if side == 0 => {
                Some(Sides::Measures(a.without(*reading)?, b.clone()))
            }
            (Sides::Measures(a, b), Seen::Measure(reading)) => Some(Sides::Measures(a.clone(), b.without(*reading)?)),
            _ => None,
        }
    }

    /// How many were counted of the first and of the second.
    pub fn totals(&self) -> (u64, u64) {
        match self {
            Sides::States(_, table) => table.totals(),
            Sides::Measures(a, b) => (a.total(), b.total()),
        }
    }

    /// Tests whether there is a difference.
    pub fn test(&self) -> Test {
        match self {
            Sides::States(_, table) => {
                let test = association::test(table);
                Test { p: test.p, method: test.method.name() }
            }
            Sides::Measures(a, b) => {
                let (p, is_exact) = rank::test(a, b);
                Test { p, method: if is_exact { "exact" } else { "normal" } }
            }
        }
    }

    /// The upper limit of the difference.
    pub fn high(&self) -> f64 {
        match self {
            Sides::States(counts, _) => differing(&named(counts)).interval.high,
            Sides::Measures(a, b) => rank::separation(a, b).interval.high,
        }
    }

    /// Everything there is to say of the crude difference, with its test.
    pub fn crude(&self, test: Test) -> Crude {
        let (n_a, n_b) = self.totals();
        match self {
            Sides::States(counts, table) => {
                let named = named(counts);
                let difference = differing(&named);
                Crude {
                    n_a,
                    n_b,
                    difference: difference.difference,
                    low: difference.interval.low,
                    high: difference.interval.high,
                    right: difference::right(&named),
                    p: test.p,
                    p_method: test.method,
                    smallest_p: association::smallest_p(table),
                    group: difference.group.into_iter().map(str::to_string).collect(),
                    direction: None,
                    shift: None,
                }
            }
            Sides::Measures(a, b) => {
                let separation = rank::separation(a, b);
                Crude {
                    n_a,
                    n_b,
                    difference: separation.difference,
                    low: separation.interval.low,
                    high: separation.interval.high,
                    right: None,
                    p: test.p,
                    p_method: test.method,
                    smallest_p: rank::smallest_p(n_a, n_b),
                    group: BTreeSet::new(),
                    direction: Some(separation.direction),
                    shift: Some(rank::hodges_lehmann(a, b)),
                }
            }
        }
    }
}

/// Whether two sides differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// The p value.
    pub p: f64,
    /// `exact`, `chi-square` or `normal`.
    pub method: &'static str,
}

fn named<'e>(counts: &BTreeMap<&'e str, (u64, u64)>) -> Vec<(&'e str, u64, u64)> {
    counts.iter().map(|(state, (a, b))| (*state, *a, *b)).collect()
}

fn differing<'e>(named: &[(&'e str, u64, u64)]) -> StateDifference<'e> {
    difference::of_states(named).expect("both sides of a table have counts")
}
