//! Turns evidence into tables: how probable each state of a feature is for each variant in each year.
//!
//! The same tables answer here and are exported, so every reader agrees with this one. The answer for a garment in hand
//! is computed in `dating::answer`.

pub mod calibration;
mod claimed;
mod gather;
mod held_out;
pub mod measure;
pub mod misplaced;
mod nearness;
pub mod pool;
mod share;
mod shared;
pub mod temper;
pub mod unlikely;
pub mod years;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::dating::likelihood::calibration::Calibration;
use crate::dating::likelihood::gather::{ExaminedKind, Gathered};
use crate::dating::likelihood::held_out::HeldOut;
use crate::dating::likelihood::measure::{MeasureTable, Measured};
use crate::dating::likelihood::pool::Pool;
use crate::dating::likelihood::share::Near;
use crate::dating::likelihood::shared::Shared;
use crate::dating::likelihood::temper::Choice;
use crate::dating::likelihood::years::Years;
use crate::evidence::{self, CountedEvidence};
use crate::knowledge::Knowledge;
use crate::record::Content;
use crate::record::id::{FeatureId, ModelId, VariantId};
use crate::vocabulary::Feature;

/// Twentieths of a bit: base-2 logarithms of probabilities as whole numbers.
pub const CELLS_PER_BIT: f64 = 20.0;

/// The least cell: one part in 2^100.
const LEAST_CELL: i16 = -2_000;

/// So many cells can be added up in the sixteen bits of one.
pub const CELLS_ADDED: usize = (i16::MIN / LEAST_CELL) as usize;

/// One column of a table: a cell for each year.
pub type Cells = [i16; years::COUNT];

/// The cells of a feature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// A column for each of the feature's states, in the order of the pool.
    pub columns: Vec<Cells>,
    /// The first years of the runs in which no column changes.
    pub starts: Vec<usize>,
}

impl Table {
    fn new(columns: Vec<Cells>) -> Table {
        let changes = |year: &usize| *year == 0 || columns.iter().any(|cells| cells[*year] != cells[*year - 1]);
        Table { starts: (0..years::COUNT).filter(changes).collect(), columns }
    }

    /// The probability of a column in each year.
    pub fn probabilities(&self, column: usize) -> Years {
        let mut probabilities = [0.0; years::COUNT];
        for (run, start) in self.starts.iter().enumerate() {
            let end = self.starts.get(run + 1).copied().unwrap_or(years::COUNT);
            let cell = self.columns[column][*start];
            probabilities[*start..end].fill((f64::from(cell) / CELLS_PER_BIT).exp2());
        }
        probabilities
    }
}

/// The tables of all models that were asked for.
#[derive(Clone, Debug, Default)]
pub struct Tables {
    /// The columns of every feature with states.
    pub pool: Arc<Pool>,
    /// The models, by id.
    pub models: BTreeMap<ModelId, ModelTables>,
    /// Each garment judged by the others of its model, if that was asked for.
    pub calibrations: Vec<Calibration>,
}

/// The tables of one model.
#[derive(Clone, Debug)]
pub struct ModelTables {
    /// Which sort of garment it is.
    pub garment: String,
    /// Whether any of its garments is counted.
    pub is_counted: bool,
    /// The features with a counted reading.
    pub examined: BTreeSet<FeatureId>,
    /// How its likelihoods are drawn and raised.
    pub choice: Choice,
    /// Tables of the variants that have none of their own.
    pub cells: BTreeMap<FeatureId, Arc<Table>>,
    /// Densities of measures.
    pub measures: BTreeMap<FeatureId, Vec<MeasureTable>>,
    /// The variants, by id.
    pub variants: BTreeMap<VariantId, VariantTables>,
}

/// The tables of one variant.
#[derive(Clone, Debug)]
pub struct VariantTables {
    /// Whether any side of its era is bounded.
    pub is_bounded: bool,
    /// The production weight of each year.
    pub weights: Years,
    /// Its own tables.
    pub cells: BTreeMap<FeatureId, Arc<Table>>,
}

