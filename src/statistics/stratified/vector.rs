//! Tests whether two groups differ in the states they show, within strata: by the vector of A's totals for each state,
//! given the margins of every stratum.
//!
//! Exact where few tables are possible, else Cochran's chi-square (Cochran 1954, Biometrics 10:417–451, for several states:
//! Birch 1965, Journal of the Royal Statistical Society B 27:111–124).

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::statistics::association::{self, MOST_TABLES, Method, TOLERANCE, Table};
use crate::statistics::binomial::Scale;
use crate::statistics::stratified::states::{Counts, StratifiedTable};

/// Above this many products the exact distribution is not worked out, though few tables are possible in each stratum.
const MOST_PRODUCTS: usize = 100_000_000;

/// Above this many cells the vectors of totals are not kept.
const MOST_CELLS: usize = 8_000_000;

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
    let exact = if tables > MOST_TABLES { None } else { Distribution::of(&telling, table) };
    match exact {
        Some(distribution) => Test { p: distribution.p(), smallest: distribution.smallest_p(), method: Method::Exact },
        None => {
            let p = chi_square(table).map_or(1.0, |chi_square| chi_square.p);
            Test { p, smallest: 0.0, method: Method::ChiSquare }
        }
    }
}

/// A stratum that tells something: more than one table has its margins.
struct Stratum<'t> {
    counts: &'t Counts,
    tables: u64,
    /// The least count of A for each state, and by how much it can be more.
    room: Vec<(u64, u64)>,
}

impl<'t> Stratum<'t> {
    fn of(counts: &'t Counts) -> Option<Stratum<'t>> {
        let tables = association::tables(&Table::new(counts.rows.iter().copied())?);
        let room = |&(a, b): &(u64, u64)| {
            let least = (a + b).saturating_sub(counts.total_b);
            (least, (a + b).min(counts.total_a) - least)
        };
        (tables > 1).then(|| Stratum { counts, tables, room: counts.rows.iter().map(room).collect() })
    }

    /// Lists for each table the cell of its vector and its weight.
    fn tables(&self, cells: &Cells, scale: Scale) -> Vec<(usize, f64)> {
        let weights: Vec<Vec<f64>> = self.counts.rows.iter().map(|(a, b)| scale.row(a + b)).collect();
        let mut most_after = vec![0; weights.len() + 1];
        for state in (0..weights.len()).rev() {
            most_after[state] = most_after[state + 1] + (self.room[state].0 + self.room[state].1) as usize;
        }
        let mut listing =
            Listing { stratum: self, cells, weights: &weights, most_after: &most_after, found: Vec::new() };
        listing.visit(0, self.counts.total_a as usize, (0, 1.0));
        listing.found
    }
}

/// A walk through the tables of a stratum.
struct Listing<'l> {
    stratum: &'l Stratum<'l>,
    cells: &'l Cells,
    /// For each state, the weight of each count in A.
    weights: &'l [Vec<f64>],
    /// For each state, how much of A this state and the later ones can take.
    most_after: &'l [usize],
    found: Vec<(usize, f64)>,
}

impl Listing<'_> {
    fn visit(&mut self, state: usize, left: usize, so_far: (usize, f64)) {
        if state == self.weights.len() {
            self.found.push(so_far);
            return;
        }
        let (least, room) = self.stratum.room[state];
        let (least, most) = (least as usize, ((least + room) as usize).min(left));
        let needed = left.saturating_sub(self.most_after[state + 1]);
        for count in needed.max(least)..=most {
            let cell = so_far.0 + (count - least) * self.cells.strides[state];
            self.visit(state + 1, left - count, (cell, so_far.1 * self.weights[state][count]));
        }
    }
}

/// The vectors of A's totals as numbers: one state is left out, since it follows from the others.
struct Cells {
    /// How many totals each state can have; one of the state that is left out.
    widths: Vec<usize>,
    strides: Vec<usize>,
    count: usize,
}

impl Cells {
    /// Numbers the vectors, by how much more than the least each state's total can be, or gives nothing where they are
    /// too many.
    fn of(ranges: &[usize], left_out: usize) -> Option<Cells> {
        let states = ranges.len();
        let mut cells = Cells { widths: vec![1; states], strides: vec![0; states], count: 1 };
        for state in (0..states).filter(|state| *state != left_out) {
            cells.widths[state] = ranges[state] + 1;
            cells.strides[state] = cells.count;
            cells.count = cells.count.checked_mul(cells.widths[state]).filter(|count| *count <= MOST_CELLS)?;
        }
        Some(cells)
    }

    /// The cell of what was seen.
    fn observed(&self, strata: &[Stratum<'_>]) -> usize {
        let above = |stratum: &Stratum<'_>| -> usize {
            let rows = stratum.counts.rows.iter().zip(&stratum.room).zip(&self.strides);
            rows.map(|((row, room), stride)| (row.0 - room.0) as usize * stride).sum()
        };
        strata.iter().map(above).sum()
    }

    /// The first state that is not left out: cells that differ in it alone lie beside one another, in wider ones too.
    fn first(&self) -> usize {
        self.strides.iter().position(|stride| *stride > 0).unwrap_or(0)
    }

