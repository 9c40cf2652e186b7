//! Garments that bear landmarks: each alone, in its market, on a model, and several that exclude one another.

use std::collections::{BTreeMap, BTreeSet};

use super::{Case, case, of_model};
use crate::date::Day;
use crate::dating::answer::garment::Known;
use crate::evidence::landmark;
use crate::record::id::{FeatureId, StateId};
use crate::record::landmark::{Condition, Force, Landmark};
use crate::record::observation::Value;
use crate::resolve::Catalog;
use crate::vocabulary::Kind;

/// How many landmarks of each force give a garment.
const LANDMARKS: usize = 40;

/// How many pairs of landmarks that exclude each other give a garment.
const CONTRADICTIONS: usize = 8;

/// Nothing examined, on the last day of the year before each hard landmark begins and on the day it begins.
pub fn in_hand(catalog: &Catalog) -> Vec<Case> {
    let hard = landmarks(catalog).into_iter().filter(|(_, landmark)| is_hard(landmark) && landmark.market.is_none());
    let days = hard.filter_map(|(_, found)| landmark::not_before(found, catalog.circa())).take(CONTRADICTIONS);
    let before = |day: Day| Day::from_ymd(day.year() - 1, 12, 31);
    let days: BTreeSet<Day> = days.flat_map(|day| [before(day), Some(day)]).flatten().collect();
    let in_hand = days.into_iter().map(|day| {
        let mut held = case(format!("nothing is known, in hand on {day}"), Known::default(), BTreeMap::new());
        held.garment.in_hand = Some(day);
        held
    });
    in_hand.collect()
}

/// A garment for each landmark: with nothing known, in the landmark's market, and soft ones on each model.
pub fn marked(catalog: &Catalog) -> Vec<Case> {
    let mut cases = Vec::new();
    let landmarks = landmarks(catalog);
    for (id, landmark) in landmarks.iter().filter(|(_, landmark)| is_hard(landmark)).take(LANDMARKS) {
        let Some(features) = meeting(catalog, &landmark.when.value) else { continue };
        cases.push(case(format!("bears {id}"), Known::default(), features.clone()));
        let named = landmark.market().into_iter();
        for market in named.flat_map(|market| [market.to_string(), "ZZ".to_string()]) {
            let mut sold = case(format!("bears {id}, sold in {market}"), Known::default(), features.clone());
            sold.garment.market = Some(market);
            cases.push(sold);
        }
    }
    for (id, landmark) in landmarks.iter().filter(|(_, landmark)| !is_hard(landmark)).take(LANDMARKS) {
        let Some(features) = meeting(catalog, &landmark.when.value) else { continue };
        cases.push(case(format!("bears {id}, which is soft"), Known::default(), features.clone()));
        for model in catalog.models.keys().take(3) {
            cases.push(case(format!("{model} bears {id}"), of_model(model.clone()), features.clone()));
        }
    }
    cases
}

fn landmarks(catalog: &Catalog) -> Vec<(&str, &Landmark)> {
    let landmarks = catalog.landmarks.iter();
    landmarks.filter_map(|(id, index)| Some((id.as_str(), landmark::of(catalog, *index)?))).collect()
}

fn is_hard(landmark: &Landmark) -> bool {
    matches!(landmark.force, Force::Hard { .. })
}

/// The fewest readings that meet a condition, the first of its alternatives.
fn meeting(catalog: &Catalog, condition: &Condition) -> Option<BTreeMap<FeatureId, Value>> {
    match condition {
        Condition::State { feature, state } => {
            Some(BTreeMap::from([(feature.clone(), state_value(catalog, feature, state)?)]))
        }
        Condition::Range { feature, from, to } => {
            let number = (*from).or(*to)?;
            let value = match catalog.vocabulary.feature(feature.as_str())?.kind {
                Kind::Code => Value::Code(number.to_string()),
                Kind::Count => Value::Count(number as u32),
                Kind::Measure(_) => Value::Measure(number),
                _ => Value::Number(number),
            };
            Some(BTreeMap::from([(feature.clone(), value)]))
        }
        Condition::Any(parts) => parts.iter().find_map(|part| meeting(catalog, part)),
        Condition::All(parts) => {
            let parts: Option<Vec<_>> = parts.iter().map(|part| meeting(catalog, part)).collect();
            Some(parts?.into_iter().flatten().collect())
        }
    }
}

fn state_value(catalog: &Catalog, feature: &FeatureId, state: &StateId) -> Option<Value> {
    Some(match (&catalog.vocabulary.feature(feature.as_str())?.kind, state.as_str()) {
        (_, "absent") => Value::Absent,
        (_, "lost") => Value::Lost,
        (Kind::State { .. }, _) => Value::State(state.clone()),
        (Kind::Count, text) => Value::Count(text.parse().ok()?),
        (Kind::Code, text) => Value::Code(text.to_string()),
        (Kind::Number, text) => Value::Number(text.parse().ok()?),
        (Kind::Measure(_), text) => Value::Measure(text.parse().ok()?),
    })
}

/// Garments that bear two or more hard landmarks which exclude each other, on different features.
pub fn contradicting(catalog: &Catalog) -> Vec<Case> {
    let circa = catalog.circa();
    let hard: Vec<_> = landmarks(catalog)
        .into_iter()
        .filter(|(_, landmark)| is_hard(landmark) && landmark.market.is_none())
        .filter_map(|(id, landmark)| Some((id, landmark, meeting(catalog, &landmark.when.value)?)))
        .collect();
    let excludes = |first: &Landmark, second: &Landmark| {
        let ends = landmark::not_after(first, circa);
        ends.zip(landmark::not_before(second, circa)).is_some_and(|(ends, begins)| ends < begins)
    };
    let mut pairs = Vec::new();
    for early in &hard {
        let later = hard.iter().filter(|late| excludes(early.1, late.1) && is_apart(&early.2, &late.2));
        pairs.extend(later.take(2).map(|late| (early, late)));
    }
    let mut cases: Vec<Case> = Vec::new();
    for (early, late) in pairs.iter().take(CONTRADICTIONS) {
        let both: BTreeMap<FeatureId, Value> = early.2.clone().into_iter().chain(late.2.clone()).collect();
        cases.push(case(format!("bears {} and {}", early.0, late.0), Known::default(), both.clone()));
        let known = catalog.models.keys().next().map_or_else(Known::default, |model| of_model(model.clone()));
        cases.push(case(format!("a known model that bears {} and {}", early.0, late.0), known, both));
    }
    // Two that exclude a third: both of them, or the third and one more, would have to be wrong.
    for ((early, late), (other, another)) in pairs.iter().flat_map(|one| pairs.iter().map(move |other| (one, other))) {
        let four = [early, late, other, another];
        let are_apart =
            four.iter().enumerate().all(|(at, one)| four[at + 1..].iter().all(|two| is_apart(&one.2, &two.2)));
        if are_apart && excludes(early.1, another.1) && excludes(other.1, late.1) {
            let all: BTreeMap<FeatureId, Value> = four.into_iter().flat_map(|one| one.2.clone()).collect();
            cases.push(case(
                format!("bears {}, {}, {} and {}", early.0, other.0, late.0, another.0),
                Known::default(),
                all,
            ));
            break;
        }
    }
    cases
}

fn is_apart(one: &BTreeMap<FeatureId, Value>, other: &BTreeMap<FeatureId, Value>) -> bool {
    !one.keys().any(|feature| other.contains_key(feature))
}
