//! The probability of each state of a feature for a variant in a year.
//!
//! The counts near the year, smoothed toward a centre, with room for a slip of the eye or a replaced part.

use crate::dating::likelihood::gather::{Counted, CountedValue, Gathered};
use crate::dating::likelihood::shared::slip;
use crate::dating::likelihood::years::Years;
use crate::vocabulary::Feature;

/// Counts that are left out, in order: each a variant's number and a bearer's number in its evidence.
pub type LeftOut = [(usize, usize)];

/// Says whether a count of a variant is left out because a left-out bearer is part of it.
pub fn is_left_out(left_out: &LeftOut, member: usize, counted: &Counted) -> bool {
    counted.bearers.iter().any(|bearer| left_out.binary_search(&(member, *bearer)).is_ok())
}

/// The counts of a feature of a variant that are not left out.
pub fn counts<'g>(
    gathered: &'g Gathered<'_>,
    member: usize,
    feature: usize,
    left_out: &'g LeftOut,
) -> impl Iterator<Item = &'g Counted> {
    let items = gathered.members[member].items[feature].iter();
    items.filter(move |counted| left_out.is_empty() || !is_left_out(left_out, member, counted))
}

/// The model's pooled share of each column: the mean of its variants' shares, with the general share as one more variant.
pub fn pooled(gathered: &Gathered<'_>, feature: usize, general: &[f64], left_out: &LeftOut) -> Vec<f64> {
    let mut pooled = general.to_vec();
    let mut variants = 1.0;
    for member in 0..gathered.members.len() {
        let columns = counts(gathered, member, feature, left_out).filter_map(column);
        let columns: Vec<usize> = columns.collect();
        if columns.is_empty() {
            continue;
        }
        variants += 1.0;
        columns.iter().for_each(|column| pooled[*column] += 1.0 / columns.len() as f64);
    }
    pooled.iter_mut().for_each(|share| *share /= variants);
    pooled
}

/// The column a count shows, unless it is a measure.
pub fn column(counted: &Counted) -> Option<usize> {
    match counted.value {
        CountedValue::Column(column) => Some(column),
        CountedValue::Measure(..) => None,
    }
}

/// The centre that a probability is drawn to without evidence: between equal shares and the model's pooled ones.
pub fn centre(pooled: &[f64], toward_pooled: f64) -> Vec<f64> {
    let equal = 1.0 / pooled.len() as f64;
    pooled.iter().map(|share| toward_pooled * share + (1.0 - toward_pooled) * equal).collect()
}

/// The counts near one year: of all columns together, and of each.
pub struct Near<'a> {
    /// The sum over all columns.
    pub total: f64,
    /// The sum of each column.
    pub columns: &'a [f64],
}

/// The probability of one column.
pub fn probability(feature: &Feature, near: &Near<'_>, column: usize, centre: &[f64]) -> f64 {
    Smoothing::new(feature, centre).probability(centre[column], near.columns[column], near.total)
}

/// How counts are smoothed: the same for all columns of a feature.
pub struct Smoothing {
    slip: f64,
    states: f64,
}

impl Smoothing {
    /// The smoothing of a feature, from a centre with all its columns.
    pub fn new(feature: &Feature, centre: &[f64]) -> Smoothing {
        Smoothing { slip: slip(feature), states: centre.len() as f64 }
    }

    /// The probability of a column, shrunk towards a centre, from its own count and the count of
    /// all columns.
    pub fn probability(&self, centre: f64, of_column: f64, total: f64) -> f64 {
        let smoothed = (0.5 * self.states * centre + of_column) / (0.5 * self.states + total);
        (1.0 - self.slip) * smoothed + self.slip / self.states
    }
}

/// Multiplies probabilities by the factors of claims, and scales them to sum to 1 again.
pub fn weigh<'y>(probabilities: &mut [f64], factors: impl Iterator<Item = (&'y usize, &'y Years)>, year: usize) {
    for (column, factor) in factors {
        probabilities[*column] *= factor[year];
    }
    let total: f64 = probabilities.iter().sum();
    probabilities.iter_mut().for_each(|probability| *probability /= total);
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::{Near, centre, probability};
    use crate::record::id::FeatureId;
    use crate::source::Span;
    use crate::vocabulary::{Feature, Kind, Replaceable};

    fn feature() -> Feature {
        Feature {
            id: FeatureId::new("hem"),
            name: "hem".into(),
            synonyms: Vec::new(),
            kind: Kind::Count,
            state_synonyms: BTreeMap::new(),
            labels: BTreeMap::new(),
            replaced: BTreeMap::new(),
            retired: None,
            zone: None,
            look: String::new(),
            garments: Vec::new(),
            varies_with: Vec::new(),
            defining: false,
            replaceable: Replaceable::No,
            bands: Vec::new(),
            span: Span::new(0, 0),
        }
    }

    #[test]
    fn without_evidence_the_centre_shows_through() {
        let centre = centre(&[0.7, 0.2, 0.1], 0.5);
        let near = Near { total: 0.0, columns: &[0.0; 3] };
        let expected = 0.98 * (0.5 * 0.7 + 0.5 / 3.0) + 0.02 / 3.0;
        assert!((probability(&feature(), &near, 0, &centre) - expected).abs() < 1e-15);
    }

    #[test]
    fn probabilities_of_all_columns_make_one() {
        let centre = centre(&[0.7, 0.2, 0.1], 1.0);
        let near = Near { total: 4.5, columns: &[3.0, 1.5, 0.0] };
        let total: f64 = (0..3).map(|column| probability(&feature(), &near, column, &centre)).sum();
        assert!((total - 1.0).abs() < 1e-15);
    }
}
