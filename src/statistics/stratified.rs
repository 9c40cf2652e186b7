//! Turns comparisons made separately within strata into one: pooled differences and stratified tests.
//!
//! Which strata there are, and whether enough garments lie in them, is the caller's: every stratum given holds both
//! groups. No strata, no number.

pub mod measures;
pub mod states;
pub mod vector;

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::statistics::Proportion;
use crate::statistics::association::TOLERANCE;
use crate::statistics::binomial::Scale;
use crate::statistics::multiple::Test;
use crate::statistics::rank::{self, Direction, Pooled, Sample};

/// How many of group A and of group B show something, in one stratum.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stratum {
    /// The share of group A.
    pub a: Proportion,
    /// The share of group B.
    pub b: Proportion,
}

/// A difference of shares pooled over strata.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooling {
    /// The pooled share of A minus that of B.
    pub difference: f64,
    /// The variance of the difference.
    pub variance: f64,
}

/// Whether a statistic is drawn half a count toward what is expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Correction {
    /// By half a count, or not at all where it is nearer.
    Continuity,
    /// Not at all.
    Uncorrected,
}

impl Stratum {
    fn total_a(self) -> f64 {
        self.a.total() as f64
    }

    fn total_b(self) -> f64 {
        self.b.total() as f64
    }

    /// Gives Mantel and Haenszel's weight.
    fn weight(self) -> f64 {
        weight(self.a.total(), self.b.total())
    }

    fn total(self) -> u64 {
        self.a.total() + self.b.total()
    }

    fn count(self) -> u64 {
        self.a.count() + self.b.count()
    }
}

fn weight(total_a: u64, total_b: u64) -> f64 {
    total_a as f64 * total_b as f64 / (total_a + total_b) as f64
}

/// Pools the differences of shares with Mantel and Haenszel's weights.
///
/// Estimate and variance as in Greenland and Robins 1985, Biometrics 41:55–68.
///
/// ```
/// use bartack::statistics::{Proportion, stratified::{Stratum, mantel_haenszel}};
/// let stratum = |a, b| Stratum { a: Proportion::new(a, 4).unwrap(), b: Proportion::new(b, 4).unwrap() };
/// let pooling = mantel_haenszel(&[stratum(3, 1), stratum(2, 2)]).unwrap();
/// assert_eq!(pooling.difference, 0.25);
/// assert_eq!(mantel_haenszel(&[]), None);
/// ```
pub fn mantel_haenszel(strata: &[Stratum]) -> Option<Pooling> {
    let weights: f64 = strata.iter().map(|stratum| stratum.weight()).sum();
    let sum: f64 = strata.iter().map(|stratum| stratum.weight() * (stratum.a.share() - stratum.b.share())).sum();
    let spread: f64 = strata.iter().map(|stratum| stratum.weight().powi(2) * difference_variance(*stratum)).sum();
    (!strata.is_empty()).then(|| Pooling { difference: sum / weights, variance: spread / (weights * weights) })
}

fn difference_variance(stratum: Stratum) -> f64 {
    let part = |share: f64, total: f64| share * (1.0 - share) / total;
    part(stratum.a.share(), stratum.total_a()) + part(stratum.b.share(), stratum.total_b())
}

/// Gives the p value of Cochran, Mantel and Haenszel's test: exact, conditional on all margins, two-sided by probability.
///
/// The count of A over all strata is distributed as the convolution of their hypergeometric distributions; tables with
/// the same count are one outcome, as in R's `mantelhaen.test(exact = TRUE)`.
pub fn exact_p(strata: &[Stratum]) -> Option<f64> {
    exact(strata).map(|test| test.p)
}

/// Gives the p value of the exact test, and the smallest that the margins of the strata allow, ties of outcomes included.
///
/// ```
/// use bartack::statistics::{Proportion, stratified::{Stratum, exact}};
/// // Margins 3 and 3, three show it: 1, 9, 9 and 1 of 20 tables.
/// let stratum = Stratum { a: Proportion::new(2, 3).unwrap(), b: Proportion::new(1, 3).unwrap() };
/// let test = exact(&[stratum]).unwrap();
/// assert!((test.p - 1.0).abs() < 1e-12 && (test.smallest - 0.1).abs() < 1e-12);
/// ```
pub fn exact(strata: &[Stratum]) -> Option<Test> {
    if strata.is_empty() {
        return None;
    }
    let total = strata.iter().map(|stratum| stratum.total()).sum();
    let (mut distribution, mut observed) = (vec![1.0], 0);
    // Where all or none of a stratum show it, only one table is possible, and it tells nothing.
    for stratum in strata.iter().filter(|stratum| 0 < stratum.count() && stratum.count() < stratum.total()) {
        let scale = Scale::fitting(total, stratum.count() as f64 / stratum.total() as f64);
        distribution = convolution(&distribution, &hypergeometric(*stratum, scale));
        observed += (stratum.a.count() - least_count(*stratum)) as usize;
    }
    let whole: f64 = distribution.iter().sum();
    let up_to = |weight: f64| {
        let limit = weight * (1.0 + TOLERANCE);
        (distribution.iter().filter(|weight| **weight <= limit).sum::<f64>() / whole).min(1.0)
    };
    let least = distribution.iter().copied().fold(f64::INFINITY, f64::min);
    Some(Test { p: up_to(distribution[observed]), smallest: up_to(least) })
}

