//! How far a model's features may be trusted together, chosen by judging each of its garments by the others.
//!
//! Features are not independent: multiplied as if they were, they claim more than they know.

use crate::reason::likelihood::held_out::{HeldOut, Specimen};
use crate::reason::likelihood::years;

/// How far shares are drawn to the model's pooled ones rather than to equal ones, from less to more.
const CENTRES: [f64; 3] = [0.0, 0.5, 1.0];

/// The powers that a product of likelihoods is raised to, from less to more.
const TEMPERS: [f64; 6] = [0.25, 0.4, 0.55, 0.7, 0.85, 1.0];

/// Fewer specimens than this choose nothing.
const ENOUGH: usize = 4;

/// Scores closer than this are equal: the difference is rounding.
const EQUAL: f64 = 1e-9;

/// What was chosen for a model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// How far shares are drawn to the model's pooled ones.
    pub toward_pooled: f64,
    /// The power that the product of likelihoods is raised to.
    pub temper: f64,
}

impl Choice {
    /// The choice for a model with too few garments to judge.
    pub const UNJUDGED: Choice = Choice { toward_pooled: 0.5, temper: 0.55 };
}

/// Chooses for a model: the greatest sum of log probabilities of what is known of each specimen; of equals the smaller.
pub fn choose(held_out: &HeldOut<'_, '_>) -> Choice {
    let scored: Vec<&Specimen> = held_out.specimens.iter().filter(|specimen| is_scored(held_out, specimen)).collect();
    if scored.len() < ENOUGH {
        return Choice::UNJUDGED;
    }
    let scores = scores(held_out, &scored);
    let mut best: Option<(f64, Choice)> = None;
    for (at, temper) in TEMPERS.iter().enumerate() {
        for (toward_pooled, scores) in CENTRES.iter().zip(&scores) {
            if best.as_ref().is_none_or(|(score, _)| scores[at] > score + EQUAL) {
                best = Some((scores[at], Choice { toward_pooled: *toward_pooled, temper: *temper }));
            }
        }
    }
    best.map_or(Choice::UNJUDGED, |(_, choice)| choice)
}

/// Where a model has one variant there is nothing to tell but the years, and only of what has a date.
fn is_scored(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> bool {
    held_out.gathered.members.len() > 1 || own_years(held_out, specimen).is_some()
}

/// The years that a specimen's own date touches.
pub fn own_years(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> Option<std::ops::RangeInclusive<usize>> {
    let bearer = &held_out.gathered.members[specimen.member].evidence.bearers[specimen.bearer];
    let span = bearer.own_date()?;
    let touched = |at: &usize| years::days(years::FIRST + *at as i32).overlaps(span);
    let mut years = (0..years::COUNT).filter(touched);
    let first = years.next()?;
    Some(first..=years.next_back().unwrap_or(first))
}

/// The score of each temper, for each centre.
fn scores(held_out: &HeldOut<'_, '_>, specimens: &[&Specimen]) -> [[f64; TEMPERS.len()]; CENTRES.len()] {
    let prior = held_out.prior();
    let mut scores = [[0.0; TEMPERS.len()]; CENTRES.len()];
    for specimen in specimens {
        let own = if prior.len() == 1 { own_years(held_out, specimen) } else { None };
        for (scores, likelihoods) in scores.iter_mut().zip(held_out.drawn(specimen, CENTRES)) {
            let logs: Vec<Vec<f64>> =
                likelihoods.iter().map(|runs| runs.iter().map(|likelihood| likelihood.log2()).collect()).collect();
            for (score, temper) in scores.iter_mut().zip(TEMPERS) {
                *score += match &own {
                    Some(own) => held_out.years(&likelihoods, temper)[own.clone()].iter().sum::<f64>().log2(),
                    None => own_share(&prior, &logs, (specimen.member, temper)).log2(),
                };
            }
        }
    }
    scores
}

/// The probability of a specimen's own variant.
fn own_share(prior: &[Vec<f64>], logs: &[Vec<f64>], (member, temper): (usize, f64)) -> f64 {
    let variants = variants(prior, logs, temper);
    variants[member] / variants.iter().sum::<f64>()
}

/// The probability of each variant, not made to total 1.
pub fn variants(prior: &[Vec<f64>], logs: &[Vec<f64>], temper: f64) -> Vec<f64> {
    let joint = |(prior, logs): (&Vec<f64>, &Vec<f64>)| -> f64 {
        prior.iter().zip(logs).map(|(prior, log)| prior * (temper * log).exp2()).sum()
    };
    prior.iter().zip(logs).map(joint).collect()
}
