//! How far two groups differ in the states they show, within strata: the pooled difference, its interval, and how often
//! the states would name the right group.
//!
//! With one stratum every answer is that of [`difference`](crate::statistics::difference). Tests are in `vector`.

use std::cmp::Ordering;

use crate::statistics::Proportion;
use crate::statistics::difference::{self, MOST_EQUAL_STATES, StateDifference};
use crate::statistics::fraction::{self, Fraction};
use crate::statistics::interval::{self, Interval, NORMAL_POINT};
use crate::statistics::stratified::weight;

/// How often each state was seen in A and in B, stratum by stratum; every stratum holds both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StratifiedTable<'a> {
    states: Vec<&'a str>,
    strata: Vec<Counts>,
}

/// One stratum: (count in A, count in B) for each state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Counts {
    pub(super) rows: Vec<(u64, u64)>,
    pub(super) total_a: u64,
    pub(super) total_b: u64,
}

/// A pooled difference of shares and its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PooledDifference {
    /// The share of A minus that of B, from −1 to 1.
    pub difference: f64,
    /// Yan and Su's 95 % interval, not clipped.
    pub interval: Interval,
}

impl Counts {
    fn weight(&self) -> f64 {
        weight(self.total_a, self.total_b)
    }

    fn total(&self) -> u128 {
        u128::from(self.total_a + self.total_b)
    }

    /// The difference of a state's shares, times Mantel and Haenszel's weight of the stratum.
    fn weighted(&self, state: usize) -> Fraction {
        let (a, b) = self.rows[state];
        let numerator = i128::from(self.total_b) * i128::from(a) - i128::from(self.total_a) * i128::from(b);
        Fraction { numerator, denominator: self.total() }
    }
}

impl<'a> StratifiedTable<'a> {
    /// Takes the states and, for each stratum, (count in A, count in B) of each; strata without one of the groups fall
    /// out. Gives nothing where none is left.
    pub fn new(states: Vec<&'a str>, strata: impl IntoIterator<Item = Vec<(u64, u64)>>) -> Option<StratifiedTable<'a>> {
        let counted = strata.into_iter().map(|rows| {
            let total_a = rows.iter().map(|row| row.0).sum();
            Counts { total_a, total_b: rows.iter().map(|row| row.1).sum(), rows }
        });
        let strata: Vec<Counts> = counted.filter(|counts| counts.total_a > 0 && counts.total_b > 0).collect();
        (!strata.is_empty()).then_some(StratifiedTable { states, strata })
    }

    /// Counts A and B over all strata.
    pub fn totals(&self) -> (u64, u64) {
        self.strata.iter().fold((0, 0), |sum, counts| (sum.0 + counts.total_a, sum.1 + counts.total_b))
    }

    /// Lists the strata.
    pub(super) fn strata(&self) -> &[Counts] {
        &self.strata
    }

    /// Gives the difference of the groups with the grouping of states that attains it: the states with a greater pooled
    /// share in A; those of equal pooled shares are in or out, whichever gives the widest interval.
    pub fn difference(&self) -> StateDifference<'a> {
        let signs: Vec<Ordering> = (0..self.states.len()).map(|state| self.sign(state)).collect();
        let greater = (0..signs.len()).filter(|state| signs[*state] == Ordering::Greater);
        let greater: Vec<usize> = greater.collect();
        let is_equal = |state: &usize| signs[*state] == Ordering::Equal && self.is_seen(*state);
        let equal: Vec<usize> = (0..signs.len()).filter(is_equal).collect();
        let ways = 1u32 << equal.len().min(MOST_EQUAL_STATES);
        let groupings = (0..ways).map(|way| {
            let chosen = equal.iter().enumerate().filter(|(place, _)| way & (1 << place) != 0).map(|(_, state)| *state);
            self.of_group(greater.iter().copied().chain(chosen).collect())
        });
        groupings.reduce(difference::wider).expect("there is at least the way in which all are out")
    }

