//! The density of a measure for a variant in a year, among garments that are alike in what it varies with.

pub mod alike;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::dating::likelihood::gather::{self, CountedValue, Examined, ExaminedKind, Gathered};
use crate::dating::likelihood::share::{LeftOut, counts};
use crate::dating::likelihood::shared::slip;
use crate::dating::likelihood::years::Years;
use crate::record::id::VariantId;
use crate::statistics::student::Student;
use crate::vocabulary::{Feature, Measure};

/// How much below its centre a reading may lie and still be the same length, shrunk.
const SHRINKAGE: f64 = 0.1;

/// The values of what a measure varies with.
pub type Stratum = gather::Stratum;

/// The densities of a measure for all variants of a model, in one stratum.
#[derive(Clone, Debug)]
pub struct MeasureTable {
    /// The values of what the measure varies with.
    pub stratum: Stratum,
    /// Degrees of freedom of the pooled spread.
    pub degrees: u64,
    /// The t distribution with that many degrees of freedom.
    student: Student,
    /// How far a slip may explain a reading.
    pub slip: f64,
    /// The width of the measure's range.
    pub width: f64,
    /// Whether worn cloth shrinks along it.
    pub shrinks: bool,
    /// The centre and spread of variants that have none of their own.
    pub general: (f64, f64),
    /// The centre and spread of the others in each of the years asked for.
    pub variants: BTreeMap<VariantId, Vec<(f64, f64)>>,
    /// The spread of one garment about its variant's centre, pooled over the variants.
    pub scale: f64,
    /// The readings that the centres and spreads of `variants` are computed from.
    pub readings: BTreeMap<VariantId, Vec<MeasureReading>>,
}

/// A reading in a table.
#[derive(Clone, Debug)]
pub struct MeasureReading {
    /// The measurement, in the feature's unit.
    pub number: f64,
    /// How much it counts near each year.
    pub near: Arc<Years>,
}

impl MeasureTable {
    /// The density of a reading for a variant in each of the years asked for.
    pub fn densities(&self, variant: &VariantId, reading: f64) -> Densities<'_> {
        let years = self.variants.get(variant).map_or(&[][..], Vec::as_slice);
        let (parameters, density) = (self.general, self.density_at(self.general, reading));
        Densities { table: self, years, reading, parameters, density }
    }

    fn density_at(&self, parameters: (f64, f64), reading: f64) -> f64 {
        let [density] = self.density([parameters.0], [parameters.1], reading);
        density
    }

    /// The density of a reading by several centres and spreads.
    pub fn density<const N: usize>(&self, centres: [f64; N], spreads: [f64; N], reading: f64) -> [f64; N] {
        let (slip, width, shrinks) = (self.slip, self.width, self.shrinks);
        Shape { student: self.student, slip, width, shrinks }.densities(centres, spreads, reading)
    }
}

/// The parts that the densities of one stratum share, wherever their centre lies.
struct Shape {
    student: Student,
    slip: f64,
    width: f64,
    shrinks: bool,
}

impl Shape {
    fn new(feature: &Feature, measure: &Measure, degrees: u64) -> Shape {
        let width = measure.range.1 - measure.range.0;
        Shape { student: Student::new(degrees), slip: slip(feature), width, shrinks: measure.shrinks }
    }

    fn density(&self, centre: f64, spread: f64, reading: f64) -> f64 {
        let [density] = self.densities([centre], [spread], reading);
        density
    }

    fn densities<const N: usize>(&self, centres: [f64; N], spreads: [f64; N], reading: f64) -> [f64; N] {
        let z = std::array::from_fn(|at| {
            let centre = centres[at];
            let is_shrunk = self.shrinks && reading < centre && reading > (1.0 - SHRINKAGE) * centre;
            let z = (reading - centre) / spreads[at];
            if is_shrunk { 0.0 } else { z }
        });
        let densities = self.student.densities(z, spreads);
        densities.map(|density| (1.0 - self.slip) * density + self.slip / self.width)
    }
}

/// A reading's density for one variant; the last result is kept, since years change in runs.
pub struct Densities<'t> {
    table: &'t MeasureTable,
    /// Centre and spread in each year; empty for a variant that has none of its own.
    years: &'t [(f64, f64)],
    reading: f64,
    parameters: (f64, f64),
    density: f64,
}

impl Densities<'_> {
    /// The density in one of the years asked for.
    pub fn at(&mut self, year: usize) -> f64 {
        let parameters = self.years.get(year).copied().unwrap_or(self.table.general);
        if parameters != self.parameters {
            self.parameters = parameters;
            self.density = self.table.density_at(parameters, self.reading);
        }
        self.density
    }
}

