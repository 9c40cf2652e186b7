//! The `[[claims]]` tables of a file.

use crate::date::edtf::Edtf;
use crate::fault::RuleBroken;
use crate::record::claim::{Claim, Event};
use crate::record::id::Thing;
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::citation;
use crate::validate::reader::Reader;
use crate::validate::thing::{self, Scope};

/// Words that stand after `#` in the names of other voices, and so cannot be the ids of claims.
const VOICE_WORDS: [&str; 4] = ["made", "seen", "key", "features"];

/// Reads the claims of a file.
pub(super) fn all(reader: &mut Reader<'_>, table: &Table, scope: &Scope) -> Vec<Claim> {
    check_ids(reader, table);
    let mut claims = Vec::new();
    for (index, claim) in table.tables("claims").enumerate() {
        claims.extend(one(reader, claim, scope).map(|claim| Claim { number: index + 1, ..claim }));
    }
    claims
}

fn check_ids(reader: &mut Reader<'_>, table: &Table) {
    let ids: Vec<Spanned<String>> = table.tables("claims").filter_map(|claim| claim.text("id")).collect();
    reader.check_ids(&ids);
    for id in &ids {
        let is_number = id.value.bytes().all(|byte| byte.is_ascii_digit());
        if is_number || VOICE_WORDS.contains(&id.value.as_str()) {
            let expected = "a name that is neither a number nor one of `made`, `seen`, `key`, `features`, \
                            which mean something else after `#`";
            reader.other(id.span, format!("`{}`", id.value), expected);
        }
    }
}

fn one(reader: &mut Reader<'_>, table: &Table, scope: &Scope) -> Option<Claim> {
    let about = about(reader, table, scope);
    let event = event(reader, table, scope);
    Some(Claim {
        number: 0,
        id: table.text("id"),
        about: about?,
        event: event?,
        as_written: table.words("as-written"),
        sources: citation::references(table, "sources"),
        span: table.whole(),
    })
}

fn about(reader: &mut Reader<'_>, table: &Table, scope: &Scope) -> Option<Spanned<Thing>> {
    if let Some(words) = table.text("about") {
        return thing::read(reader, &words, scope);
    }
    match &scope.own {
        // A wrong type is the schema's to report.
        _ if table.has("about") => None,
        Some(own) => Some(Spanned::new(Thing::of(own.clone()), table.span())),
        None => {
            reader.rule(table.span(), RuleBroken::NoSuchScope { found: "variant".to_string() });
            None
        }
    }
}

fn event(reader: &mut Reader<'_>, table: &Table, scope: &Scope) -> Option<Spanned<Event>> {
    let word = reader.text(table, "event")?;
    let event = if word.value == "before" { before(reader, table, scope) } else { dated(reader, table, &word.value) };
    event.map(|event| Spanned::new(event, word.span))
}

fn before(reader: &mut Reader<'_>, table: &Table, scope: &Scope) -> Option<Event> {
    let broken = || RuleBroken::EventNeeds { event: "before".to_string(), needs: "other" };
    if let Some(when) = table.entry("when") {
        reader.rule(when.key.span, broken());
    } else if !table.has("other") {
        reader.rule(table.span(), broken());
    }
    let other = table.text("other")?;
    thing::read(reader, &other, scope).map(Event::Before)
}

fn dated(reader: &mut Reader<'_>, table: &Table, word: &str) -> Option<Event> {
    let broken = || RuleBroken::EventNeeds { event: word.to_string(), needs: "when" };
    if let Some(other) = table.entry("other") {
        reader.rule(other.key.span, broken());
    } else if !table.has("when") {
        reader.rule(table.span(), broken());
    }
    let when = reader.date(table, "when")?;
    match word {
        "introduced" => Some(Event::Introduced(when)),
        "discontinued" => Some(Event::Discontinued(when)),
        "attested" => Some(Event::Attested(when)),
        "not-offered" => Some(Event::NotOffered(when)),
        "produced" => produced(reader, when),
        _ => reader.need(table, "event", None),
    }
}

fn produced(reader: &mut Reader<'_>, when: Spanned<Edtf>) -> Option<Event> {
    if when.value.ends().is_none() {
        reader.rule(when.span, RuleBroken::ProducedNeedsInterval { found: when.value.as_str().to_string() });
        return None;
    }
    Some(Event::Produced(when))
}
