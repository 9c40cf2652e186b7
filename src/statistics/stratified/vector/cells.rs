//! The vectors of totals that a test of totals weighs, numbered so that what is added together lies together.

/// Above this many cells the vectors of totals are not kept.
const MOST_CELLS: usize = 8_000_000;

/// The vectors of A's totals as numbers: one state is left out, since it follows from the others.
pub(super) struct Cells {
    /// How many totals each state can have; one of the state that is left out.
    pub widths: Vec<usize>,
    pub strides: Vec<usize>,
    pub count: usize,
}

impl Cells {
    /// Numbers the vectors, by how much more than the least each state's total can be, or gives nothing where they are
    /// too many.
    pub fn of(ranges: &[usize], left_out: usize) -> Option<Cells> {
        let states = ranges.len();
        let mut cells = Cells { widths: vec![1; states], strides: vec![0; states], count: 1 };
        for state in (0..states).filter(|state| *state != left_out) {
            cells.widths[state] = ranges[state] + 1;
            cells.strides[state] = cells.count;
            cells.count = cells.count.checked_mul(cells.widths[state]).filter(|count| *count <= MOST_CELLS)?;
        }
        Some(cells)
    }

    /// The first state that is not left out: cells that differ in it alone lie beside one another, in wider ones too.
    pub fn first(&self) -> usize {
        self.strides.iter().position(|stride| *stride > 0).unwrap_or(0)
    }

    /// The number that the first cell of each run has among wider ones.
    pub fn runs_in(&self, wider: &Cells) -> Vec<usize> {
        let mut starts = vec![0];
        for state in self.first() + 1..self.widths.len() {
            let total = |total: usize| total * wider.strides[state];
            starts =
                (0..self.widths[state]).flat_map(|more| starts.iter().map(move |start| start + total(more))).collect();
        }
        starts
    }
}
