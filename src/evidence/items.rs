//! Turns readings into items: what counts as one, and as which state.

use std::collections::BTreeMap;

use ecow::EcoString;

use crate::evidence::reading::{self, Shown};
use crate::evidence::{Bearer, Group, Item, Seen};
use crate::record::id::StateId;
use crate::record::observation::Value;
use crate::vocabulary::{self, Feature, Kind};

/// For each bearer, the first of its group.
pub fn groups(bearers: &[Bearer<'_>]) -> Vec<usize> {
    let mut first: BTreeMap<&Group, usize> = BTreeMap::new();
    bearers.iter().enumerate().map(|(number, bearer)| *first.entry(&bearer.group).or_insert(number)).collect()
}

/// The readings of a feature as counted: an item for each state of each group, or each group's
/// mean. Groups are in the order of their first reading of the feature.
pub fn of(bearers: &[Bearer<'_>], groups: &[usize], feature: &Feature, readings: Members<'_>) -> Vec<Item> {
    let mut by_state: BTreeMap<(usize, Option<EcoString>), Members<'_>> = BTreeMap::new();
    let mut first: Vec<Option<usize>> = vec![None; bearers.len()];
    for (number, value) in readings {
        let state = match feature.kind {
            Kind::State { .. } | Kind::Count => state(value),
            Kind::Measure(_) if matches!(value, Value::Measure(_)) => None,
            _ => continue,
        };
        let group = *first[groups[number]].get_or_insert(number);
        by_state.entry((group, state)).or_default().push((number, value));
    }
    by_state.into_iter().map(|((_, state), members)| item(bearers, state, members)).collect()
}

/// Bearers by number, with what each shows.
pub type Members<'b> = Vec<(usize, &'b Value)>;

fn item(bearers: &[Bearer<'_>], state: Option<EcoString>, members: Members<'_>) -> Item {
    let measures: Vec<f64> = members
        .iter()
        .filter_map(|(_, value)| if let Value::Measure(number) = value { Some(*number) } else { None })
        .collect();
    let seen = state.map_or_else(|| Seen::Measure(vocabulary::mean(&measures)), Seen::State);
    let contested = members.iter().any(|(number, _)| bearers[*number].contested);
    Item { seen, bearers: members.into_iter().map(|(number, _)| number).collect(), contested }
}

/// A reading that is evidence about its feature: agreed, and not what the bearer was placed by.
pub fn counted<'b>(shown: &'b Shown<'_>) -> Option<&'b Value> {
    if shown.judged { None } else { shown.agreed() }
}

/// The state that a value is counted as.
pub fn state(value: &Value) -> Option<EcoString> {
    match value {
        Value::Other(_) => Some("other".into()),
        _ => reading::state(value).map(StateId::into_text),
    }
}
