//! Turns the readings of a measure in two groups into an area under the curve, a p value and a shift.
//!
//! Only order and differences count; no distribution is assumed. Units, tolerances and ties within a tolerance are the
//! caller's: readings tie when they are equal.

use statrs::function::erf::erfc;

use crate::statistics::binomial;
use crate::statistics::interval::{self, Interval};

/// A group with this many readings or more is too large for the exact distribution.
const TOO_MANY_FOR_EXACT: f64 = 50.0;

/// Readings beyond this are no measures, and their differences could leave the range of a float.
const GREATEST_READING: f64 = 1e300;

/// Readings in rising order: at least one, none beyond ±1e300.
///
/// ```
/// use bartack::statistics::rank::Sample;
/// let sample = Sample::new(vec![8.5, 7.0, 9.0, 7.5]).unwrap();
/// assert_eq!((sample.least(), sample.median(), sample.greatest()), (7.0, 8.0, 9.0));
/// assert_eq!(Sample::new(vec![]), None);
/// assert_eq!(Sample::new(vec![f64::NAN]), None);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Sample(Vec<f64>);

impl Sample {
    /// Sorts the readings; `None` if there are none, or if one is not a number or lies beyond ±1e300.
    pub fn new(mut readings: Vec<f64>) -> Option<Sample> {
        if readings.is_empty() || !readings.iter().all(|reading| reading.abs() <= GREATEST_READING) {
            return None;
        }
        readings.sort_by(f64::total_cmp);
        Some(Sample(readings))
    }

    /// Returns the sample without one reading; `None` if it has no such reading, or no other.
    pub fn without(&self, reading: f64) -> Option<Sample> {
        let place = self.0.binary_search_by(|other| other.total_cmp(&reading)).ok()?;
        let rest = [&self.0[..place], &self.0[place + 1..]].concat();
        (!rest.is_empty()).then_some(Sample(rest))
    }

    /// Lists the readings in rising order.
    pub fn readings(&self) -> &[f64] {
        &self.0
    }

    /// Counts the readings.
    pub fn total(&self) -> u64 {
        self.0.len() as u64
    }

    /// Gives the least reading.
    pub fn least(&self) -> f64 {
        self.0[0]
    }

    /// Gives the greatest reading.
    pub fn greatest(&self) -> f64 {
        self.0[self.0.len() - 1]
    }

    /// Gives the middle reading, or the mean of the two in the middle.
    pub fn median(&self) -> f64 {
        let (low, high) = (self.0[(self.0.len() - 1) / 2], self.0[self.0.len() / 2]);
        low + (high - low) / 2.0
    }
}

/// In which order two groups stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Readings of B are the greater ones, or neither's are.
    Rising,
    /// Readings of A are the greater ones.
    Falling,
}

/// How far two groups are apart, seen in the direction in which they differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separation {
    /// The direction; rising where the area is one half.
    pub direction: Direction,
    /// |2 · area − 1|, from 0 to 1.
    pub difference: f64,
    /// The 95 % interval of 2 · area − 1, the area taken in this direction.
    pub interval: Interval,
}

/// Measures how far A and B are apart, with Newcombe's 2006 interval.
pub fn separation(a: &Sample, b: &Sample) -> Separation {
    let rising = area(a, b);
    let (direction, area) =
        if rising >= 0.5 { (Direction::Rising, rising) } else { (Direction::Falling, 1.0 - rising) };
    let limits = interval::area(area, a.total(), b.total()).expect("two samples have an area from 0 to 1");
    let interval = Interval { low: 2.0 * limits.low - 1.0, high: 2.0 * limits.high - 1.0 };
    Separation { direction, difference: 2.0 * area - 1.0, interval }
}

/// Gives the area under the curve: how probably a reading of B is greater than one of A, ties counting one half.
pub fn area(a: &Sample, b: &Sample) -> f64 {
    halves_won(a, b) as f64 / (2.0 * a.total() as f64 * b.total() as f64)
}

/// Counts the pairs in which B is greater twice and the ties once: two times Mann and Whitney's U of B.
pub(super) fn halves_won(a: &Sample, b: &Sample) -> u64 {
    let below = |reading: f64| a.0.partition_point(|other| *other < reading) as u64;
    let up_to = |reading: f64| a.0.partition_point(|other| *other <= reading) as u64;
    b.0.iter().map(|reading| below(*reading) + up_to(*reading)).sum()
}

/// Gives the two-sided p value of Mann and Whitney's test.
///
/// Exact without ties and with fewer than 50 readings in both groups; else normal, corrected for ties and continuity,
/// as in `scipy.stats.mannwhitneyu`. Readings that are all equal have p 1.
pub fn mann_whitney(a: &Sample, b: &Sample) -> f64 {
    test(a, b).0
}

