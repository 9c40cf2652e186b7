//! Turns proportions and areas under a curve into 95 % intervals.
//!
//! Nothing is clipped but what its method clips; no continuity corrections.

use statrs::distribution::{Beta, ContinuousCDF};

use crate::statistics::Proportion;

/// The 97.5 % point of the standard normal distribution, to the six places the intervals are defined with.
pub const NORMAL_POINT: f64 = 1.959964;

/// Two limits; the low one is never above the high one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The lower limit.
    pub low: f64,
    /// The upper limit.
    pub high: f64,
}

impl Interval {
    /// Gives the distance of the limits.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// Gives the 95 % Jeffreys interval: the 2.5 % and 97.5 % points of Beta(count + ½, total − count + ½).
///
/// The lower limit is 0 when the count is 0, the upper 1 when the count is the total: Brown, Cai and DasGupta 2001,
/// Statistical Science 16:101–133, section 3.1.2, so that the coverage does not fall to 0 at the ends.
///
/// ```
/// use bartack::statistics::{Proportion, interval};
/// let limits = interval::jeffreys(Proportion::new(0, 10).unwrap());
/// assert_eq!(limits.low, 0.0);
/// assert!((limits.high - 0.2172).abs() < 5e-5);
/// ```
pub fn jeffreys(proportion: Proportion) -> Interval {
    let (count, rest) = (proportion.count(), proportion.total() - proportion.count());
    let posterior = Beta::new(count as f64 + 0.5, rest as f64 + 0.5).expect("both shapes are at least one half");
    Interval {
        low: if count == 0 { 0.0 } else { posterior.inverse_cdf(0.025) },
        high: if rest == 0 { 1.0 } else { posterior.inverse_cdf(0.975) },
    }
}

/// Gives Wilson's 95 % score interval, without continuity correction (Wilson 1927, JASA 22:209–212).
pub fn wilson(proportion: Proportion) -> Interval {
    wilson_at(proportion, NORMAL_POINT)
}

/// Gives Wilson's score interval with another point of the normal distribution than the 97.5 % one.
pub(super) fn wilson_at(proportion: Proportion, point: f64) -> Interval {
    let total = proportion.total() as f64;
    let square = point * point;
    let share = proportion.share();
    let middle = (share + square / (2.0 * total)) / (1.0 + square / total);
    let spread = point * (share * (1.0 - share) / total + square / (4.0 * total * total)).sqrt();
    let reach = spread / (1.0 + square / total);
    // At the ends the limit is the share itself; a rounding must not move it outside.
    Interval {
        low: if proportion.count() == 0 { 0.0 } else { middle - reach },
        high: if proportion.count() == proportion.total() { 1.0 } else { middle + reach },
    }
}

/// Gives the 95 % interval of share a − share b: Newcombe 1998, Statistics in Medicine 17:873–890, method 10.
///
/// The Wilson limits of both shares, squared and added; not clipped.
pub fn newcombe(a: Proportion, b: Proportion) -> Interval {
    let difference = a.share() - b.share();
    let (limits_a, limits_b) = (wilson(a), wilson(b));
    Interval {
        low: difference - (a.share() - limits_a.low).hypot(limits_b.high - b.share()),
        high: difference + (limits_a.high - a.share()).hypot(b.share() - limits_b.low),
    }
}

/// Gives the 95 % interval of an area under the curve: Newcombe 2006, Statistics in Medicine 25:559–573, method 5.
///
/// The limits are the areas θ whose own standard error reaches the estimate, |θ − area| = z √V(θ), where V is Hanley
/// and McNeil's exponential variance with both m* and n* replaced by ½ (m + n) − 1 (method 4 takes V at the estimate):
/// V(θ) = θ (1 − θ) (1 + n* (1 − θ)/(2 − θ) + m* θ/(1 + θ)) / (m n). Nothing where a total is 0 or the area outside 0
/// to 1.
pub fn area(area: f64, total_a: u64, total_b: u64) -> Option<Interval> {
    area_at(area, total_a, total_b, NORMAL_POINT)
}

/// Gives the interval of an area with another point of the normal distribution than the 97.5 % one.
pub(super) fn area_at(area: f64, total_a: u64, total_b: u64, point: f64) -> Option<Interval> {
    if total_a == 0 || total_b == 0 || !(0.0..=1.0).contains(&area) {
        return None;
    }
    let is_within = |limit: f64| (limit - area).abs() <= point * area_variance(limit, total_a, total_b).sqrt();
    Some(Interval {
        low: if area == 0.0 { 0.0 } else { bisect(area, 0.0, is_within) },
        high: if area == 1.0 { 1.0 } else { bisect(area, 1.0, is_within) },
    })
}

/// Gives the variance V(θ) that [`area`] takes its limits by.
pub(super) fn area_variance(area: f64, total_a: u64, total_b: u64) -> f64 {
    let (total_a, total_b) = (total_a as f64, total_b as f64);
    let others = (total_a + total_b) / 2.0 - 1.0;
    let excess = others * (1.0 - area) / (2.0 - area) + others * area / (1.0 + area);
    (area * (1.0 - area) * (1.0 + excess) / (total_a * total_b)).max(0.0)
}

/// Gives the last point inside on the way from one end, inside or the brink, to the other, outside: halving to the last bit.
fn bisect(inside: f64, outside: f64, is_within: impl Fn(f64) -> bool) -> f64 {
    let (mut inside, mut outside) = (inside, outside);
    for _ in 0..1100 {
        let middle = inside + (outside - inside) / 2.0;
        if middle == inside || middle == outside {
            break;
        }
        if is_within(middle) { inside = middle } else { outside = middle }
    }
    inside
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{area, area_variance, jeffreys, newcombe, wilson};
    use crate::statistics::Proportion;

    fn proportions() -> impl Iterator<Item = Proportion> {
        (1..=30).flat_map(|total| (0..=total).map(move |count| Proportion::new(count, total).unwrap()))
    }

    #[test]
    fn one_proportion_lies_in_its_interval_within_zero_and_one() {
        for proportion in proportions() {
            for limits in [jeffreys(proportion), wilson(proportion)] {
                assert!(0.0 <= limits.low && limits.low <= proportion.share(), "{proportion:?}");
                assert!(proportion.share() <= limits.high && limits.high <= 1.0, "{proportion:?}");
            }
        }
    }

    #[test]
    fn swapping_yes_and_no_mirrors_an_interval() {
        for proportion in proportions() {
            let mirrored = Proportion::new(proportion.total() - proportion.count(), proportion.total()).unwrap();
            assert!((jeffreys(proportion).low + jeffreys(mirrored).high - 1.0).abs() < 1e-9);
            assert!((wilson(proportion).low + wilson(mirrored).high - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn wilson_touches_the_ends_exactly() {
        assert_eq!(wilson(Proportion::new(0, 7).unwrap()).low, 0.0);
        assert_eq!(wilson(Proportion::new(7, 7).unwrap()).high, 1.0);
    }

    #[test]
    fn swapping_the_groups_mirrors_a_difference() {
        let (a, b) = (Proportion::new(3, 7).unwrap(), Proportion::new(9, 11).unwrap());
        let (there, back) = (newcombe(a, b), newcombe(b, a));
        assert!((there.low + back.high).abs() < 1e-15 && (there.high + back.low).abs() < 1e-15);
    }

    #[test]
    fn limits_of_an_area_solve_their_equation() {
        for (total_a, total_b) in [(1, 1), (1, 9), (3, 3), (8, 5), (40, 7), (500, 800)] {
            for step in 0..=20 {
                let estimate = f64::from(step) / 20.0;
                let limits = area(estimate, total_a, total_b).unwrap();
                for limit in [limits.low, limits.high] {
                    let variance = area_variance(limit, total_a, total_b);
                    let gap = (limit - estimate).abs() - 1.959964 * variance.sqrt();
                    // Where V falls to 0 with the limit, the square root magnifies the last bit.
                    assert!(gap.abs() < 1e-7, "{estimate} {total_a} {total_b} {limits:?}");
                }
                assert!(limits.low <= estimate && estimate <= limits.high);
            }
        }
    }

    #[test]
    fn one_garment_each_gives_the_interval_that_can_be_worked_by_hand() {
        // With m = n = 1 and the area 1: (1 − θ)² = z² θ (1 − θ), so θ = 1 / (1 + z²).
        let limits = area(1.0, 1, 1).unwrap();
        assert!((limits.low - 1.0 / (1.0 + 1.959964 * 1.959964)).abs() < 1e-12);
        assert_eq!(limits.high, 1.0);
    }

    #[test]
    fn what_is_no_area_has_no_interval() {
        assert_eq!(area(0.5, 0, 3), None);
        assert_eq!(area(1.5, 2, 3), None);
        assert_eq!(area(f64::NAN, 2, 3), None);
    }
}