    /// The number that the first cell of each run has among wider ones.
    fn runs_in(&self, wider: &Cells) -> Vec<usize> {
        let mut starts = vec![0];
        for state in self.first() + 1..self.widths.len() {
            let total = |total: usize| total * wider.strides[state];
            starts =
                (0..self.widths[state]).flat_map(|more| starts.iter().map(move |start| start + total(more))).collect();
        }
        starts
    }
}

/// How probable each vector of totals is, all times the same.
struct Distribution {
    weights: Vec<f64>,
    observed: usize,
}

impl Distribution {
    /// Adds up the strata one by one, or gives nothing where that takes too long.
    fn of(strata: &[Stratum<'_>], table: &StratifiedTable<'_>) -> Option<Distribution> {
        let states = table.strata().first().map_or(0, |counts| counts.rows.len());
        let whole = ranges(strata.iter(), states);
        let left_out = (0..states).max_by_key(|state| whole[*state])?;
        let all = Cells::of(&whole, left_out)?;
        let (total_a, total_b) = table.totals();
        let mut order: Vec<&Stratum<'_>> = strata.iter().collect();
        order.sort_by_key(|stratum| std::cmp::Reverse(stratum.tables));
        let mut cells = Cells::of(&vec![0; states], left_out)?;
        let (mut weights, mut products) = (vec![1.0], 0usize);
        for (place, stratum) in order.iter().enumerate() {
            let share = stratum.counts.total_a as f64 / (stratum.counts.total_a + stratum.counts.total_b) as f64;
            let wider = Cells::of(&ranges(order[..=place].iter().copied(), states), left_out)?;
            let tables = stratum.tables(&wider, Scale::fitting(total_a + total_b, share));
            let filled = weights.iter().filter(|weight| **weight > 0.0).count();
            products = products.saturating_add(filled.saturating_mul(tables.len()));
            if products > MOST_PRODUCTS {
                return None;
            }
            weights = convolution(&weights, tables, &cells, &wider);
            cells = wider;
        }
        Some(Distribution { weights, observed: all.observed(strata) })
    }

    fn p(&self) -> f64 {
        self.up_to(self.weights[self.observed])
    }

    fn smallest_p(&self) -> f64 {
        let possible = self.weights.iter().copied().filter(|weight| *weight > 0.0);
        self.up_to(possible.fold(f64::INFINITY, f64::min))
    }

    /// The probability of all vectors that are no more probable.
    fn up_to(&self, weight: f64) -> f64 {
        let limit = weight * (1.0 + TOLERANCE);
        let tail: f64 = self.weights.iter().filter(|weight| **weight <= limit).sum();
        (tail / self.weights.iter().sum::<f64>()).min(1.0)
    }
}

/// By how much more than the least A's total of each state can be.
fn ranges<'s>(strata: impl Iterator<Item = &'s Stratum<'s>>, states: usize) -> Vec<usize> {
    let mut ranges = vec![0; states];
    for stratum in strata {
        ranges.iter_mut().zip(&stratum.room).for_each(|(range, room)| *range += room.1 as usize);
    }
    ranges
}

/// Adds a stratum's tables to what went before. Runs of cells are added as they lie, so that the processor takes several at
/// once; each sum adds up in the order of the cells.
fn convolution(weights: &[f64], mut tables: Vec<(usize, f64)>, cells: &Cells, wider: &Cells) -> Vec<f64> {
    tables.sort_unstable_by_key(|(offset, _)| std::cmp::Reverse(*offset));
    let mut sums = vec![0.0; wider.count];
    for (run, start) in weights.chunks_exact(cells.widths[cells.first()]).zip(cells.runs_in(wider)) {
        for (offset, factor) in &tables {
            let sums = &mut sums[start + offset..][..run.len()];
            sums.iter_mut().zip(run).for_each(|(sum, weight)| *sum += weight * factor);
        }
    }
    sums
}

/// Gives Cochran's chi-square test for several states, or nothing where no stratum tells anything.
///
/// The covariances of A's totals are Σ n_A n_B (n · diag c − c c′) / n³, with c the totals of the states in a stratum of n.
pub fn chi_square(table: &StratifiedTable<'_>) -> Option<ChiSquare> {
    let states = table.strata().first()?.rows.len();
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
    let (statistic, degrees) = quadratic(covariances, excess);
    let distribution = ChiSquared::new(degrees as f64).ok()?;
    (degrees > 0).then(|| ChiSquare { statistic, degrees, p: distribution.sf(statistic).clamp(0.0, 1.0) })
}

/// Gives e′ V⁻ e and the rank of V: states that follow from the others are passed over.
fn quadratic(mut covariances: Vec<Vec<f64>>, mut excess: Vec<f64>) -> (f64, u64) {
    let own: Vec<f64> = (0..excess.len()).map(|state| covariances[state][state]).collect();
    let (mut statistic, mut degrees) = (0.0, 0);
    for state in 0..excess.len() {
        let pivot = covariances[state][state];
        if pivot <= NOTHING * own[state] {
            continue;
        }
        statistic += excess[state] * excess[state] / pivot;
        degrees += 1;
        let row = covariances[state].clone();
        for later in state + 1..excess.len() {
            let factor = row[later] / pivot;
            excess[later] -= factor * excess[state];
            covariances[later].iter_mut().zip(&row).for_each(|(cell, other)| *cell -= factor * other);
        }
    }
    (statistic, degrees)
}

#[cfg(test)]
mod tests;
