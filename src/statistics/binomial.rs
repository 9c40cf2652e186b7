//! Binomial coefficients as weights of tables: whole numbers for small totals, scaled logarithms for large ones.
//!
//! Whole numbers keep small p values exact, so that 6 / 120 meets a limit of 0.05 instead of missing it by a rounding.

use statrs::function::factorial::ln_binomial;

/// Up to this total no product of coefficients leaves the range of a float: C(1000, 500) is about 2.7e299.
const LARGEST_PLAIN: u64 = 1000;

/// How the coefficients of one comparison are written down; all that are multiplied or summed use the same one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Scale {
    /// As they are: exact below 2^53.
    Plain,
    /// Times share^k (1 − share)^(size − k), the share above 0 and below 1, so that tables as expected under
    /// independence, which all carry the same power, stay in range: correct to about 1e-10, and too small a one is 0.
    Tilted(f64),
}

impl Scale {
    /// Gives the scale for tables of this many in all, with this share of them, neither none nor all, chosen.
    pub(super) fn fitting(total: u64, share: f64) -> Scale {
        if total <= LARGEST_PLAIN { Scale::Plain } else { Scale::Tilted(share) }
    }

    /// Gives C(size, 0), C(size, 1), … C(size, size).
    pub(super) fn row(self, size: u64) -> Vec<f64> {
        match self {
            Scale::Plain => plain_row(size),
            Scale::Tilted(share) => {
                let (ln_share, ln_rest) = (share.ln(), (-share).ln_1p());
                let tilt = |k: u64| k as f64 * ln_share + (size - k) as f64 * ln_rest;
                (0..=size).map(|k| (ln_binomial(size, k) + tilt(k)).exp()).collect()
            }
        }
    }
}

fn plain_row(size: u64) -> Vec<f64> {
    let mut row = vec![1.0; size as usize + 1];
    for chosen in 1..=size / 2 {
        let next = row[chosen as usize - 1] * (size - chosen + 1) as f64 / chosen as f64;
        row[chosen as usize] = next;
        row[(size - chosen) as usize] = next;
    }
    row
}

/// Gives C(size, chosen); infinite where a float ends.
fn coefficient(size: u64, chosen: u64) -> f64 {
    (1..=chosen.min(size - chosen)).fold(1.0, |product, k| product * (size - k + 1) as f64 / k as f64)
}

/// Gives the sum of `ways` · C(size, chosen) over the terms, divided by C(size, chosen) of the whole.
pub(super) fn quotient(terms: &[(f64, u64, u64)], whole: (u64, u64)) -> f64 {
    let (size, chosen) = whole;
    if size <= LARGEST_PLAIN {
        let sum: f64 = terms.iter().map(|term| term.0 * coefficient(term.1, term.2)).sum();
        return sum / coefficient(size, chosen);
    }
    let whole = ln_binomial(size, chosen);
    terms.iter().map(|term| term.0 * (ln_binomial(term.1, term.2) - whole).exp()).sum()
}

#[cfg(test)]
mod tests {
    use super::{Scale, quotient};

    #[test]
    fn rows_are_those_of_the_triangle() {
        assert_eq!(Scale::Plain.row(0), [1.0]);
        assert_eq!(Scale::Plain.row(4), [1.0, 4.0, 6.0, 4.0, 1.0]);
        assert_eq!(Scale::Plain.row(5), [1.0, 5.0, 10.0, 10.0, 5.0, 1.0]);
    }

    #[test]
    fn every_row_sums_to_a_power_of_two() {
        for size in 0..=1000 {
            let sum: f64 = Scale::Plain.row(size).iter().sum();
            assert!((sum / 2f64.powi(size as i32) - 1.0).abs() < 1e-12, "{size}");
        }
    }

    #[test]
    fn tilted_rows_sum_to_one() {
        for share in [0.001, 0.3, 0.999] {
            for size in [1, 2, 7, 200, 5000] {
                let sum: f64 = Scale::Tilted(share).row(size).iter().sum();
                assert!((sum - 1.0).abs() < 1e-10, "{share} {size}");
            }
        }
    }

    #[test]
    fn quotients_agree_on_both_sides_of_the_change_of_scale() {
        for (whole, expected) in [((1000, 3), 3.0 / 166_167_000.0), ((1001, 3), 3.0 / 166_666_500.0)] {
            assert!((quotient(&[(3.0, 5, 0)], whole) / expected - 1.0).abs() < 1e-10);
        }
    }

    #[test]
    fn six_of_a_hundred_and_twenty_is_exactly_a_twentieth() {
        assert_eq!(quotient(&[(2.0, 3, 1)], (10, 3)), 0.05);
    }
}
