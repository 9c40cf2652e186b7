//! The probability of every variant in every year, given what a garment shows.
//!
//! Prior times tempered likelihood over the years that landmarks leave: plain Bayes' rule.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::dating::answer::bound::Bounded;
use crate::dating::answer::prepared::Prepared;
use crate::dating::likelihood::measure::{MeasureTable, Stratum};
use crate::dating::likelihood::years::{self, Years};
use crate::dating::likelihood::{self, CELLS_PER_BIT};
use crate::evidence::landmark::Values;
use crate::record::id::{FeatureId, ModelId};
use crate::record::observation::Value;
use crate::vocabulary::{Feature, Kind};

/// The power where no model is in question.
const NO_TEMPER: f64 = 1.0;

/// Probabilities closer than this are equal when variants are ranked: the difference is rounding.
pub const EQUAL: f64 = 1e-12;

/// The probabilities of variants and years, given a garment's features.
pub struct Posterior<'a> {
    /// The power that the product of likelihoods was raised to.
    pub temper: f64,
    /// The readings that were used.
    pub readings: Vec<Reading>,
    /// For each variant in question, its joint probability with each year; all sum to 1.
    pub joint: Vec<Years>,
    /// The probability of each variant in question.
    pub variants: Vec<f64>,
    /// The variants in question, the most probable first.
    pub order: Vec<usize>,
    /// For each variant in question, the weight of each year from production and landmarks.
    before: Vec<Cow<'a, Years>>,
}

/// A reading that has a likelihood.
#[derive(Clone, Debug)]
pub enum Reading {
    /// A column of a feature, both by number.
    Column(usize, usize),
    /// A quantity.
    Measure(FeatureId, f64, BTreeMap<ModelId, usize>),
}

impl Reading {
    /// The feature.
    pub fn feature<'r>(&'r self, prepared: &'r Prepared<'_>) -> &'r FeatureId {
        match self {
            Reading::Column(feature, _) => &prepared.features[*feature].id,
            Reading::Measure(feature, ..) => feature,
        }
    }
}

/// The factors that make years unlikely before any feature is weighed.
#[derive(Clone, Copy)]
pub struct Limits<'b> {
    /// The bounds of the landmarks.
    pub bounded: &'b Bounded,
    /// The factor that the codes give each year, read with the keys of the maker that all variants in question share.
    pub codes: Option<&'b Years>,
}

impl<'a> Posterior<'a> {
    /// Works out the probability of some variants, by number, for a garment's features and landmarks.
    pub fn of(prepared: &Prepared<'a>, members: &[usize], features: &Values, limits: &Limits<'_>) -> Posterior<'a> {
        let readings = readings(prepared, members, features);
        let temper = temper(prepared, members);
        let before = before(prepared, members, limits.bounded);
        let mut posterior =
            Posterior { temper, readings, joint: Vec::new(), variants: Vec::new(), order: Vec::new(), before };
        posterior.multiply(prepared, members, limits.codes);
        posterior
    }

    /// The probability of each year, over all variants.
    pub fn years(&self) -> Years {
        let mut years = [0.0; years::COUNT];
        for joint in &self.joint {
            years.iter_mut().zip(joint).for_each(|(sum, probability)| *sum += probability);
        }
        years
    }

    /// The probability of a reading under a variant, over the years that production and landmarks leave it.
    pub fn seen(&self, prepared: &Prepared<'_>, member: usize, at: usize, reading: &Reading) -> f64 {
        let before = &self.before[at];
        let total: f64 = before.iter().sum();
        let likelihoods = likelihoods(prepared, member, reading);
        before.iter().zip(&likelihoods).map(|(weight, likelihood)| weight / total * likelihood).sum()
    }

    fn multiply(&mut self, prepared: &Prepared<'_>, members: &[usize], codes: Option<&Years>) {
        let mut powers = Powers::new(self.temper);
        self.joint = self.before.iter().map(|before| **before).collect();
        if let Some(codes) = codes {
            let by_year = |joint: &mut Years| joint.iter_mut().zip(codes).for_each(|(share, factor)| *share *= factor);
            self.joint.iter_mut().for_each(by_year);
        }
        let seen = Seen { prepared, readings: &self.readings };
        let products = self.joint.iter_mut().zip(members);
        let greatest: Vec<i32> = products.map(|(joint, member)| seen.product(*member, &mut powers, joint)).collect();
        // Everything is relative to the greatest product, so that nothing underflows when all are small.
        let overall = greatest.iter().copied().max().unwrap_or(0);
        let models = model_sizes(prepared, members);
        let count = models.iter().filter(|variants| **variants > 0.0).count() as f64;
        let factors = greatest.iter().zip(members).map(|(own, member)| {
            let member = &prepared.members[*member];
            let scale = (self.temper * f64::from(own - overall) / CELLS_PER_BIT).exp2();
            scale / (count * models[member.model_number] * member.total)
        });
        let factors: Vec<f64> = factors.collect();
        self.variants = self.joint.iter().zip(&factors).map(|(joint, factor)| factor * sum(joint)).collect();
        let total: f64 = self.variants.iter().sum();
        if total > 0.0 {
            for (joint, factor) in self.joint.iter_mut().zip(&factors) {
                let share = factor / total;
                joint.iter_mut().for_each(|probability| *probability *= share);
            }
            self.variants.iter_mut().for_each(|probability| *probability /= total);
        }
        self.order = (0..members.len()).collect();
        self.order.sort_by_cached_key(|at| std::cmp::Reverse((self.variants[*at] / EQUAL).round() as i64));
    }
}

