//! Open questions that were answered, and new ones.

use std::collections::BTreeSet;

use crate::comparison::Comparison;
use crate::comparison::question::{self, Gap, Why};
use crate::difference::state::{Change, Grounds, State};
use crate::difference::verdicts::{self, Compared, Models};
use crate::difference::{Cause, Open, QuestionChange, When, eras};
use crate::knowledge::{Era, Knowledge, Side};
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::{Content, DisputeStatus};

/// Finds the questions that are open in one state only, of variants that are known in both: first those answered.
pub(super) fn changes(change: &Change<'_>, models: &Models<'_>) -> Vec<QuestionChange> {
    let [earlier, now] = [0, 1].map(|place| asked(change.states()[place], models, place));
    let answered = earlier.difference(&now).filter(|question| !is_worse_in(&now, question));
    let new = now.difference(&earlier).filter(|question| !is_worse_in(&earlier, question));
    let found = answered.map(|question| (When::Earlier, question)).chain(new.map(|question| (When::Now, question)));
    let found = found.filter(|(_, question)| {
        about(question).iter().all(|variant| change.is_in_both(&Whole::Variant((*variant).clone())))
    });
    let changes = found.map(|(when, question)| QuestionChange {
        when,
        question: question.clone(),
        cause: cause(change, models, question),
    });
    changes.collect()
}

/// Says whether the same side of an era wants more in a state than in the question: that is then the news.
fn is_worse_in(state: &BTreeSet<Open>, question: &Open) -> bool {
    let Open::Bound(variant, side, gap) = question else { return false };
    let worse = [Gap::Open, Gap::Estimated].into_iter().filter(|worse| worse < gap);
    worse.into_iter().any(|worse| state.contains(&Open::Bound(variant.clone(), *side, worse)))
}

fn about(question: &Open) -> Vec<&VariantId> {
    match question {
        Open::Dispute(_) | Open::Unplaced(_) => Vec::new(),
        Open::NeverSure(variant) | Open::Bound(variant, ..) => vec![variant],
        Open::Thin(variant, _, other) | Open::Edge(variant, _, other) => vec![variant, other],
    }
}

/// Every question of a state, under the names of now.
fn asked(state: &State<'_>, models: &Models<'_>, place: usize) -> BTreeSet<Open> {
    let catalog = &state.knowledge.catalog;
    let is_open =
        |content: &Content| matches!(content, Content::Dispute(dispute) if dispute.status == DisputeStatus::Open);
    let disputes = catalog.disputes.iter().filter(|index| is_open(&catalog.record(**index).content));
    let mut asked: Vec<Open> = disputes.map(|index| Open::Dispute(state.path(*index))).collect();
    asked.extend(catalog.unplaced.iter().map(|index| Open::Unplaced(state.path(*index))));
    for variant in catalog.variants.keys() {
        let era = era(state.knowledge, variant).cloned().unwrap_or_default();
        let name = state.moves.variant(variant);
        if era.surely_made().is_none() {
            asked.push(Open::NeverSure(name.clone()));
        }
        asked.extend(question::gaps(&era).into_iter().map(|(side, gap)| Open::Bound(name.clone(), side, gap)));
    }
    asked.extend(models.values().filter_map(|both| both[place].as_ref()).flat_map(|compared| looks(state, compared)));
    asked.into_iter().collect()
}

fn era<'a>(knowledge: &'a Knowledge, variant: &VariantId) -> Option<&'a Era> {
    knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone())))
}

fn looks(state: &State<'_>, compared: &Compared<'_>) -> Vec<Open> {
    let comparisons: Vec<&Comparison> = compared.comparisons.iter().collect();
    let questions = question::of(&state.knowledge.catalog, &compared.evidence, &comparisons, |_| None);
    let mut looks = Vec::new();
    for question in questions {
        let variant = state.moves.variant(&question.variant);
        for look in question.looks {
            let feature = state.moves.feature(&look.feature);
            looks.extend(look.waits.into_iter().map(|wait| {
                let (variant, feature, other) = (variant.clone(), feature.clone(), state.moves.variant(&wait.other));
                match wait.why {
                    Why::Thin(_) => Open::Thin(variant, feature, other),
                    Why::Flip(..) => Open::Edge(variant, feature, other),
                }
            }));
        }
    }
    looks
}

fn cause(change: &Change<'_>, models: &Models<'_>, question: &Open) -> Cause {
    let mut grounds = Grounds::default();
    match question {
        Open::Dispute(path) | Open::Unplaced(path) => {
            grounds.speak.insert(path.clone());
        }
        Open::NeverSure(variant) | Open::Bound(variant, ..) => {
            let wanted = |side: &Side| !matches!(question, Open::Bound(_, asked, _) if asked != side);
            for when in [When::Earlier, When::Now] {
                let era = change.state(when).eras.get(&Thing::of(Whole::Variant(variant.clone())));
                let bounds = Side::ALL.iter().map(|(side, _)| *side).filter(wanted);
                let bounds = bounds.filter_map(|side| era?.bound(side));
                bounds.for_each(|bound| eras::stand(change, when, bound, &mut grounds));
            }
        }
        Open::Thin(variant, feature, other) | Open::Edge(variant, feature, other) => {
            if let Some(both) = models.get(&variant.model()) {
                grounds = verdicts::grounds(change, both, [variant, other], feature);
            }
        }
    }
    change.cause(&grounds)
}
