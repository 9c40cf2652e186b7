//! The sign of a sum of fractions, exactly: rounding must not decide whether two pooled shares are
//! equal.
//!
//! It returns the sign alone; callers compute the sum itself in floats.

use std::cmp::Ordering;

use num_bigint::BigInt;
use num_rational::BigRational;

/// A float sum further from 0 than this part of its absolute terms has the sign of the true one.
const CLEAR: f64 = 1e-9;

/// A fraction; the denominator is above 0.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fraction {
    pub numerator: i128,
    pub denominator: u128,
}

/// Compares the sum of the fractions with 0.
pub(super) fn sign_of_sum(fractions: &[Fraction]) -> Ordering {
    let float = |fraction: &Fraction| fraction.numerator as f64 / fraction.denominator as f64;
    let sum: f64 = fractions.iter().map(float).sum();
    let size: f64 = fractions.iter().map(|fraction| float(fraction).abs()).sum();
    if sum.abs() > CLEAR * size {
        return sum.total_cmp(&0.0);
    }
    let exact =
        |fraction: &Fraction| BigRational::new(BigInt::from(fraction.numerator), BigInt::from(fraction.denominator));
    let zero = BigRational::from_integer(BigInt::ZERO);
    fractions.iter().map(exact).fold(zero.clone(), |sum, fraction| sum + fraction).cmp(&zero)
}

#[cfg(test)]
mod tests {
    use super::{Fraction, sign_of_sum};
    use std::cmp::Ordering;

    fn sign(fractions: &[(i128, u128)]) -> Ordering {
        let fractions = fractions
            .iter()
            .map(|(numerator, denominator)| Fraction { numerator: *numerator, denominator: *denominator });
        sign_of_sum(&fractions.collect::<Vec<_>>())
    }

    #[test]
    fn thirds_and_sixths_cancel_exactly() {
        assert_eq!(sign(&[]), Ordering::Equal);
        assert_eq!(sign(&[(1, 3), (1, 6), (-1, 2)]), Ordering::Equal);
        assert_eq!(sign(&[(1, 3), (-1, 2)]), Ordering::Less);
    }

    #[test]
    fn what_a_float_cannot_tell_from_nothing_has_its_sign() {
        // 1/p − 1/q differ from each other by 2 / (p q), far below the last bit of either.
        let (one, other) = (1_000_000_000_000_000_003, 1_000_000_000_000_000_009);
        assert_eq!(sign(&[(1, one), (-1, other)]), Ordering::Greater);
        assert_eq!(sign(&[(-1, one), (1, other)]), Ordering::Less);
    }
}
