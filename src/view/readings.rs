//! Turns the readings of an observation into rows: what each feature showed, and why it may not count.

pub mod codes;
pub mod uncounted;

use serde::Serialize;

use crate::date::edtf::Edtf;
use crate::record::observation::{Basis, JudgedFrom, MadeBy, Observation, Reading, Value};
use crate::resolve::Catalog;
use crate::source::FileId;
use crate::view::leaf::{Leaf, spaced};
use crate::view::path;
use crate::vocabulary::measure;
use crate::vocabulary::{Feature, Kind};

/// The readings of one part of the garment.
#[derive(Debug, Serialize)]
pub struct ZoneView {
    name: String,
    rows: Vec<ReadingView>,
}

impl ZoneView {
    /// Says whether any of its readings has a remark or a note.
    pub fn has_remarks(&self) -> bool {
        self.rows.iter().any(|row| !row.remarks.is_empty() || row.note.is_some())
    }
}

/// What one feature showed.
#[derive(Debug, Serialize)]
pub struct ReadingView {
    anchor: String,
    feature: String,
    look: String,
    value: String,
    remarks: Vec<&'static str>,
    note: Option<String>,
}

/// Puts the readings of an observation into words, by the part of the garment, in the vocabulary's order.
pub fn of(leaf: &Leaf<'_>, observation: &Observation) -> Vec<ZoneView> {
    let mut zones: Vec<ZoneView> = Vec::new();
    for feature in leaf.catalog().vocabulary.iter() {
        let Some(reading) = observation.features.get(&feature.id) else { continue };
        let name = feature.zone.as_deref().map_or_else(|| "elsewhere".to_string(), spaced);
        let row = view(feature, reading, observation);
        match zones.iter_mut().find(|zone| zone.name == name) {
            Some(zone) => zone.rows.push(row),
            None => zones.push(ZoneView { name, rows: vec![row] }),
        }
    }
    zones
}

fn view(feature: &Feature, reading: &Reading, observation: &Observation) -> ReadingView {
    ReadingView {
        anchor: path::claim_anchor(&format!("features.{}", feature.id)),
        feature: feature.name.clone(),
        look: feature.look.clone(),
        value: value(feature, &reading.value),
        remarks: remarks(feature, reading, observation),
        note: reading.note.clone(),
    }
}

/// Writes what a reading shows, with its unit.
pub fn value(feature: &Feature, value: &Value) -> String {
    match (value, &feature.kind) {
        (Value::State(state), _) => feature.label(state.as_str()),
        (Value::Count(count), _) => count.to_string(),
        (Value::Measure(number), Kind::Measure(measure)) => measure::words(*number, measure.unit),
        (Value::Measure(number) | Value::Number(number), _) => number.to_string(),
        (Value::Code(code), _) => code.clone(),
        (Value::Absent, _) => "absent: looked for, was never there".to_string(),
        (Value::Lost, _) => "lost: gone, or impossible to tell".to_string(),
        (Value::Other(words), _) => format!("other: {words}"),
    }
}

/// Why a reading counts for less than it seems to.
fn remarks(feature: &Feature, reading: &Reading, observation: &Observation) -> Vec<&'static str> {
    let names = |from: &JudgedFrom| matches!(from, JudgedFrom::Feature(named) if *named == feature.id);
    let mut remarks = Vec::new();
    if feature.retired.is_some() {
        remarks.push("no longer recorded: shown, not counted");
    }
    if reading.altered {
        remarks.push("altered: shown, never evidence");
    }
    if reading.unsure {
        remarks.push("unsure: shown, not counted");
    }
    if observation.placed_from.iter().any(|from| names(&from.value)) {
        remarks.push("the variant was judged from this");
    }
    if observation.made_from.iter().flatten().any(|from| names(&from.value)) {
        remarks.push("the date was judged from this");
    }
    remarks
}

/// The kind of object examined, in words.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Specimen => "garment",
        Basis::Document => "document",
        Basis::Statement => "statement",
    }
}

/// The date of an observation: its own, or on a document that of its first source.
pub fn date<'a>(catalog: &'a Catalog, file: FileId, observation: &'a Observation) -> Option<&'a Edtf> {
    if let Some(made) = &observation.made {
        return Some(&made.value);
    }
    let first = observation.sources.first().filter(|_| observation.basis.value == Basis::Document)?;
    catalog.cited(catalog.source_named(file, &first.value.id)?).date.as_ref()
}

/// How an observation's date is known, in words.
pub fn dated_by(observation: &Observation) -> Option<&'static str> {
    match (observation.basis.value, &observation.made) {
        (Basis::Document, Some(_)) => return Some("date of the document"),
        (Basis::Document, None) => return Some("date of its source"),
        (_, None) => return None,
        (_, Some(_)) => (),
    }
    Some(match observation.made_by.as_ref().map(|by| by.value) {
        Some(MadeBy::Mark) => "marked on the garment",
        Some(MadeBy::Paper) => "by a paper with it",
        Some(MadeBy::Key) => "a code read through a key",
        Some(MadeBy::Estimate) | None => "estimated",
    })
}
