//! Believed claims about a state make it rarer in the years outside its claimed era.

use std::collections::BTreeMap;

use crate::dating::likelihood::shared::{Shared, slip};
use crate::dating::likelihood::years::{self, Years};
use crate::record::id::{FeatureId, StateId, Thing, VariantId, Whole};

/// For features with claimed states, the factor of each claimed column in each year.
#[derive(Clone, Debug, Default)]
pub struct Claimed(BTreeMap<FeatureId, BTreeMap<usize, Years>>);

impl Claimed {
    /// Finds what is claimed of the states of a variant, by itself or through its model or maker.
    pub fn of(shared: &Shared<'_>, variant: &VariantId) -> Claimed {
        let wholes = [Whole::Variant(variant.clone()), Whole::Model(variant.model()), Whole::Maker(variant.maker())];
        let mut claimed = Claimed::default();
        for whole in wholes {
            // Each whole comes first, then its parts.
            let first = Thing::of(whole);
            let states = shared.claimed.range::<&Thing, _>(&first..).take_while(|thing| thing.whole == first.whole);
            for (feature, state) in states.filter_map(|thing| thing.state.as_ref()) {
                claimed.add(shared, variant, feature, state);
            }
        }
        claimed
    }

    /// The factors of a feature's columns, if anything is claimed of it.
    pub fn feature(&self, feature: &FeatureId) -> Option<&BTreeMap<usize, Years>> {
        self.0.get(feature)
    }

    /// Every factor.
    pub fn factors(&self) -> impl Iterator<Item = &Years> {
        self.0.values().flat_map(BTreeMap::values)
    }

    fn add(&mut self, shared: &Shared<'_>, variant: &VariantId, feature: &FeatureId, state: &StateId) {
        let vocabulary = &shared.knowledge.catalog.vocabulary;
        let Some(described) = vocabulary.feature(feature.as_str()) else { return };
        let Some(pooled) = shared.pool.feature(feature) else { return };
        // A count without observations has no column to make rarer.
        let Some(column) = pooled.columns.iter().position(|column| column == state.as_str()) else { return };
        let era = years::production(&era(shared, variant, feature, state));
        let least = slip(described);
        self.0.entry(feature.clone()).or_default().insert(column, era.map(|weight| weight.max(least)));
    }
}

/// The era of a state of a variant: its own if claimed, else the variant's within the claims about its model and maker.
fn era(shared: &Shared<'_>, variant: &VariantId, feature: &FeatureId, state: &StateId) -> years::Bounds {
    let thing = |whole: Whole| Thing { whole, state: Some((feature.clone(), state.clone())) };
    let own = thing(Whole::Variant(variant.clone()));
    if shared.claimed.contains(&own) {
        return shared.bounds(&own);
    }
    let wider = [thing(Whole::Model(variant.model())), thing(Whole::Maker(variant.maker()))];
    let claimed = wider.iter().filter(|thing| shared.claimed.contains(thing));
    let whole = shared.bounds(&Thing::of(Whole::Variant(variant.clone())));
    claimed.fold(whole, |bounds, thing| years::both(bounds, shared.bounds(thing)))
}
