//! Turns claims into rows of a table: the thing, the event and its date, the sources, and what became of the claim.

use serde::Serialize;

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::spoken;
use crate::explain;
use crate::record::claim::{Claim, Event};
use crate::record::id::Whole;
use crate::resolve::RecordIndex;
use crate::view::leaf::{Cited, Leaf, Link};
use crate::view::path;
use crate::view::reasons;

/// One claim.
#[derive(Debug, Serialize)]
pub struct ClaimView {
    anchor: Option<String>,
    about: Link,
    event: &'static str,
    when: Option<When>,
    before: Option<Link>,
    as_written: Option<String>,
    sources: Vec<Cited>,
    standings: Vec<&'static str>,
    conflicts: Vec<Link>,
    written_in: Option<Link>,
    bounds_nothing: bool,
}

#[derive(Debug, Serialize)]
struct When {
    /// Which days it leaves open, if its words do not say so.
    words: Option<String>,
    /// The date as it is written, as people say it.
    said: String,
    code: String,
}

/// The claims that are written in a record, each with its anchor.
pub fn written_in(leaf: &Leaf<'_>, index: RecordIndex) -> Vec<ClaimView> {
    let claims = leaf.catalog().record(index).content.claims();
    claims.iter().map(|claim| view(leaf, index, claim, Written::Here)).collect()
}

/// The claims about a whole or its states that are written elsewhere.
pub fn about(leaf: &Leaf<'_>, whole: &Whole, own: RecordIndex) -> Vec<ClaimView> {
    let claims = leaf.context.index.claims(whole).iter().filter(|(index, _)| *index != own);
    claims.map(|(index, claim)| view(leaf, *index, claim, Written::Elsewhere)).collect()
}

/// All claims about a whole or its states, for a page that shows no record of its own.
pub fn all_about(leaf: &Leaf<'_>, whole: &Whole) -> Vec<ClaimView> {
    let claims = leaf.context.index.claims(whole).iter();
    claims.map(|(index, claim)| view(leaf, *index, claim, Written::Elsewhere)).collect()
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Written {
    Here,
    Elsewhere,
}

fn view(leaf: &Leaf<'_>, index: RecordIndex, claim: &Claim, written: Written) -> ClaimView {
    let name = leaf.catalog().claim_name(index, claim);
    let voices: Vec<_> =
        ["", ":begin", ":end"].iter().filter_map(|side| leaf.context.index.voice(&format!("{name}{side}"))).collect();
    let knowledge = leaf.context.knowledge;
    let mut standings: Vec<_> = voices.iter().map(|voice| reasons::standing(knowledge.voice(*voice))).collect();
    standings.retain(|standing| !standing.is_empty());
    if leaf.catalog().set_aside.contains(&name) {
        standings.push("set aside by a dispute");
    }
    let file = leaf.catalog().record(index).file;
    if leaf.catalog().rests_on_withheld(file, &claim.sources) {
        standings.push("withheld with its sources");
    }
    standings.dedup();
    let conflicts = voices.iter().flat_map(|voice| leaf.context.index.conflicts(*voice));
    let fragment = name.as_str().rsplit_once('#').map_or("", |(_, fragment)| fragment);
    ClaimView {
        anchor: (written == Written::Here).then(|| path::claim_anchor(fragment)),
        about: leaf.thing(&claim.about.value),
        event: event(&claim.event.value),
        when: claim.event.value.when().map(|when| When {
            words: days(&claim.event.value, &when.value, leaf.catalog().circa()),
            code: when.value.as_str().to_string(),
            said: spoken::date(&when.value).unwrap_or_else(|| "at an unknown time".to_string()),
        }),
        before: match &claim.event.value {
            Event::Before(other) => Some(leaf.thing(&other.value)),
            _ => None,
        },
        as_written: claim.as_written.clone(),
        sources: claim.sources.iter().map(|source| leaf.cited(file, &source.value)).collect(),
        standings,
        conflicts: conflicts.map(|number| reasons::conflict(leaf, *number)).collect(),
        written_in: (written == Written::Elsewhere)
            .then(|| Some(leaf.claim(name.as_str())?.named(leaf.name(index))))
            .flatten(),
        bounds_nothing: matches!(claim.event.value, Event::NotOffered(_)),
    }
}

/// Which days a date leaves open, if its words do not say so; for `produced` those of its beginning and end.
fn days(event: &Event, date: &Edtf, circa: CircaYears) -> Option<String> {
    match (event, date.ends()) {
        (Event::Produced(_), Some((begin, end))) => {
            Some(format!("begun {}, ended {}", explain::span(begin.span(circa)), explain::span(end.span(circa))))
        }
        _ => date.is_approximate().then(|| explain::span(date.span(circa))),
    }
}

/// The event of a claim, in words.
pub fn event(event: &Event) -> &'static str {
    match event {
        Event::Introduced(_) => "introduced",
        Event::Discontinued(_) => "discontinued",
        Event::Produced(_) => "produced",
        Event::Attested(_) => "being made",
        Event::NotOffered(_) => "not offered",
        Event::Before(_) => "ended before the beginning of",
    }
}
