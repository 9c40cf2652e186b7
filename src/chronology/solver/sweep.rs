//! A tangle of few days, solved by one pass through time: what becomes of its voices, however many they are.
//!
//! The days are taken in order. Which unknowns already have theirs is all that what follows depends on, so for each such
//! set the least weight of voices that do not hold is worked out once, from the end of time to its beginning (dynamic
//! programming over sets: Held and Karp 1962). The voices that do not hold then are a removal, and every removal is
//! found so. The work grows with the sets and the days at which something is said, not with the conflicts.

mod apart;
mod line;
mod near;
mod said;

use crate::chronology::solver::members::Members;
use crate::chronology::solver::removal::MARGIN;
use crate::chronology::solver::sweep::line::Line;
use crate::chronology::solver::sweep::near::Near;
use crate::chronology::solver::tangle::Tangle;
use crate::knowledge::Standing;

/// How many of the looks at one unknown's next day are worth a step.
const LOOKS_A_STEP: u64 = 16_384;

/// How many times the looks of one pass are counted: there and back, and the questions.
const PASSES: u64 = 3;

/// Gives each voice's standing without those that are gone, whose own is kept, and takes the steps that it needs.
///
/// Gives nothing, and takes nothing, where the unknowns can be placed in too many orders, where a voice has several
/// constraints that can fail together, where a constraint stands on two voices, or where the steps are too few.
pub fn standings(tangle: &Tangle, weights: &[u32], gone: &Members, steps: &mut u64) -> Option<Vec<Standing>> {
    let line = Line::of(tangle, weights, gone)?;
    let needed = 1 + (line.looks() * PASSES + near::MOST_LOOKS) / LOOKS_A_STEP;
    let left = steps.checked_sub(needed)?;
    let near = Near::of(&line, MARGIN)?;
    let voices = 0..weights.len() as u32;
    let standings = if voices.clone().any(|voice| near.is_in_doubt(voice, weights[voice as usize])) {
        let removals = near.removals(weights)?;
        let count = |voice| removals.iter().filter(|removal| removal.contains(voice)).count();
        voices.map(|voice| standing(count(voice) > 0, || count(voice) < removals.len())).collect()
    } else {
        voices.map(|voice| standing(near.is_in_some(voice), || near.is_left_by_some(voice))).collect()
    };
    *steps = left;
    Some(standings)
}

/// What becomes of a voice that is in some removals near the lightest, or none, and that some may do without.
fn standing(is_in_some: bool, is_left_by_some: impl Fn() -> bool) -> Standing {
    match is_in_some {
        false => Standing::Kept,
        true if is_left_by_some() => Standing::Contested,
        true => Standing::SetAside,
    }
}
