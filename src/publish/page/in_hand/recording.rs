//! What the page of a garment to record knows beside the rules: sources, names that are taken, what is recorded of each
//! state so far and what each era rests on, so that it can say what an entry would do.
//!
//! Only its own page reads it; other programs have the exports. It says nothing of features that nobody examined.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::changeover::{self, Word};
use crate::date::Day;
use crate::evidence::{Evidence, Item};
use crate::explain;
use crate::knowledge::{Bound, Era, Side, VoiceIndex};
use crate::photograph;
use crate::publish::page::in_hand::steps::{self, Looks};
use crate::record::Content;
use crate::record::id::{StateId, Thing, VariantId, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link};
use crate::view::zone_order;

/// How many claims of a chain are named.
const NAMED: usize = 3;

/// Everything that the page knows.
#[derive(Debug, Serialize)]
pub struct Recording<'a> {
    edit_url: Option<&'a str>,
    contact: Option<&'a str>,
    /// The largest photograph that is published.
    most_bytes: u64,
    circa_years: u32,
    licence: &'a str,
    /// The order in which a garment is turned over.
    parts: [&'static str; zone_order::PARTS.len()],
    sources: Vec<Listed<'a>>,
    /// The names of the entries in each folder below `entries/`.
    names: BTreeMap<&'a str, Vec<&'a str>>,
    variants: BTreeMap<&'a str, Known>,
    /// The changes of features in each variant, model and line, by feature: for a garment in hand.
    changes: BTreeMap<&'a str, BTreeMap<&'a str, Vec<Change<'a>>>>,
    /// The order of looks that tells the variants of each model apart: for a garment in hand.
    steps: BTreeMap<&'a str, Looks<'a>>,
}

/// A change of one state to another; a list, since there are many: the states, the years, and whether it is sure.
type Change<'a> = (&'a str, &'a str, String, bool);

#[derive(Debug, Serialize)]
struct Listed<'a> {
    id: &'a str,
    citation: &'a str,
}

/// The records of a variant.
#[derive(Debug, Serialize)]
struct Known {
    era: Edges,
    states: BTreeMap<String, BTreeMap<String, Sight>>,
}

/// The outer bounds of an era; a date beyond one contradicts what it rests on.
#[derive(Debug, Default, Serialize)]
struct Edges {
    #[serde(skip_serializing_if = "Option::is_none")]
    begin: Option<Edge>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end: Option<Edge>,
}

#[derive(Debug, Serialize)]
struct Edge {
    day: String,
    because: Vec<Link>,
}

/// What is recorded of a state on a variant: how often it was counted; the first and the last day on which a dated
/// garment or document with it can be, in days since 1970; its era, where that has bounds of its own. A list, since
/// there are very many.
type Sight = (usize, Option<i32>, Option<i32>, Option<Edges>);

/// Gathers what the page knows, without the taken names, which the importer knows: for the file that is sent.
pub fn without_names<'a>(context: &'a Context<'a>) -> Recording<'a> {
    Recording { names: BTreeMap::new(), ..of(context) }
}

/// Gathers what is known, with links from a page of the top folder.
pub fn of<'a>(context: &'a Context<'a>) -> Recording<'a> {
    let catalog = &context.knowledge.catalog;
    let leaf = Leaf::new(context, "record.html");
    let mut names: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for record in catalog.records.iter().filter(|record| record.content.observation().is_some()) {
        if let Some((folder, name)) = record.path.address().rsplit_once('/') {
            names.entry(folder).or_default().push(name);
        }
    }
    let shared = catalog.records.iter().filter_map(|record| match &record.content {
        Content::Source(source) => Some(Listed { id: source.id.value.as_str(), citation: &source.citation.value }),
        _ => None,
    });
    Recording {
        edit_url: catalog.about.edit_url.as_deref(),
        contact: catalog.about.contact.as_deref(),
        most_bytes: photograph::MOST_BYTES,
        circa_years: catalog.about.circa_years,
        licence: &catalog.about.licence,
        parts: zone_order::PARTS,
        sources: shared.collect(),
        names,
        variants: catalog.variants.keys().map(|variant| (variant.as_str(), known(&leaf, variant))).collect(),
        changes: changes(context),
        steps: steps::of(&leaf),
    }
}

