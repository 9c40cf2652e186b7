//! Questions that were answered or are new, in words; those about two variants gathered by pair.

use std::collections::BTreeMap;

use crate::comparison::question::Gap;
use crate::difference::{Open, QuestionChange, When};
use crate::explain::comparison as words;
use crate::knowledge::Side;
use crate::record::id::{FeatureId, VariantId};
use crate::report::difference::{Item, MOST_NAMED, Told, because, quoted};

/// Two variants and what sort of question waits for the first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Pair<'a> {
    variant: &'a VariantId,
    other: &'a VariantId,
    sort: Sort,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sort {
    Thin,
    Edge,
}

/// The questions of one state, those about eras first.
pub(super) fn items(told: &Told<'_>, when: When) -> Vec<Item> {
    let changes = told.difference.questions.iter().filter(|question| question.when == when);
    let (mut items, mut pairs): (Vec<Item>, BTreeMap<Pair<'_>, Vec<&FeatureId>>) = (Vec::new(), BTreeMap::new());
    for change in changes {
        match &change.question {
            Open::Thin(variant, feature, other) => {
                pairs.entry(Pair { variant, other, sort: Sort::Thin }).or_default().push(feature);
            }
            Open::Edge(variant, feature, other) => {
                pairs.entry(Pair { variant, other, sort: Sort::Edge }).or_default().push(feature);
            }
            _ => items.push(single(change)),
        }
    }
    items.extend(pairs.into_iter().map(|(pair, features)| of_pair(told, pair, &features)));
    items
}

fn single(change: &QuestionChange) -> Item {
    let because = match &change.question {
        // Their own entry is all there is to it.
        Open::Dispute(_) | Open::Unplaced(_) => String::new(),
        _ => because(&change.cause),
    };
    Item { lead: sentence(&change.question) + &because, details: Vec::new() }
}

/// Words a question, as an item of a list.
pub(super) fn sentence(question: &Open) -> String {
    match question {
        Open::Dispute(path) => format!("the dispute {}", quoted(path)),
        Open::Unplaced(path) => format!("where the garment of {} belongs", quoted(path)),
        Open::NeverSure(variant) => format!("when `{variant}` was surely made"),
        Open::Bound(variant, side, gap) => format!("{} {}", who(*gap), what(*side, variant)),
        Open::Thin(variant, feature, other) => {
            format!("too few of `{variant}` to compare with `{other}` by `{feature}`")
        }
        Open::Edge(variant, feature, other) => {
            format!("one more of `{variant}` could change what `{feature}` says about it and `{other}`")
        }
    }
}

fn who(gap: Gap) -> &'static str {
    match gap {
        Gap::Open => "nothing says",
        Gap::Estimated => "only an estimate shows",
        Gap::OneVoice => "only one voice shows",
    }
}

fn what(side: Side, variant: &VariantId) -> String {
    match side {
        Side::BeginEarliest => format!("how early `{variant}` began"),
        Side::BeginLatest => format!("by when `{variant}` had begun"),
        Side::EndEarliest => format!("how long `{variant}` was made"),
        Side::EndLatest => format!("how late `{variant}` ended"),
    }
}

fn of_pair(told: &Told<'_>, pair: Pair<'_>, features: &[&FeatureId]) -> Item {
    let Pair { variant, other, sort } = pair;
    let named: Vec<String> =
        features.iter().take(MOST_NAMED).map(|feature| words::the(&told.now.catalog, feature)).collect();
    let more = features.len() - named.len();
    let named = if more == 0 { words::join(&named) } else { format!("{} and {more} more", named.join(", ")) };
    let lead = match sort {
        Sort::Thin => format!("too few of `{variant}` to compare with `{other}`: {named}"),
        Sort::Edge => format!("one more of `{variant}` could change what tells it from `{other}`: {named}"),
    };
    Item { lead, details: Vec::new() }
}
