//! An era and its voices to what a page shows: bounds with the chain each rests on, voices with what they say and weigh.
//!
//! The sentences are those of `explain`; here they get links.

use serde::Serialize;

use crate::date::Day;
use crate::explain::{self, Sentence};
use crate::knowledge::{Bound, Conflict, Era, Saying, Side, Standing, Voice, VoiceClaim, VoiceIndex};
use crate::record::id::Thing;
use crate::view::leaf::{Leaf, Link, thing_name};
use crate::view::tallies::rounded;

/// An era with everything it rests on.
#[derive(Debug, Serialize)]
pub struct EraView {
    words: String,
    surely: Option<String>,
    possibly: Option<String>,
    none_sure: bool,
    bounds: Vec<BoundView>,
}

/// One bound in words.
#[derive(Debug, Serialize)]
struct BoundView {
    anchor: &'static str,
    title: &'static str,
    day: Option<String>,
    because: Vec<VoiceView>,
    estimate: Option<Estimated>,
    rests_on_one: bool,
    /// What it would be without each piece of its chain.
    changes: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Estimated {
    entry: Link,
    when: String,
}

/// A voice: what it says, where that is written, what it weighs and what became of it.
#[derive(Debug, Serialize)]
pub struct VoiceView {
    says: String,
    parts: Vec<Part>,
    more: usize,
    weight: String,
    landmarks: Vec<Link>,
    standing: &'static str,
    conflicts: Vec<Link>,
}

#[derive(Debug, Serialize)]
struct Part {
    claim: Option<Link>,
    rests_on: String,
}

/// Puts an era into words, with everything each bound rests on.
pub fn era_of(leaf: &Leaf<'_>, thing: &Thing) -> EraView {
    let era = leaf.context.knowledge.eras.get(thing);
    let bound = |side: Side| bound(leaf, thing, side, era.and_then(|era| era.bound(side)));
    EraView { bounds: Side::ALL.iter().map(|(side, _)| bound(*side)).collect(), ..era_alone(era) }
}

/// Puts an era into words, without what it rests on.
pub fn era_alone(era: Option<&Era>) -> EraView {
    let open = Era::default();
    let era = era.unwrap_or(&open);
    let (first, last) = era.possibly_made();
    EraView {
        words: explain::made(era),
        surely: era.surely_made().map(|span| years(span.first(), span.last())),
        possibly: (first.is_some() || last.is_some()).then(|| years(first, last)),
        none_sure: !era.is_open() && era.surely_made().is_none(),
        bounds: Vec::new(),
    }
}

/// Writes the years of a span in as few words as a table has room for.
pub fn years(first: Option<Day>, last: Option<Day>) -> String {
    match (first.map(Day::year), last.map(Day::year)) {
        (Some(first), Some(last)) if first == last => first.to_string(),
        (Some(first), Some(last)) => format!("{first}–{last}"),
        (Some(first), None) => format!("{first} or later"),
        (None, Some(last)) => format!("{last} or earlier"),
        (None, None) => "any year".to_string(),
    }
}

/// The anchor of a bound on the page of its thing.
pub fn bound_anchor(side: Side) -> &'static str {
    match side {
        Side::BeginEarliest => "begin-earliest",
        Side::BeginLatest => "begin-latest",
        Side::EndEarliest => "end-earliest",
        Side::EndLatest => "end-latest",
    }
}

fn bound(leaf: &Leaf<'_>, thing: &Thing, side: Side, bound: Option<&Bound>) -> BoundView {
    let title = match side {
        Side::BeginEarliest => "Not begun before",
        Side::BeginLatest => "Begun by",
        Side::EndEarliest => "Not ended before",
        Side::EndLatest => "Ended by",
    };
    let because = bound.map_or(&[][..], |bound| bound.because.as_slice());
    let without = leaf.context.analysis.without();
    let asked = without.side(thing, side).filter(|_| !because.is_empty());
    let changes = asked.map(|asked| explain::without::changes(&without, asked, because)).unwrap_or_default();
    BoundView {
        changes: sentences(leaf, &changes),
        anchor: bound_anchor(side),
        title,
        day: bound.map(|bound| bound.day.to_string()),
        because: because.iter().map(|index| voice(leaf, *index)).collect(),
        estimate: bound.and_then(|bound| estimated(leaf, bound)),
        rests_on_one: bound.is_some_and(|bound| bound.rests_on_one),
    }
}

