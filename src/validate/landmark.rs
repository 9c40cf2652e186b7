//! Landmarks and their conditions.

use crate::date::edtf::Edtf;
use crate::fault::{FaultKind, RuleBroken};
use crate::record::id::{FeatureId, StateId};
use crate::record::landmark::{Condition, Force, Landmark};
use crate::source::Spanned;
use crate::source::tree::{Item, Node, Table};
use crate::validate::citation;
use crate::validate::reader::{Named, Reader};
use crate::validate::thing;
use crate::vocabulary::{Feature, Kind};

/// Reads a record of `entries/landmarks/`.
pub(super) fn read(reader: &mut Reader<'_>, table: &Table) -> Option<Landmark> {
    let when = condition_of(reader, table);
    let force = force(reader, table);
    let (not_before, not_after) = bounds(reader, table);
    let local_sources = citation::local(reader, table);
    Some(Landmark {
        title: reader.text(table, "title")?,
        when: when?,
        not_before,
        not_after,
        force: force?,
        market: table.text("market"),
        stock_years: table.count("stock-years").unwrap_or_default(),
        sources: citation::references(table, "sources"),
        local_sources,
    })
}

fn force(reader: &mut Reader<'_>, table: &Table) -> Option<Force> {
    let word = reader.text(table, "force")?;
    let odds = table.number("odds");
    if word.value == "hard" {
        return Some(Force::Hard { odds: odds.unwrap_or(Force::DEFAULT_ODDS) });
    }
    if odds.is_none() && !table.has("odds") {
        reader.rule(word.span, RuleBroken::SoftNeedsOdds);
    }
    Some(Force::Soft { odds: odds? })
}

type Bounds = (Option<Spanned<Edtf>>, Option<Spanned<Edtf>>);

/// Reads both bounds; one must bound something, and together they must leave a day.
fn bounds(reader: &mut Reader<'_>, table: &Table) -> Bounds {
    let (not_before, not_after) = (reader.date(table, "not-before"), reader.date(table, "not-after"));
    let circa = reader.terms.circa;
    let stock = table.count("stock-years").unwrap_or_default().min(1000);
    let first = not_before.as_ref().and_then(|date| date.value.span(circa).first());
    let last = not_after.as_ref().and_then(|date| date.value.span(circa).last());
    let last = last.map(|day| day.plus_years(i32::try_from(stock).unwrap_or_default()));
    let written = ["not-before", "not-after"].map(|key| table.has(key));
    let is_understood = written == [not_before.is_some(), not_after.is_some()];
    let is_inverted = first.zip(last).is_some_and(|(first, last)| first > last);
    if is_understood && (is_inverted || first.is_none() && last.is_none()) {
        let blamed = not_after.as_ref().or(not_before.as_ref()).map_or(table.span(), |date| date.span);
        reader.rule(blamed, RuleBroken::LandmarkBounds);
    }
    (not_before, not_after)
}

fn condition_of(reader: &mut Reader<'_>, table: &Table) -> Option<Spanned<Condition>> {
    let node = reader.need(table, "when", table.get("when"))?;
    let when = node.table()?;
    let is_hard = table.text("force").is_some_and(|force| force.value == "hard");
    if is_hard {
        refuse_absence(reader, when);
    }
    condition(reader, when).map(|condition| Spanned::new(condition, node.span))
}

/// A law that requires a label proves nothing where the label is cut out: no hard bound rests on absence.
fn refuse_absence(reader: &mut Reader<'_>, table: &Table) {
    if let Some(state) = table.text("state").filter(|state| ["absent", "lost"].contains(&state.value.as_str())) {
        reader.rule(state.span, RuleBroken::HardOnAbsence);
    }
    for part in table.tables("any").chain(table.tables("all")) {
        refuse_absence(reader, part);
    }
}

fn condition(reader: &mut Reader<'_>, table: &Table) -> Option<Condition> {
    for key in ["any", "all"] {
        if table.has(key) {
            let parts: Vec<Option<Condition>> = table.tables(key).map(|part| condition(reader, part)).collect();
            let parts: Option<Vec<Condition>> = parts.into_iter().collect();
            return parts.map(if key == "any" { Condition::Any } else { Condition::All });
        }
    }
    let feature = reader.text(table, "feature")?;
    let named = reader.feature(&feature.value, feature.span);
    let known = match named {
        Named::Unknown => return None,
        Named::Unclear => None,
        Named::Known(known) => Some(known),
    };
    let id = FeatureId::new(feature.value);
    match table.get("state") {
        Some(node) => state(reader, node, known).map(|state| Condition::State { feature: id, state }),
        None => range(reader, table, known).map(|(from, to)| Condition::Range { feature: id, from, to }),
    }
}

fn state(reader: &mut Reader<'_>, node: &Node, known: Option<&Feature>) -> Option<StateId> {
    let word = match &node.item {
        Item::Text(text) => text.to_string(),
        Item::Integer(_) | Item::Float(_) => node.count()?.to_string(),
        _ => return None,
    };
    let Some(feature) = known else { return Some(StateId::new(word)) };
    let is_code = feature.kind == Kind::Code;
    if word == "lost" || is_code || thing::is_state(feature, &word) {
        return Some(feature.current_state(&word));
    }
    match feature.kind {
        Kind::State { .. } | Kind::Count => {
            reader.report(node.span, FaultKind::Term(thing::unknown_state(feature, &word)));
        }
        _ => reader.other(node.span, format!("`{word}`"), "`from` and `to` for a feature that is a number"),
    }
    None
}

fn range(reader: &mut Reader<'_>, table: &Table, known: Option<&Feature>) -> Option<(Option<f64>, Option<f64>)> {
    let (from, to) = (table.number("from"), table.number("to"));
    let limit = reader.need(table, "from", table.get("from").or(table.get("to")))?;
    let span = limit.span;
    if known.is_some_and(|feature| matches!(feature.kind, Kind::State { .. } | Kind::Code)) {
        reader.other(span, "`from` or `to`", "`state` for a feature that is not a number");
        return None;
    }
    if from.zip(to).is_some_and(|(from, to)| from > to) {
        reader.other(span, "`from` above `to`", "`from` not above `to`");
        return None;
    }
    Some((from, to))
}
