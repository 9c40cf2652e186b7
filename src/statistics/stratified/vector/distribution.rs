//! How probable each vector of totals is: the strata of a test, added up one by one.
//!
//! Vectors so much less probable than what was seen that all of them together are nothing beside it are left aside on the
//! way. What was left aside is added up, and where it is too much the work is done again with less left aside.

use std::ops::Range;

use crate::statistics::association::TOLERANCE;
use crate::statistics::stratified::states::StratifiedTable;
use crate::statistics::stratified::vector::cells::Cells;
use crate::statistics::stratified::vector::stratum::{Margins, Stratum, Weighted};

/// Above this many products the distribution is not worked out, though few tables are possible in each stratum.
const MOST_PRODUCTS: usize = 100_000_000;

/// All that is left aside is at most this part of the probability of what was seen.
const LEFT_ASIDE: f64 = 1e-11;

/// By how much what was seen may be less probable than a normal distribution has it, before the work is done twice.
const SLACK: f64 = 1e-3;

/// Nothing is left aside where the least probable vectors, which the smallest p value is made of, may be above this.
const SURELY_SMALL: f64 = 1e-12;

/// How many sums are made side by side.
const LANES: usize = 8;

/// How probable the vectors of totals are, all times the same.
pub(super) struct Distribution {
    weights: Vec<f64>,
    observed: usize,
    /// Where something was left aside, what the smallest p value is surely not above.
    most_of_smallest: Option<f64>,
}

/// The strata on their way to one distribution.
struct Adding {
    cells: Cells,
    weights: Vec<f64>,
    /// The part of each run of cells that is kept.
    kept: Vec<Range<usize>>,
    /// The weight of all vectors, those left aside too.
    mass: f64,
    /// The probability of what was left aside.
    aside: f64,
    products: usize,
}

