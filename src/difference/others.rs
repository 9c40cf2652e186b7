//! How many conclusions of other people's entries moved.

use crate::difference::{Cause, Difference, Others};

/// Counts what rests on entries of other people, in the changes found so far.
pub(super) fn count(difference: &Difference) -> Others {
    let is_others = |cause: &Cause| cause.is_others;
    let bounds = difference.eras.iter().flat_map(|era| &era.bounds);
    let of_lines = difference.lines.iter().flat_map(|pair| &pair.verdicts);
    let verdicts = difference.verdicts.iter().flat_map(|pair| &pair.verdicts).chain(of_lines);
    Others {
        bounds: bounds.filter(|bound| is_others(&bound.cause)).count(),
        conflicts: difference.conflicts.iter().filter(|conflict| is_others(&conflict.cause)).count(),
        voices: difference.voices.iter().filter(|voice| is_others(&voice.cause)).count(),
        verdicts: verdicts.filter(|verdict| verdict.from.is_some() && is_others(&verdict.cause)).count(),
    }
}
