//! The steps that distinguish a model's variants, as the page of a garment in hand uses them: the
//! same as on the printed page.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::comparison::steps::{Outcome, Step};
use crate::explain;
use crate::record::id::ModelId;
use crate::view::leaf::Leaf;
use crate::view::pairs;

/// The order of looks for a model. Names and how to look stand in the rules.
#[derive(Debug, Serialize)]
pub struct Looks<'a> {
    lead: String,
    steps: Vec<(&'a str, Vec<Answer<'a>>)>,
    notes: Vec<String>,
}

/// A state; the place of the next step, from 0; the variants that are named there, by the last part of their names, each
/// with its garments; how many garments come there; whether more variants do. A list, since there are many.
type Answer<'a> = (&'a str, Option<usize>, Vec<(&'a str, usize)>, usize, bool);

/// Gathers the orders of looks, by model.
pub fn of<'a>(leaf: &Leaf<'a>) -> BTreeMap<&'a str, Looks<'a>> {
    let models = leaf.context.knowledge.catalog.models.keys();
    models.filter_map(|model| Some((model.as_str(), looks(leaf, model)?))).collect()
}

fn looks<'a>(leaf: &Leaf<'a>, model: &ModelId) -> Option<Looks<'a>> {
    let steps = leaf.context.analysis.steps(model)?;
    let too_few: Vec<String> = steps.found.too_few.iter().map(|variant| pairs::short_name(leaf, variant)).collect();
    Some(Looks {
        lead: explain::steps::lead(&steps.found),
        steps: steps.found.steps.iter().map(step).collect(),
        notes: explain::steps::notes(leaf.catalog(), steps, &too_few),
    })
}

fn step(step: &Step) -> (&str, Vec<Answer<'_>>) {
    (step.feature.as_str(), step.outcomes.iter().map(answer).collect())
}

fn answer(outcome: &Outcome) -> Answer<'_> {
    let end = &outcome.end;
    let shown = if outcome.next.is_some() { &[] } else { end.shown() };
    let named = shown.iter().map(|(variant, count)| (variant.variant(), *count)).collect();
    (outcome.state.as_str(), outcome.next, named, end.count(), end.is_cut())
}
