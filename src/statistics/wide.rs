//! Probabilities far below the least float: a number and how often it was brought back into range.
//!
//! The probability of a long sequence is the product of thousands of factors; logarithms would cost an exponential for
//! each term of a sum of them.

use std::cmp::Ordering;
use std::ops::{Add, Mul};

/// The step by which a number is brought back into range: 2^256.
const STEP: f64 = 1.157920892373162e77;

/// A number of 0 or more: `mantissa` · 2^(−256 · `steps`).
#[derive(Clone, Copy, Debug)]
pub(super) struct Wide {
    mantissa: f64,
    steps: u32,
}

impl Wide {
    /// Nothing.
    pub const ZERO: Wide = Wide { mantissa: 0.0, steps: 0 };

    /// One.
    pub const ONE: Wide = Wide { mantissa: 1.0, steps: 0 };

    /// Multiplies with a factor of ordinary size: above 2^-256 and not much above 1.
    #[inline]
    pub fn scaled(self, factor: f64) -> Wide {
        Wide { mantissa: self.mantissa * factor, ..self }.in_range()
    }

    /// Divides by another that is above 0.
    pub fn over(self, other: Wide) -> f64 {
        if self.mantissa == 0.0 {
            return 0.0;
        }
        let steps = f64::from(other.steps) - f64::from(self.steps);
        self.mantissa / other.mantissa * (256.0 * steps).exp2()
    }

    #[inline]
    fn in_range(self) -> Wide {
        if self.mantissa < 1.0 / STEP && self.mantissa > 0.0 {
            return Wide { mantissa: self.mantissa * STEP, steps: self.steps + 1 };
        }
        self
    }
}

impl Mul for Wide {
    type Output = Wide;

    #[inline]
    fn mul(self, other: Wide) -> Wide {
        Wide { mantissa: self.mantissa * other.mantissa, steps: self.steps + other.steps }.in_range()
    }
}

impl Add for Wide {
    type Output = Wide;

    #[inline]
    fn add(self, other: Wide) -> Wide {
        if self.mantissa == 0.0 {
            return other;
        }
        if other.mantissa == 0.0 {
            return self;
        }
        let (greater, less) = if self.steps <= other.steps { (self, other) } else { (other, self) };
        match less.steps - greater.steps {
            0 => Wide { mantissa: greater.mantissa + less.mantissa, ..greater },
            1 => Wide { mantissa: greater.mantissa + less.mantissa / STEP, ..greater },
            // Below the last bit of any sum of ordinary size.
            _ => greater,
        }
    }
}

impl PartialEq for Wide {
    fn eq(&self, other: &Wide) -> bool {
        self.partial_cmp(other) == Some(Ordering::Equal)
    }
}

impl PartialOrd for Wide {
    #[inline]
    fn partial_cmp(&self, other: &Wide) -> Option<Ordering> {
        let nothing = (self.mantissa == 0.0) as u8 + (other.mantissa == 0.0) as u8;
        if self.steps == other.steps || nothing > 0 {
            return self.mantissa.partial_cmp(&other.mantissa);
        }
        if self.steps > other.steps {
            return other.partial_cmp(self).map(Ordering::reverse);
        }
        match other.steps - self.steps {
            1 => self.mantissa.partial_cmp(&(other.mantissa / STEP)),
            _ => Some(Ordering::Greater),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Wide;

    fn halves(count: u32) -> Wide {
        (0..count).fold(Wide::ONE, |product, _| product.scaled(0.5))
    }

    #[test]
    fn products_stay_exact_far_below_the_least_float() {
        assert_eq!(halves(5000).over(halves(5003)), 8.0);
        assert_eq!((halves(3000) * halves(2000)).over(halves(5000)), 1.0);
    }

    #[test]
    fn sums_are_right_on_both_sides_of_a_step() {
        for count in [3, 250, 256, 257, 700, 4000] {
            assert_eq!((halves(count) + halves(count + 1)).over(halves(count + 1)), 3.0, "{count}");
            assert_eq!((halves(count + 1) + halves(count)).over(halves(count + 1)), 3.0, "{count}");
        }
        assert_eq!((Wide::ZERO + halves(900)).over(halves(900)), 1.0);
        assert_eq!((halves(900) + Wide::ZERO).over(halves(900)), 1.0);
        assert_eq!(Wide::ZERO.over(halves(3)), 0.0);
    }

    #[test]
    fn longer_products_of_halves_are_less() {
        let counts = [0, 1, 255, 256, 257, 511, 513, 2000, 4000];
        for (place, one) in counts.iter().enumerate() {
            assert!(counts[place + 1..].iter().all(|other| halves(*other) < halves(*one)), "{one}");
            assert!(halves(*one) == halves(*one) && Wide::ZERO < halves(*one) && halves(*one) > Wide::ZERO);
        }
    }
}