/// The power that likelihoods are raised to: the least of the models in question.
pub fn temper(prepared: &Prepared<'_>, members: &[usize]) -> f64 {
    let tempers = members.iter().map(|member| prepared.members[*member].model.choice.temper);
    tempers.reduce(f64::min).unwrap_or(NO_TEMPER)
}

/// The sum over the years, in lanes of its own so that no addition waits for the one before.
pub fn sum(years: &Years) -> f64 {
    let mut lanes = [0.0; 4];
    let (fours, rest) = years.as_chunks::<4>();
    for four in fours {
        lanes.iter_mut().zip(four).for_each(|(lane, probability)| *lane += probability);
    }
    lanes.iter().chain(rest).sum()
}

/// How many variants of each model, by number, are in question.
pub fn model_sizes(prepared: &Prepared<'_>, members: &[usize]) -> Vec<f64> {
    let mut sizes = vec![0.0; prepared.tables.models.len()];
    members.iter().for_each(|member| sizes[prepared.members[*member].model_number] += 1.0);
    sizes
}

/// The weight of each year from production and landmarks, for each variant.
fn before<'a>(prepared: &Prepared<'a>, members: &[usize], bounded: &Bounded) -> Vec<Cow<'a, Years>> {
    let are_all_left = bounded.is_left.iter().all(|is_left| *is_left);
    let weigh = |member: &usize| {
        let member = &prepared.members[*member];
        let weights = &member.tables.weights;
        if are_all_left && bounded.soft.is_empty() {
            return Cow::Borrowed(weights);
        }
        let soft = if bounded.soft.is_empty() { None } else { bounded.soft_factors(prepared, member.model) };
        Cow::Owned(std::array::from_fn(|year| {
            let weight = if bounded.is_left[year] { weights[year] } else { 0.0 };
            soft.as_ref().map_or(weight, |soft| weight * soft[year])
        }))
    };
    members.iter().map(weigh).collect()
}

/// Tempered powers of two by whole cells below the greatest; computed ones are kept.
pub struct Powers {
    temper: f64,
    below: Vec<f64>,
}

impl Powers {
    /// Powers for a temper, none computed yet.
    pub fn new(temper: f64) -> Powers {
        Powers { temper, below: Vec::new() }
    }

    /// The powers of no cell to so many below.
    pub fn down_to(&mut self, below: usize) -> &[f64] {
        for cell in self.below.len()..=below {
            self.below.push((-self.temper * cell as f64 / CELLS_PER_BIT).exp2());
        }
        &self.below
    }
}

/// The readings that have a likelihood for every variant.
#[derive(Clone, Copy)]
struct Seen<'p, 'a> {
    prepared: &'p Prepared<'a>,
    readings: &'p [Reading],
}

impl Seen<'_, '_> {
    /// Multiplies each year by the tempered product of likelihoods, as a share of 2^(temper · greatest / 20); that greatest
    /// sum of cells is returned.
    fn product(&self, member: usize, powers: &mut Powers, joint: &mut Years) -> i32 {
        let Seen { prepared, readings } = *self;
        let sums = sums(prepared, member, readings);
        let (least, greatest) =
            sums.iter().fold((i32::MAX, i32::MIN), |(least, greatest), sum| (least.min(*sum), greatest.max(*sum)));
        let below = powers.down_to(greatest.abs_diff(least) as usize);
        joint.iter_mut().zip(&sums).for_each(|(joint, sum)| *joint *= below[greatest.abs_diff(*sum) as usize]);
        let mut measures = readings.iter().filter(|reading| matches!(reading, Reading::Measure(..))).peekable();
        if measures.peek().is_some() {
            let mut densities = [1.0; years::COUNT];
            measures.for_each(|reading| multiply(prepared, member, reading, &mut densities));
            let mut last = (1.0, 1.0);
            for (joint, density) in joint.iter_mut().zip(&densities) {
                // Densities change in runs, so many powers are already known.
                if last.0 != *density {
                    last = (*density, (powers.temper * density.log2()).exp2());
                }
                *joint *= last.1;
            }
        }
        greatest
    }
}