    fn of_group(&self, mut members: Vec<usize>) -> StateDifference<'a> {
        members.sort_unstable_by_key(|state| self.states[*state]);
        let pooled = self.pooled(&members);
        let group = members.into_iter().map(|state| self.states[state]).collect();
        StateDifference { difference: pooled.difference, interval: pooled.interval, group }
    }

    /// Gives the pooled difference of the states that are said to be in a group.
    pub fn difference_in(&self, is_member: impl Fn(&str) -> bool) -> PooledDifference {
        let members: Vec<usize> = (0..self.states.len()).filter(|state| is_member(self.states[*state])).collect();
        self.pooled(&members)
    }

    /// Compares the pooled shares of a state in A and in B.
    fn sign(&self, state: usize) -> Ordering {
        let parts: Vec<Fraction> = self.strata.iter().map(|counts| counts.weighted(state)).collect();
        fraction::sign_of_sum(&parts)
    }

    fn is_seen(&self, state: usize) -> bool {
        self.strata.iter().any(|counts| counts.rows[state] != (0, 0))
    }

    fn pooled(&self, members: &[usize]) -> PooledDifference {
        let share = |counts: &Counts, count: fn(&(u64, u64)) -> u64, total: u64| {
            let members = members.iter().map(|state| count(&counts.rows[*state])).sum();
            Proportion::new(members, total).expect("a stratum holds both groups")
        };
        let shares_a: Vec<_> = self.strata.iter().map(|counts| share(counts, |row| row.0, counts.total_a)).collect();
        let shares_b: Vec<_> = self.strata.iter().map(|counts| share(counts, |row| row.1, counts.total_b)).collect();
        let weights = normal(self.strata.iter().map(Counts::weight));
        let both = weights.iter().zip(shares_a.iter().zip(&shares_b));
        let difference: f64 = both.map(|(weight, (a, b))| weight * (a.share() - b.share())).sum();
        PooledDifference { difference, interval: yan_su(difference, &weights, [&shares_a, &shares_b]) }
    }

    /// Gives how often the states alone would name the right group: each member is taken out of its stratum, and the
    /// group with the greater pooled remaining share of its state is guessed, weights unchanged; ties count one half.
    pub fn right(&self) -> f64 {
        let weights = normal(self.strata.iter().map(Counts::weight));
        let rate = |side: Side| -> f64 {
            let hits =
                |stratum: usize| -> f64 { (0..self.states.len()).map(|state| self.hits(stratum, state, side)).sum() };
            weights.iter().enumerate().map(|(stratum, weight)| weight * hits(stratum)).sum()
        };
        (rate(Side::A) + rate(Side::B)) / 2.0
    }

    /// The part of a group's members in a stratum that show a state and are named rightly.
    fn hits(&self, stratum: usize, state: usize, side: Side) -> f64 {
        let (own, total) = side.of(&self.strata[stratum], state);
        if own == 0 {
            return 0.0;
        }
        let parts: Vec<Fraction> =
            (0..self.strata.len()).flat_map(|place| self.judged(place, state, side, place == stratum)).collect();
        let hit = match fraction::sign_of_sum(&parts) {
            Ordering::Greater => 1.0,
            Ordering::Equal => 0.5,
            Ordering::Less => 0.0,
        };
        own as f64 * hit / total as f64
    }

    /// What a stratum says for a side: the weighted share of the side, one member taken out or not, and minus the other's.
    fn judged(&self, stratum: usize, state: usize, side: Side, is_taken_out: bool) -> [Fraction; 2] {
        let counts = &self.strata[stratum];
        let ((own, own_total), (other, other_total)) = (side.of(counts, state), side.other().of(counts, state));
        let weight = i128::from(own_total) * i128::from(other_total);
        let (left, rest) = if is_taken_out { (own - 1, (own_total - 1).max(1)) } else { (own, own_total) };
        let part = |count: u64, total: u64| Fraction {
            numerator: weight * i128::from(count),
            denominator: counts.total() * u128::from(total),
        };
        let against = part(other, other_total);
        [part(left, rest), Fraction { numerator: -against.numerator, ..against }]
    }
}

/// One of the two groups.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    A,
    B,
}

impl Side {
    fn other(self) -> Side {
        match self {
            Side::A => Side::B,
            Side::B => Side::A,
        }
    }

    /// How many of the side show a state in a stratum, and how many there are.
    fn of(self, counts: &Counts, state: usize) -> (u64, u64) {
        match self {
            Side::A => (counts.rows[state].0, counts.total_a),
            Side::B => (counts.rows[state].1, counts.total_b),
        }
    }
}

/// Divides weights by their sum.
pub(super) fn normal(weights: impl Iterator<Item = f64>) -> Vec<f64> {
    let weights: Vec<f64> = weights.collect();
    let sum: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / sum).collect()
}

/// The point of the normal distribution that gives each stratum limits which, averaged, belong to the pooled estimate:
/// z √(Σ v² V) / Σ (v √V), from the weights and variances of the strata.
pub(super) fn relaxed_point(weights: &[f64], variances: &[f64]) -> f64 {
    let squares: f64 = weights.iter().zip(variances).map(|(weight, variance)| weight * weight * variance).sum();
    let roots: f64 = weights.iter().zip(variances).map(|(weight, variance)| weight * variance.sqrt()).sum();
    NORMAL_POINT * squares.sqrt() / roots
}

/// Limits of a pooled share, and how the weights thin out the number of garments behind it.
struct Limits {
    low: f64,
    high: f64,
    thinning: f64,
}

/// Gives the 95 % interval of a pooled difference of shares, from the weights of the strata and the shares of both
/// groups in them (Yan and Su 2010, Statistics in Biopharmaceutical Research 2:323–335); not clipped.
fn yan_su(difference: f64, weights: &[f64], shares: [&[Proportion]; 2]) -> Interval {
    let [a, b] = shares.map(|shares| limits(weights, shares));
    let reach = |one: &Limits, at: f64, other: &Limits, at_other: f64| {
        let variance = one.thinning * at * (1.0 - at) + other.thinning * at_other * (1.0 - at_other);
        NORMAL_POINT * variance.sqrt()
    };
    Interval { low: difference - reach(&a, a.low, &b, b.high), high: difference + reach(&a, a.high, &b, b.low) }
}

