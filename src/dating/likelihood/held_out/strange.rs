//! How strange a garment is among the others of its own variant, feature by feature.

use crate::dating::likelihood::gather;
use crate::dating::likelihood::held_out::column::Kept;
use crate::dating::likelihood::held_out::{HeldOut, Shown, Specimen};
use crate::dating::likelihood::share::{self, Near};
use crate::record::id::FeatureId;

/// How a garment looks to the others of its variant.
pub struct Strange {
    /// By how many standard deviations its features surprise more than expected.
    pub deviations: f64,
    /// Each feature with how many bits it surprises beyond the average, the most first.
    pub features: Vec<(FeatureId, f64)>,
}

/// Less variance than this is rounding.
const VARIES: f64 = 1e-9;

impl HeldOut<'_, '_> {
    /// How much a specimen surprises under its own variant, judged by the others; `None` if nothing can vary.
    pub fn strange(&self, specimen: &Specimen, toward_pooled: f64) -> Option<Strange> {
        let (mut surprise, mut variance) = (0.0, 0.0);
        let mut features = Vec::new();
        for (feature, shown) in &specimen.readings {
            let Shown::Column { column, .. } = shown else { continue };
            let Some(shares) = self.shares(specimen, *feature, toward_pooled) else { continue };
            let bits = |share: f64| -share.log2();
            let mean: f64 = shares.iter().map(|share| share * bits(*share)).sum();
            let beyond = bits(shares[*column]) - mean;
            surprise += beyond;
            variance += shares.iter().map(|share| share * (bits(*share) - mean).powi(2)).sum::<f64>();
            features.push((self.gathered.features[*feature].feature.id.clone(), beyond));
        }
        features.sort_by(|(id, one), (other_id, other)| other.total_cmp(one).then_with(|| id.cmp(other_id)));
        (variance > VARIES).then(|| Strange { deviations: surprise / variance.sqrt(), features })
    }

    /// The likelihood of everything a specimen shows under each variant, over the years that production leaves.
    pub fn under(&self, specimen: &Specimen, toward_pooled: f64) -> Vec<f64> {
        let [likelihoods] = self.drawn(&mut Kept::new([toward_pooled]), specimen);
        let weighed = self.prior.chunks_exact(self.runs()).zip(likelihoods.chunks_exact(self.runs()));
        weighed.map(|(prior, runs)| prior.iter().zip(runs).map(|(weight, run)| weight * run).sum()).collect()
    }

    /// The features of a specimen that are likelier under another variant than under its own, the strongest first.
    pub fn speaking(&self, specimen: &Specimen, toward_pooled: f64, other: usize) -> Vec<FeatureId> {
        let mut bits: Vec<(FeatureId, f64)> = Vec::new();
        for (feature, shown) in &specimen.readings {
            let alone = Specimen {
                member: specimen.member,
                bearer: specimen.bearer,
                readings: vec![(*feature, shown.clone())],
                left_out: specimen.left_out.clone(),
            };
            let under = self.under(&alone, toward_pooled);
            bits.push((
                self.gathered.features[*feature].feature.id.clone(),
                (under[other] / under[specimen.member]).log2(),
            ));
        }
        bits.retain(|(_, bits)| *bits > VARIES);
        bits.sort_by(|(id, one), (other_id, other)| other.total_cmp(one).then_with(|| id.cmp(other_id)));
        bits.into_iter().map(|(feature, _)| feature).collect()
    }

    /// The share of each column under the specimen's own variant, over the years that production leaves.
    fn shares(&self, specimen: &Specimen, feature: usize, toward_pooled: f64) -> Option<Vec<f64>> {
        let examined = &self.gathered.features[feature];
        let gather::ExaminedKind::Columns(general) = &examined.kind else { return None };
        let pooled = share::pooled(self.gathered, feature, general, &specimen.left_out);
        let centre = share::centre(&pooled, toward_pooled);
        let member = &self.gathered.members[specimen.member];
        let removed = self.removed(specimen.member, feature, specimen);
        let prior = &self.prior[specimen.member * self.runs()..(specimen.member + 1) * self.runs()];
        let whole: f64 = prior.iter().sum();
        let mut averaged = vec![0.0; centre.len()];
        for (run, weight) in prior.iter().enumerate() {
            let (total, columns) = self.near(specimen.member, feature, run, &removed);
            let near = Near { total, columns: &columns };
            let mut shares: Vec<f64> =
                (0..centre.len()).map(|column| share::probability(examined.feature, &near, column, &centre)).collect();
            if let Some(factors) = member.claimed.feature(&examined.feature.id) {
                share::weigh(&mut shares, factors.iter(), self.starts[run]);
            }
            averaged.iter_mut().zip(&shares).for_each(|(sum, share)| *sum += weight / whole * share);
        }
        Some(averaged)
    }
}
