//! The probability of every variant in every year, given what a garment shows.
//!
//! Prior times tempered likelihood, with the years that landmarks leave: Bayes' rule, and nothing else.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::reason::dating::bound::Bounded;
use crate::reason::dating::prepared::Prepared;
use crate::reason::landmark::Values;
use crate::reason::likelihood::CELLS_PER_BIT;
use crate::reason::likelihood::measure::MeasureTable;
use crate::reason::likelihood::years::{self, Years};
use crate::record::id::{FeatureId, ModelId};
use crate::record::observation::Value;
use crate::vocabulary::{Feature, Kind};

/// The power where no model is in question.
const NO_TEMPER: f64 = 1.0;

/// Probabilities closer than this are equal when variants are ranked: the difference is rounding.
const EQUAL: f64 = 1e-12;

/// What follows from a garment's features.
pub struct Posterior<'a> {
    /// The power that the product of likelihoods was raised to.
    pub temper: f64,
    /// What was used of the garment.
    pub readings: Vec<Reading>,
    /// For each variant in question, the probability of it and each year together; all make 1.
    pub joint: Vec<Years>,
    /// The probability of each variant in question.
    pub variants: Vec<f64>,
    /// The variants in question, the most probable first.
    pub order: Vec<usize>,
    /// For each variant in question, what production and landmarks make of each year.
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

impl<'a> Posterior<'a> {
    /// Works out the probability of some variants, by number, for a garment's features and landmarks.
    pub fn of(prepared: &Prepared<'a>, members: &[usize], (features, bounded): (&Values, &Bounded)) -> Posterior<'a> {
        let readings = readings(prepared, members, features);
        let models = || members.iter().map(|member| prepared.members[*member].model);
        let temper = models().map(|model| model.choice.temper).reduce(f64::min).unwrap_or(NO_TEMPER);
        let before = before(prepared, members, bounded);
        let mut posterior =
            Posterior { temper, readings, joint: Vec::new(), variants: Vec::new(), order: Vec::new(), before };
        posterior.multiply(prepared, members);
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
    pub fn seen(&self, prepared: &Prepared<'_>, member: usize, (at, reading): (usize, &Reading)) -> f64 {
        let before = &self.before[at];
        let total: f64 = before.iter().sum();
        let likelihoods = likelihoods(prepared, member, reading);
        before.iter().zip(&likelihoods).map(|(weight, likelihood)| weight / total * likelihood).sum()
    }

    fn multiply(&mut self, prepared: &Prepared<'_>, members: &[usize]) {
        let mut powers = Powers { temper: self.temper, below: Vec::new() };
        let products: Vec<(i32, Years)> =
            members.iter().map(|member| product(prepared, *member, &self.readings, &mut powers)).collect();
        // Everything is measured from the greatest product, so that nothing is lost where all are small.
        let greatest = products.iter().map(|(greatest, _)| *greatest).max().unwrap_or(0);
        let models = model_sizes(prepared, members);
        for (at, member) in members.iter().enumerate() {
            let (own, likelihoods) = &products[at];
            let member = &prepared.members[*member];
            let variants = models[member.model_id];
            let scale = (self.temper * f64::from(own - greatest) / CELLS_PER_BIT).exp2();
            let prior = scale / (models.len() as f64 * variants * member.total);
            self.joint.push(std::array::from_fn(|year| prior * self.before[at][year] * likelihoods[year]));
        }
        let total: f64 = self.joint.iter().flatten().sum();
        for joint in &mut self.joint {
            if total > 0.0 {
                joint.iter_mut().for_each(|probability| *probability /= total);
            }
        }
        self.variants = self.joint.iter().map(|joint| joint.iter().sum()).collect();
        self.order = (0..members.len()).collect();
        let rank = |at: &usize| std::cmp::Reverse((self.variants[*at] / EQUAL).round() as i64);
        self.order.sort_by_key(rank);
    }
}

/// How many variants of each model are in question.
fn model_sizes<'a>(prepared: &Prepared<'a>, members: &[usize]) -> BTreeMap<&'a ModelId, f64> {
    let mut sizes = BTreeMap::new();
    for member in members {
        *sizes.entry(prepared.members[*member].model_id).or_insert(0.0) += 1.0;
    }
    sizes
}

/// What production and landmarks make of each year, for each variant.
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

