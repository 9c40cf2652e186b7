//! One stratum of a test of totals: the tables that have its margins, and how many draws come to each.

use crate::statistics::association::{self, Table};
use crate::statistics::binomial::Scale;
use crate::statistics::stratified::states::Counts;
use crate::statistics::stratified::vector::cells::Cells;

/// A stratum that tells something: more than one table has its margins.
pub(super) struct Stratum<'t> {
    pub counts: &'t Counts,
    pub tables: u64,
    /// The least count of A for each state, and by how much it can be more.
    pub room: Vec<(u64, u64)>,
}

/// A stratum with the weights of its tables.
pub(super) struct Margins<'t> {
    pub stratum: &'t Stratum<'t>,
    /// For each state, the weight of each count in A; the weight of a table is the product over its states.
    weights: Vec<Vec<f64>>,
    /// The weight of all tables.
    pub mass: f64,
}

/// A table by the cell of its vector.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighted {
    pub cell: usize,
    pub weight: f64,
}

impl<'t> Stratum<'t> {
    /// Takes a stratum; `None` if only one table is possible.
    pub fn of(counts: &'t Counts) -> Option<Stratum<'t>> {
        let tables = association::tables(&Table::new(counts.rows.iter().copied())?);
        let room = |&(a, b): &(u64, u64)| {
            let least = (a + b).saturating_sub(counts.total_b);
            (least, (a + b).min(counts.total_a) - least)
        };
        (tables > 1).then(|| Stratum { counts, tables, room: counts.rows.iter().map(room).collect() })
    }

    /// How far the cell of a vector moves with the table that was seen.
    pub fn seen_cell(&self, cells: &Cells) -> usize {
        let rows = self.counts.rows.iter().zip(&self.room).zip(&cells.strides);
        rows.map(|((row, room), stride)| (row.0 - room.0) as usize * stride).sum()
    }

    /// Weighs the tables; `all` is the total of all strata.
    pub fn margins(&'t self, all: u64) -> Margins<'t> {
        let total = self.counts.total_a + self.counts.total_b;
        let scale = Scale::fitting(all, self.counts.total_a as f64 / total as f64);
        let mut weights: Vec<Vec<f64>> = self.counts.rows.iter().map(|(a, b)| scale.row(a + b)).collect();
        let mass = scale.row(total)[self.counts.total_a as usize];
        if scale == Scale::Plain {
            return Margins { stratum: self, weights, mass };
        }
        // The product of many strata would leave the range of a float.
        weights[0].iter_mut().for_each(|weight| *weight /= mass);
        Margins { stratum: self, weights, mass: 1.0 }
    }
}

impl Margins<'_> {
    /// Lists the tables.
    pub fn tables(&self, cells: &Cells) -> Vec<Weighted> {
        let room = &self.stratum.room;
        let mut most_after = vec![0; room.len() + 1];
        for state in (0..room.len()).rev() {
            most_after[state] = most_after[state + 1] + (room[state].0 + room[state].1) as usize;
        }
        let mut listing = Listing { margins: self, cells, most_after: &most_after, found: Vec::new() };
        listing.visit(0, self.stratum.counts.total_a as usize, Weighted { cell: 0, weight: 1.0 });
        listing.found
    }

    /// The probability of the table that was seen.
    pub fn seen(&self) -> f64 {
        self.probability(self.stratum.counts.rows.iter().map(|row| row.0))
    }

    /// The probability of the table that takes all it can of A from the first state, then from the second, and so on. In
    /// all strata together these make up a vector that no other tables come to.
    pub fn corner(&self) -> f64 {
        let mut left = self.stratum.counts.total_a;
        self.probability(self.stratum.counts.rows.iter().map(|(a, b)| {
            let taken = (a + b).min(left);
            left -= taken;
            taken
        }))
    }

    fn probability(&self, table: impl Iterator<Item = u64>) -> f64 {
        let weights = self.weights.iter().zip(table).map(|(weights, count)| weights[count as usize]);
        weights.product::<f64>() / self.mass
    }
}

/// A walk through the tables of a stratum.
struct Listing<'l> {
    margins: &'l Margins<'l>,
    cells: &'l Cells,
    /// For each state, how much of A this state and the later ones can take.
    most_after: &'l [usize],
    found: Vec<Weighted>,
}

impl Listing<'_> {
    fn visit(&mut self, state: usize, left: usize, so_far: Weighted) {
        if state == self.margins.weights.len() {
            self.found.push(so_far);
            return;
        }
        let (least, room) = self.margins.stratum.room[state];
        let (least, most) = (least as usize, ((least + room) as usize).min(left));
        let needed = left.saturating_sub(self.most_after[state + 1]);
        for count in needed.max(least)..=most {
            let cell = so_far.cell + (count - least) * self.cells.strides[state];
            let weight = so_far.weight * self.margins.weights[state][count];
            self.visit(state + 1, left - count, Weighted { cell, weight });
        }
    }
}