impl ModelTables {
    /// The table of a feature for a variant.
    pub fn table(&self, variant: &VariantTables, feature: &FeatureId) -> Option<Arc<Table>> {
        variant.cells.get(feature).or_else(|| self.cells.get(feature)).cloned()
    }
}

/// Makes the tables of all models, counting what was seen of each variant.
pub fn all(knowledge: &Knowledge) -> Tables {
    let counted = CountedEvidence { knowledge, of: &|variant| evidence::of(knowledge, variant) };
    of(counted, knowledge.catalog.models.keys().cloned().collect())
}

/// Makes the tables of all models and judges their garments, which share much of the work.
pub fn judged(counted: CountedEvidence<'_>) -> Tables {
    make(counted, counted.knowledge.catalog.models.keys().cloned().collect(), true)
}

/// Makes the tables of some models.
pub fn of(counted: CountedEvidence<'_>, models: BTreeSet<ModelId>) -> Tables {
    make(counted, models, false)
}

fn make(counted: CountedEvidence<'_>, models: BTreeSet<ModelId>, is_judged: bool) -> Tables {
    let pool = Pool::of(counted);
    // The pool lives shorter than the counts, and both are needed together.
    let of = |variant: &VariantId| (counted.of)(variant);
    let counted = CountedEvidence { knowledge: counted.knowledge, of: &of };
    let shared = Shared::new(counted, &pool);
    let models: Vec<ModelId> = models.into_iter().collect();
    let made: Vec<(ModelTables, Option<Calibration>)> =
        models.par_iter().map(|id| model(&shared, id, is_judged)).collect();
    let (made, calibrations): (Vec<ModelTables>, Vec<Option<Calibration>>) = made.into_iter().unzip();
    let calibrations = calibrations.into_iter().flatten().filter(|calibration| !calibration.judged.is_empty());
    let calibrations = calibrations.collect();
    Tables { models: models.into_iter().zip(made).collect(), pool: Arc::new(pool), calibrations }
}

fn model(shared: &Shared<'_>, id: &ModelId, is_judged: bool) -> (ModelTables, Option<Calibration>) {
    let gathered = shared.gather(id);
    let held_out = HeldOut::new(&shared.knowledge.catalog, &gathered);
    let choice = temper::choose(&held_out);
    let calibration = is_judged.then(|| calibration::of(&held_out, choice));
    drop(held_out);
    let entry = shared.knowledge.catalog.models.get(id);
    let garment = entry.and_then(|entry| match &shared.knowledge.catalog.record(entry.record).content {
        Content::Model(model) => Some(model.garment.value.clone()),
        _ => None,
    });
    let bearers = || gathered.members.iter().flat_map(|member| member.evidence.bearers.iter());
    let writer = Writer::new(shared, &gathered, choice);
    let tables = ModelTables {
        garment: garment.unwrap_or_default(),
        is_counted: bearers().any(|bearer| bearer.garment.is_some()),
        examined: gathered.features.iter().map(|examined| examined.feature.id.clone()).collect(),
        choice,
        cells: writer.general(),
        measures: writer.measures(),
        variants: (0..gathered.members.len()).map(|member| writer.variant(member)).collect(),
    };
    (tables, calibration)
}

/// Writes the tables of one model.
struct Writer<'w, 'a> {
    gathered: &'w Gathered<'a>,
    /// Every feature with states or counts, with its number among the examined ones and its centre.
    centres: Vec<(&'w Feature, Option<usize>, Vec<f64>)>,
}

impl<'w, 'a> Writer<'w, 'a> {
    /// Finds the centre of each feature: drawn to the model's pooled shares, or to the general ones where it was never
    /// examined.
    fn new(shared: &'w Shared<'a>, gathered: &'w Gathered<'a>, choice: Choice) -> Writer<'w, 'a> {
        let centres = shared.knowledge.catalog.vocabulary.iter().filter_map(|feature| {
            let general = &shared.pool.feature(&feature.id)?.general;
            let at = gathered.features.iter().position(|examined| examined.feature.id == feature.id);
            let pooled = at.map(|at| share::pooled(gathered, at, general, &[]));
            Some((feature, at, share::centre(pooled.as_ref().unwrap_or(general), choice.toward_pooled)))
        });
        Writer { gathered, centres: centres.collect() }
    }

