//! The `[features]` of an observation to readings in the vocabulary's words and unit.

use litemap::LiteMap;

use crate::fault::RuleBroken;
use crate::record::id::FeatureId;
use crate::record::observation::{Reading, Value};
use crate::source::tree::{Entry, Node, Table};
use crate::source::{Span, Spanned};
use crate::validate::reader::Reader;
use crate::vocabulary::{Feature, Kind, Measure, Unit};

/// Reads the features; those that the vocabulary could not tell us about are left out.
pub(super) fn all(reader: &mut Reader<'_>, table: &Table) -> LiteMap<FeatureId, Reading> {
    let entries = table.table("features").map(Table::entries).unwrap_or_default();
    let readings = entries.iter().filter_map(|entry| {
        let feature = reader.terms.vocabulary.feature(&entry.key.value)?;
        Some((feature.id.clone(), one(reader, entry, feature)?))
    });
    // Sorted all at once: put in one after another, each could move all that are there.
    let mut readings: Vec<(FeatureId, Reading)> = readings.collect();
    readings.sort_by(|(one, _), (other, _)| one.cmp(other));
    readings.shrink_to_fit();
    LiteMap::from_sorted_store_unchecked(readings)
}

fn one(reader: &mut Reader<'_>, entry: &Entry, feature: &Feature) -> Option<Reading> {
    let node = &entry.value;
    let start = entry.key.span.start();
    let Some(table) = node.table() else {
        let span = Span::new(start, node.span.end());
        let value = bare(reader, node, feature)?;
        return Some(Reading { value, altered: false, unsure: false, note: None, span });
    };
    Some(Reading {
        value: tabled(reader, table, feature)?,
        altered: table.is_set("altered"),
        unsure: table.is_set("unsure"),
        note: table.words("note"),
        span: Span::new(start.min(table.span().start()), table.whole().end()),
    })
}

/// Reads a value outside any table.
fn bare(reader: &mut Reader<'_>, node: &Node, feature: &Feature) -> Option<Value> {
    match (&feature.kind, node.text()) {
        (_, Some("absent")) => Some(Value::Absent),
        (_, Some("lost")) => Some(Value::Lost),
        (Kind::State { .. }, Some(word)) => Some(match feature.current_state(word) {
            state if state.as_str() == "absent" => Value::Absent,
            state => Value::State(state),
        }),
        (Kind::Code, Some(code)) => Some(Value::Code(code.to_string())),
        (Kind::Count, _) => count(node),
        (Kind::Number, _) => node.number().map(Value::Number),
        (Kind::Measure(measure), _) => measured(reader, node, measure, measure.unit),
        _ => None,
    }
}

/// Reads the value of a table with something to add.
fn tabled(reader: &mut Reader<'_>, table: &Table, feature: &Feature) -> Option<Value> {
    if let Some(words) = table.words("other") {
        return Some(Value::Other(words));
    }
    let Some(node) = table.get("value") else {
        if let Some(unit) = table.entry("unit") {
            reader.other(unit.key.span, "`unit` without `value`", "`unit` only beside `value`");
        }
        return bare(reader, table.get("state")?, feature);
    };
    match &feature.kind {
        Kind::Measure(measure) => {
            let unit = unit(reader, table, measure)?;
            measured(reader, node, measure, unit)
        }
        _ => bare(reader, node, feature),
    }
}

fn count(node: &Node) -> Option<Value> {
    node.count().filter(|count| *count > 0).map(Value::Count)
}

/// The unit of a reading: its own, if it measures the same thing, else the vocabulary's.
fn unit(reader: &mut Reader<'_>, table: &Table, measure: &Measure) -> Option<Unit> {
    let Some(word) = table.text("unit") else { return Some(measure.unit) };
    let unit = Unit::parse(&word.value)?;
    if unit.convert(1.0, measure.unit).is_none() {
        let Spanned { value: found, span } = word;
        reader.rule(span, RuleBroken::UnitMismatch { found, expected: measure.unit.word().to_string() });
        return None;
    }
    Some(unit)
}

/// The same number in other units, where that lies within the range.
fn fitting(measure: &Measure, written: f64, unit: Unit) -> Vec<String> {
    let (low, high) = measure.range;
    let fits = |other: &Unit| other.convert(written, measure.unit).is_some_and(|value| (low..=high).contains(&value));
    let others = Unit::ALL.iter().map(|(other, _)| *other).filter(|other| *other != unit && fits(other));
    others.map(|other| format!("{{ value = {written}, unit = \"{}\" }}", other.word())).collect()
}

fn measured(reader: &mut Reader<'_>, node: &Node, measure: &Measure, unit: Unit) -> Option<Value> {
    let written = node.number()?;
    let value = unit.convert(written, measure.unit)?;
    let (low, high) = measure.range;
    // A value turned from another unit may miss the end of the range by rounding alone.
    let rounding = 1e-9 * high.abs().max(low.abs());
    if value < low - rounding || value > high + rounding {
        let found = format!("{written} {}", unit.word());
        let range = format!("{low} to {high} {}", measure.unit.word());
        let fits = fitting(measure, written, unit);
        reader.rule(node.span, RuleBroken::OutsideRange { found, range, fits });
        return None;
    }
    Some(Value::Measure(value.clamp(low, high)))
}
