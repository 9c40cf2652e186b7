//! Solves a tangle of few days in one pass through time, however many voices it has.
//!
//! The days are taken in order. What follows depends only on which unknowns already have their days. So for each such
//! set the least weight of voices that do not hold is computed once, from the end of time back (dynamic programming
//! over sets: Held and Karp 1962). The voices that then do not hold are a removal, and every removal is found this way.
//! The work grows with the number of sets and of days that voices name, not with the number of conflicts.

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
/// Gives `None` and takes no steps in four cases: the unknowns can be placed in too many orders; several constraints of
/// one voice can fail together; a constraint stands on two voices; the steps are too few.
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

/// The standing of a voice, from whether any removal near the lightest holds it and any does without it.
fn standing(is_in_some: bool, is_left_by_some: impl Fn() -> bool) -> Standing {
    match is_in_some {
        false => Standing::Kept,
        true if is_left_by_some() => Standing::Contested,
        true => Standing::SetAside,
    }
}
