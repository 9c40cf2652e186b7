//! Judges every specimen of a model by the others, with itself left out of the counts.
//!
//! Eras, dates and production weights stay the same, even an era that rests on the garment itself.

pub mod column;
mod specimen;
mod strange;

use std::sync::Arc;

use crate::dating::likelihood::gather::{self, Counted, Gathered};
use crate::dating::likelihood::held_out::column::{Column, Kept, ShownColumn};
use crate::dating::likelihood::measure::{self, alike::Alike};
use crate::dating::likelihood::share::{self, LeftOut};
use crate::dating::likelihood::years::{self, Years};
use crate::resolve::Catalog;

/// A garment that counts, with what it shows that counts.
pub struct Specimen {
    /// The number of its variant in the model.
    pub member: usize,
    /// Its number among the variant's bearers.
    pub bearer: usize,
    /// Its readings, by number of the feature.
    readings: Vec<(usize, Shown)>,
    /// Itself and the rest of its find.
    left_out: Arc<LeftOut>,
}

/// A specimen's reading of a feature.
#[derive(Clone)]
enum Shown {
    /// A column, and the number of the count that it is part of.
    Column { column: usize, count: usize },
    /// A quantity, with the number of quantities it is compared with; `None` if there are none.
    Measure { reading: f64, alike: Option<usize> },
}

/// The likelihood of what a specimen shows: of each variant in turn, for every run of years.
pub type Likelihoods = Vec<f64>;

impl Specimen {
    /// How many counted features it shows.
    pub fn features(&self) -> usize {
        self.readings.len()
    }
}

/// Judges the specimens of one model.
pub struct HeldOut<'g, 'a> {
    /// The model.
    pub gathered: &'g Gathered<'a>,
    /// Every specimen, variant by variant.
    pub specimens: Vec<Specimen>,
    /// The probability of every variant in each run of years: equal for variants, by production for years.
    pub prior: Vec<f64>,
    /// The share of each variant's production that lies in each year.
    pub shares: Vec<Years>,
    /// The run of each year.
    pub run_of: Vec<usize>,
    /// The first years of runs in which nothing that is counted changes.
    starts: Vec<usize>,
    /// Sums near each run, by variant and feature.
    sums: Vec<Vec<Sums>>,
    /// The readings of measures, by stratum.
    alike: Vec<Alike<'g>>,
}

/// The counts near each run of years, in all columns and in each.
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
            (0..gathered.features.len()).map(|feature| sums(gathered, member, feature, &starts)).collect()
        });
        let strata = (0..gathered.features.len())
            .flat_map(|feature| measure::strata(gathered, feature).into_iter().map(move |stratum| (feature, stratum)));
        let alike: Vec<Alike<'_>> =
            strata.filter_map(|(feature, stratum)| Alike::new(gathered, feature, stratum, &starts)).collect();
        let (prior, shares) = prior(gathered, &run_of, starts.len());
        let specimens = specimen::all(catalog, gathered, &alike);
        HeldOut { gathered, specimens, prior, shares, sums: sums.collect(), alike, starts, run_of }
    }

    /// How many runs of years there are.
    pub fn runs(&self) -> usize {
        self.starts.len()
    }

    /// The likelihoods of what a specimen shows, without tempering, for each centre. What it shares with the last
    /// specimens of its variant is not computed again.
    pub fn drawn<const N: usize>(&self, kept: &mut Kept<N>, specimen: &Specimen) -> [Likelihoods; N] {
        let one = vec![1.0; self.starts.len() * self.gathered.members.len()];
        let mut all = std::array::from_fn(|_| one.clone());
        for (feature, shown) in &specimen.readings {
            match shown {
                Shown::Column { column, count } => {
                    let column = Column { feature: *feature, number: *column };
                    self.multiply_column(kept, &mut all, specimen, ShownColumn { column, count: *count });
                }
                Shown::Measure { reading, alike: Some(alike) } => {
                    self.alike[*alike].densities(*reading, &specimen.left_out, &self.starts, |member, densities| {
                        all.iter_mut().for_each(|all| multiply(self.of_mut(all, member), densities));
                    });
                }
                Shown::Measure { alike: None, .. } => {}
            }
        }
        all
    }

    /// The probability of each year for a specimen over all variants, from its tempered likelihoods.
    pub fn years(&self, tempered: &[f64]) -> Years {
        let mut posterior = [0.0; years::COUNT];
        for (shares, tempered) in self.shares.iter().zip(tempered.chunks_exact(self.starts.len())) {
            for ((probability, share), run) in posterior.iter_mut().zip(shares).zip(&self.run_of) {
                *probability += share * tempered[*run];
            }
        }
        let total: f64 = posterior.iter().sum();
        posterior.map(|probability| probability / total)
    }

    /// The part of likelihoods that is one variant's.
    fn of_mut<'l>(&self, likelihoods: &'l mut [f64], member: usize) -> &'l mut [f64] {
        &mut likelihoods[member * self.starts.len()..(member + 1) * self.starts.len()]
    }

    /// The counts of a feature of a variant that leaving a specimen out takes away.
    fn removed(&self, member: usize, feature: usize, specimen: &Specimen) -> Vec<&'g Counted> {
        if specimen.left_out.iter().all(|(variant, _)| *variant != member) {
            return Vec::new();
        }
        let items = self.gathered.members[member].items[feature].iter();
        items.filter(|counted| share::is_left_out(&specimen.left_out, member, counted)).collect()
    }

    /// The sums near a run, without the counts that are taken away.
    fn near(&self, member: usize, feature: usize, run: usize, removed: &[&Counted]) -> (f64, Vec<f64>) {
        let sums = &self.sums[member][feature];
        let mut columns: Vec<f64> = sums.columns.iter().map(|column| column[run]).collect();
        let mut total = sums.totals[run];
        for counted in removed {
            let near = counted.near[self.starts[run]];
            total -= near;
            if let Some(column) = share::column(counted) {
                columns[column] -= near;
            }
        }
        (total, columns)
    }
}

