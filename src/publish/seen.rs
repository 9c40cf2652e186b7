//! What was seen of a variant: for each feature the states with how often each was seen.
//!
//! Counts what can be seen in the entries, a garment once; what of it is evidence, and whether a difference tells
//! two variants apart, is for `reason` to say.

use std::collections::BTreeMap;

use crate::publish::Context;
use crate::publish::leaf::spaced;
use crate::reason::reading::{self, Shown};
use crate::record::id::{FeatureId, VariantId};
use crate::record::observation::{Basis, Value};
use crate::vocabulary::Kind;

/// What was seen of one feature on the garments and documents of a variant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// How many showed it and agreed with themselves.
    pub examined: usize,
    /// How often each value was seen, in words.
    pub states: BTreeMap<String, usize>,
    /// The measures, sorted.
    pub measures: Vec<f64>,
}

/// Counts the features of a variant.
pub fn of_variant(context: &Context<'_>, variant: &VariantId) -> BTreeMap<FeatureId, Tally> {
    let mut tallies: BTreeMap<FeatureId, Tally> = BTreeMap::new();
    let catalog = &context.knowledge.catalog;
    let garments = context.index.garments_of(variant).iter().map(|index| catalog.garment(*index));
    let garments = garments.filter(|garment| garment.variant.is_some());
    let garments =
        garments.filter(|garment| !garment.observations.iter().any(|index| catalog.withheld.contains(index)));
    for garment in garments {
        add(&mut tallies, reading::of_garment(catalog, garment));
    }
    let observations = catalog.variants.get(variant).map_or(&[][..], |entry| entry.observations.as_slice());
    for index in observations.iter().filter(|index| !catalog.withheld.contains(index)) {
        let observation = catalog.record(*index).content.observation();
        if observation.is_some_and(|observation| observation.basis.value == Basis::Document) {
            add(&mut tallies, reading::of_document(catalog, *index));
        }
    }
    for tally in tallies.values_mut() {
        tally.measures.sort_by(f64::total_cmp);
    }
    tallies
}

fn add(tallies: &mut BTreeMap<FeatureId, Tally>, shown: BTreeMap<FeatureId, Shown<'_>>) {
    for (feature, shown) in shown {
        let Some(value) = shown.agreed() else { continue };
        let tally = tallies.entry(feature).or_default();
        tally.examined += 1;
        match value {
            Value::Measure(number) => tally.measures.push(*number),
            other => *tally.states.entry(short(other)).or_default() += 1,
        }
    }
}

/// A value in a word or two.
pub fn short(value: &Value) -> String {
    match value {
        Value::State(state) => spaced(state.as_str()),
        Value::Count(count) => count.to_string(),
        Value::Measure(number) | Value::Number(number) => number.to_string(),
        Value::Code(code) => code.clone(),
        Value::Absent => "absent".to_string(),
        Value::Lost => "lost".to_string(),
        Value::Other(_) => "other".to_string(),
    }
}

impl Tally {
    /// Writes the states from the commonest down, or median and range of the measures.
    pub fn words(&self, kind: &Kind) -> Vec<String> {
        if let (Some(first), Some(last), Kind::Measure(measure)) = (self.measures.first(), self.measures.last(), kind) {
            let unit = measure.unit.word();
            let median = median(&self.measures);
            return vec![format!("{} {unit} ({} to {})", rounded(median), rounded(*first), rounded(*last))];
        }
        let mut states: Vec<_> = self.states.iter().collect();
        states.sort_by_key(|(state, count)| (std::cmp::Reverse(**count), (*state).clone()));
        states.into_iter().map(|(state, count)| format!("{state} × {count}")).collect()
    }
}

fn median(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[middle] } else { (sorted[middle - 1] + sorted[middle]) / 2.0 }
}

/// Writes a quantity with at most two decimals.
pub fn rounded(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::Tally;
    use crate::vocabulary::{Kind, Measure, Unit};

    #[test]
    fn the_commonest_state_stands_first() {
        let states = BTreeMap::from([("chain".to_string(), 2), ("felled".to_string(), 5), ("lock".to_string(), 2)]);
        let tally = Tally { examined: 9, states, measures: Vec::new() };
        assert_eq!(tally.words(&Kind::Count), ["felled × 5", "chain × 2", "lock × 2"]);
    }

    #[test]
    fn measures_show_their_median_and_range() {
        let kind = Kind::Measure(Measure { unit: Unit::Inch, tolerance: 0.25, range: (4.0, 20.0), shrinks: false });
        let tally = Tally { examined: 4, states: BTreeMap::new(), measures: vec![7.0, 8.0, 8.5, 9.25] };
        assert_eq!(tally.words(&kind), ["8.25 in (7 to 9.25)"]);
    }
}
