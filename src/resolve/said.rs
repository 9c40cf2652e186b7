//! The statements of a record that disputes can name: its claims, its date, its placing, its
//! readings, its keys.

use crate::record::observation::{Basis, Placement, Value};
use crate::record::{Content, Record};

/// The names of what disputes can be about and settled ones can set aside, after the `#`.
pub fn parts(record: &Record) -> Vec<String> {
    let claims = record.content.claims().iter();
    let mut parts: Vec<String> =
        claims.map(|claim| claim.id.as_ref().map_or_else(|| claim.number.to_string(), |id| id.value.clone())).collect();
    if matches!(record.content, Content::Source(_) | Content::Key(_)) || !record.content.local_sources().is_empty() {
        parts.push("key".to_string());
    }
    let Some(observation) = record.content.observation() else { return parts };
    // A document without a date has that of its first source, and a specimen what a key reads from its code.
    let is_specimen = observation.basis.value == Basis::Specimen;
    let has_code = || observation.features.values().any(|reading| matches!(reading.value, Value::Code(_)));
    if observation.made.is_some() || observation.basis.value == Basis::Document || (is_specimen && has_code()) {
        parts.push("made".to_string());
    }
    if is_specimen && matches!(observation.placement, Placement::Variant(_)) {
        parts.push("seen".to_string());
    }
    parts.extend(observation.features.keys().map(|feature| format!("features.{feature}")));
    parts
}