fn estimated(leaf: &Leaf<'_>, bound: &Bound) -> Option<Estimated> {
    let estimate = leaf.context.knowledge.estimates.get(bound.estimate?)?;
    Some(Estimated { entry: leaf.record(estimate.record), when: explain::span(estimate.span) })
}

/// How many claims of one voice are listed; a catalogue that dates hundreds of documents would fill the page.
const LISTED: usize = 12;

/// Puts a voice into words.
pub fn voice(leaf: &Leaf<'_>, index: VoiceIndex) -> VoiceView {
    let knowledge = leaf.context.knowledge;
    let voice = knowledge.voice(index);
    let conflicts = leaf.context.index.conflicts(index).iter();
    VoiceView {
        says: leaf.words(&explain::saying(knowledge, voice), None),
        parts: voice.claims.iter().take(LISTED).map(|part| rests_on(leaf, voice, part)).collect(),
        more: voice.claims.len().saturating_sub(LISTED),
        weight: rounded(voice.weight.as_f64()),
        landmarks: voice.landmarks.iter().map(|landmark| leaf.record(*landmark)).collect(),
        standing: standing(voice),
        conflicts: conflicts.map(|number| conflict(leaf, *number)).collect(),
    }
}

fn rests_on(leaf: &Leaf<'_>, voice: &Voice, part: &VoiceClaim) -> Part {
    let authority = explain::authority(leaf.context.knowledge, voice, part);
    Part { claim: leaf.claim(part.name.as_str()), rests_on: leaf.words(&authority, Some(part.place.file)) }
}

/// Gives the link to a listed conflict under what it is about.
pub fn conflict(leaf: &Leaf<'_>, number: usize) -> Link {
    let conflict = &leaf.context.knowledge.conflicts[number];
    leaf.link(about(leaf, conflict), &format!("conflicts.html#conflict-{}", conflict.id))
}

/// Says what a conflict is about: the first thing whose beginning, end or order is in question, else the first entry.
pub fn about(leaf: &Leaf<'_>, conflict: &Conflict) -> String {
    let voices = || conflict.members.iter().map(|member| leaf.context.knowledge.voice(*member));
    let named = |thing: &Thing| thing_name(leaf.catalog(), thing);
    let question = voices().find_map(|voice| match &voice.says {
        Saying::Began(thing, _) => Some(format!("the beginning of {}", named(thing))),
        Saying::Ended(thing, _) => Some(format!("the end of {}", named(thing))),
        Saying::Attested(thing, _) => Some(format!("when {} was made", named(thing))),
        Saying::Before(thing, other) => Some(format!("the order of {} and {}", named(thing), named(other))),
        _ => None,
    });
    let entry = || voices().find_map(|voice| voice.claims.iter().find_map(|part| leaf.claim(part.name.as_str())));
    question.or_else(|| Some(entry()?.name)).unwrap_or_else(|| conflict.id.clone())
}

/// Says what became of a voice, as the end of a sentence; empty where it counts.
pub fn standing(voice: &Voice) -> &'static str {
    match voice.standing {
        Standing::Kept => "",
        Standing::Contested => "contested",
        Standing::SetAside => "set aside",
    }
}

/// Writes the sentences of an explanation, their names as links.
pub fn sentences(leaf: &Leaf<'_>, sentences: &[Sentence]) -> Vec<String> {
    sentences.iter().map(|sentence| leaf.words(&sentence.words, None)).collect()
}