    /// The tables of variants without evidence: the centre in every year.
    fn general(&self) -> BTreeMap<FeatureId, Arc<Table>> {
        let tables = self.centres.iter().map(|(feature, _, centre)| {
            let none = vec![0.0; centre.len()];
            let near = Near { total: 0.0, columns: &none };
            let columns = (0..centre.len()).map(|column| share::probability(feature, &near, column, centre));
            (feature.id.clone(), Arc::new(Table::new(columns.map(|share| [cell(share); years::COUNT]).collect())))
        });
        tables.collect()
    }

    fn variant(&self, member: usize) -> (VariantId, VariantTables) {
        let variant = &self.gathered.members[member];
        let own = self
            .centres
            .iter()
            .filter_map(|(feature, at, centre)| Some((feature.id.clone(), self.own(member, feature, *at, centre)?)));
        let tables = VariantTables { is_bounded: variant.is_bounded, weights: variant.weights, cells: own.collect() };
        (variant.id.clone(), tables)
    }

    /// The table of a variant that has evidence or claims of its own.
    fn own(&self, member: usize, feature: &Feature, at: Option<usize>, centre: &[f64]) -> Option<Arc<Table>> {
        let items = at.map_or(&[][..], |at| &self.gathered.members[member].items[at][..]);
        let claimed = self.gathered.members[member].claimed.feature(&feature.id);
        if items.is_empty() && claimed.is_none() {
            return None;
        }
        let mut table = vec![[0; years::COUNT]; centre.len()];
        let (mut columns, mut last) = (vec![0.0; centre.len()], None);
        for year in 0..years::COUNT {
            columns.fill(0.0);
            for counted in items {
                if let Some(column) = share::column(counted) {
                    columns[column] += counted.near[year];
                }
            }
            // Without claims, only the counts matter, and they change in runs.
            if claimed.is_none() && last.as_ref() == Some(&columns) {
                table.iter_mut().for_each(|cells| cells[year] = cells[year - 1]);
                continue;
            }
            let near = Near { total: columns.iter().sum(), columns: &columns };
            let mut shares: Vec<f64> =
                (0..centre.len()).map(|column| share::probability(feature, &near, column, centre)).collect();
            if let Some(factors) = claimed {
                share::weigh(&mut shares, factors.iter(), year);
            }
            table.iter_mut().zip(shares).for_each(|(cells, share)| cells[year] = cell(share));
            last = Some(columns.clone());
        }
        Some(Arc::new(Table::new(table)))
    }

    fn measures(&self) -> BTreeMap<FeatureId, Vec<MeasureTable>> {
        let every_year: Vec<usize> = (0..years::COUNT).collect();
        let features = self.gathered.features.iter().enumerate();
        let measures = features.filter(|(_, examined)| matches!(examined.kind, ExaminedKind::Measure(..)));
        let tables = measures.map(|(at, examined)| {
            let strata = measure::strata(self.gathered, at).into_iter();
            let tables = strata.filter_map(|stratum| {
                measure::table(self.gathered, Measured { feature: at, stratum }, &every_year, &[])
            });
            (examined.feature.id.clone(), tables.collect())
        });
        tables.collect()
    }
}

/// A probability in twentieths of a bit; shares are smoothed, so none comes near the least cell.
fn cell(probability: f64) -> i16 {
    ((CELLS_PER_BIT * probability.log2()).round() as i16).max(LEAST_CELL)
}
