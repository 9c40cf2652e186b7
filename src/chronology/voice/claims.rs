//! The claims of all records as voices.

use crate::chronology::voice::weight::{Authority, roots};
use crate::chronology::voice::{Builder, Draft, DraftIndex, Key, Spans, days};
use crate::date::DaySpan;
use crate::date::edtf::Edtf;
use crate::knowledge::{Saying, VoiceClaim};
use crate::record::claim::{Claim, Event};
use crate::record::id::{Thing, VoiceName};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::Place;

/// Adds every claim, except withheld claims, claims on withheld sources, and claims that a dispute
/// sets aside.
pub fn add(builder: &mut Builder<'_>) {
    let catalog = builder.catalog;
    for number in 0..catalog.records.len() {
        let index = RecordIndex(number as u32);
        if catalog.withheld.contains(&index) {
            continue;
        }
        for claim in catalog.record(index).content.claims() {
            let file = catalog.record(index).file;
            let is_withheld = catalog.rests_on_withheld(file, &claim.sources);
            if catalog.has_thing(&claim.about.value) && !is_of_retired(catalog, claim) && !is_withheld {
                add_claim(builder, &Stated { index, claim });
            }
        }
    }
}

/// Says whether a claim speaks of a state of a retired feature, on either side.
fn is_of_retired(catalog: &Catalog, claim: &Claim) -> bool {
    let other = if let Event::Before(other) = &claim.event.value { Some(&other.value) } else { None };
    let states = [Some(&claim.about.value), other].into_iter().flatten().filter_map(|thing| thing.state.as_ref());
    states.into_iter().any(|(feature, _)| catalog.vocabulary.is_retired(feature.as_str()))
}

/// A claim and its record.
struct Stated<'a> {
    index: RecordIndex,
    claim: &'a Claim,
}

fn add_claim(builder: &mut Builder<'_>, stated: &Stated<'_>) {
    let name = builder.catalog.claim_name(stated.index, stated.claim);
    if is_set_aside(builder, stated, "") {
        return;
    }
    let thing = &stated.claim.about.value;
    let (begin, end) = builder.thing(thing);
    builder.firm.insert(thing.clone());
    match &stated.claim.event.value {
        Event::Introduced(when) => {
            let (spans, uncertain) = (spans(builder, &when.value), when.value.is_uncertain());
            let voice = add_voice(builder, stated, Statement { name, uncertain, part: Part::Begin(spans.widened) });
            builder.within(begin, spans, &[voice]);
        }
        Event::Discontinued(when) => {
            let (spans, uncertain) = (spans(builder, &when.value), when.value.is_uncertain());
            let voice = add_voice(builder, stated, Statement { name, uncertain, part: Part::End(spans.widened) });
            builder.within(end, spans, &[voice]);
        }
        Event::Attested(when) => {
            let (spans, uncertain) = (spans(builder, &when.value), when.value.is_uncertain());
            let voice = add_voice(builder, stated, Statement { name, uncertain, part: Part::Some(spans.widened) });
            builder.attested((begin, end), spans, voice);
        }
        Event::Produced(when) => add_produced(builder, stated, &when.value),
        Event::Before(other) => add_before(builder, stated, &other.value),
        Event::NotOffered(_) => {}
    }
}

fn add_produced(builder: &mut Builder<'_>, stated: &Stated<'_>, when: &Edtf) {
    let Some((first, last)) = when.ends() else { return };
    let circa = builder.catalog.circa();
    let (begin, end) = builder.thing(&stated.claim.about.value);
    let name = builder.catalog.claim_name(stated.index, stated.claim);
    if !is_set_aside(builder, stated, ":begin") {
        let spans = Spans { widened: first.span(circa), as_written: first.unwidened() };
        let name = VoiceName::new(format!("{name}:begin"));
        let statement = Statement { name, uncertain: first.is_uncertain(), part: Part::Begin(spans.widened) };
        let voice = add_voice(builder, stated, statement);
        builder.within(begin, spans, &[voice]);
    }
    if !is_set_aside(builder, stated, ":end") {
        let spans = Spans { widened: last.span(circa), as_written: last.unwidened() };
        let name = VoiceName::new(format!("{name}:end"));
        let statement = Statement { name, uncertain: last.is_uncertain(), part: Part::End(spans.widened) };
        let voice = add_voice(builder, stated, statement);
        builder.within(end, spans, &[voice]);
    }
}

fn add_before(builder: &mut Builder<'_>, stated: &Stated<'_>, other: &Thing) {
    if !builder.catalog.has_thing(other) {
        return;
    }
    let (_, end) = builder.thing(&stated.claim.about.value);
    let (begin, _) = builder.thing(other);
    builder.firm.insert(other.clone());
    let name = builder.catalog.claim_name(stated.index, stated.claim);
    let statement = Statement { name, uncertain: false, part: Part::Before(other.clone()) };
    let voice = add_voice(builder, stated, statement);
    builder.widened.strict_order(end, begin, super::support(&[voice]));
}

/// One voice's worth of a claim.
struct Statement {
    name: VoiceName,
    uncertain: bool,
    part: Part,
}

enum Part {
    Begin(DaySpan),
    End(DaySpan),
    Some(DaySpan),
    Before(Thing),
}

fn add_voice(builder: &mut Builder<'_>, stated: &Stated<'_>, statement: Statement) -> DraftIndex {
    let about = &stated.claim.about.value;
    let (key, thing) = (about.clone(), Box::new(about.clone()));
    let (key, says) = match statement.part {
        Part::Begin(span) => (Key::Began(key, days(span)), Saying::Began(thing, span)),
        Part::End(span) => (Key::Ended(key, days(span)), Saying::Ended(thing, span)),
        Part::Some(span) => (Key::Attested(key, days(span)), Saying::Attested(thing, span)),
        Part::Before(other) => (Key::Before(key, other.clone()), Saying::Before(thing, Box::new(other))),
    };
    let roots = roots(builder.catalog, stated.index, &stated.claim.sources);
    let authority = Authority::of_roots(roots, statement.uncertain);
    let place = Place { file: builder.catalog.record(stated.index).file, span: stated.claim.span };
    let claim = VoiceClaim { name: statement.name, record: Some(stated.index), place };
    let first = authority.clone();
    let voice = builder.voice(key, || Draft::new(says, first, None));
    let draft = builder.draft(voice);
    draft.authority.join(authority);
    draft.claims.push(claim);
    voice
}

fn spans(builder: &Builder<'_>, when: &Edtf) -> Spans {
    Spans { widened: when.span(builder.catalog.circa()), as_written: when.unwidened() }
}

/// Says whether a settled dispute takes the claim out, under its id or its number.
fn is_set_aside(builder: &Builder<'_>, stated: &Stated<'_>, end: &str) -> bool {
    let id = stated.claim.id.as_ref().map(|id| id.value.clone());
    let names = id.into_iter().chain([stated.claim.number.to_string()]);
    names.into_iter().any(|name| builder.catalog.is_set_aside(stated.index, format_args!("{name}{end}")))
}
