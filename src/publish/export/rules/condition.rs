//! Exports a landmark's condition; its kind says how to read it.

use crate::publish::export::rules::format::Condition;
use crate::record::landmark;

/// Exports a condition with all its parts.
pub fn export(condition: &landmark::Condition) -> Condition<'_> {
    match condition {
        landmark::Condition::State { feature, state } => {
            Condition::State { feature: feature.as_str(), state: state.as_str() }
        }
        landmark::Condition::Range { feature, from, to } => {
            Condition::Range { feature: feature.as_str(), from: *from, to: *to }
        }
        landmark::Condition::Any(parts) => Condition::Any { of: parts.iter().map(export).collect() },
        landmark::Condition::All(parts) => Condition::All { of: parts.iter().map(export).collect() },
    }
}