fn least_count(stratum: Stratum) -> u64 {
    stratum.count().saturating_sub(stratum.b.total())
}

/// Gives the weights of the counts of A that the margins allow, from the least on.
fn hypergeometric(stratum: Stratum, scale: Scale) -> Vec<f64> {
    let (row_a, row_b) = (scale.row(stratum.a.total()), scale.row(stratum.b.total()));
    let most = stratum.count().min(stratum.a.total());
    let weight = |count: u64| row_a[count as usize] * row_b[(stratum.count() - count) as usize];
    let weights: Vec<f64> = (least_count(stratum)..=most).map(weight).collect();
    // Whole numbers stay as they are; the product of many small probabilities would leave the range of a float.
    let whole = if scale == Scale::Plain { 1.0 } else { weights.iter().sum() };
    weights.into_iter().map(|weight| weight / whole).collect()
}

fn convolution(one: &[f64], other: &[f64]) -> Vec<f64> {
    let mut sums = vec![0.0; one.len() + other.len() - 1];
    for (place, weight) in one.iter().enumerate() {
        for (sum, factor) in sums[place..].iter_mut().zip(other) {
            *sum += weight * factor;
        }
    }
    sums
}

/// Returns Cochran, Mantel and Haenszel's statistic and its chi-square p value; `None` if no stratum is informative.
pub fn chi_square(strata: &[Stratum], correction: Correction) -> Option<(f64, f64)> {
    let expected = |stratum: &Stratum| stratum.total_a() * stratum.count() as f64 / stratum.total() as f64;
    let excess: f64 = strata.iter().map(|stratum| stratum.a.count() as f64 - expected(stratum)).sum();
    let variance: f64 = strata.iter().map(|stratum| count_variance(*stratum)).sum();
    let drawn = match correction {
        Correction::Continuity if excess.abs() >= 0.5 => excess.abs() - 0.5,
        _ => excess.abs(),
    };
    let statistic = drawn * drawn / variance;
    let distribution = ChiSquared::new(1.0).ok()?;
    (variance > 0.0).then(|| (statistic, distribution.sf(statistic)))
}

fn count_variance(stratum: Stratum) -> f64 {
    let (total, count) = (stratum.total() as f64, stratum.count() as f64);
    stratum.total_a() * stratum.total_b() * count * (total - count) / (total * total * (total - 1.0))
}

/// Pools 2 · area − 1 over strata of readings with Mantel and Haenszel's weights, signed in the direction given.
pub fn pooled_separation(strata: &[(Sample, Sample)], direction: Direction) -> Option<f64> {
    let sign = match direction {
        Direction::Rising => 1.0,
        Direction::Falling => -1.0,
    };
    let weight_of = |stratum: &(Sample, Sample)| weight(stratum.0.total(), stratum.1.total());
    let weights: f64 = strata.iter().map(weight_of).sum();
    let sum: f64 =
        strata.iter().map(|stratum| weight_of(stratum) * (2.0 * rank::area(&stratum.0, &stratum.1) - 1.0)).sum();
    (!strata.is_empty()).then(|| sign * sum / weights)
}

/// Gives the two-sided p value of van Elteren's test; 1 where all readings of each stratum are equal.
///
/// Σ W_k / (N_k + 1), W_k the rank sum of B within stratum k, ties ranked at their middle, against the normal
/// distribution with its variance corrected for ties, without continuity correction (van Elteren 1960, Bulletin of the
/// International Statistical Institute 37:351–361; the same form as in SAS, PROC NPAR1WAY with strata).
pub fn van_elteren(strata: &[(Sample, Sample)]) -> Option<f64> {
    let (mut excess, mut variance) = (0.0, 0.0);
    for (a, b) in strata {
        let weight = 1.0 / (a.total() + b.total() + 1) as f64;
        // The rank sum of B exceeds its mean by as much as Mann and Whitney's U does.
        excess += weight * (rank::area(a, b) - 0.5) * a.total() as f64 * b.total() as f64;
        variance += weight * weight * Pooled::new(a, b).variance().unwrap_or(0.0);
    }
    let p = if variance > 0.0 { rank::two_sided(excess.abs() / variance.sqrt()) } else { 1.0 };
    (!strata.is_empty()).then_some(p)
}

