//! Pools all models: the states that tables have a column for, and how common each is in general.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::evidence::CountedEvidence;
use crate::record::id::FeatureId;
use crate::resolve::ModelEntry;
use crate::vocabulary::{Feature, Kind};

/// The column of everything that has none of its own.
pub const OTHER: &str = "other";

/// Columns and general shares of every feature whose readings are states or counts.
#[derive(Clone, Debug, Default)]
pub struct Pool {
    features: BTreeMap<FeatureId, Pooled>,
}

/// One feature over all models.
#[derive(Clone, Debug)]
pub struct Pooled {
    /// The states, `other` last.
    pub columns: Vec<String>,
    /// The general share of each column, each model counting once; they sum to 1.
    pub general: Vec<f64>,
}

/// Mean shares of states in one model, by feature.
type Shares = BTreeMap<FeatureId, BTreeMap<String, f64>>;

impl Pool {
    /// Pools everything that was counted.
    pub fn of(counted: CountedEvidence<'_>) -> Pool {
        let knowledge = counted.knowledge;
        let models: Vec<&ModelEntry> = knowledge.catalog.models.values().collect();
        let shares: Vec<Shares> = models.into_par_iter().map(|model| shares(counted, model)).collect();
        let with_states = knowledge.catalog.vocabulary.current().filter(|feature| feature.has_states());
        Pool { features: with_states.map(|feature| (feature.id.clone(), pooled(feature, &shares))).collect() }
    }

    /// One feature, if its readings are states or counts.
    pub fn feature(&self, id: &FeatureId) -> Option<&Pooled> {
        self.features.get(id)
    }

    /// Every feature with its columns.
    pub fn iter(&self) -> impl Iterator<Item = (&FeatureId, &Pooled)> {
        self.features.iter()
    }
}

impl Pooled {
    /// The column that a state is read as: its own, or `other`.
    pub fn column(&self, state: &str) -> usize {
        self.columns.iter().position(|column| column == state).unwrap_or(self.columns.len() - 1)
    }
}

/// The mean of the shares of a model's variants that have anything counted.
fn shares(counted: CountedEvidence<'_>, model: &ModelEntry) -> Shares {
    let mut sums: BTreeMap<FeatureId, (f64, BTreeMap<String, f64>)> = BTreeMap::new();
    for variant in &model.variants {
        let evidence = (counted.of)(variant);
        for feature in evidence.features.keys() {
            let counts = evidence.counts(feature);
            let total: u64 = counts.values().sum();
            if total == 0 {
                continue;
            }
            let (variants, states) = sums.entry(feature.clone()).or_default();
            *variants += 1.0;
            for (state, count) in counts {
                *states.entry(state.to_string()).or_insert(0.0) += count as f64 / total as f64;
            }
        }
    }
    let mean = |(variants, states): (f64, BTreeMap<String, f64>)| {
        states.into_iter().map(|(state, sum)| (state, sum / variants)).collect()
    };
    sums.into_iter().map(|(feature, sum)| (feature, mean(sum))).collect()
}

fn pooled(feature: &Feature, models: &[Shares]) -> Pooled {
    let columns = columns(feature, models);
    let equal = 1.0 / columns.len() as f64;
    let mut pooled = Pooled { general: vec![equal; columns.len()], columns };
    let examined: Vec<_> = models.iter().filter_map(|shares| shares.get(&feature.id)).collect();
    for shares in &examined {
        for (state, share) in *shares {
            let column = pooled.column(state);
            pooled.general[column] += share;
        }
    }
    pooled.general.iter_mut().for_each(|share| *share /= examined.len() as f64 + 1.0);
    pooled
}

/// The states of the vocabulary, or the counts seen anywhere from few to many, then `other`.
fn columns(feature: &Feature, models: &[Shares]) -> Vec<String> {
    let mut columns: Vec<String> = match &feature.kind {
        Kind::State { states } => states.iter().map(ToString::to_string).collect(),
        _ => {
            let seen = models.iter().filter_map(|shares| shares.get(&feature.id)).flat_map(BTreeMap::keys);
            let seen: BTreeSet<(u64, &String)> = seen.map(|state| (state.parse().unwrap_or(0), state)).collect();
            seen.into_iter().map(|(_, state)| state.clone()).collect()
        }
    };
    columns.retain(|column| column != OTHER);
    columns.push(OTHER.to_string());
    columns
}
