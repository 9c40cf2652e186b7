//! What the others of a model say of each of its garments: every specimen judged with itself left out of the counts.
//!
//! Eras, dates and production weights stay as they are, so an era that rests on the garment itself is not taken back.

mod strange;

use std::borrow::Cow;

use crate::reason::evidence::{Item, Seen};
use crate::reason::likelihood::gather::{self, Counted, CountedValue, Gathered, Stratum};
use crate::reason::likelihood::measure;
use crate::reason::likelihood::share::{self, Near};
use crate::reason::likelihood::years::{self, Years};
use crate::record::observation::Value;
use crate::resolve::Catalog;

/// A garment that counts, with what it shows that counts.
pub struct Specimen {
    /// The number of its variant in the model.
    pub member: usize,
    /// Its number among the variant's bearers.
    pub bearer: usize,
    /// What it shows, by number of the feature.
    readings: Vec<(usize, CountedValue)>,
    /// Itself and the rest of its find.
    left_out: Vec<(usize, usize)>,
}

/// The likelihood of what a specimen shows, by variant and run of years.
pub type Likelihoods = Vec<Vec<f64>>;

/// Likelihoods with the shares drawn so far to the pooled ones.
struct Drawn {
    toward_pooled: f64,
    likelihoods: Likelihoods,
}

/// Judges the specimens of one model.
pub struct HeldOut<'g, 'a> {
    /// The model.
    pub gathered: &'g Gathered<'a>,
    /// Every specimen.
    pub specimens: Vec<Specimen>,
    /// The first years of runs in which nothing that is counted changes.
    starts: Vec<usize>,
    /// The run of each year.
    run_of: Vec<usize>,
    /// Sums near each run, by variant and feature.
    sums: Vec<Vec<Sums>>,
}

/// What is counted near each run of years: of all columns, and of each.
#[derive(Default)]
struct Sums {
    totals: Vec<f64>,
    columns: Vec<Vec<f64>>,
}

impl<'g, 'a> HeldOut<'g, 'a> {
    /// Prepares a model.
    pub fn new(catalog: &Catalog, gathered: &'g Gathered<'a>) -> HeldOut<'g, 'a> {
        let (starts, run_of) = runs(gathered);
        let members = 0..gathered.members.len();
        let sums = members.map(|member| {
            (0..gathered.features.len()).map(|feature| sums(gathered, (member, feature), &starts)).collect()
        });
        HeldOut { gathered, specimens: specimens(catalog, gathered), sums: sums.collect(), starts, run_of }
    }

    /// The likelihood of what a specimen shows, by variant and run of years, without tempering.
    pub fn likelihoods(&self, specimen: &Specimen, toward_pooled: f64) -> Likelihoods {
        let [likelihoods] = self.drawn(specimen, [toward_pooled]);
        likelihoods
    }

    /// The likelihoods for each of several centres; what does not depend on the centre is worked out once.
    pub fn drawn<const N: usize>(&self, specimen: &Specimen, toward_pooled: [f64; N]) -> [Likelihoods; N] {
        let one = vec![vec![1.0; self.starts.len()]; self.gathered.members.len()];
        let mut likelihoods = toward_pooled.map(|toward_pooled| Drawn { toward_pooled, likelihoods: one.clone() });
        for (feature, value) in &specimen.readings {
            match value {
                CountedValue::Column(column) => {
                    self.multiply_column(&mut likelihoods, specimen, (*feature, *column));
                }
                CountedValue::Measure(reading, Some(stratum)) => {
                    self.multiply_density(&mut likelihoods, specimen, (*feature, *reading, stratum));
                }
                CountedValue::Measure(_, None) => {}
            }
        }
        likelihoods.map(|drawn| drawn.likelihoods)
    }

    /// The probability of every variant in each run of years: equal for variants, by production for years.
    pub fn prior(&self) -> Vec<Vec<f64>> {
        let variants = self.gathered.members.len() as f64;
        let members = self.gathered.members.iter();
        members
            .map(|member| {
                let total: f64 = member.weights.iter().sum();
                let mut prior = vec![0.0; self.starts.len()];
                for (run, weight) in self.run_of.iter().zip(&member.weights) {
                    prior[*run] += weight / total / variants;
                }
                prior
            })
            .collect()
    }

    /// The probability of each year for a specimen, over all variants.
    pub fn years(&self, likelihoods: &[Vec<f64>], temper: f64) -> Years {
        let mut posterior = [0.0; years::COUNT];
        for (member, likelihoods) in self.gathered.members.iter().zip(likelihoods) {
            let total: f64 = member.weights.iter().sum();
            let tempered: Vec<f64> = likelihoods.iter().map(|likelihood| likelihood.powf(temper)).collect();
            for (year, probability) in posterior.iter_mut().enumerate() {
                *probability += member.weights[year] / total * tempered[self.run_of[year]];
            }
        }
        let total: f64 = posterior.iter().sum();
        posterior.map(|probability| probability / total)
    }

    fn multiply_column(&self, all: &mut [Drawn], specimen: &Specimen, (feature, column): (usize, usize)) {
        let examined = &self.gathered.features[feature];
        let gather::ExaminedKind::Columns(general) = &examined.kind else { return };
        let pooled = share::pooled(self.gathered, feature, general, &specimen.left_out);
        let centres: Vec<Vec<f64>> = all.iter().map(|drawn| share::centre(&pooled, drawn.toward_pooled)).collect();
        for member in 0..self.gathered.members.len() {
            let claimed = self.gathered.members[member].claimed.feature(&examined.feature.id);
            let removed = self.removed((member, feature), specimen);
            for run in 0..self.starts.len() {
                let (total, columns) = self.near((member, feature), run, &removed);
                let near = Near { total, columns: &columns };
                for (drawn, centre) in all.iter_mut().zip(&centres) {
                    let of = |column: usize| share::probability(examined.feature, &near, (column, centre));
                    drawn.likelihoods[member][run] *= match claimed {
                        None => of(column),
                        Some(factors) => {
                            let mut shares: Vec<f64> = (0..centre.len()).map(of).collect();
                            share::weigh(&mut shares, factors.iter(), self.starts[run]);
                            shares[column]
                        }
                    };
                }
            }
        }
    }

