//! Changeovers that moved, appeared or went.
//!
//! It looks only at models that were compared anew, with their variants and the lines of their makers.

use std::collections::{BTreeMap, BTreeSet};

use ecow::EcoString;

use crate::changeover::History;
use crate::difference::ChangeoverChange;
use crate::difference::state::{Change, Grounds, State};
use crate::record::id::{FeatureId, MakerId, ModelId, StateId, Whole};

/// The history of a feature of a thing in each state.
type Histories = BTreeMap<(Whole, FeatureId), [Option<(History, Vec<String>)>; 2]>;

/// Finds the changeovers that differ now, by thing and feature.
pub(super) fn changes(change: &Change<'_>, models: &BTreeSet<ModelId>) -> Vec<ChangeoverChange> {
    let mut histories: Histories = BTreeMap::new();
    for (place, state) in change.states().into_iter().enumerate() {
        for history in things(state, models).iter().flat_map(|thing| state.analysis.histories_of(thing)) {
            let key = (state.moves.whole(&history.thing), state.moves.feature(&history.feature));
            let told = told(state, &history);
            histories.entry(key).or_default()[place] = Some((history, told));
        }
    }
    let moved = histories.into_iter().filter_map(|((thing, feature), [from, to])| {
        let told = [&from, &to].map(|of| of.as_ref().map_or(&[][..], |(_, told)| told));
        if told[0] == told[1] {
            return None;
        }
        let cause = change.cause(&grounds(change, [&from, &to].map(|of| of.as_ref().map(|(history, _)| history))));
        let [from, to] = [from, to].map(|of| of.filter(|(_, told)| !told.is_empty()).map(|(history, _)| history));
        Some(ChangeoverChange { thing, feature, from, to, cause })
    });
    moved.collect()
}

/// The models, under the names of one state, with their variants and the lines of their makers.
fn things(state: &State<'_>, models: &BTreeSet<ModelId>) -> Vec<Whole> {
    let catalog = &state.knowledge.catalog;
    let own = catalog.models.iter().filter(|(id, _)| models.contains(&state.moves.model(id)));
    let own: Vec<_> = own.collect();
    let makers: BTreeSet<MakerId> = own.iter().map(|(id, _)| id.maker()).collect();
    let lines = catalog.lines.keys().filter(|line| makers.contains(&line.maker())).cloned().map(Whole::Line);
    let variants = own.iter().flat_map(|(_, entry)| &entry.variants).cloned().map(Whole::Variant);
    lines.chain(own.iter().map(|(id, _)| Whole::Model((*id).clone()))).chain(variants).collect()
}

/// The reported changes: the verdict, and for each the states by their present names and the years; `None` if no state
/// gives way to another.
fn told(state: &State<'_>, history: &History) -> Vec<String> {
    if !history.word.is_change() {
        return Vec::new();
    }
    let year = |day: Option<crate::date::Day>| day.map_or_else(String::new, |day| day.year().to_string());
    let changes = history.real().map(|change| {
        let (first, last) = (year(change.span.first()), year(change.span.last()));
        let now = |shown: &EcoString| state.moves.state(&history.feature, &StateId::new(shown.clone()));
        let states = [&change.before, &change.after].map(|segment| segment.state.as_ref().map(now));
        format!("{states:?} {first} {last}")
    });
    [history.word.words()].into_iter().chain(changes).collect()
}

/// The entries of the garments in either state.
fn grounds(change: &Change<'_>, both: [Option<&History>; 2]) -> Grounds {
    let mut grounds = Grounds::default();
    for (state, history) in change.states().into_iter().zip(both) {
        let items = history.iter().flat_map(|history| &history.items);
        let records = items.flat_map(|item| &item.records);
        grounds.speak.extend(records.map(|record| state.path(*record)));
    }
    grounds
}