fn multiply(products: &mut [f64], factors: &[f64]) {
    products.iter_mut().zip(factors).for_each(|(product, factor)| *product *= factor);
}

/// Divides the years into runs in which no count and no claim changes.
fn runs(gathered: &Gathered<'_>) -> (Vec<usize>, Vec<usize>) {
    let mut changes = [false; years::COUNT];
    changes[0] = true;
    let counts = gathered.members.iter().flat_map(|member| member.items.iter().flatten());
    let claims = gathered.members.iter().flat_map(|member| member.claimed.factors());
    // Most counts of a garment have the same nearness.
    let mut last: Option<&Years> = None;
    for values in counts.map(|counted| &*counted.near).chain(claims) {
        if last.is_some_and(|last| std::ptr::eq(last, values)) {
            continue;
        }
        last = Some(values);
        for (change, pair) in changes[1..].iter_mut().zip(values.windows(2)) {
            *change |= pair[0] != pair[1];
        }
    }
    let starts: Vec<usize> = (0..years::COUNT).filter(|year| changes[*year]).collect();
    let run_of = (0..years::COUNT).map(|year| starts.partition_point(|start| *start <= year) - 1).collect();
    (starts, run_of)
}

fn prior(gathered: &Gathered<'_>, run_of: &[usize], runs: usize) -> (Vec<f64>, Vec<Years>) {
    let variants = gathered.members.len() as f64;
    let shares: Vec<Years> = gathered
        .members
        .iter()
        .map(|member| {
            let total: f64 = member.weights.iter().sum();
            member.weights.map(|weight| weight / total)
        })
        .collect();
    let mut prior = vec![0.0; shares.len() * runs];
    for (member, shares) in shares.iter().enumerate() {
        for (run, share) in run_of.iter().zip(shares) {
            prior[member * runs + run] += share / variants;
        }
    }
    (prior, shares)
}

fn sums(gathered: &Gathered<'_>, member: usize, feature: usize, starts: &[usize]) -> Sums {
    let gather::ExaminedKind::Columns(general) = &gathered.features[feature].kind else { return Sums::default() };
    let mut sums = Sums { totals: vec![0.0; starts.len()], columns: vec![vec![0.0; starts.len()]; general.len()] };
    for counted in &gathered.members[member].items[feature] {
        let Some(column) = share::column(counted) else { continue };
        let counts = sums.totals.iter_mut().zip(&mut sums.columns[column]);
        for ((total, column), start) in counts.zip(starts) {
            *total += counted.near[*start];
            *column += counted.near[*start];
        }
    }
    sums
}
