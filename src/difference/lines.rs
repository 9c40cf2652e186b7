//! Verdicts on features of two label lines or two wearers that flipped, appeared or disappeared.
//!
//! It examines only makers with a model that was compared anew.

use std::collections::{BTreeMap, BTreeSet};

use crate::comparison::Verdict;
use crate::comparison::lines::{LineComparison, Subject};
use crate::difference::state::{Change, Grounds, State};
use crate::difference::verdicts::{named, rank};
use crate::difference::{LineChange, VerdictChange};
use crate::record::id::{FeatureId, MakerId, ModelId, Whole};

/// The verdict on a feature in each state.
type Verdicts = BTreeMap<FeatureId, [Option<Verdict>; 2]>;

/// The comparisons of one pair, each with the place of its state.
type Compared<'c> = Vec<(usize, &'c LineComparison)>;

/// Finds the verdicts that changed; first the pairs with the change that matters most.
pub(super) fn changes(change: &Change<'_>, models: &BTreeSet<ModelId>) -> Vec<LineChange> {
    let makers: BTreeSet<MakerId> = models.iter().map(ModelId::maker).collect();
    let mut pairs: BTreeMap<[String; 2], (Verdicts, Compared<'_>)> = BTreeMap::new();
    for (place, state) in change.states().into_iter().enumerate() {
        let own = state.analysis.lines().iter();
        for comparison in own.filter(|comparison| makers.contains(&maker_now(state, &comparison.a))) {
            let mut names = [&comparison.a, &comparison.b].map(|subject| name_now(state, subject));
            names.sort();
            let (verdicts, compared) = pairs.entry(names).or_default();
            compared.push((place, comparison));
            for found in comparison.compared().filter(|found| found.verdict != Verdict::TooFew) {
                let feature = state.moves.feature(&found.feature);
                verdicts.entry(feature).or_default()[place] = Some(named(state, &found.verdict));
            }
        }
    }
    let changes = pairs.into_iter().filter_map(|(names, (verdicts, compared))| {
        let changed = verdicts.into_iter().filter(|(_, [from, to])| from != to);
        let mut verdicts: Vec<VerdictChange> = changed
            .map(|(feature, [from, to])| {
                let cause = change.cause(&grounds(change, &compared, &feature));
                VerdictChange { cause, feature, from, to }
            })
            .collect();
        verdicts.sort_by_key(rank);
        let [a, b] = names;
        (!verdicts.is_empty()).then_some(LineChange { a, b, verdicts })
    });
    let mut changes: Vec<LineChange> = changes.collect();
    changes.sort_by_cached_key(|pair| (pair.verdicts.first().map(rank), pair.a.clone(), pair.b.clone()));
    changes
}

fn maker_now(state: &State<'_>, subject: &Subject) -> MakerId {
    match state.moves.whole(&Whole::Maker(subject.maker())) {
        Whole::Maker(maker) => maker,
        _ => subject.maker(),
    }
}

/// The present name of a line or wearer.
fn name_now(state: &State<'_>, subject: &Subject) -> String {
    match subject {
        Subject::Line(line) => state.moves.whole(&Whole::Line(line.clone())).as_str().to_string(),
        Subject::Wearer(_, wearer) => Subject::Wearer(maker_now(state, subject), *wearer).to_string(),
    }
}

/// The entries that a feature was counted on in either line and state.
fn grounds(change: &Change<'_>, compared: &[(usize, &LineComparison)], feature: &FeatureId) -> Grounds {
    let mut grounds = Grounds::default();
    for (place, comparison) in compared {
        let state = change.states()[*place];
        let groups = [&comparison.a, &comparison.b].map(|subject| state.analysis.group(subject));
        for evidence in groups.iter().flat_map(|group| &group.members).map(|member| &member.evidence) {
            let own = evidence.features.iter().filter(|(id, _)| state.moves.feature(id) == *feature);
            let bearers = own.flat_map(|(_, items)| items).flat_map(|item| &item.bearers);
            let records = bearers.flat_map(|number| &evidence.bearers[*number].records);
            grounds.speak.extend(records.map(|record| state.path(*record)));
            let entry = state.knowledge.catalog.variants.get(&evidence.variant).into_iter();
            grounds.around.extend(entry.flat_map(|entry| &entry.observations).map(|record| state.path(*record)));
        }
    }
    grounds
}