/// Gives the p value of Mann and Whitney's test, and whether it is exact for these samples.
pub fn test(a: &Sample, b: &Sample) -> (f64, bool) {
    let pooled = Pooled::new(a, b);
    if pooled.is_exact() {
        return (exact((halves_won(a, b) / 2) as usize, a.0.len(), b.0.len()), true);
    }
    let pairs = (a.total() * b.total()) as f64;
    let distance = (halves_won(a, b) as f64 / 2.0 - pairs / 2.0).abs() - 0.5;
    (pooled.variance().map_or(1.0, |variance| two_sided(distance / variance.sqrt())), false)
}

/// Says whether Mann and Whitney's p is exact for these samples: no ties, and fewer than 50 readings in both groups.
pub fn is_exact(a: &Sample, b: &Sample) -> bool {
    Pooled::new(a, b).is_exact()
}

/// Gives the two-sided normal p value of a standardised distance; 1 for a negative one.
pub(super) fn two_sided(distance: f64) -> f64 {
    erfc(distance / std::f64::consts::SQRT_2).min(1.0)
}

/// The variance of a rank sum, from the readings of two groups together.
pub(super) struct Pooled {
    total_a: f64,
    total_b: f64,
    /// Σ (t³ − t) over the groups of t equal readings.
    tie_sum: f64,
}

impl Pooled {
    pub(super) fn new(a: &Sample, b: &Sample) -> Pooled {
        let mut readings = [a.readings(), b.readings()].concat();
        readings.sort_by(f64::total_cmp);
        let tie_sum =
            readings.chunk_by(|one, other| one == other).map(|ties| ties.len() as f64).map(|t| t * t * t - t).sum();
        Pooled { total_a: a.total() as f64, total_b: b.total() as f64, tie_sum }
    }

    fn is_exact(&self) -> bool {
        self.total_a.max(self.total_b) < TOO_MANY_FOR_EXACT && self.tie_sum == 0.0
    }

    /// Returns the variance of a group's rank sum under no difference; `None` if all readings are equal.
    pub(super) fn variance(&self) -> Option<f64> {
        let total = self.total_a + self.total_b;
        let variance = self.total_a * self.total_b / 12.0 * (total + 1.0 - self.tie_sum / (total * (total - 1.0)));
        let are_all_equal = self.tie_sum == total * total * total - total;
        (!are_all_equal).then_some(variance)
    }
}

/// Gives the exact two-sided p value: twice the share of the orders in which U is as far out, at most 1.
fn exact(u: usize, total_a: usize, total_b: usize) -> f64 {
    let orders = orders(total_a, total_b);
    let tail: i128 = orders[..=u.min(total_a * total_b - u)].iter().sum();
    let all: i128 = orders.iter().sum();
    (2.0 * tail as f64 / all as f64).min(1.0)
}

/// Counts for each U the orders of two groups that give it: the coefficients of the Gaussian binomial.
///
/// They are built as Π (1 − q^(b + i)) / (1 − q^i) over i from 1 to a; below 50 each they fit the integers.
fn orders(total_a: usize, total_b: usize) -> Vec<i128> {
    let greatest = total_a * total_b;
    let mut counts = vec![0i128; greatest + 1];
    counts[0] = 1;
    for step in 1..=total_a {
        for u in (total_b + step..=greatest).rev() {
            counts[u] -= counts[u - total_b - step];
        }
        for u in step..=greatest {
            counts[u] += counts[u - step];
        }
    }
    counts
}

/// Gives the smallest p value of the exact test: 2 / C(total a + total b, total a), at most 1; both totals at least 1.
pub fn smallest_p(total_a: u64, total_b: u64) -> f64 {
    (2.0 * smallest_half(total_a, total_b)).min(1.0)
}

/// Gives the probability of the one order that has all of A before all of B: 1 / C(total a + total b, total a).
pub fn smallest_half(total_a: u64, total_b: u64) -> f64 {
    binomial::quotient(&[(1.0, 0, 0)], (total_a + total_b, total_a))
}

