//! The density of one garment's reading from the other readings of its stratum.
//!
//! It equals a table made without the garment; sums over the other readings are kept and added in the same order.

use crate::dating::likelihood::gather::{Counted, CountedValue, ExaminedKind, Gathered, Stratum};
use crate::dating::likelihood::measure::{Near, Reading, Shape, at, mean, squares};
use crate::dating::likelihood::share::{self, LeftOut};
use crate::vocabulary::{Feature, Measure};

/// The readings of a measure in one stratum.
pub struct Alike<'g> {
    /// The number of the measure among the model's features.
    pub feature: usize,
    /// The values of what the measure varies with.
    pub stratum: &'g Stratum,
    examined: &'g Feature,
    measure: &'g Measure,
    members: Vec<Member<'g>>,
}

/// Those of one variant.
struct Member<'g> {
    counted: Vec<(f64, &'g Counted)>,
    summed: Summed,
}

/// The sums of a variant's readings; `None` for a variant without any.
#[derive(Default)]
struct Summed {
    total: usize,
    mean: f64,
    squares: f64,
    /// For each run of years, how much counts near it, and the sum of what counts.
    near: Vec<Near>,
}

impl<'g> Alike<'g> {
    /// Collects the readings of a stratum for runs of years; `None` if the feature is no measure.
    pub fn new(gathered: &'g Gathered<'_>, feature: usize, stratum: &'g Stratum, starts: &[usize]) -> Option<Self> {
        let examined = &gathered.features[feature];
        let ExaminedKind::Measure(measure, _) = &examined.kind else { return None };
        let members = gathered.members.iter().map(|member| {
            let own = member.items[feature].iter().filter_map(|counted| match &counted.value {
                CountedValue::Measure(number, Some(own)) if own == stratum => Some((*number, counted)),
                _ => None,
            });
            let counted: Vec<(f64, &Counted)> = own.collect();
            Member { summed: Summed::of(counted.iter().copied(), starts), counted }
        });
        Some(Alike { feature, stratum, examined: examined.feature, measure, members: members.collect() })
    }

    /// Passes on the density of a reading in each run of years, variant by variant, unless too little is counted to
    /// know a spread.
    pub fn densities(&self, reading: f64, left_out: &LeftOut, starts: &[usize], mut take: impl FnMut(usize, &[f64])) {
        let anew: Vec<Option<Summed>> =
            (0..self.members.len()).map(|member| self.without(member, left_out, starts)).collect();
        let summed = || self.members.iter().zip(&anew).map(|(member, anew)| anew.as_ref().unwrap_or(&member.summed));
        let counted = || summed().filter(|summed| summed.total > 0);
        let variants = counted().count();
        let total: usize = summed().map(|summed| summed.total).sum();
        let Some(degrees) = total.checked_sub(variants).filter(|degrees| *degrees > 0) else { return };
        let squares: f64 = summed().map(|summed| summed.squares).sum();
        let scale = (squares / degrees as f64).sqrt().max(self.measure.tolerance);
        let centre = counted().map(|summed| summed.mean).sum::<f64>() / variants as f64;
        let shape = Shape::new(self.examined, self.measure, degrees as u64);
        let density = |near| {
            let (centre, spread) = at(near, centre, scale);
            shape.density(centre, spread, reading)
        };
        let general = density(Near::default());
        let mut densities = vec![general; starts.len()];
        for (member, summed) in summed().enumerate() {
            let (mut last, mut latest) = (Near::default(), general);
            // A variant without readings has nothing near any year, and the general density in all of them.
            for (place, near) in summed.near.iter().enumerate() {
                if *near != last {
                    (last, latest) = (*near, density(*near));
                }
                densities[place] = latest;
            }
            if summed.near.is_empty() {
                densities.fill(general);
            }
            take(member, &densities);
        }
    }

    /// The sums of a variant that has something left out.
    fn without(&self, member: usize, left_out: &LeftOut, starts: &[usize]) -> Option<Summed> {
        if left_out.iter().all(|(variant, _)| *variant != member) {
            return None;
        }
        let counted = &self.members[member].counted;
        let stays = |counted: &&(f64, &Counted)| !share::is_left_out(left_out, member, counted.1);
        let rest: Vec<(f64, &Counted)> = counted.iter().filter(stays).copied().collect();
        (rest.len() < counted.len()).then(|| Summed::of(rest.into_iter(), starts))
    }
}

impl Summed {
    fn of<'c>(counted: impl Iterator<Item = (f64, &'c Counted)>, starts: &[usize]) -> Summed {
        let readings: Vec<Reading<'c>> = counted.map(|(number, counted)| (number, &counted.near[..])).collect();
        if readings.is_empty() {
            return Summed::default();
        }
        // From the same negative zero as the sum of an iterator.
        let mut near = vec![Near { weight: -0.0, sum: -0.0 }; starts.len()];
        for (number, years) in &readings {
            for (near, start) in near.iter_mut().zip(starts) {
                near.weight += years[*start];
                near.sum += years[*start] * number;
            }
        }
        Summed { total: readings.len(), mean: mean(&readings), squares: squares(&readings), near }
    }
}
