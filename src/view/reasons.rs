//! Prepares an era and its voices for a page: bounds with the chain each rests on, voices with their words and weight.
//!
//! The sentences are those of `explain`; here they get links.

use serde::Serialize;

use crate::date::{Day, spoken};
use crate::explain::{self, Sentence};
use crate::knowledge::{Bound, Conflict, Era, Saying, Side, Standing, Voice, VoiceClaim, VoiceIndex};
use crate::record::id::Thing;
use crate::typography::capital;
use crate::view::leaf::claimed::{self, Subject};
use crate::view::leaf::{Leaf, Link, thing_name, within};
use crate::vocabulary::measure::rounded;

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
    /// The bound without each piece of its chain.
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

/// Writes the years of a span briefly, for a table.
pub fn years(first: Option<Day>, last: Option<Day>) -> String {
    match (first.map(Day::year), last.map(Day::year)) {
        (Some(first), Some(last)) if first == last => first.to_string(),
        (Some(first), Some(last)) => format!("{first}–{last}"),
        (Some(first), None) => format!("{first} or later"),
        (None, Some(last)) => format!("{last} or earlier"),
        (None, None) => "any year".to_string(),
    }
}

/// When a thing was made, as the end of a sentence.
pub fn made(leaf: &Leaf<'_>, thing: &Thing) -> String {
    let era = leaf.context.knowledge.eras.get(thing);
    era.map_or_else(|| "has no known dates".to_string(), explain::made)
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

fn bound_title(side: Side) -> &'static str {
    match side {
        Side::BeginEarliest => "Not begun before",
        Side::BeginLatest => "Begun by",
        Side::EndEarliest => "Not ended before",
        Side::EndLatest => "Ended by",
    }
}

fn bound_day(side: Side, day: Day) -> String {
    match side {
        Side::BeginEarliest | Side::EndEarliest => spoken::before(day),
        Side::BeginLatest | Side::EndLatest => spoken::by(day),
    }
}

/// Says a bound: `Not begun before 1962`.
pub fn bound_words(side: Side, day: Day) -> String {
    format!("{} {}", bound_title(side), bound_day(side, day))
}

fn bound(leaf: &Leaf<'_>, thing: &Thing, side: Side, bound: Option<&Bound>) -> BoundView {
    let because = bound.map_or(&[][..], |bound| bound.because.as_slice());
    let without = leaf.context.analysis.without();
    let asked = without.side(thing, side).filter(|_| !because.is_empty());
    let changes = asked.map(|asked| explain::without::changes(&without, asked, because)).unwrap_or_default();
    BoundView {
        changes: sentences(leaf, &changes),
        anchor: bound_anchor(side),
        title: bound_title(side),
        day: bound.map(|bound| bound_day(side, bound.day)),
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
        says: leaf.words(&capital(&explain::saying(knowledge, voice)), None),
        parts: voice.claims.iter().take(LISTED).map(|part| rests_on(leaf, voice, part)).collect(),
        more: voice.claims.len().saturating_sub(LISTED),
        weight: rounded(voice.weight.as_f64()),
        landmarks: voice.landmarks.iter().map(|landmark| leaf.record(*landmark)).collect(),
        standing: standing(voice),
        conflicts: conflicts.map(|number| conflict(leaf, *number)).collect(),
    }
}

fn rests_on(leaf: &Leaf<'_>, voice: &Voice, part: &VoiceClaim) -> Part {
    let knowledge = leaf.context.knowledge;
    let authority = explain::authority(knowledge, voice, part);
    // The subject of the claim heads the list, and its source follows it.
    let entry = part.record.filter(|_| explain::claim(knowledge, part).is_some());
    let link = leaf.claim(part.name.as_str());
    let claim = match entry {
        Some(entry) => link.map(|link| link.named(format!("Claim in “{}”", leaf.name(entry)))),
        None => link,
    };
    Part { claim, rests_on: leaf.words(&authority, Some(part.place.file)) }
}

/// Gives the link to a listed conflict under what it is about.
pub fn conflict(leaf: &Leaf<'_>, number: usize) -> Link {
    let conflict = &leaf.context.knowledge.conflicts[number];
    leaf.link(about(leaf, conflict), &format!("conflicts.html#conflict-{}", conflict.id))
}

/// Says what a conflict is about: the first thing whose beginning, end or order is in question, else the first entry.
fn about(leaf: &Leaf<'_>, conflict: &Conflict) -> String {
    about_subject(leaf, conflict).map_or_else(|| "what was recorded".to_string(), |subject| subject.words)
}

fn about_subject(leaf: &Leaf<'_>, conflict: &Conflict) -> Option<Subject> {
    let voices = || conflict.members.iter().map(|member| leaf.context.knowledge.voice(*member));
    let is_of_entry =
        |voice: &&Voice| matches!(voice.says, Saying::Made(_) | Saying::Document(_) | Saying::Seen(_) | Saying::Key);
    let first = voices().find(|voice| !is_of_entry(voice)).or_else(|| voices().next());
    first.and_then(|voice| subject(leaf, voice))
}

/// Says in a heading what contradicts what: several dates for one thing, or one thing against another.
pub fn heading(leaf: &Leaf<'_>, conflict: &Conflict) -> String {
    let subjects = conflict.members.iter().filter_map(|member| subject(leaf, leaf.context.knowledge.voice(*member)));
    let subjects: Vec<Subject> = subjects.collect();
    let about = about_subject(leaf, conflict);
    capital(&about.map_or_else(|| "what was recorded".to_string(), |about| claimed::against(&about, &subjects)))
}

/// The subject of a voice.
fn subject(leaf: &Leaf<'_>, voice: &Voice) -> Option<Subject> {
    let named = |thing: &Thing| thing_name(leaf.catalog(), thing);
    let name = || Some(leaf.name(voice.claims.first()?.record?));
    let entry = || name().map(|name| within(&name));
    match &voice.says {
        Saying::Began(thing, _) => Some(Subject::beginning(named(thing))),
        Saying::Ended(thing, _) => Some(Subject::end(named(thing))),
        Saying::Attested(thing, _) => Some(Subject::making(named(thing))),
        Saying::Before(thing, other) => Some(Subject::order(named(thing), &named(other))),
        Saying::Made(_) | Saying::Document(_) => Some(Subject::date(entry()?)),
        Saying::Seen(_) => Some(Subject::placing(entry()?)),
        Saying::Key => Some(Subject::key(name()?)),
    }
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