/// Gives the smallest p value of readings held within strata: 2 / Π C(total a + total b, total a), at most 1.
pub fn smallest_of_ranks(strata: &[(Sample, Sample)]) -> Option<f64> {
    let halves = strata.iter().map(|(a, b)| rank::smallest_half(a.total(), b.total()));
    (!strata.is_empty()).then(|| (2.0 * halves.product::<f64>()).min(1.0))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{Correction, Stratum, chi_square, exact_p, mantel_haenszel, pooled_separation, van_elteren};
    use crate::statistics::Proportion;
    use crate::statistics::association::{self, Table};
    use crate::statistics::rank::{self, Direction, Sample};

    fn stratum(a: (u64, u64), b: (u64, u64)) -> Stratum {
        Stratum { a: Proportion::new(a.0, a.1).unwrap(), b: Proportion::new(b.0, b.1).unwrap() }
    }

    fn sample(readings: &[f64]) -> Sample {
        Sample::new(readings.to_vec()).unwrap()
    }

    #[test]
    fn without_strata_there_is_no_number() {
        assert_eq!((mantel_haenszel(&[]), exact_p(&[]), chi_square(&[], Correction::Uncorrected)), (None, None, None));
        assert_eq!((pooled_separation(&[], Direction::Rising), van_elteren(&[])), (None, None));
    }

    #[test]
    fn one_stratum_gives_the_unstratified_answers() {
        for (a, b) in [((3, 4), (1, 4)), ((0, 7), (5, 9)), ((2, 15), (10, 13)), ((1, 3), (2, 6))] {
            let one = [stratum(a, b)];
            let table = Table::new([(a.0, b.0), (a.1 - a.0, b.1 - b.0)]).unwrap();
            let pooling = mantel_haenszel(&one).unwrap();
            assert!((pooling.difference - (one[0].a.share() - one[0].b.share())).abs() < 1e-15);
            assert!((exact_p(&one).unwrap() - association::test(&table).p).abs() < 1e-14);
        }
    }

    #[test]
    fn strata_of_one_outcome_tell_nothing() {
        let telling = stratum((3, 4), (1, 5));
        let mute = [telling, stratum((4, 4), (6, 6)), stratum((0, 3), (0, 8))];
        assert_eq!(exact_p(&mute), exact_p(&[telling]));
        assert_eq!(exact_p(&mute[1..]), Some(1.0));
        assert_eq!(chi_square(&mute[1..], Correction::Uncorrected), None);
    }

    #[test]
    fn exact_p_of_two_strata_is_the_one_worked_by_hand() {
        // Both strata: 2 and 2, two of four show it. Weights 1, 4, 1 each; together 1, 8, 18, 8, 1 of 36.
        let strata = [stratum((2, 2), (0, 2)), stratum((1, 2), (1, 2))];
        assert_eq!(exact_p(&strata), Some(18.0 / 36.0));
        assert_eq!(exact_p(&[strata[0], strata[0]]), Some(2.0 / 36.0));
    }

    #[test]
    fn large_strata_neither_overflow_nor_vanish() {
        let strata =
            [stratum((3, 3000), (5, 4000)), stratum((1500, 3000), (1510, 3000)), stratum((2999, 3000), (7, 7))];
        let p = exact_p(&strata).unwrap();
        let (_, approximate) = chi_square(&strata, Correction::Continuity).unwrap();
        assert!((p - approximate).abs() < 0.005, "{p} {approximate}");
    }

    #[test]
    fn many_strata_of_many_garments_stay_in_range() {
        let strata: Vec<_> = (0..900).map(|place| stratum((1 + u64::from(place % 30 == 0), 2), (1, 2))).collect();
        let (p, (_, near)) = (exact_p(&strata).unwrap(), chi_square(&strata, Correction::Uncorrected).unwrap());
        assert!((p / near - 1.0).abs() < 0.1 && near < 0.9, "{p} {near}");
    }

    #[test]
    fn one_stratum_of_readings_gives_the_unstratified_separation() {
        let (a, b) = (sample(&[1.0, 4.0, 4.0]), sample(&[3.0, 4.0, 6.0, 9.0]));
        let separation = rank::separation(&a, &b);
        let strata = [(a, b)];
        assert_eq!(pooled_separation(&strata, Direction::Rising), Some(separation.difference));
        assert_eq!(pooled_separation(&strata, Direction::Falling), Some(-separation.difference));
    }

    #[test]
    fn readings_all_equal_within_strata_have_p_one() {
        let strata = [(sample(&[1.0]), sample(&[1.0, 1.0])), (sample(&[2.0, 2.0]), sample(&[2.0]))];
        assert_eq!(van_elteren(&strata), Some(1.0));
    }
}
