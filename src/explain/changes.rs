//! Explains what changed when: which state gave way to which, between which years, and on how many garments.
//!
//! It concludes nothing; years stand for days, since a span of months is rarely more than its documents.

use crate::changeover::claim::{self, Beside, End};
use crate::changeover::{Change, History, Kind, Outcome, Segment, Word};
use crate::date::DaySpan;
use crate::explain::comparison::{covariate_words, the};
use crate::explain::{Sentence, span};
use crate::knowledge::Knowledge;
use crate::record::id::FeatureId;
use crate::resolve::Catalog;
use crate::source::Place;

/// Says in a sentence how the dated garments show a feature.
pub fn sentence(catalog: &Catalog, history: &History) -> String {
    let n = history.items.len();
    let seen: Vec<String> = history.changes.iter().map(|one| change(catalog, &history.feature, one)).collect();
    let seen = seen.join("; then ");
    match &history.word {
        Word::Changed if history.came_back() => format!("Changed and came back: {seen}.{}", note(history)),
        Word::Changed => format!("Changed: {seen}.{}", note(history)),
        Word::MayHaveChanged => format!("May have changed: {seen}.{}", note(history)),
        Word::ShareChanged => {
            format!("No state replaced another, but their shares changed: {seen}.{}", note(history))
        }
        Word::Explained(name) => {
            format!("What looks like a change is explained by {}: {seen}.", words(catalog, name))
        }
        Word::CannotSeparate(name) => {
            format!("There may be a change, but it cannot be separated from {}: {seen}.", words(catalog, name))
        }
        Word::NoChangeSeen => format!("No change seen on {n} dated garments{}.", range(history)),
        Word::Unclear => format!("Unclear: {n} dated garments{} decide neither way.", range(history)),
        Word::TooFew => format!("Too few: {n} dated garments, from {} different times.", history.blocks),
    }
}

/// The years of the first and the last dated garment.
fn range(history: &History) -> String {
    match (history.items.first(), history.items.last()) {
        (Some(first), Some(last)) => format!(" from {} to {}", first.middle.year(), last.middle.year()),
        _ => String::new(),
    }
}

fn note(history: &History) -> String {
    let settings = match history.settings {
        0 | 1 => String::new(),
        several => format!(" Seen in {several} settings."),
    };
    let factory = if history.is_factory_unknown() {
        " The factory is not known, so the change may be between factories."
    } else {
        ""
    };
    format!("{settings}{factory}")
}

/// Says for one change which state gives way to which, when, and on how many garments.
fn change(catalog: &Catalog, feature: &FeatureId, change: &Change) -> String {
    format!(
        "{} {} ({}, {})",
        years(change.span),
        gives_way(catalog, feature, change),
        side(&change.before, "before"),
        side(&change.after, "after")
    )
}

/// Says which state gives way to which.
pub fn gives_way(catalog: &Catalog, feature: &FeatureId, change: &Change) -> String {
    let label = |segment: &Segment| match &segment.state {
        Some(state) => catalog.vocabulary.label(feature, state),
        None => "no single state".to_string(),
    };
    format!("{} gives way to {}", label(&change.before), label(&change.after))
}

/// Says how a history was judged: the probability of a change, what is needed, each change with its span, and what was
/// held equal.
pub fn reasons(catalog: &Catalog, history: &History) -> Vec<String> {
    let n = history.items.len();
    let mut sentences = vec![match history.probability {
        Some(probability) => format!(
            "{n} dated garments from {} different times: from a prior of 0.30, the probability of at least one change is {probability:.3}. A possible change needs 0.80, a sure one 0.95.",
            history.blocks
        ),
        None if history.word == Word::TooFew => {
            format!("{n} dated garments from {} different times; six from two times are needed.", history.blocks)
        }
        None => format!("All {n} dated garments show one state; eight are needed to report that no change is seen."),
    }];
    if let [_, ..] = history.changes.as_slice() {
        let count = history.changes.len();
        sentences.push(format!("The most probable number of changes, from one to three, is {count}."));
    }
    for one in &history.changes {
        let kind = match one.kind {
            Kind::Real => "one state replaces another, with at least three garments on each side",
            Kind::Share => {
                "no state replaces another with at least three garments on each side, so only the shares change"
            }
        };
        let (before, after) = (side(&one.before, "before"), side(&one.after, "after"));
        sentences.push(format!(
            "{}: {before}, {after}; {kind}. The change came {}, with a probability of at least 0.95.",
            gives_way(catalog, &history.feature, one),
            span(one.span)
        ));
    }
    sentences.extend(covariates(catalog, history));
    sentences
}