/// The sum of cells in each year.
fn sums(prepared: &Prepared<'_>, member: usize, readings: &[Reading]) -> [i32; years::COUNT] {
    let tables = &prepared.members[member].cells;
    let mut sums = [0_i32; years::COUNT];
    for readings in readings.chunks(likelihood::CELLS_ADDED) {
        let mut part = [0_i16; years::COUNT];
        for reading in readings {
            if let Reading::Column(feature, column) = reading {
                let cells = &tables[*feature].columns[*column];
                // So few cells never saturate; a check of each sum would keep many from being added at once.
                part.iter_mut().zip(cells).for_each(|(sum, cell)| *sum = sum.saturating_add(*cell));
            }
        }
        sums.iter_mut().zip(&part).for_each(|(sum, part)| *sum = sum.wrapping_add(i32::from(*part)));
    }
    sums
}

/// Multiplies each year by the density of a measure.
fn multiply(prepared: &Prepared<'_>, member: usize, reading: &Reading, product: &mut Years) {
    let member = &prepared.members[member];
    let Reading::Measure(feature, number, tables) = reading else { return };
    let table = tables.get(member.model_id).and_then(|at| member.model.measures.get(feature)?.get(*at));
    let Some(table) = table else { return };
    let mut densities = table.densities(member.id, *number);
    product.iter_mut().enumerate().for_each(|(year, product)| *product *= densities.at(year));
}

/// A reading's likelihood in each year.
fn likelihoods(prepared: &Prepared<'_>, member: usize, reading: &Reading) -> Years {
    match reading {
        Reading::Column(feature, column) => prepared.members[member].cells[*feature].probabilities(*column),
        Reading::Measure(..) => {
            let mut densities = [1.0; years::COUNT];
            multiply(prepared, member, reading, &mut densities);
            densities
        }
    }
}

/// The readings of a garment that have a likelihood for every variant in question.
fn readings(prepared: &Prepared<'_>, members: &[usize], features: &Values) -> Vec<Reading> {
    let readings = features.iter().filter_map(|(id, value)| {
        let feature = prepared.knowledge.catalog.vocabulary.feature(id.as_str())?;
        match (&feature.kind, value) {
            (Kind::Measure(_), Value::Measure(number)) => {
                let tables = tables(prepared, members, feature, features)?;
                Some(Reading::Measure(feature.id.clone(), *number, tables))
            }
            _ => column(prepared, feature, value).map(|(feature, column)| Reading::Column(feature, column)),
        }
    });
    readings.collect()
}

/// The numbers of a feature and of the column that a reading of it belongs to, if it has columns and the part is there.
pub fn column(prepared: &Prepared<'_>, feature: &Feature, value: &Value) -> Option<(usize, usize)> {
    let has_columns = matches!(feature.kind, Kind::State { .. } | Kind::Count) && *value != Value::Lost;
    let pooled = prepared.tables.pool.feature(&feature.id).filter(|_| has_columns)?;
    Some((prepared.feature(&feature.id)?, pooled.column(&text(value))))
}

/// The tables of a measure by model, if every model in question has one for the garment's stratum.
fn tables(
    prepared: &Prepared<'_>,
    members: &[usize],
    feature: &Feature,
    features: &Values,
) -> Option<BTreeMap<ModelId, usize>> {
    let mut tables = BTreeMap::new();
    for member in members {
        let member = &prepared.members[*member];
        let own = member.model.measures.get(&feature.id)?;
        let meets = |table: &MeasureTable| is_in_stratum(prepared, &table.stratum, features);
        tables.insert(member.model_id.clone(), own.iter().position(meets)?);
    }
    Some(tables)
}

/// Says whether a garment shows all that a stratum asks for.
pub fn is_in_stratum(prepared: &Prepared<'_>, wanted: &Stratum, features: &Values) -> bool {
    wanted.iter().all(|(other, wanted)| {
        let other = prepared.knowledge.catalog.vocabulary.feature(other.as_str());
        other.is_some_and(|other| stratum(other, features).as_ref() == Some(wanted))
    })
}

/// The stratum that a garment falls in by one feature.
fn stratum(feature: &Feature, features: &Values) -> Option<String> {
    let value = features.get(&feature.id).filter(|value| **value != Value::Lost)?;
    crate::evidence::stratum(value, feature)
}

/// A value as the text of a state.
pub fn text(value: &Value) -> String {
    match value {
        Value::State(state) => state.to_string(),
        Value::Count(count) => count.to_string(),
        Value::Measure(number) | Value::Number(number) => number.to_string(),
        Value::Code(code) => code.clone(),
        Value::Absent => "absent".to_string(),
        Value::Lost => "lost".to_string(),
        Value::Other(text) => text.clone(),
    }
}
