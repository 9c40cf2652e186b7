//! How often the answer is right: each counted garment judged by the others of its model.

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::reason::likelihood::gather::Shared;
use crate::reason::likelihood::held_out::{HeldOut, Specimen};
use crate::reason::likelihood::temper::{self, Choice};
use crate::reason::likelihood::{ModelTables, Tables, years};
use crate::reason::{Knowledge, evidence};
use crate::record::id::ModelId;

/// What the others of a model say of its garments.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The model.
    pub model: ModelId,
    /// How many variants it has.
    pub variants: usize,
    /// The garments, each judged by the others.
    pub judged: Vec<Judged>,
}

/// One garment, judged by the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// The probability of the variant that came out first.
    pub claimed: f64,
    /// Whether that was its own.
    pub is_right: bool,
    /// Whether its middle year lies in the 50 % and in the 95 % span, where it has a date of its own.
    pub year_within: Option<(bool, bool)>,
}

/// Judges the garments of every model that has tables and some garments.
pub fn all(knowledge: &Knowledge, tables: &Tables) -> Vec<Calibration> {
    let shared = Shared::new(knowledge, &tables.pool);
    let models: Vec<(&ModelId, &ModelTables)> = tables.models.iter().collect();
    let all: Vec<Calibration> = models.into_par_iter().map(|(id, model)| of(&shared, (id, model.choice))).collect();
    all.into_iter().filter(|calibration| !calibration.judged.is_empty()).collect()
}

fn of(shared: &Shared<'_>, (id, choice): (&ModelId, Choice)) -> Calibration {
    let gathered = shared.gather(id);
    let held_out = HeldOut::new(&shared.knowledge.catalog, &gathered);
    let judged = held_out.specimens.iter().map(|specimen| judge(&held_out, specimen, choice));
    Calibration { model: id.clone(), variants: gathered.members.len(), judged: judged.collect() }
}

fn judge(held_out: &HeldOut<'_, '_>, specimen: &Specimen, choice: Choice) -> Judged {
    let likelihoods = held_out.likelihoods(specimen, choice.toward_pooled);
    let logs: Vec<Vec<f64>> = likelihoods.iter().map(|runs| runs.iter().map(|run| run.log2()).collect()).collect();
    let variants = temper::variants(&held_out.prior(), &logs, choice.temper);
    let total: f64 = variants.iter().sum();
    let top = (0..variants.len()).rev().max_by(|one, other| variants[*one].total_cmp(&variants[*other])).unwrap_or(0);
    let years = held_out.years(&likelihoods, choice.temper);
    let year = middle_year(held_out, specimen);
    let within = |year: i32, share: f64| years::densest(&years, share).contains(&year);
    Judged {
        claimed: variants[top] / total,
        is_right: top == specimen.member,
        year_within: year.map(|year| (within(year, 0.5), within(year, 0.95))),
    }
}

/// The year of the middle day of a specimen's own date, where that is short enough to judge by.
fn middle_year(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> Option<i32> {
    let bearer = &held_out.gathered.members[specimen.member].evidence.bearers[specimen.bearer];
    let year = evidence::middle_day(bearer.own_date()?)?.year();
    years::all().contains(&year).then_some(year)
}

/// How many of some garments there are, and how many of them are as they should be.
pub fn count(judged: impl Iterator<Item = bool>) -> (usize, usize) {
    judged.fold((0, 0), |(right, all), is_right| (right + usize::from(is_right), all + 1))
}