/// The strata of a measure that have anything counted.
pub fn strata<'g>(gathered: &'g Gathered<'_>, feature: usize) -> BTreeSet<&'g Stratum> {
    let items = gathered.members.iter().flat_map(|member| &member.items[feature]);
    items
        .filter_map(|counted| match &counted.value {
            CountedValue::Measure(_, stratum) => stratum.as_ref(),
            CountedValue::Column(_) => None,
        })
        .collect()
}

/// A measure within a stratum.
#[derive(Clone, Copy)]
pub struct Measured<'s> {
    /// The number of the feature.
    pub feature: usize,
    /// The stratum.
    pub stratum: &'s Stratum,
}

/// Makes the table of a stratum for some years; `None` if too little is counted to know a spread.
pub fn table(
    gathered: &Gathered<'_>,
    measured: Measured<'_>,
    years: &[usize],
    left_out: &LeftOut,
) -> Option<MeasureTable> {
    let examined = &gathered.features[measured.feature];
    let ExaminedKind::Measure(measure, _) = &examined.kind else { return None };
    let counted: Vec<Vec<MeasureReading>> =
        (0..gathered.members.len()).map(|member| readings(gathered, member, measured, left_out)).collect();
    let members: Vec<Vec<Reading<'_>>> =
        counted.iter().map(|readings| readings.iter().map(|one| (one.number, &one.near[..])).collect()).collect();
    let means: Vec<f64> =
        members.iter().filter(|readings| !readings.is_empty()).map(|readings| mean(readings)).collect();
    let total: usize = members.iter().map(Vec::len).sum();
    let degrees = total.checked_sub(means.len()).filter(|degrees| *degrees > 0)?;
    let squares: f64 = members.iter().map(|readings| squares(readings)).sum();
    let scale = (squares / degrees as f64).sqrt().max(measure.tolerance);
    let centre = means.iter().sum::<f64>() / means.len() as f64;
    let own = |readings: &[Reading<'_>]| years.iter().map(|year| at(near(readings, *year), centre, scale)).collect();
    let Shape { student, slip, width, shrinks } = Shape::new(examined.feature, measure, degrees as u64);
    let with_own = members.iter().enumerate().filter(|(_, readings)| !readings.is_empty());
    Some(MeasureTable {
        stratum: measured.stratum.clone(),
        degrees: degrees as u64,
        student,
        slip,
        width,
        shrinks,
        general: at(Near::default(), centre, scale),
        variants: with_own.map(|(member, readings)| (gathered.members[member].id.clone(), own(readings))).collect(),
        scale,
        readings: gathered.members.iter().map(|member| member.id.clone()).zip(counted).collect(),
    })
}

/// A reading with how much it counts in each year.
type Reading<'g> = (f64, &'g [f64]);

fn readings(gathered: &Gathered<'_>, member: usize, measured: Measured<'_>, left_out: &LeftOut) -> Vec<MeasureReading> {
    counts(gathered, member, measured.feature, left_out)
        .filter_map(|counted| match &counted.value {
            CountedValue::Measure(number, Some(own)) if own == measured.stratum => {
                Some(MeasureReading { number: *number, near: counted.near.clone() })
            }
            _ => None,
        })
        .collect()
}

fn mean(readings: &[Reading<'_>]) -> f64 {
    readings.iter().map(|(number, _)| number).sum::<f64>() / readings.len() as f64
}

fn squares(readings: &[Reading<'_>]) -> f64 {
    let mean = mean(readings);
    readings.iter().map(|(number, _)| (number - mean).powi(2)).sum()
}

/// How much of some readings counts near one year, and the sum of what counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Near {
    weight: f64,
    sum: f64,
}

/// The readings that count near one year.
fn near(readings: &[Reading<'_>], year: usize) -> Near {
    let weight = readings.iter().map(|(_, near)| near[year]).sum();
    Near { weight, sum: readings.iter().map(|(number, near)| near[year] * number).sum() }
}

/// Centre and spread in one year: the readings near it, and the model's centre as one more.
fn at(near: Near, centre: f64, scale: f64) -> (f64, f64) {
    let Near { weight, sum } = near;
    ((centre + sum) / (1.0 + weight), scale * (1.0 + 1.0 / (1.0 + weight)).sqrt())
}

/// The stratum that a garment falls in, if it shows everything the measure varies with.
pub fn stratum_of(
    examined: &Examined<'_>,
    value: impl Fn(&crate::vocabulary::Feature) -> Option<String>,
) -> Option<Stratum> {
    let ExaminedKind::Measure(_, covariates) = &examined.kind else { return None };
    covariates.iter().map(|other| Some((other.id.clone(), value(other)?))).collect()
}