/// The years of a span: `1966–1969`, or one.
pub fn years(span: DaySpan) -> String {
    match (span.first().map(|day| day.year()), span.last().map(|day| day.year())) {
        (Some(first), Some(last)) if first == last => first.to_string(),
        (Some(first), Some(last)) => format!("{first}–{last}"),
        _ => "at some time".to_string(),
    }
}

fn side(segment: &Segment, place: &str) -> String {
    match segment.against {
        Some(0) | None => format!("{} {place}", segment.n),
        Some(against) => format!("{} {place}, {against} against", segment.n),
    }
}

fn words(catalog: &Catalog, name: &str) -> String {
    if name == "variant" { "the variant".to_string() } else { covariate_words(catalog, name) }
}

/// Says what people claim about the changes of a feature, one sentence a claim.
pub fn claims(knowledge: &Knowledge, history: &History) -> Vec<String> {
    let of = |change: &Change| -> Vec<String> {
        let beside = claim::beside(knowledge, history, change);
        beside.iter().map(|beside| claimed(&knowledge.catalog, history, beside, change)).collect()
    };
    if history.word.is_change() { history.changes.iter().flat_map(of).collect() } else { Vec::new() }
}

fn claimed(catalog: &Catalog, history: &History, beside: &Beside<'_>, change: &Change) -> String {
    let event = match beside.event {
        End::Began => "began",
        End::Ended => "ended",
    };
    let state = catalog.vocabulary.label(&history.feature, beside.state.as_str());
    let (name, when) = (&beside.voice.name, span(beside.span));
    let fit = match beside.contradicts {
        true => format!("the dated garments contradict this and put the change in {}", years(change.span)),
        false => "the dated garments agree".to_string(),
    };
    format!("`{name}` says that {state} {event} {when}; {fit}.")
}

/// Says for each covariate how much of the change was left at its equal values.
pub fn covariates(catalog: &Catalog, history: &History) -> Vec<String> {
    let of = history.covariates.iter().map(|looked| {
        let outcome = match looked.outcome {
            Outcome::Holds => "the change remains",
            Outcome::Explains => "so this explains the change",
            Outcome::CannotSeparate => "so the two cannot be separated",
            Outcome::NotKnown => "which decides nothing",
        };
        let name = words(catalog, &looked.name);
        match (looked.probability, looked.probability_within) {
            (Some(probability), Some(within)) => format!(
                "Among the {} garments for which {name} is known, a change has probability {probability:.2}; with {name} held equal, it has {within:.2}, {outcome}.",
                looked.n
            ),
            _ => format!("For too few dated garments ({}) {name} is known, {outcome}.", looked.n),
        }
    });
    of.collect()
}

/// Lists the garments of a history in order of time, each with what it shows and where that is written.
pub fn garments(catalog: &Catalog, history: &History) -> Vec<Sentence> {
    let sentences = history.items.iter().map(|item| {
        let words = format!("{}: {}", years(item.span), catalog.vocabulary.label(&history.feature, &item.state));
        let places = item.records.iter().filter_map(|index| {
            let record = catalog.record(*index);
            let reading = record.content.observation()?.features.get(&history.feature)?;
            Some(Place { file: record.file, span: reading.span })
        });
        Sentence::new(1, words).at(places.collect::<Vec<Place>>())
    });
    sentences.collect()
}

/// Names the feature of a history at the beginning of a line.
pub fn heading(catalog: &Catalog, feature: &FeatureId) -> String {
    catalog.vocabulary.feature(feature.as_str()).map_or_else(|| the(catalog, feature), |feature| feature.name.clone())
}