/// Powers of two by whole cells below the greatest, tempered; those that were worked out are kept.
struct Powers {
    temper: f64,
    below: Vec<f64>,
}

impl Powers {
    /// The powers of no cell to so many below.
    fn down_to(&mut self, below: usize) -> &[f64] {
        for cell in self.below.len()..=below {
            self.below.push((-self.temper * cell as f64 / CELLS_PER_BIT).exp2());
        }
        &self.below
    }
}

/// The tempered product of likelihoods in each year, as a share of 2^(temper · greatest / 20), with that greatest sum
/// of cells.
fn product(prepared: &Prepared<'_>, member: usize, readings: &[Reading], powers: &mut Powers) -> (i32, Years) {
    let mut sums = [0_i32; years::COUNT];
    let mut densities: Option<Years> = None;
    for reading in readings {
        match reading {
            Reading::Column(feature, column) => {
                let cells = &prepared.members[member].cells[*feature].columns[*column];
                sums.iter_mut().zip(cells).for_each(|(sum, cell)| *sum += i32::from(*cell));
            }
            Reading::Measure(..) => {
                multiply(prepared, member, reading, densities.get_or_insert([1.0; years::COUNT]));
            }
        }
    }
    let (least, greatest) =
        sums.iter().fold((i32::MAX, i32::MIN), |(least, greatest), sum| (least.min(*sum), greatest.max(*sum)));
    let below = powers.down_to(greatest.abs_diff(least) as usize);
    let mut likelihoods = sums.map(|sum| below[greatest.abs_diff(sum) as usize]);
    if let Some(densities) = densities {
        let mut last = (1.0, 1.0);
        for (likelihood, density) in likelihoods.iter_mut().zip(&densities) {
            // Densities change in runs, so many powers are already known.
            if last.0 != *density {
                last = (*density, (powers.temper * density.log2()).exp2());
            }
            *likelihood *= last.1;
        }
    }
    (greatest, likelihoods)
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
    let mut likelihoods = [1.0; years::COUNT];
    match reading {
        Reading::Column(feature, column) => {
            let cells = &prepared.members[member].cells[*feature].columns[*column];
            let power = |cell: &i16| (f64::from(*cell) / CELLS_PER_BIT).exp2();
            likelihoods.iter_mut().zip(cells).for_each(|(likelihood, cell)| *likelihood = power(cell));
        }
        Reading::Measure(..) => multiply(prepared, member, reading, &mut likelihoods),
    }
    likelihoods
}

/// What of a garment has a likelihood for every variant in question.
fn readings(prepared: &Prepared<'_>, members: &[usize], features: &Values) -> Vec<Reading> {
    let readings = features.iter().filter_map(|(id, value)| {
        let feature = prepared.knowledge.catalog.vocabulary.feature(id.as_str())?;
        match (&feature.kind, value) {
            (_, Value::Lost) => None,
            (Kind::State { .. } | Kind::Count, value) => {
                let pooled = prepared.tables.pool.feature(id)?;
                Some(Reading::Column(prepared.feature(id)?, pooled.column(&text(value))))
            }
            (Kind::Measure(_), Value::Measure(number)) => measure(prepared, members, (feature, *number, features)),
            _ => None,
        }
    });
    readings.collect()
}

/// A measure, if every model in question has a table for the garment's stratum.
fn measure(
    prepared: &Prepared<'_>,
    members: &[usize],
    (feature, number, features): (&Feature, f64, &Values),
) -> Option<Reading> {
    let mut tables = BTreeMap::new();
    for member in members {
        let member = &prepared.members[*member];
        let own = member.model.measures.get(&feature.id)?;
        let meets = |table: &MeasureTable| {
            table.stratum.iter().all(|(other, wanted)| {
                let other = prepared.knowledge.catalog.vocabulary.feature(other.as_str());
                other.is_some_and(|other| stratum(other, features).as_ref() == Some(wanted))
            })
        };
        tables.insert(member.model_id.clone(), own.iter().position(meets)?);
    }
    Some(Reading::Measure(feature.id.clone(), number, tables))
}

/// The stratum that a garment falls in by one feature.
fn stratum(feature: &Feature, features: &Values) -> Option<String> {
    let value = features.get(&feature.id).filter(|value| **value != Value::Lost)?;
    crate::reason::evidence::stratum(value, feature)
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
