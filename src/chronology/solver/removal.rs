//! Which voices to set aside: exact lightest hitting sets of irreducible conflicts.
//!
//! A removal is a set of voices that meets every conflict and none of whose members could be put back. Voices in all
//! removals that weigh less than one more than the lightest are set aside; voices in some of them are contested.

use crate::chronology::solver::removal::problem::Problem;
use crate::chronology::solver::removal::search::{Fixed, Search};
use crate::knowledge::Standing;
use crate::resolve::leaders::Leaders;

mod bound;
mod problem;
mod search;
mod state;

/// How many decisions a knot's search may take before all its voices are contested.
///
/// The largest of the measured knots of 200 voices (`tests/removal.rs`) took under a tenth of it.
pub const STEPS: u64 = 5_000_000;

/// One whole weight, in quarters: removals within it of the lightest are not told apart.
const MARGIN: u32 = 4;

/// Gives each voice's standing, or nothing where the search would take more than the given steps.
///
/// Voices are numbers below `weights.len()`, each in at least one conflict; weights are quarters.
///
/// ```
/// use bartack::knowledge::Standing;
/// use bartack::chronology::solver::removal;
/// // Two light voices against one heavy one.
/// let standings = removal::standings(&[vec![0, 2], vec![1, 2]], &[4, 4, 16], removal::STEPS);
/// assert_eq!(standings, Some(vec![Standing::SetAside, Standing::SetAside, Standing::Kept]));
/// ```
pub fn standings(conflicts: &[Vec<u32>], weights: &[u32], steps: u64) -> Option<Vec<Standing>> {
    let mut standings = vec![Standing::Kept; weights.len()];
    let mut open = components(conflicts.to_vec(), weights.len());
    let mut steps_left = steps;
    while let Some(component) = open.pop() {
        let rest = decide(&component, weights, &mut steps_left, &mut standings)?;
        open.extend(components(rest, weights.len()));
    }
    Some(standings)
}

/// Decides the voices of conflicts that hang together; gives the conflicts that what was set aside does not meet.
fn decide(
    conflicts: &[Vec<u32>],
    weights: &[u32],
    steps: &mut u64,
    standings: &mut [Standing],
) -> Option<Vec<Vec<u32>>> {
    let problem = Problem::new(conflicts, weights);
    let mut search = Search { problem: &problem, steps };
    let (least, lightest) = search.lightest(&Fixed::default(), u32::MAX)?.expect("removing every voice leaves nothing");
    let limit = least + MARGIN;
    let mut needed = Vec::new();
    for voice in &lightest {
        let without = Fixed { kept: vec![*voice], ..Fixed::default() };
        if search.lightest(&without, limit)?.is_none() {
            needed.push(*voice);
        }
    }
    if needed.is_empty() {
        for voice in in_some_removal(&mut search, conflicts, lightest, limit)? {
            standings[problem.name(voice) as usize] = Standing::Contested;
        }
        return Some(Vec::new());
    }
    let needed: Vec<u32> = needed.into_iter().map(|voice| problem.name(voice)).collect();
    for voice in &needed {
        standings[*voice as usize] = Standing::SetAside;
    }
    // Every removal near the lightest holds what is needed; the rest of it is a removal of the conflicts left over.
    let unmet = |conflict: &&Vec<u32>| !conflict.iter().any(|voice| needed.contains(voice));
    Some(conflicts.iter().filter(unmet).cloned().collect())
}

/// Lists the voices of all removals that weigh less than the limit.
///
/// A voice is in such a removal exactly when some conflict is met by it alone: the lightest way to arrange that is a
/// removal, since dropping a member that is not needed would be lighter still.
fn in_some_removal(search: &mut Search<'_>, conflicts: &[Vec<u32>], known: Vec<u32>, limit: u32) -> Option<Vec<u32>> {
    let mut found = vec![false; search.problem.len()];
    known.into_iter().for_each(|voice| found[voice as usize] = true);
    for voice in 0..search.problem.len() as u32 {
        if found[voice as usize] {
            continue;
        }
        // Most voices are too heavy beside whatever else has to go.
        let with_it = Fixed { removed: vec![voice], ..Fixed::default() };
        let Some((_, removal)) = search.lightest(&with_it, limit)? else { continue };
        if search.problem.needs(&removal, voice) {
            removal.into_iter().for_each(|member| found[member as usize] = true);
            continue;
        }
        for conflict in 0..conflicts.len() {
            if found[voice as usize] {
                break;
            }
            if search.problem.conflicts[conflict].contains(&voice) {
                let others = search.problem.conflicts[conflict].iter().copied().filter(|other| *other != voice);
                let fixed = Fixed { kept: others.collect(), removed: vec![voice] };
                if let Some((_, removal)) = search.lightest(&fixed, limit)? {
                    removal.into_iter().for_each(|member| found[member as usize] = true);
                }
            }
        }
    }
    Some((0..found.len() as u32).filter(|voice| found[*voice as usize]).collect())
}

/// Splits conflicts into those that hang together through shared voices.
fn components(conflicts: Vec<Vec<u32>>, voices: usize) -> Vec<Vec<Vec<u32>>> {
    let mut leaders = Leaders::new(voices);
    for conflict in &conflicts {
        conflict.windows(2).for_each(|pair| leaders.unite(pair[0], pair[1]));
    }
    let mut parts = std::collections::BTreeMap::<u32, Vec<Vec<u32>>>::new();
    for conflict in conflicts {
        parts.entry(leaders.of(conflict[0])).or_default().push(conflict);
    }
    parts.into_values().collect()
}
