//! How far two groups are apart in the readings of a measure, within strata: the pooled separation, its interval, its
//! shift, and the smallest p value there could be.
//!
//! With one stratum separation, interval and shift are those of [`rank`](crate::statistics::rank). The test is van Elteren's, in the parent.

use std::cmp::Ordering;

use crate::statistics::fraction::{self, Fraction};
use crate::statistics::interval::{self, Interval};
use crate::statistics::rank::{self, Direction, Sample, Separation};
use crate::statistics::stratified::states::{PooledDifference, normal, relaxed_point};
use crate::statistics::stratified::weight;

/// The readings of A and of B in each of one stratum or more.
pub type Strata = [(Sample, Sample)];

/// Gives in which order the groups stand, over all strata.
pub fn direction(strata: &Strata) -> Direction {
    let part = |(a, b): &(Sample, Sample)| Fraction {
        numerator: i128::from(rank::halves_won(a, b)) - i128::from(a.total()) * i128::from(b.total()),
        denominator: u128::from(a.total() + b.total()),
    };
    match fraction::sign_of_sum(&strata.iter().map(part).collect::<Vec<_>>()) {
        Ordering::Less => Direction::Falling,
        _ => Direction::Rising,
    }
}

/// Measures how far A and B are apart in the direction in which they differ; nothing without strata.
pub fn separation(strata: &Strata) -> Option<Separation> {
    let direction = direction(strata);
    let found = separation_in(strata, direction)?;
    Some(Separation { direction, difference: found.difference, interval: found.interval })
}

/// Gives 2 · area − 1 in a direction, pooled with Mantel and Haenszel's weights, with its interval.
///
/// The interval averages, over the strata, Newcombe's limits (2006, method 5) taken with Yan and Su's relaxed point.
pub fn separation_in(strata: &Strata, direction: Direction) -> Option<PooledDifference> {
    if strata.is_empty() {
        return None;
    }
    let area = |(a, b): &(Sample, Sample)| match direction {
        Direction::Rising => rank::area(a, b),
        Direction::Falling => rank::area(b, a),
    };
    let areas: Vec<f64> = strata.iter().map(area).collect();
    let weights = normal(strata.iter().map(|(a, b)| weight(a.total(), b.total())));
    let point = relaxed_point(&weights, &variances(strata, &areas));
    let mut pooled = PooledDifference { difference: -1.0, interval: Interval { low: -1.0, high: -1.0 } };
    for ((area, weight), (a, b)) in areas.iter().zip(&weights).zip(strata) {
        let limits = interval::area_at(*area, a.total(), b.total(), point)?;
        pooled.difference += 2.0 * weight * area;
        pooled.interval.low += 2.0 * weight * limits.low;
        pooled.interval.high += 2.0 * weight * limits.high;
    }
    Some(pooled)
}

/// The variances of the areas; if all are 0, substitutes for them.
fn variances(strata: &Strata, areas: &[f64]) -> Vec<f64> {
    let own = strata.iter().zip(areas).map(|((a, b), area)| interval::area_variance(*area, a.total(), b.total()));
    let variances: Vec<f64> = own.collect();
    if variances.iter().any(|variance| *variance > 0.0) {
        return variances;
    }
    let stand_in = |(a, b): &(Sample, Sample)| (a.total() + b.total() + 2) as f64 / (a.total() * b.total()) as f64;
    strata.iter().map(stand_in).collect()
}

/// Gives the shift from A to B: Hodges and Lehmann's of each stratum, with Mantel and Haenszel's weights.
pub fn shift(strata: &Strata) -> Option<f64> {
    let weights = normal(strata.iter().map(|(a, b)| weight(a.total(), b.total())));
    let shifts = strata.iter().map(|(a, b)| rank::hodges_lehmann(a, b));
    (!strata.is_empty()).then(|| weights.iter().zip(shifts).map(|(weight, shift)| weight * shift).sum())
}

/// Gives the smallest p value that orders of the readings within strata allow: 2 / Π C(total a + total b, total a).
pub fn smallest_p(strata: &Strata) -> f64 {
    let orders = strata.iter().map(|(a, b)| rank::smallest_p(a.total(), b.total()) / 2.0);
    (2.0 * orders.product::<f64>()).min(1.0)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{separation, shift, smallest_p};
    use crate::statistics::rank::{self, Direction, Sample};

    fn sample(readings: &[f64]) -> Sample {
        Sample::new(readings.to_vec()).unwrap()
    }

    #[test]
    fn one_stratum_gives_the_unstratified_answers() {
        let pairs = [
            (sample(&[1.0, 4.0, 4.0]), sample(&[3.0, 4.0, 6.0, 9.0])),
            (sample(&[7.0, 8.0]), sample(&[1.0, 2.0, 3.0])),
            (sample(&[2.0]), sample(&[2.0])),
        ];
        for (a, b) in pairs {
            let (expected, found) = (rank::separation(&a, &b), separation(&[(a.clone(), b.clone())]).unwrap());
            assert_eq!(found.direction, expected.direction);
            assert!((found.difference - expected.difference).abs() < 1e-12);
            assert!((found.interval.low - expected.interval.low).abs() < 1e-9, "{found:?} {expected:?}");
            assert!((found.interval.high - expected.interval.high).abs() < 1e-9, "{found:?} {expected:?}");
            assert_eq!(shift(&[(a.clone(), b.clone())]), Some(rank::hodges_lehmann(&a, &b)));
            assert!((smallest_p(&[(a.clone(), b.clone())]) - rank::smallest_p(a.total(), b.total())).abs() < 1e-15);
        }
    }

    #[test]
    fn strata_that_contradict_one_another_even_out() {
        let (low, high) = (sample(&[1.0, 2.0, 3.0]), sample(&[4.0, 5.0, 6.0]));
        let turned = [(low.clone(), high.clone()), (high, low)];
        let found = separation(&turned).unwrap();
        assert_eq!((found.direction, found.difference, shift(&turned)), (Direction::Rising, 0.0, Some(0.0)));
        assert_eq!(separation(&[]), None);
        assert!((smallest_p(&turned) - 2.0 / 400.0).abs() < 1e-15);
    }
}
