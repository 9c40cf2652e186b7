//! How far a model's features are trusted together, chosen by judging each of its garments by the others.
//!
//! Features are not independent: multiplied as if they were, they overstate what they show.

use std::ops::RangeInclusive;

use crate::date::Day;
use crate::dating::likelihood::held_out::column::Kept;
use crate::dating::likelihood::held_out::{HeldOut, Specimen};
use crate::dating::likelihood::years;

/// How far shares are drawn to the model's pooled ones rather than to equal ones, from less to more.
const CENTRES: [f64; 3] = [0.0, 0.5, 1.0];

/// The powers that a product of likelihoods is raised to, from less to more.
const TEMPERS: [f64; 6] = [0.25, 0.4, 0.55, 0.7, 0.85, 1.0];

/// The fewest specimens that can choose.
const ENOUGH: usize = 4;

/// Scores closer than this are equal: the difference is rounding.
const EQUAL: f64 = 1e-9;

/// The choice for one model.
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

/// Chooses the temper of a model by the greatest sum of log probabilities of each specimen's known
/// facts; among equals, the smaller.
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

/// A model with one variant can only be judged by years, and only on specimens with a date.
fn is_scored(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> bool {
    held_out.gathered.members.len() > 1 || own_years(held_out, specimen).is_some()
}

/// The places of the years that a specimen's own date touches.
pub fn own_years(held_out: &HeldOut<'_, '_>, specimen: &Specimen) -> Option<RangeInclusive<usize>> {
    let bearer = &held_out.gathered.members[specimen.member].evidence.bearers[specimen.bearer];
    let span = bearer.own_date()?;
    let first = span.first().map_or(years::FIRST, Day::year).max(years::FIRST);
    let last = span.last().map_or(years::LAST, Day::year).min(years::LAST);
    (first <= last).then(|| (first - years::FIRST) as usize..=(last - years::FIRST) as usize)
}

/// A number for each temper.
type Tempered = [f64; TEMPERS.len()];

/// The score of each temper, for each centre.
fn scores(held_out: &HeldOut<'_, '_>, specimens: &[&Specimen]) -> [Tempered; CENTRES.len()] {
    let is_one_variant = held_out.gathered.members.len() == 1;
    let mut scores = [Tempered::default(); CENTRES.len()];
    let mut kept = Kept::new(CENTRES);
    for specimen in specimens {
        let own = if is_one_variant { own_years(held_out, specimen) } else { None };
        for (scores, likelihoods) in scores.iter_mut().zip(held_out.drawn(&mut kept, specimen)) {
            let powers: Vec<Tempered> = likelihoods.iter().map(|likelihood| powers(*likelihood)).collect();
            let share = match &own {
                Some(own) => years_share(held_out, &powers, own.clone()),
                None => variant_share(held_out, &powers, specimen.member),
            };
            scores.iter_mut().zip(share).for_each(|(score, share)| *score += share.log2());
        }
    }
    scores
}

/// A likelihood to the power of each temper. Tempers are evenly spaced, so powers follow by multiplication.
fn powers(likelihood: f64) -> Tempered {
    let step = ((TEMPERS[1] - TEMPERS[0]) * likelihood.log2()).exp2();
    let mut power = likelihood.sqrt().sqrt();
    std::array::from_fn(|_| {
        let this = power;
        power *= step;
        this
    })
}

/// The probability of some years, where there is one variant.
fn years_share(held_out: &HeldOut<'_, '_>, powers: &[Tempered], own: RangeInclusive<usize>) -> Tempered {
    let within = own.map(|year| (&held_out.shares[0][year], &powers[held_out.run_of[year]]));
    let (within, whole) = (sum(within), sum(held_out.prior.iter().zip(powers)));
    std::array::from_fn(|temper| within[temper] / whole[temper])
}

/// The probability of a specimen's own variant.
fn variant_share(held_out: &HeldOut<'_, '_>, powers: &[Tempered], member: usize) -> Tempered {
    let runs = held_out.runs();
    let variants = held_out.prior.chunks_exact(runs).zip(powers.chunks_exact(runs));
    let variants: Vec<Tempered> = variants.map(|(prior, powers)| sum(prior.iter().zip(powers))).collect();
    std::array::from_fn(|temper| variants[member][temper] / variants.iter().map(|variant| variant[temper]).sum::<f64>())
}

/// Sums weighted powers.
fn sum<'p>(weighted: impl Iterator<Item = (&'p f64, &'p Tempered)>) -> Tempered {
    weighted.fold(Tempered::default(), |mut sums, (weight, powers)| {
        sums.iter_mut().zip(powers).for_each(|(sum, power)| *sum += weight * power);
        sums
    })
}

/// The probability of each variant, not normalised, from a prior and tempered likelihoods: of each variant in turn, for
/// every run of years.
pub fn variants(prior: &[f64], tempered: &[f64], runs: usize) -> Vec<f64> {
    let variants = prior.chunks_exact(runs).zip(tempered.chunks_exact(runs));
    variants.map(|(prior, tempered)| prior.iter().zip(tempered).map(|(prior, power)| prior * power).sum()).collect()
}

#[cfg(test)]
mod tests {
    use super::{TEMPERS, powers};

    #[test]
    fn powers_by_multiplication_are_the_powers() {
        for likelihood in [0.0, 1e-300, 3.7e-41, 0.02, 0.5, 1.0, 12.5] {
            for (power, temper) in powers(likelihood).into_iter().zip(TEMPERS) {
                let plain = f64::powf(likelihood, temper);
                assert!((power - plain).abs() <= 1e-12 * plain, "{likelihood} {temper} {power} {plain}");
            }
        }
    }
}
