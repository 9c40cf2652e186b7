//! How far two groups differ in the states they show, and how often the states would name the right group.

use crate::statistics::Proportion;
use crate::statistics::interval::{self, Interval};

/// How many distinct ways of placing states of equal shares are compared; beyond, they stay out of the grouping.
pub(super) const MOST_EQUAL_STATES: usize = 12;

/// The total variation of two groups, with the grouping of states that attains it.
#[derive(Clone, Debug, PartialEq)]
pub struct StateDifference<'a> {
    /// ½ Σ |share in A − share in B|, from 0 to 1.
    pub difference: f64,
    /// Newcombe's 95 % interval for the grouping, not clipped.
    pub interval: Interval,
    /// The states that speak for A, sorted.
    pub group: Vec<&'a str>,
}

/// Gives the difference of two groups from how often each shows each state; nothing where a group is empty.
///
/// The grouping holds the states with a greater share in A; those of equal shares are in or out, whichever gives the
/// widest interval, then the first by the names of its states.
///
/// ```
/// use bartack::statistics::difference::of_states;
/// let difference = of_states(&[("chain", 9, 1), ("lock", 1, 9)]).unwrap();
/// assert!((difference.difference - 0.8).abs() < 1e-12);
/// assert_eq!(difference.group, ["chain"]);
/// ```
pub fn of_states<'a>(counts: &[(&'a str, u64, u64)]) -> Option<StateDifference<'a>> {
    let total_a: u64 = counts.iter().map(|count| count.1).sum();
    let total_b: u64 = counts.iter().map(|count| count.2).sum();
    // Shares are compared as whole numbers: a/n_A > b/n_B as a·n_B > b·n_A.
    let scaled = |count: &(&str, u64, u64)| {
        (u128::from(count.1) * u128::from(total_b), u128::from(count.2) * u128::from(total_a))
    };
    let greater: Vec<_> = counts.iter().filter(|count| scaled(count).0 > scaled(count).1).collect();
    let equal: Vec<_> = counts.iter().filter(|count| scaled(count).0 == scaled(count).1 && count.1 > 0).collect();
    let ways = 1u32 << equal.len().min(MOST_EQUAL_STATES);
    let groupings = (0..ways).filter_map(|way| {
        let placed = equal.iter().take(MOST_EQUAL_STATES).enumerate();
        let chosen = placed.filter(|(place, _)| way & (1 << place) != 0).map(|(_, count)| *count);
        let members: Vec<_> = greater.iter().copied().chain(chosen).collect();
        let mut group: Vec<&'a str> = members.iter().map(|count| count.0).collect();
        group.sort_unstable();
        let a = Proportion::new(members.iter().map(|count| count.1).sum(), total_a)?;
        let b = Proportion::new(members.iter().map(|count| count.2).sum(), total_b)?;
        Some(StateDifference { difference: a.share() - b.share(), interval: interval::newcombe(a, b), group })
    });
    groupings.reduce(wider)
}

/// Gives the grouping with the wider interval; of two alike in this, the first by the names of its states.
pub(super) fn wider<'a>(one: StateDifference<'a>, other: StateDifference<'a>) -> StateDifference<'a> {
    // Widths that differ only by rounding are ties.
    let gain = other.interval.width() - one.interval.width();
    let is_better = gain > 1e-12 || (gain > -1e-12 && other.group < one.group);
    if is_better { other } else { one }
}

/// Gives how often the states alone would name the right group: each member is taken out and judged by the rest.
///
/// The guess is the group with the larger remaining share of the member's state, a share of none being 0; ties count
/// one half. The answer is the mean of the two groups' rates, or nothing where a group is empty.
pub fn right(counts: &[(&str, u64, u64)]) -> Option<f64> {
    let total_a: u64 = counts.iter().map(|count| count.1).sum();
    let total_b: u64 = counts.iter().map(|count| count.2).sum();
    if total_a == 0 || total_b == 0 {
        return None;
    }
    let hits_a: f64 = counts
        .iter()
        .map(|(_, a, b)| hits(Part { count: *a, total: total_a }, Part { count: *b, total: total_b }))
        .sum();
    let hits_b: f64 = counts
        .iter()
        .map(|(_, a, b)| hits(Part { count: *b, total: total_b }, Part { count: *a, total: total_a }))
        .sum();
    Some((hits_a / total_a as f64 + hits_b / total_b as f64) / 2.0)
}

/// How many members of a group show a state, of how many.
#[derive(Clone, Copy)]
struct Part {
    count: u64,
    total: u64,
}

/// How many of a group's members that show a state are named rightly, each judged by the others.
fn hits(own: Part, other: Part) -> f64 {
    if own.count == 0 {
        return 0.0;
    }
    let (left, rest) = (u128::from(own.count - 1), u128::from(own.total - 1).max(1));
    let (own_scaled, other_scaled) = (left * u128::from(other.total), u128::from(other.count) * rest);
    let hit = match own_scaled.cmp(&other_scaled) {
        std::cmp::Ordering::Greater => 1.0,
        std::cmp::Ordering::Equal => 0.5,
        std::cmp::Ordering::Less => 0.0,
    };
    own.count as f64 * hit
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{of_states, right};

    #[test]
    fn total_variation_is_half_the_sum_of_absolute_differences() {
        let difference = of_states(&[("a", 5, 1), ("b", 3, 3), ("c", 2, 6)]).unwrap();
        assert!((difference.difference - 0.4).abs() < 1e-12);
    }

    #[test]
    fn a_state_of_equal_shares_goes_where_the_interval_is_widest() {
        let counts = [("a", 6, 2), ("b", 2, 2), ("c", 2, 6)];
        let difference = of_states(&counts).unwrap();
        let without = crate::statistics::interval::newcombe(
            crate::statistics::Proportion::new(6, 10).unwrap(),
            crate::statistics::Proportion::new(2, 10).unwrap(),
        );
        assert!(difference.interval.width() >= without.width());
        assert!((difference.difference - 0.4).abs() < 1e-12, "the difference does not depend on it");
    }

    #[test]
    fn groups_that_show_the_same_do_not_differ() {
        let difference = of_states(&[("a", 3, 3)]).unwrap();
        assert_eq!((difference.difference, difference.group.len() < 2), (0.0, true));
        assert!(of_states(&[("a", 3, 0)]).is_none(), "one group is empty");
    }

    #[test]
    fn more_states_of_equal_shares_than_an_integer_has_bits_do_not_overflow() {
        let names: Vec<String> = (1..=70).map(|count| format!("{count:02}")).collect();
        let counts: Vec<(&str, u64, u64)> = names.iter().map(|name| (name.as_str(), 1, 1)).collect();
        let difference = of_states(&counts).unwrap();
        assert_eq!(difference.difference, 0.0);
        assert!(
            difference.group.iter().all(|state| *state <= "12"),
            "only the first twelve are placed: {difference:?}"
        );
    }

    #[test]
    fn each_member_is_judged_by_the_others() {
        // A shows a, a, b; B shows b, b, b. Taking out A's a leaves a share of 1/2 against 0: right. Taking out its b
        // leaves 0 against 1: wrong. B's b: 2/2 against 1/3: right.
        assert!((right(&[("a", 2, 0), ("b", 1, 3)]).unwrap() - (2.0 / 3.0 + 1.0) / 2.0).abs() < 1e-12);
        // A lone garment taken out leaves nothing: a share of none is 0, a tie with the other's 0.
        assert!((right(&[("a", 1, 0), ("b", 0, 2)]).unwrap() - (0.5 + 1.0) / 2.0).abs() < 1e-12);
    }
}
