//! Exports the vocabulary, in the order of its file.

use crate::dating::likelihood::pool::Pool;
use crate::publish::export::rules::format::{Feature, Vocabulary};
use crate::vocabulary::{self, Kind, Replaceable};

/// Exports all features.
pub fn export<'a>(vocabulary: &'a vocabulary::Vocabulary, pool: &'a Pool) -> Vocabulary<'a> {
    Vocabulary { features: vocabulary.current().map(|feature| self::feature(feature, pool)).collect() }
}

fn feature<'a>(feature: &'a vocabulary::Feature, pool: &'a Pool) -> Feature<'a> {
    let columns = pool.feature(&feature.id).map_or(&[][..], |pooled| &pooled.columns);
    let measure = match &feature.kind {
        Kind::Measure(measure) => Some(measure),
        _ => None,
    };
    Feature {
        id: feature.id.as_str(),
        name: &feature.name,
        kind: kind(&feature.kind),
        states: states(&feature.kind),
        labels: feature.labels.iter().map(|(state, label)| (state.as_str(), label.as_str())).collect(),
        columns: columns.iter().map(String::as_str).collect(),
        unit: measure.map(|measure| measure.unit.word()),
        tolerance: measure.map(|measure| measure.tolerance),
        range: measure.map(|measure| measure.range),
        shrinks: measure.is_some_and(|measure| measure.shrinks),
        zone: feature.zone.as_deref(),
        look: &feature.look,
        garments: feature.garments.iter().map(String::as_str).collect(),
        varies_with: feature.varies_with.iter().map(|other| other.as_str()).collect(),
        bands: &feature.bands,
        defining: feature.defining,
        replaceable: replaceable(feature.replaceable),
    }
}

fn states(kind: &Kind) -> Vec<&str> {
    match kind {
        Kind::State { states } => states.iter().map(|state| state.as_str()).collect(),
        _ => Vec::new(),
    }
}

/// The word for a kind of feature.
pub fn kind(kind: &Kind) -> &'static str {
    match kind {
        Kind::State { .. } => "state",
        Kind::Count => "count",
        Kind::Measure(_) => "measure",
        Kind::Number => "number",
        Kind::Code => "code",
    }
}

fn replaceable(replaceable: Replaceable) -> &'static str {
    match replaceable {
        Replaceable::No => "no",
        Replaceable::Sometimes => "sometimes",
        Replaceable::Often => "often",
    }
}
