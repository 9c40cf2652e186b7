//! A garment as its readings of the features that an order may ask for.

use std::collections::BTreeMap;

use ecow::EcoString;

use crate::evidence::Evidence;
use crate::record::id::FeatureId;

/// A garment.
pub(super) struct Unit {
    /// The number of its variant.
    pub variant: usize,
    /// Its counted readings, by number of the feature.
    pub shown: BTreeMap<usize, EcoString>,
    /// Its share of its variant: the garments of one find count as one, and the shares of each
    /// variant sum to 1.
    pub weight: f64,
    /// The number of its find, or its own where it was found alone.
    pub group: usize,
}

/// Every garment of some variants.
pub(super) fn all(evidence: &[&Evidence<'_>], features: &[&FeatureId]) -> Vec<Unit> {
    let mut units = Vec::new();
    let mut finds: BTreeMap<String, usize> = BTreeMap::new();
    let mut groups = 0..;
    let mut next = || groups.next().unwrap_or_default();
    for (variant, one) in evidence.iter().enumerate() {
        let mut shown: Vec<BTreeMap<usize, EcoString>> = vec![BTreeMap::new(); one.bearers.len()];
        for (number, feature) in features.iter().enumerate() {
            for item in one.items(feature) {
                let Some(state) = item.seen.state() else { continue };
                item.bearers.iter().for_each(|bearer| drop(shown[*bearer].insert(number, state.into())));
            }
        }
        let garments = one.bearers.iter().zip(shown).filter(|(bearer, _)| bearer.garment.is_some());
        let own: Vec<Unit> = garments
            .map(|(bearer, shown)| {
                let group = match bearer.find() {
                    Some(find) => *finds.entry(find.to_string()).or_insert_with(&mut next),
                    None => next(),
                };
                Unit { variant, shown, weight: 0.0, group }
            })
            .collect();
        units.extend(weighed(own));
    }
    units
}

/// Gives every group of a variant the same weight, and the garments of a group equal parts of it.
fn weighed(mut own: Vec<Unit>) -> Vec<Unit> {
    let mut sizes: BTreeMap<usize, usize> = BTreeMap::new();
    own.iter().for_each(|unit| *sizes.entry(unit.group).or_default() += 1);
    for unit in &mut own {
        unit.weight = 1.0 / (sizes.len() * sizes[&unit.group]) as f64;
    }
    own
}
