//! Two states of a feature, or two features, to one: the earlier word stays in the vocabulary and is still read.
//!
//! A state that gave way is listed in `replaced`, and no entry changes; a feature that gave way is `retired`, and its
//! readings move. Nothing is merged that somebody told apart on one garment.

use std::collections::BTreeSet;

use crate::record::id::{FeatureId, StateId};
use crate::record::observation::{Observation, Value};
use crate::rename::refusal::Refusal;
use crate::rename::thing::Thing;
use crate::resolve::Catalog;

/// Two things of one kind; the first gives way to the second.
pub(super) enum Pair {
    /// Two states of a feature.
    States(FeatureId, StateId, StateId),
    /// Two features.
    Features(FeatureId, FeatureId),
}

impl Pair {
    /// Accepts two states of one feature, or two features, that no garment has recorded as
    /// different.
    pub(super) fn of(catalog: &Catalog, old: &Thing, new: &Thing) -> Result<Pair, Refusal> {
        let pair = match (old, new) {
            (Thing::State(feature, old), Thing::State(_, new)) => {
                Pair::States(feature.clone(), old.clone(), new.clone())
            }
            (Thing::Feature(old), Thing::Feature(new)) => Pair::Features(old.clone(), new.clone()),
            _ => return Err(Refusal::NotMerged { found: old.written()[0].clone() }),
        };
        let apart: BTreeSet<String> = pair.apart(catalog).into_iter().collect();
        if apart.is_empty() { Ok(pair) } else { Err(Refusal::Distinguished(apart.into_iter().collect())) }
    }

    /// The first entries of garments, and the documents and unplaced entries, that both are recorded of.
    fn apart(&self, catalog: &Catalog) -> Vec<String> {
        let alone = catalog.records.iter().map(|record| vec![record]);
        let joined = catalog
            .garments
            .iter()
            .map(|garment| garment.observations.iter().map(|index| catalog.record(*index)).collect::<Vec<_>>());
        let both = alone.chain(joined).filter(|records| {
            let observations = || records.iter().filter_map(|record| record.content.observation());
            observations().any(|one| self.is_first(one)) && observations().any(|one| self.is_second(one))
        });
        both.filter_map(|records| Some(records.first()?.path.to_string())).collect()
    }

    fn is_first(&self, observation: &Observation) -> bool {
        match self {
            Pair::States(feature, old, _) => is_seen(observation, feature, old),
            Pair::Features(old, _) => observation.features.get(old).is_some(),
        }
    }

    fn is_second(&self, observation: &Observation) -> bool {
        match self {
            Pair::States(feature, _, new) => is_seen(observation, feature, new),
            Pair::Features(_, new) => observation.features.get(new).is_some(),
        }
    }
}

fn is_seen(observation: &Observation, feature: &FeatureId, state: &StateId) -> bool {
    observation.features.get(feature).is_some_and(|reading| reading.value == Value::State(state.clone()))
}
