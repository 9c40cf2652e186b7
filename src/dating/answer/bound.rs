//! How landmarks bound the years: hard ones rule years out, soft ones make them unlikely.

use std::collections::BTreeMap;

use crate::date::{Day, DaySpan};
use crate::dating::answer::Hard;
use crate::dating::answer::prepared::{Dated, Prepared};
use crate::dating::likelihood::ModelTables;
use crate::dating::likelihood::years::{self, Years};
use crate::evidence::landmark::{Values, is_met};
use crate::record::id::LandmarkId;

/// The bounds that a garment's landmarks give.
pub struct Bounded {
    /// The hard bounds.
    pub hard: Hard,
    /// Whether the hard bounds lie wholly outside the years that are considered.
    pub is_outside: bool,
    /// Which years some day of fits all hard bounds.
    pub is_left: [bool; years::COUNT],
    /// The soft landmarks that speak, none where the bounds lie outside the years; by number in the prepared list, with their odds.
    pub soft: Vec<(usize, f64)>,
}

impl Bounded {
    /// Finds the landmarks that speak of a garment.
    pub fn of(prepared: &Prepared<'_>, features: &Values, market: Option<&str>) -> Bounded {
        let speaking: Vec<(usize, &Dated<'_>)> = prepared
            .landmarks
            .iter()
            .enumerate()
            .filter(|(_, dated)| is_met(&dated.landmark.when.value, features))
            .collect();
        let hard = hard(speaking.iter().map(|(_, dated)| *dated).filter(|dated| dated.is_hard(market)));
        if is_outside(&hard) {
            return Bounded { is_outside: true, is_left: [true; years::COUNT], soft: Vec::new(), hard };
        }
        let soft = speaking.iter().filter_map(|(at, dated)| Some((*at, dated.soft_odds(market)?)));
        let is_left = left(hard.not_before, hard.not_after);
        Bounded { is_outside: false, is_left, soft: soft.collect(), hard }
    }

    /// Says whether no year is left.
    pub fn is_contradiction(&self) -> bool {
        is_inverted(self.hard.not_before, self.hard.not_after) || !self.is_left.contains(&true)
    }

    /// The factor of each year from the soft landmarks that apply to a model; `None` if none applies.
    pub fn soft_factors(&self, prepared: &Prepared<'_>, model: &ModelTables) -> Option<Years> {
        factors(prepared, &self.speaking(prepared, model))
    }

    /// The soft landmarks that speak for a model: its garments answer for none of the features that they are about.
    fn speaking(&self, prepared: &Prepared<'_>, model: &ModelTables) -> Vec<(usize, f64)> {
        let is_examined = |at: usize| {
            let features = prepared.landmarks[at].landmark.when.value.features();
            features.iter().any(|feature| model.examined.contains(*feature))
        };
        self.soft.iter().copied().filter(|(at, _)| !is_examined(*at)).collect()
    }

    /// The years that would be left if another landmark spoke as well.
    pub fn left_with(&self, dated: &Dated<'_>) -> [bool; years::COUNT] {
        let later = self.hard.not_before.max(dated.not_before);
        let earlier = match (self.hard.not_after, dated.not_after) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        };
        left(later, earlier)
    }
}

/// The factors that soft landmarks give each year, for many models; models with the same landmarks share them.
pub struct SoftFactors {
    different: Vec<Spoken>,
    of_model: Vec<Option<usize>>,
}

/// Landmarks that apply, each with its odds, and the factor they give each year.
struct Spoken {
    landmarks: Vec<(usize, f64)>,
    factors: Option<Years>,
}

impl SoftFactors {
    /// Computes the factors for the models, by number, with variants in question.
    pub fn new(prepared: &Prepared<'_>, bounded: &Bounded, sizes: &[f64]) -> SoftFactors {
        let mut soft = SoftFactors { different: Vec::new(), of_model: Vec::with_capacity(sizes.len()) };
        for (model, size) in prepared.tables.models.values().zip(sizes) {
            let place = (*size > 0.0).then(|| soft.place(prepared, bounded.speaking(prepared, model)));
            soft.of_model.push(place);
        }
        soft
    }

    fn place(&mut self, prepared: &Prepared<'_>, speaking: Vec<(usize, f64)>) -> usize {
        let known = self.different.iter().position(|known| known.landmarks == speaking);
        known.unwrap_or_else(|| {
            let factors = factors(prepared, &speaking);
            self.different.push(Spoken { landmarks: speaking, factors });
            self.different.len() - 1
        })
    }

    /// The factors of a model in question, by its number; `None` if no landmark applies.
    pub fn of_model(&self, number: usize) -> Option<&Years> {
        self.different[self.of_model[number]?].factors.as_ref()
    }
}

/// The factors of landmarks that apply: the strongest of each zone.
fn factors(prepared: &Prepared<'_>, speaking: &[(usize, f64)]) -> Option<Years> {
    let mut strongest: BTreeMap<Option<&str>, Years> = BTreeMap::new();
    for (at, odds) in speaking {
        let dated = &prepared.landmarks[*at];
        let divisors = strongest.entry(dated.zone).or_insert([1.0; years::COUNT]);
        let fits = left(dated.not_before, dated.not_after);
        for (divisor, fits) in divisors.iter_mut().zip(fits) {
            *divisor = if fits { *divisor } else { divisor.max(*odds) };
        }
    }
    let factors = strongest.into_values().reduce(|one, other| std::array::from_fn(|year| one[year] * other[year]));
    factors.map(|divisors| divisors.map(|divisor| 1.0 / divisor))
}

fn hard<'d>(speaking: impl Iterator<Item = &'d Dated<'d>>) -> Hard {
    let speaking: Vec<&Dated<'_>> = speaking.collect();
    let not_before = speaking.iter().filter_map(|dated| dated.not_before).max();
    let not_after = speaking.iter().filter_map(|dated| dated.not_after).min();
    let by = |gives: &dyn Fn(&Dated<'_>) -> bool| -> Vec<LandmarkId> {
        speaking.iter().filter(|dated| gives(dated)).map(|dated| dated.id.clone()).collect()
    };
    Hard {
        not_before_by: by(&|dated| not_before.is_some() && dated.not_before == not_before),
        not_after_by: by(&|dated| not_after.is_some() && dated.not_after == not_after),
        not_before,
        not_after,
    }
}

fn is_inverted(not_before: Option<Day>, not_after: Option<Day>) -> bool {
    matches!((not_before, not_after), (Some(first), Some(last)) if first > last)
}

fn is_outside(hard: &Hard) -> bool {
    let considered = DaySpan::new(years::days(years::FIRST).first(), years::days(years::LAST).last());
    let bounds = DaySpan::new(hard.not_before, hard.not_after);
    bounds.zip(considered).is_some_and(|(bounds, considered)| !bounds.overlaps(considered))
}

/// The years that some day of lies between two bounds.
fn left(not_before: Option<Day>, not_after: Option<Day>) -> [bool; years::COUNT] {
    let bounds = DaySpan::new(not_before, not_after);
    let fits = |year: i32| bounds.is_some_and(|bounds| years::days(year).overlaps(bounds));
    std::array::from_fn(|at| fits(years::FIRST + at as i32))
}
