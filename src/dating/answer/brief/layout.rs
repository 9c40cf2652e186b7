//! Tables laid out for many garments: for each variant, only the years in which something changes.
//!
//! A table has a head of years in which no column changes, years that change, and a tail. The head
//! has one value, and so has the tail.

use std::collections::BTreeMap;

use crate::dating::answer::prepared::{Member, Prepared};
use crate::dating::likelihood::CELLS_ADDED;
use crate::dating::likelihood::measure::{MeasureTable, Stratum};
use crate::dating::likelihood::years::{self, Years};
use crate::record::id::FeatureId;

/// How many cells are added at once.
const LANES: usize = 8;

/// The last year of a head and the first of a tail; every year from one to the other has a value of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    start: usize,
    last: usize,
}

impl Window {
    /// A window in which nothing changes.
    pub const NONE: Window = Window { start: 0, last: 0 };

    /// A window in which every change lies; `changes` gives years that differ from the year before.
    fn around(changes: impl Iterator<Item = usize>) -> Window {
        let (first, last) =
            changes.fold((usize::MAX, 0), |(first, last), change| (first.min(change), last.max(change)));
        // There is a year of the head even if the second year changes.
        if first > last { Window::NONE } else { Window { start: first.saturating_sub(1), last } }
    }

    /// The smallest window that holds two.
    pub fn with(self, other: Window) -> Window {
        match (self.len(), other.len()) {
            (_, 1) => self,
            (1, _) => other,
            _ => Window { start: self.start.min(other.start), last: self.last.max(other.last) },
        }
    }

    /// How many values it has.
    pub fn len(self) -> usize {
        self.last - self.start + 1
    }

    /// Multiplies each year by its value.
    pub fn multiply(self, values: &[f64], years: &mut Years) {
        let (head, rest) = years.split_at_mut(self.start);
        let (middle, tail) = rest.split_at_mut(self.len());
        head.iter_mut().for_each(|year| *year *= values[0]);
        middle.iter_mut().zip(values).for_each(|(year, value)| *year *= value);
        tail.iter_mut().for_each(|year| *year *= values[values.len() - 1]);
    }

    /// Multiplies the values of a wider window by the values of this one.
    pub fn multiply_within(self, values: &[f64], wider: Window, into: &mut [f64]) {
        let begin = self.start.clamp(wider.start, wider.last) - wider.start;
        let end = (begin + self.len()).min(wider.len());
        into[..begin].iter_mut().for_each(|year| *year *= values[0]);
        into[begin..end].iter_mut().zip(values).for_each(|(year, value)| *year *= value);
        into[end..].iter_mut().for_each(|year| *year *= values[values.len() - 1]);
    }
}

/// The tables of one variant.
pub struct MemberLayout {
    /// The years of its cells.
    pub window: Window,
    /// How many cells a column has: the window, filled up to whole lanes.
    width: usize,
    cells: Vec<i16>,
    /// The number of each feature's first column.
    columns: Vec<usize>,
    /// For each measure and each of the model's tables of it, centre and spread; nothing where the general ones serve.
    pub measures: Vec<Vec<Option<Parameters>>>,
}

/// Centre and spread of a variant's measure in the years of a window.
pub struct Parameters {
    /// The years.
    pub window: Window,
    /// The centre in each.
    pub centres: Vec<f64>,
    /// The spread in each.
    pub spreads: Vec<f64>,
}

/// A measure, with the strata that any model has a table for.
pub struct MeasureLayout<'p> {
    /// Its number.
    pub number: usize,
    /// The strata.
    pub strata: Vec<&'p Stratum>,
    /// For each model, by number, the numbers of the strata of its tables.
    pub of_model: Vec<Vec<usize>>,
}

/// All tables.
pub struct Layout<'p> {
    /// The variants, in the order of the prepared ones.
    pub members: Vec<MemberLayout>,
    /// The measures.
    pub measures: BTreeMap<&'p FeatureId, MeasureLayout<'p>>,
}

impl<'p> Layout<'p> {
    /// Lays out tables.
    pub fn new(prepared: &'p Prepared<'_>) -> Layout<'p> {
        let mut measures: BTreeMap<&FeatureId, MeasureLayout<'_>> = BTreeMap::new();
        let models = prepared.tables.models.values();
        for (number, model) in models.enumerate() {
            for (feature, tables) in &model.measures {
                let count = prepared.tables.models.len();
                let measure = measures.entry(feature).or_insert_with(|| MeasureLayout::new(count));
                measure.of_model[number] =
                    tables.iter().map(|table| measure_stratum(&mut measure.strata, table)).collect();
            }
        }
        measures.values_mut().enumerate().for_each(|(number, measure)| measure.number = number);
        let names: Vec<&FeatureId> = measures.keys().copied().collect();
        let members = prepared.members.iter().map(|member| MemberLayout::new(member, &names)).collect();
        Layout { members, measures }
    }
}

