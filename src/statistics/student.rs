//! The density of Student's t distribution, in the parts that a reader in another language needs.

use std::f64::consts::{LN_2, PI};

use statrs::function::gamma::ln_gamma;

/// The base-2 logarithm of the density at its centre: Γ((ν + 1)/2) / (√(νπ) Γ(ν/2)).
pub fn log2_constant(degrees: u64) -> f64 {
    let degrees = degrees as f64;
    (ln_gamma((degrees + 1.0) / 2.0) - ln_gamma(degrees / 2.0) - 0.5 * (degrees * PI).ln()) / LN_2
}

/// Student's t distribution with some degrees of freedom.
#[derive(Clone, Copy, Debug)]
pub struct Student {
    degrees: u64,
    /// The density at the centre, for one spread.
    peak: f64,
}

impl Student {
    /// Prepares the distribution with that many degrees of freedom.
    pub fn new(degrees: u64) -> Student {
        Student { degrees, peak: log2_constant(degrees).exp2() }
    }

    /// The density of a reading that lies `z` spreads from the centre, for one unit of the reading.
    pub fn density(self, z: f64, spread: f64) -> f64 {
        let [density] = self.densities([z], [spread]);
        density
    }

    /// The densities of several readings, each as `density` gives it.
    pub fn densities<const N: usize>(self, z: [f64; N], spreads: [f64; N]) -> [f64; N] {
        let degrees = self.degrees as f64;
        let base = z.map(|z| 1.0 + z * z / degrees);
        // The exponent is a whole or a half number, so the power needs no logarithm.
        let half = if self.degrees.is_multiple_of(2) { base.map(f64::sqrt) } else { [1.0; N] };
        let power = whole_powers(base, self.degrees.div_ceil(2));
        std::array::from_fn(|at| self.peak / spreads[at] / (half[at] * power[at]))
    }
}

/// Multiplies each number with itself, the same on every machine, which `powi` does not promise.
fn whole_powers<const N: usize>(mut base: [f64; N], mut exponent: u64) -> [f64; N] {
    let mut power = [1.0; N];
    while exponent > 0 {
        if exponent % 2 == 1 {
            power.iter_mut().zip(&base).for_each(|(power, base)| *power *= base);
        }
        base.iter_mut().for_each(|base| *base *= *base);
        exponent /= 2;
    }
    power
}

#[cfg(test)]
mod tests {
    use super::Student;

    #[test]
    fn density_equals_its_closed_forms_for_few_degrees() {
        let cases = [
            // The t distribution with one degree is Cauchy's: 1/π at 0, 1/(2π) at 1.
            (0.0, 1, std::f64::consts::FRAC_1_PI),
            (1.0, 1, std::f64::consts::FRAC_1_PI / 2.0),
            // With two degrees the density is (2 + z²)^(-3/2), exactly.
            (0.0, 2, 2.0_f64.powf(-1.5)),
            (2.0, 2, 6.0_f64.powf(-1.5)),
            // With three: 6√3 / (π (3 + z²)²).
            (1.5, 3, 6.0 * 3.0_f64.sqrt() / (std::f64::consts::PI * 5.25 * 5.25)),
        ];
        for (z, degrees, expected) in cases {
            let student = Student::new(degrees);
            assert!((student.density(z, 1.0) - expected).abs() < 1e-12, "{z} {degrees}");
            assert!((student.density(z, 2.0) - expected / 2.0).abs() < 1e-12, "{z} {degrees}");
        }
    }
}
