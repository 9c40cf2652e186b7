//! Constraints that need no claim: first days come before last days, and parts lie within wholes.

use std::collections::BTreeMap;

use crate::chronology::solver::constraint::Unknown;
use crate::chronology::voice::Builder;
use crate::record::id::{FeatureId, StateId, Thing, Whole};

/// Adds every maker, line, model and variant.
pub fn add_wholes(builder: &mut Builder<'_>) {
    let catalog = builder.catalog;
    let makers = catalog.makers.keys().cloned().map(Whole::Maker);
    let lines = catalog.lines.keys().cloned().map(Whole::Line);
    let models = catalog.models.keys().cloned().map(Whole::Model);
    let variants = catalog.variants.keys().cloned().map(Whole::Variant);
    for whole in makers.chain(lines).chain(models).chain(variants) {
        builder.thing(&Thing::of(whole));
    }
}

/// Adds the orders between the days of all things that exist by now.
pub fn add_orders(builder: &mut Builder<'_>) {
    let claimed = claimed_states(builder);
    // No unknown is added from here on, so the map can be taken out while orders are added.
    let things = std::mem::take(&mut builder.things);
    for (thing, pair) in &things {
        builder.order(pair.0, pair.1, &[]);
        for whole in wholes(builder, thing) {
            contain(builder, &things, &whole, *pair);
        }
        let Some(state) = &thing.state else { continue };
        let Some(claimed) = claimed.get(state) else { continue };
        for whole in with_the_same_states(&thing.whole) {
            if claimed.contains(&whole) {
                contain(builder, &things, &Thing { whole, state: Some(state.clone()) }, *pair);
            }
        }
    }
    builder.things = things;
}

/// The model and the maker whose claimed states contain the same states of a thing.
fn with_the_same_states(whole: &Whole) -> Vec<Whole> {
    match whole {
        Whole::Variant(variant) => vec![Whole::Model(variant.model()), Whole::Maker(variant.maker())],
        Whole::Model(model) => vec![Whole::Maker(model.maker())],
        Whole::Line(_) | Whole::Maker(_) => Vec::new(),
    }
}

/// The claimed states, each with the models or makers of the claims.
fn claimed_states(builder: &Builder<'_>) -> BTreeMap<(FeatureId, StateId), Vec<Whole>> {
    let mut claimed: BTreeMap<(FeatureId, StateId), Vec<Whole>> = BTreeMap::new();
    for thing in builder.things.keys().filter(|thing| !matches!(thing.whole, Whole::Variant(_))) {
        if let Some(state) = &thing.state {
            claimed.entry(state.clone()).or_default().push(thing.whole.clone());
        }
    }
    claimed
}

/// The things that a thing is a part of.
fn wholes(builder: &Builder<'_>, thing: &Thing) -> Vec<Thing> {
    if thing.state.is_some() {
        return vec![Thing::of(thing.whole.clone())];
    }
    match &thing.whole {
        Whole::Maker(_) => Vec::new(),
        Whole::Line(line) => vec![Thing::of(Whole::Maker(line.maker()))],
        Whole::Model(model) => vec![Thing::of(Whole::Maker(model.maker()))],
        Whole::Variant(variant) => {
            let line = builder.catalog.variants.get(variant).and_then(|entry| entry.line.clone());
            let model = Thing::of(Whole::Model(variant.model()));
            std::iter::once(model).chain(line.map(|line| Thing::of(Whole::Line(line)))).collect()
        }
    }
}

fn contain(
    builder: &mut Builder<'_>,
    things: &BTreeMap<Thing, (Unknown, Unknown)>,
    whole: &Thing,
    part: (Unknown, Unknown),
) {
    if let Some((begin, end)) = things.get(whole) {
        builder.order(*begin, part.0, &[]);
        builder.order(part.1, *end, &[]);
    }
}
