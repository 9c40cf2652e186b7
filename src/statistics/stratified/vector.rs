//! Tests whether two groups differ in the states they show, within strata: by the vector of A's totals for each state,
//! given the margins of every stratum.
//!
//! Exact where few tables are possible, else Cochran's chi-square (Cochran 1954, Biometrics 10:417–451, for several states:
//! Birch 1965, Journal of the Royal Statistical Society B 27:111–124).

mod cells;
mod distribution;
mod stratum;

use std::f64::consts::TAU;

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::statistics::association::{MOST_TABLES, Method};
use crate::statistics::stratified::states::StratifiedTable;
use crate::statistics::stratified::vector::distribution::Distribution;
use crate::statistics::stratified::vector::stratum::Stratum;

/// A variance below this part of what it was before the other states were held fixed is 0 but for rounding.
const NOTHING: f64 = 1e-9;

/// A p value, the test that gave it, and the smallest it could give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// The two-sided p value.
    pub p: f64,
    /// The smallest p value of any table with these margins, ties included; 0 of a chi-square.
    pub smallest: f64,
    /// The test.
    pub method: Method,
}

/// The statistic with its degrees of freedom and p value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChiSquare {
    /// The excess of A's totals, weighed by the inverse of their covariances.
    pub statistic: f64,
    /// How many states vary freely.
    pub degrees: u64,
    /// The p value.
    pub p: f64,
}

/// Tests the vector of A's totals: exactly up to 100,000 tables, added over the strata, else by chi-square; 1 if only one
/// state is seen.
pub fn test(table: &StratifiedTable<'_>) -> Test {
    let telling: Vec<Stratum> = table.strata().iter().filter_map(Stratum::of).collect();
    let tables: u64 = telling.iter().map(|stratum| stratum.tables).sum();
    let exact = if tables > MOST_TABLES { None } else { Distribution::of(&telling, table, excess(table).density()) };
    match exact {
        Some(distribution) => Test { p: distribution.p(), smallest: distribution.smallest_p(), method: Method::Exact },
        None => {
            let p = chi_square(table).map_or(1.0, |chi_square| chi_square.p);
            Test { p, smallest: 0.0, method: Method::ChiSquare }
        }
    }
}

/// Returns Cochran's chi-square test for several states; `None` if no stratum is informative.
///
/// The covariances of A's totals are Σ n_A n_B (n · diag c − c c′) / n³, with c the totals of the states in a stratum of n.
pub fn chi_square(table: &StratifiedTable<'_>) -> Option<ChiSquare> {
    let Excess { statistic, degrees, .. } = excess(table);
    let distribution = ChiSquared::new(degrees as f64).ok()?;
    (degrees > 0).then(|| ChiSquare { statistic, degrees, p: distribution.sf(statistic).clamp(0.0, 1.0) })
}

/// How far A's totals e are from what is expected, by their covariances V.
struct Excess {
    /// e′ V⁻ e.
    statistic: f64,
    /// The rank of V: states that follow from the others are passed over.
    degrees: u64,
    /// The logarithm of the determinant of what is left of V.
    ln_determinant: f64,
}

impl Excess {
    /// The approximate probability of the totals by a normal distribution; `None` if no stratum is informative.
    fn density(&self) -> Option<f64> {
        let exponent = self.statistic + self.ln_determinant + self.degrees as f64 * TAU.ln();
        (self.degrees > 0).then(|| (-exponent / 2.0).exp())
    }
}

fn excess(table: &StratifiedTable<'_>) -> Excess {
    let states = table.strata().first().map_or(0, |counts| counts.rows.len());
    let mut excess = vec![0.0; states];
    let mut covariances = vec![vec![0.0; states]; states];
    for counts in table.strata() {
        let total = (counts.total_a + counts.total_b) as f64;
        let spread = counts.total_a as f64 * counts.total_b as f64 / (total * total * total);
        let seen: Vec<f64> = counts.rows.iter().map(|(a, b)| (a + b) as f64).collect();
        for (one, row) in covariances.iter_mut().enumerate() {
            excess[one] += counts.rows[one].0 as f64 - counts.total_a as f64 * seen[one] / total;
            row.iter_mut().zip(&seen).for_each(|(cell, other)| *cell -= spread * seen[one] * other);
            row[one] += spread * total * seen[one];
        }
    }
    weighed(covariances, excess)
}

fn weighed(mut covariances: Vec<Vec<f64>>, mut excess: Vec<f64>) -> Excess {
    let own: Vec<f64> = (0..excess.len()).map(|state| covariances[state][state]).collect();
    let mut found = Excess { statistic: 0.0, degrees: 0, ln_determinant: 0.0 };
    for state in 0..excess.len() {
        let pivot = covariances[state][state];
        if pivot <= NOTHING * own[state] {
            continue;
        }
        found.statistic += excess[state] * excess[state] / pivot;
        found.degrees += 1;
        found.ln_determinant += pivot.ln();
        let row = covariances[state].clone();
        for later in state + 1..excess.len() {
            let factor = row[later] / pivot;
            excess[later] -= factor * excess[state];
            covariances[later].iter_mut().zip(&row).for_each(|(cell, other)| *cell -= factor * other);
        }
    }
    found
}

#[cfg(test)]
mod tests;