fn changes<'a>(context: &'a Context<'a>) -> BTreeMap<&'a str, BTreeMap<&'a str, Vec<Change<'a>>>> {
    let mut changes: BTreeMap<&str, BTreeMap<&str, Vec<Change<'_>>>> = BTreeMap::new();
    for history in context.analysis.histories().iter().filter(|history| history.word.is_change()) {
        let of = |change: &'a changeover::Change| {
            let (from, to) = (change.before.state.as_deref()?, change.after.state.as_deref()?);
            Some((from, to, explain::changes::years(change.span), history.word == Word::Changed))
        };
        let found = history.real().filter_map(of).collect();
        changes.entry(history.thing.as_str()).or_default().insert(history.feature.as_str(), found);
    }
    changes
}

fn known(leaf: &Leaf<'_>, variant: &VariantId) -> Known {
    let knowledge = leaf.context.knowledge;
    let evidence = leaf.context.analysis.evidence(variant);
    let whole = Thing::of(Whole::Variant(variant.clone()));
    let mut states: BTreeMap<String, BTreeMap<String, Sight>> = BTreeMap::new();
    for (feature, items) in evidence.features.iter() {
        for (state, items) in by_state(items) {
            let thing = Thing { state: Some((feature.clone(), StateId::new(state))), ..whole.clone() };
            let sight = sight(leaf, &evidence, &thing, &items);
            states.entry(feature.to_string()).or_default().insert(state.to_string(), sight);
        }
    }
    Known { era: edges(leaf, knowledge.eras.get(&whole), None), states }
}

fn by_state(items: &[Item]) -> BTreeMap<&str, Vec<&Item>> {
    let mut by_state: BTreeMap<&str, Vec<&Item>> = BTreeMap::new();
    for item in items {
        if let Some(state) = item.seen.state() {
            by_state.entry(state).or_default().push(item);
        }
    }
    by_state
}

fn sight(leaf: &Leaf<'_>, evidence: &Evidence<'_>, thing: &Thing, items: &[&Item]) -> Sight {
    let bearers = items.iter().flat_map(|item| &item.bearers).filter_map(|number| evidence.bearers.get(*number));
    let spans: Vec<_> = bearers.filter_map(|bearer| bearer.own_date()).collect();
    let eras = &leaf.context.knowledge.eras;
    let variant = Thing::of(Whole::Variant(evidence.variant.clone()));
    let epoch = Day::from_ymd(1970, 1, 1).expect("the epoch is a day").number();
    let number = |day: Option<Day>| day.map(|day| day.number() - epoch);
    let era = edges(leaf, eras.get(thing), eras.get(&variant));
    (
        items.len(),
        number(spans.iter().filter_map(|span| span.first()).min()),
        number(spans.iter().filter_map(|span| span.last()).max()),
        (era.begin.is_some() || era.end.is_some()).then_some(era),
    )
}

/// The outer bounds of an era; of a part's only those that the whole does not have too.
fn edges(leaf: &Leaf<'_>, era: Option<&Era>, whole: Option<&Era>) -> Edges {
    let edge = |side| {
        let bound = era.and_then(|era| era.bound(side))?;
        let is_own = whole.and_then(|whole| whole.day(side)) != Some(bound.day);
        is_own.then(|| edge(leaf, bound)).flatten()
    };
    Edges { begin: edge(Side::BeginEarliest), end: edge(Side::EndLatest) }
}

/// A bound that voices give; what an estimate gives contradicts nothing.
fn edge(leaf: &Leaf<'_>, bound: &Bound) -> Option<Edge> {
    let because: Vec<Link> = bound.because.iter().filter_map(|voice| named(leaf, *voice)).take(NAMED).collect();
    (bound.estimate.is_none()).then(|| Edge { day: bound.day.to_string(), because })
}

/// Names a voice by the source of its first claim, else by the claim.
fn named(leaf: &Leaf<'_>, voice: VoiceIndex) -> Option<Link> {
    let knowledge = leaf.context.knowledge;
    let part = knowledge.voice(voice).claims.first()?;
    let link = leaf.claim(part.name.as_str())?;
    let source = explain::claim(knowledge, part).and_then(|claim| claim.sources.first());
    let source = source.and_then(|source| leaf.catalog().source_named(part.place.file, &source.value.id));
    Some(match source {
        Some(source) => link.named(leaf.catalog().cited(source).citation.clone()),
        None => link,
    })
}