impl Distribution {
    /// Adds up the strata, or gives nothing where that takes too long. `density` is about how probable what was seen is,
    /// if it is known.
    pub fn of(strata: &[Stratum<'_>], table: &StratifiedTable<'_>, density: Option<f64>) -> Option<Distribution> {
        let states = table.strata().first().map_or(0, |counts| counts.rows.len());
        let whole = ranges(strata.iter(), states);
        let left_out = (0..states).max_by_key(|state| whole[*state])?;
        let all = Cells::of(&whole, left_out)?;
        let (total_a, total_b) = table.totals();
        let mut margins: Vec<Margins<'_>> = strata.iter().map(|stratum| stratum.margins(total_a + total_b)).collect();
        margins.sort_by_key(|margins| std::cmp::Reverse(margins.stratum.tables));
        let most_of_smallest = margins.iter().map(Margins::corner).product::<f64>() * all.count as f64;
        let observed = strata.iter().map(|stratum| stratum.seen_cell(&all)).sum::<usize>();
        // The first floor may be too high; the second is one of the ways to what was seen, and never is.
        let least = || margins.iter().map(Margins::seen).product::<f64>();
        let floors = match density {
            Some(density) if most_of_smallest < SURELY_SMALL => vec![density * SLACK, least()],
            _ => vec![0.0],
        };
        for floor in floors {
            let cut = floor * LEFT_ASIDE / (all.count * margins.len().max(1)) as f64;
            let sum = Adding::of(&margins, left_out, Cells::of(&vec![0; states], left_out)?, cut)?;
            if sum.aside <= sum.weights[observed] / sum.mass * LEFT_ASIDE {
                let most_of_smallest = (sum.aside > 0.0).then_some(most_of_smallest);
                return Some(Distribution { weights: sum.weights, observed, most_of_smallest });
            }
        }
        None
    }

    /// The p value of what was seen.
    pub fn p(&self) -> f64 {
        self.up_to(self.weights[self.observed])
    }

    /// The smallest p value; where something was left aside, a number that it is not above, far below any limit.
    pub fn smallest_p(&self) -> f64 {
        let possible = || self.weights.iter().copied().filter(|weight| *weight > 0.0);
        self.most_of_smallest.unwrap_or_else(|| self.up_to(possible().fold(f64::INFINITY, f64::min)))
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

impl Adding {
    /// Adds up all strata, from one cell on. What is less probable than `cut` before all are added is left aside.
    fn of(margins: &[Margins<'_>], left_out: usize, cells: Cells, cut: f64) -> Option<Adding> {
        let states = cells.widths.len();
        let one = 0..1;
        let mut sum = Adding { cells, weights: vec![1.0], kept: vec![one], mass: 1.0, aside: 0.0, products: 0 };
        for (place, next) in margins.iter().enumerate() {
            let wider = Cells::of(&ranges(margins[..=place].iter().map(|margins| margins.stratum), states), left_out)?;
            let tables = next.tables(&wider);
            let kept: usize = sum.kept.iter().map(Range::len).sum();
            sum.products = sum.products.saturating_add(kept.saturating_mul(tables.len()));
            if sum.products > MOST_PRODUCTS {
                return None;
            }
            sum.weights = sum.convolved(tables, &wider);
            sum.cells = wider;
            sum.mass *= next.mass;
            sum.trim(cut * sum.mass);
        }
        Some(sum)
    }

    /// Adds a stratum's tables. Tables that lie side by side are added together, and each sum adds up in the order of the
    /// cells.
    fn convolved(&self, mut tables: Vec<Weighted>, wider: &Cells) -> Vec<f64> {
        tables.sort_unstable_by_key(|table| std::cmp::Reverse(table.cell));
        let rows: Vec<&[Weighted]> = tables.chunk_by(|one, next| one.cell == next.cell + 1).collect();
        let longest = rows.iter().map(|row| row.len()).max().unwrap_or(0);
        let mut sums = vec![0.0; wider.count + LANES];
        let runs = self.weights.chunks_exact(self.cells.widths[self.cells.first()]).zip(&self.kept);
        let mut padded = Vec::new();
        for ((run, kept), start) in runs.zip(self.cells.runs_in(wider)) {
            if kept.is_empty() {
                continue;
            }
            padded.clear();
            padded.resize(longest - 1, 0.0);
            padded.extend_from_slice(&run[kept.clone()]);
            padded.resize(padded.len() + longest - 1 + 2 * LANES, 0.0);
            for row in &rows {
                let from = start + kept.start + row[row.len() - 1].cell;
                // Whole blocks: beyond the end zeros are added.
                let blocks = (kept.len() + row.len() - 1).div_ceil(LANES);
                let (sums, _) = sums[from..][..blocks * LANES].as_chunks_mut();
                add(sums, &padded[longest - row.len()..], row);
            }
        }
        sums.truncate(wider.count);
        sums
    }

    /// Leaves the ends of each run aside that are below a weight.
    fn trim(&mut self, cut: f64) {
        let width = self.cells.widths[self.cells.first()];
        self.kept.clear();
        for run in self.weights.chunks_exact_mut(width) {
            let from = run.iter().position(|weight| *weight > cut).unwrap_or(run.len());
            let to = run.iter().rposition(|weight| *weight > cut).map_or(from, |last| last + 1);
            for end in [0..from, to..width] {
                self.aside += run[end.clone()].iter().sum::<f64>() / self.mass;
                run[end].fill(0.0);
            }
            self.kept.push(from..to);
        }
    }
}

/// Adds the products of a row of tables, the last first, with a run of weights that begins and ends with zeros.
fn add(sums: &mut [[f64; LANES]], run: &[f64], row: &[Weighted]) {
    for (block, sums) in sums.iter_mut().enumerate() {
        let mut lanes = *sums;
        for (weights, table) in run[block * LANES..].windows(LANES).zip(row) {
            lanes.iter_mut().zip(weights).for_each(|(sum, weight)| *sum += weight * table.weight);
        }
        *sums = lanes;
    }
}