    /// The counts of a feature of a variant that leaving a specimen out takes away.
    fn removed(&self, (member, feature): (usize, usize), specimen: &Specimen) -> Vec<&Counted> {
        let items = self.gathered.members[member].items[feature].iter();
        items.filter(|counted| share::is_left_out(&specimen.left_out, member, counted)).collect()
    }

    /// The sums near a run, without the counts that are taken away.
    fn near(&self, (member, feature): (usize, usize), run: usize, removed: &[&Counted]) -> (f64, Cow<'_, [f64]>) {
        let sums = &self.sums[member][feature];
        let (mut total, mut columns) = (sums.totals[run], Cow::Borrowed(&sums.columns[run][..]));
        for counted in removed {
            let near = counted.near[self.starts[run]];
            total -= near;
            if let Some(column) = share::column(counted) {
                columns.to_mut()[column] -= near;
            }
        }
        (total, columns)
    }

    fn multiply_density(
        &self,
        all: &mut [Drawn],
        specimen: &Specimen,
        (feature, reading, stratum): (usize, f64, &Stratum),
    ) {
        let table = measure::table(self.gathered, (feature, stratum), &self.starts, &specimen.left_out);
        let Some(table) = table else { return };
        for (number, member) in self.gathered.members.iter().enumerate() {
            let mut densities = table.densities(&member.id, reading);
            for run in 0..self.starts.len() {
                let density = densities.at(run);
                all.iter_mut().for_each(|drawn| drawn.likelihoods[number][run] *= density);
            }
        }
    }
}

/// Divides the years into runs in which no count and no claim changes.
fn runs(gathered: &Gathered<'_>) -> (Vec<usize>, Vec<usize>) {
    let mut changes = [false; years::COUNT];
    changes[0] = true;
    let counts = gathered.members.iter().flat_map(|member| member.items.iter().flatten());
    let claims = gathered.members.iter().flat_map(|member| member.claimed.factors());
    for values in counts.map(|counted| &*counted.near).chain(claims) {
        for (change, pair) in changes[1..].iter_mut().zip(values.windows(2)) {
            *change |= pair[0] != pair[1];
        }
    }
    let starts: Vec<usize> = (0..years::COUNT).filter(|year| changes[*year]).collect();
    let run_of = (0..years::COUNT).map(|year| starts.partition_point(|start| *start <= year) - 1).collect();
    (starts, run_of)
}

fn sums(gathered: &Gathered<'_>, (member, feature): (usize, usize), starts: &[usize]) -> Sums {
    let gather::ExaminedKind::Columns(general) = &gathered.features[feature].kind else { return Sums::default() };
    let mut sums = Sums { totals: vec![0.0; starts.len()], columns: vec![vec![0.0; general.len()]; starts.len()] };
    for counted in &gathered.members[member].items[feature] {
        let Some(column) = share::column(counted) else { continue };
        for (run, start) in starts.iter().enumerate() {
            sums.totals[run] += counted.near[*start];
            sums.columns[run][column] += counted.near[*start];
        }
    }
    sums
}

fn specimens(catalog: &Catalog, gathered: &Gathered<'_>) -> Vec<Specimen> {
    let mut specimens = Vec::new();
    for (member, variant) in gathered.members.iter().enumerate() {
        for (number, bearer) in variant.evidence.bearers.iter().enumerate() {
            if bearer.garment.is_none() {
                continue;
            }
            let readings: Vec<(usize, CountedValue)> = (0..gathered.features.len())
                .filter_map(|feature| Some((feature, reading(catalog, gathered, (member, number, feature))?)))
                .collect();
            if !readings.is_empty() {
                specimens.push(Specimen {
                    member,
                    bearer: number,
                    readings,
                    left_out: left_out(gathered, (member, number)),
                });
            }
        }
    }
    specimens
}

/// What a garment itself shows of a feature, where that counts.
fn reading(
    catalog: &Catalog,
    gathered: &Gathered<'_>,
    (member, number, feature): (usize, usize, usize),
) -> Option<CountedValue> {
    let variant = &gathered.members[member];
    let counted = variant.items[feature].iter().find(|counted| counted.bearers.contains(&number))?;
    let examined = &gathered.features[feature];
    let Some(Value::Measure(own)) = variant.evidence.bearers[number].shown.get(&examined.feature.id)?.agreed() else {
        return Some(counted.value.clone());
    };
    let item = Item { seen: Seen::Measure(*own), bearers: vec![number], contested: false };
    let covariate = |other: &crate::vocabulary::Feature| {
        catalog.vocabulary.feature(other.id.as_str()).and_then(|other| variant.evidence.covariate(&item, other))
    };
    Some(CountedValue::Measure(*own, measure::stratum_of(examined, covariate)))
}

/// The garment, and every other of the model that was found with it.
fn left_out(gathered: &Gathered<'_>, (member, number): (usize, usize)) -> Vec<(usize, usize)> {
    let Some(find) = gathered.members[member].evidence.bearers[number].find() else { return vec![(member, number)] };
    let members = gathered.members.iter().enumerate();
    members
        .flat_map(|(member, variant)| {
            let bearers = variant.evidence.bearers.iter().enumerate();
            bearers.filter(|(_, bearer)| bearer.find() == Some(find)).map(move |(number, _)| (member, number))
        })
        .collect()
}