impl MeasureLayout<'_> {
    fn new(models: usize) -> Self {
        MeasureLayout { number: 0, strata: Vec::new(), of_model: vec![Vec::new(); models] }
    }
}

/// The number of a table's stratum, new if needed.
fn measure_stratum<'p>(strata: &mut Vec<&'p Stratum>, table: &'p MeasureTable) -> usize {
    match strata.iter().position(|known| **known == table.stratum) {
        Some(at) => at,
        None => {
            strata.push(&table.stratum);
            strata.len() - 1
        }
    }
}

impl MemberLayout {
    fn new(member: &Member<'_>, measures: &[&FeatureId]) -> MemberLayout {
        let starts = member.cells.iter().flat_map(|table| table.starts.iter().copied().filter(|start| *start > 0));
        let window = Window::around(starts);
        let width = window.len().next_multiple_of(LANES);
        let (mut cells, mut columns) = (Vec::new(), Vec::new());
        for table in &member.cells {
            columns.push(cells.len() / width);
            for column in &table.columns {
                let end = cells.len() + width;
                cells.extend_from_slice(&column[window.start..=window.last]);
                cells.resize(end, 0);
            }
        }
        let parameters = |table: &MeasureTable| Parameters::of(table.variants.get(member.id)?);
        let measures = measures.iter().map(|feature| {
            let tables = member.model.measures.get(*feature);
            tables.map_or_else(Vec::new, |tables| tables.iter().map(parameters).collect())
        });
        MemberLayout { window, width, cells, columns, measures: measures.collect() }
    }

    /// The sum of the cells of some columns in each year of the window.
    pub fn sums<'s>(&self, columns: &[(usize, usize)], sums: &'s mut [i32; years::COUNT]) -> &'s [i32] {
        let sums = &mut sums[..self.window.len()];
        for columns in columns.chunks(CELLS_ADDED) {
            let mut part = [0_i16; years::COUNT + LANES];
            let part = &mut part[..self.width];
            for (feature, column) in columns {
                let at = (self.columns[*feature] + column) * self.width;
                let cells = &self.cells[at..at + self.width];
                let (parts, cells) = (part.as_chunks_mut::<LANES>().0, cells.as_chunks::<LANES>().0);
                for (part, cells) in parts.iter_mut().zip(cells) {
                    // So few cells never saturate; a check of each sum would keep many from being added at once.
                    part.iter_mut().zip(cells).for_each(|(sum, cell)| *sum = sum.saturating_add(*cell));
                }
            }
            sums.iter_mut().zip(part).for_each(|(sum, part)| *sum = sum.wrapping_add(i32::from(*part)));
        }
        sums
    }
}

impl Parameters {
    /// The years in which centre and spread change; nothing where there are none.
    fn of(years: &[(f64, f64)]) -> Option<Parameters> {
        if years.is_empty() {
            return None;
        }
        let changes = years.windows(2).enumerate().filter(|(_, pair)| pair[0] != pair[1]).map(|(at, _)| at + 1);
        let window = Window::around(changes);
        let within = &years[window.start..=window.last];
        let (centres, spreads) = within.iter().copied().unzip();
        Some(Parameters { window, centres, spreads })
    }
}

#[cfg(test)]
mod tests {
    use super::Window;
    use crate::dating::likelihood::years::COUNT;

    #[test]
    fn window_multiplies_head_middle_and_tail() {
        for (changes, start, last) in [
            (vec![], 0, 0),
            (vec![1], 0, 1),
            (vec![COUNT - 1], COUNT - 2, COUNT - 1),
            (vec![90], 89, 90),
            (vec![70, 81], 69, 81),
        ] {
            let window = Window::around(changes.into_iter());
            assert_eq!(window, Window { start, last });
            let values: Vec<f64> = (0..window.len()).map(|value| value as f64 + 2.0).collect();
            let mut years = [1.0; COUNT];
            window.multiply(&values, &mut years);
            for (year, product) in years.iter().enumerate() {
                assert_eq!(*product, (year.clamp(start, last) - start) as f64 + 2.0, "{year} of {window:?}");
            }
        }
    }

    #[test]
    fn window_multiplies_within_a_wider_one() {
        let windows = [(0, 0), (0, 3), (2, 6), (10, 10), (7, 12)].map(|(start, last)| Window { start, last });
        for (one, other) in windows.iter().flat_map(|one| windows.map(|other| (*one, other))) {
            let wider = one.with(other);
            for window in [one, other] {
                let values: Vec<f64> = (0..window.len()).map(|value| value as f64 + 2.0).collect();
                let mut within = vec![1.0; wider.len()];
                window.multiply_within(&values, wider, &mut within);
                let mut expected = [1.0; COUNT];
                window.multiply(&values, &mut expected);
                let mut found = [1.0; COUNT];
                wider.multiply(&within, &mut found);
                assert_eq!(found, expected, "{window:?} within {wider:?}");
            }
        }
    }
}
