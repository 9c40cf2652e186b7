//! How often the answer is right: each counted garment judged by the others of its model.

use crate::dating::likelihood::held_out::column::Kept;
use crate::dating::likelihood::held_out::{HeldOut, Likelihoods, Specimen};
use crate::dating::likelihood::misplaced::{self, Misplaced};
use crate::dating::likelihood::temper::{self, Choice};
use crate::dating::likelihood::years;
use crate::evidence;
use crate::record::id::ModelId;

/// Probabilities whose ratio is closer to 1 than this are equal.
const EQUAL: f64 = 1e-9;

/// A model's garments, each judged by the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The model.
    pub model: ModelId,
    /// How many variants it has.
    pub variants: usize,
    /// The garments, each judged by the others.
    pub judged: Vec<Judged>,
    /// The garments that fit another variant.
    pub misplaced: Vec<Misplaced>,
}

/// One garment, judged by the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// The probability of the variant that came out first.
    pub claimed: f64,
    /// Whether that was its own.
    pub is_right: bool,
    /// Whether its middle year lies in the 50 % and in the 95 % span, if it has a date of its own.
    pub year_within: Option<(bool, bool)>,
}

/// Judges the garments of a model by its choice.
pub fn of(held_out: &HeldOut<'_, '_>, choice: Choice) -> Calibration {
    let mut kept = Kept::new([choice.toward_pooled]);
    let judged = held_out.specimens.iter().map(|specimen| {
        let [likelihoods] = held_out.drawn(&mut kept, specimen);
        judge(held_out, specimen, likelihoods, choice.temper)
    });
    let (model, variants) = (held_out.gathered.id.clone(), held_out.gathered.members.len());
    Calibration { model, variants, judged: judged.collect(), misplaced: misplaced::of(held_out, choice) }
}

fn judge(held_out: &HeldOut<'_, '_>, specimen: &Specimen, mut likelihoods: Likelihoods, temper: f64) -> Judged {
    likelihoods.iter_mut().for_each(|likelihood| *likelihood = (temper * likelihood.log2()).exp2());
    let tempered = likelihoods;
    let variants = temper::variants(&held_out.prior, &tempered, held_out.runs());
    let total: f64 = variants.iter().sum();
    // The first among equals: a difference by rounding alone is none.
    let greatest = variants.iter().copied().fold(0.0, f64::max);
    let top = variants.iter().position(|variant| *variant >= greatest * (1.0 - EQUAL)).unwrap_or(0);
    let year_within = middle_year(held_out, specimen).map(|year| {
        let denser = years::denser(&held_out.years(&tempered), year);
        (years::is_within(denser, 0.5), years::is_within(denser, 0.95))
    });
    Judged { claimed: variants[top] / total, is_right: top == specimen.member, year_within }
}

/// The year of the middle day of a specimen's own date, where that is short enough to judge by.
fn middle_year(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> Option<i32> {
    let bearer = &held_out.gathered.members[specimen.member].evidence.bearers[specimen.bearer];
    let year = evidence::middle_day(bearer.own_date()?)?.year();
    years::all().contains(&year).then_some(year)
}

/// The number of some garments, and how many of them came out right.
pub fn count(judged: impl Iterator<Item = bool>) -> (usize, usize) {
    judged.fold((0, 0), |(right, all), is_right| (right + usize::from(is_right), all + 1))
}