fn limits(weights: &[f64], shares: &[Proportion]) -> Limits {
    let variance = |share: &Proportion| share.share() * (1.0 - share.share()) / share.total() as f64;
    let mut variances: Vec<f64> = shares.iter().map(variance).collect();
    if variances.iter().all(|variance| *variance == 0.0) {
        variances = shares.iter().map(|share| 1.0 / share.total() as f64).collect();
    }
    let point = relaxed_point(weights, &variances);
    let mut limits = Limits { low: 0.0, high: 0.0, thinning: 0.0 };
    for (weight, share) in weights.iter().zip(shares) {
        let wilson = interval::wilson_at(*share, point);
        limits.low += weight * wilson.low;
        limits.high += weight * wilson.high;
        limits.thinning += weight * weight / share.total() as f64;
    }
    // A rounding must not move a share outside.
    Limits { low: limits.low.clamp(0.0, 1.0), high: limits.high.clamp(0.0, 1.0), ..limits }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::StratifiedTable;
    use crate::statistics::difference;

    const STATES: [&str; 3] = ["chain", "lock", "raw"];

    fn table(strata: &[[(u64, u64); 3]]) -> StratifiedTable<'static> {
        StratifiedTable::new(STATES.to_vec(), strata.iter().map(|rows| rows.to_vec())).unwrap()
    }

    #[test]
    fn one_stratum_gives_the_unstratified_answers() {
        for a in [[6, 2, 2], [1, 0, 0], [3, 3, 3], [0, 0, 5], [7, 1, 0]] {
            for b in [[2, 2, 6], [0, 1, 0], [5, 5, 5], [0, 4, 1], [14, 2, 0]] {
                let rows = [0, 1, 2].map(|state| (a[state], b[state]));
                let named: Vec<_> = STATES.iter().zip(rows).map(|(state, (a, b))| (*state, a, b)).collect();
                let (found, expected) = (table(&[rows]).difference(), difference::of_states(&named).unwrap());
                assert_eq!(found.group, expected.group, "{rows:?}");
                for (found, expected) in [
                    (found.difference, expected.difference),
                    (found.interval.low, expected.interval.low),
                    (found.interval.high, expected.interval.high),
                    (table(&[rows]).right(), difference::right(&named).unwrap()),
                ] {
                    assert!((found - expected).abs() < 1e-12, "{rows:?}: {found} is not {expected}");
                }
            }
        }
    }

    #[test]
    fn strata_that_hold_one_group_alone_fall_out() {
        let both = [(3, 1), (1, 3), (0, 2)];
        assert_eq!(table(&[both, [(5, 0), (2, 0), (0, 0)]]), table(&[both]));
        assert_eq!(StratifiedTable::new(STATES.to_vec(), [vec![(5, 0), (2, 0), (0, 0)]]), None);
    }

    #[test]
    fn difference_within_strata_is_not_that_of_the_sums() {
        // Each stratum is alike in both groups; taken together A shows much more of the first state.
        let alike = table(&[[(8, 2), (2, 1), (0, 0)], [(1, 4), (2, 7), (0, 0)]]);
        let crude = 9.0 / 13.0 - 6.0 / 14.0;
        // Weights 30/13 and 33/14, differences 0.8 − 2/3 and 1/3 − 4/11.
        let (one, other) = (30.0 / 13.0, 33.0 / 14.0);
        let expected: f64 = (one * (0.8 - 2.0 / 3.0) + other * (1.0 / 3.0 - 4.0 / 11.0)) / (one + other);
        assert!((alike.difference().difference - expected).abs() < 1e-12 && expected < crude / 2.0);
    }

    #[test]
    fn pooled_shares_are_equal_exactly_and_not_by_a_rounding() {
        // 1/3 against 0 and 0 against 1/3 with equal weights: the first state is neither's.
        let turned = table(&[[(1, 0), (2, 3), (0, 0)], [(0, 1), (3, 2), (0, 0)]]);
        let difference = turned.difference();
        assert_eq!((difference.difference, difference.interval.low < 0.0), (0.0, true));
        assert_eq!(turned.difference_in(|state| state == "chain").difference, 0.0);
    }

    #[test]
    fn each_member_is_judged_by_what_is_left_in_all_strata() {
        // In the first stratum A shows chain twice, B lock twice; in the second one chain each. A's chain there, taken
        // out, leaves (1 · 1) of A against (½ · 1) of B: right, as B's is wrong: (½ · 0 + 1 · 0) against 1 · 1 + ½.
        let strata = table(&[[(2, 0), (0, 2), (0, 0)], [(1, 1), (0, 0), (0, 0)]]);
        // A: all three right. B: two of two in the first stratum, none of one in the second; weights 1 and ½.
        assert!((strata.right() - (1.0 + 1.0 / 1.5) / 2.0).abs() < 1e-12);
    }
}