/// Gives the shift from A to B: the median of all differences of a reading of B and one of A.
///
/// Hodges and Lehmann 1963, Annals of Mathematical Statistics 34:598–611.
pub fn hodges_lehmann(a: &Sample, b: &Sample) -> f64 {
    let mut differences: Vec<_> = b.0.iter().flat_map(|after| a.0.iter().map(move |before| after - before)).collect();
    let upper = differences.len() / 2;
    let is_odd = differences.len() % 2 == 1;
    let (below, middle, _) = differences.select_nth_unstable_by(upper, f64::total_cmp);
    if is_odd {
        return *middle;
    }
    let lower = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    lower + (*middle - lower) / 2.0
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{Direction, Sample, area, hodges_lehmann, is_exact, mann_whitney, orders, separation, smallest_p};

    fn sample(readings: &[f64]) -> Sample {
        Sample::new(readings.to_vec()).unwrap()
    }

    #[test]
    fn medians_of_odd_and_even_samples() {
        assert_eq!(sample(&[3.0, 1.0, 9.0]).median(), 3.0);
        assert_eq!(sample(&[4.0, 1.0, 9.0, 2.0]).median(), 3.0);
        assert_eq!(sample(&[4.0]).median(), 4.0);
    }

    #[test]
    fn sample_without_a_reading_is_that_of_the_others() {
        let all = sample(&[3.0, 1.0, 3.0, -0.0]);
        assert_eq!(all.without(3.0), Some(sample(&[1.0, 3.0, -0.0])));
        assert_eq!(all.without(-0.0), Some(sample(&[1.0, 3.0, 3.0])));
        assert_eq!((all.without(2.0), sample(&[2.0]).without(2.0)), (None, None));
    }

    #[test]
    fn ties_count_one_half() {
        // Of 2 × 2 pairs B wins 3.5: 2 > 1, 3 > 1, 3 > 2 and 2 = 2.
        assert_eq!(area(&sample(&[1.0, 2.0]), &sample(&[2.0, 3.0])), 3.5 / 4.0);
        assert_eq!(area(&sample(&[2.0]), &sample(&[2.0, 2.0])), 0.5);
    }

    #[test]
    fn orders_of_small_groups_are_those_counted_one_by_one() {
        assert_eq!(orders(2, 2), [1, 1, 2, 1, 1]);
        for total_a in 1..=6usize {
            for total_b in 1..=6usize {
                let mut counted = vec![0i128; total_a * total_b + 1];
                for choice in (0u32..1 << (total_a + total_b)).filter(|choice| choice.count_ones() as usize == total_a)
                {
                    let rank_sum: usize = (0..total_a + total_b).filter(|place| choice >> place & 1 == 1).sum();
                    counted[rank_sum - total_a * (total_a - 1) / 2] += 1;
                }
                assert_eq!(orders(total_a, total_b), counted, "{total_a} {total_b}");
            }
        }
    }

    #[test]
    fn largest_exact_groups_neither_overflow_nor_lose_an_order() {
        // C(98, 49) = 25477612258980856902730428600 (OEIS A000984, term 49).
        assert_eq!(orders(49, 49).iter().sum::<i128>(), 25_477_612_258_980_856_902_730_428_600);
    }

    #[test]
    fn parted_groups_have_the_smallest_p() {
        let (low, high) = (sample(&[1.0, 2.0, 3.0]), sample(&[4.0, 5.0, 6.0, 7.0]));
        assert_eq!(mann_whitney(&low, &high), 2.0 / 35.0);
        assert_eq!(smallest_p(3, 4), 2.0 / 35.0);
        assert_eq!(smallest_p(1, 1), 1.0);
        assert!((smallest_p(2, 1500) / (2.0 * 2.0 / (1502.0 * 1501.0)) - 1.0).abs() < 1e-10);
    }

    #[test]
    fn equal_readings_show_no_difference() {
        let same = sample(&[5.0, 5.0, 5.0]);
        assert_eq!((mann_whitney(&same, &same), hodges_lehmann(&same, &same)), (1.0, 0.0));
        let separation = separation(&same, &same);
        assert_eq!((separation.direction, separation.difference), (Direction::Rising, 0.0));
        assert!((separation.interval.low + separation.interval.high).abs() < 1e-12);
    }

    #[test]
    fn fifty_readings_in_one_group_are_taken_as_normal() {
        let many = |first: u32, total: u32| sample(&(0..total).map(|i| f64::from(first + 2 * i)).collect::<Vec<_>>());
        assert!(is_exact(&many(0, 49), &many(31, 49)));
        assert!(!is_exact(&many(0, 50), &many(31, 10)));
        assert!(!is_exact(&many(0, 5), &many(2, 5)), "ties");
    }

    #[test]
    fn swapping_the_groups_turns_the_direction_and_nothing_else() {
        let (a, b) = (sample(&[3.0, 4.0, 8.0]), sample(&[1.0, 2.0, 5.0, 7.5]));
        let (there, back) = (separation(&a, &b), separation(&b, &a));
        assert_eq!((there.direction, back.direction), (Direction::Falling, Direction::Rising));
        assert!((there.difference - back.difference).abs() < 1e-15);
        assert!((there.interval.low - back.interval.low).abs() < 1e-12);
        assert_eq!(hodges_lehmann(&a, &b), -hodges_lehmann(&b, &a));
        assert_eq!(mann_whitney(&a, &b), mann_whitney(&b, &a));
    }

    #[test]
    fn shift_of_moved_readings_is_the_distance_moved() {
        let readings = [1.0, 2.5, 2.5, 7.0];
        assert_eq!(hodges_lehmann(&sample(&readings), &sample(&readings.map(|reading| reading + 3.0))), 3.0);
        assert_eq!(hodges_lehmann(&sample(&[1.0]), &sample(&[2.0, 4.0])), 2.0);
    }
}
