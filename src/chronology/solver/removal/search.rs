//! Depth-first search for the lightest hitting set.

use crate::chronology::solver::removal::bound::Prices;
use crate::chronology::solver::removal::state::State;

/// Conflicts renumbered so that their voices are `0..len`.
pub struct Problem {
    names: Vec<u32>,
    /// The weight of each voice.
    pub weights: Vec<u32>,
    /// What every sum of weights is a multiple of.
    pub unit: u32,
    /// The voices of each conflict, sorted.
    pub conflicts: Vec<Vec<u32>>,
    /// The conflicts of each voice.
    pub occurrences: Vec<Vec<u32>>,
    /// The voices that each voice cannot hold beside, from conflicts of two.
    pub opponents: Vec<Vec<u32>>,
}

impl Problem {
    /// Takes conflicts over any numbers, with weights by number.
    pub fn new(conflicts: &[Vec<u32>], weights: &[u32]) -> Problem {
        let mut names: Vec<u32> = conflicts.iter().flatten().copied().collect();
        names.sort_unstable();
        names.dedup();
        let number = |voice: &u32| names.binary_search(voice).map_or(0, |at| at as u32);
        let conflicts: Vec<Vec<u32>> = conflicts.iter().map(|set| set.iter().map(number).collect()).collect();
        let mut occurrences = vec![Vec::new(); names.len()];
        let mut opponents = vec![Vec::new(); names.len()];
        for (index, conflict) in conflicts.iter().enumerate() {
            conflict.iter().for_each(|voice| occurrences[*voice as usize].push(index as u32));
            if let [one, other] = conflict[..] {
                opponents[one as usize].push(other);
                opponents[other as usize].push(one);
            }
        }
        let weights: Vec<u32> = names.iter().map(|name| weights[*name as usize]).collect();
        let unit = weights.iter().copied().fold(0, greatest_common_divisor).max(1);
        Problem { names, weights, unit, conflicts, occurrences, opponents }
    }

    /// Says whether a removal meets some conflict by this one of its voices alone, so that it could not be put back.
    pub fn needs(&self, removal: &[u32], voice: u32) -> bool {
        let is_gone = |other: &&u32| removal.contains(other);
        let mut own = self.occurrences[voice as usize].iter().map(|conflict| &self.conflicts[*conflict as usize]);
        own.any(|conflict| conflict.iter().filter(is_gone).count() == 1)
    }

    /// Counts the voices.
    pub fn len(&self) -> usize {
        self.names.len()
    }

    /// Counts the opponents of a voice.
    pub fn degree(&self, voice: u32) -> usize {
        self.opponents[voice as usize].len()
    }

    /// The number a voice had before.
    pub fn name(&self, voice: u32) -> u32 {
        self.names[voice as usize]
    }
}

/// Voices that a search may not decide.
#[derive(Default)]
pub struct Fixed {
    /// These stay.
    pub kept: Vec<u32>,
    /// These go.
    pub removed: Vec<u32>,
}

/// A weight and the voices removed for it.
pub type Removal = (u32, Vec<u32>);

/// A decision counts as one more step for each time so many conflicts, which all may have to be looked at.
const CONFLICTS_A_STEP: usize = 256;

/// A search that counts its steps.
pub struct Search<'a> {
    /// What is searched.
    pub problem: &'a Problem,
    /// How many more decisions it may take.
    pub steps: &'a mut u64,
}

impl Search<'_> {
    /// Finds the lightest hitting set below a limit, if there is one; the outer `None` says that the steps ran out.
    pub fn lightest(&mut self, fixed: &Fixed, limit: u32) -> Option<Option<Removal>> {
        let mut state = State::new(self.problem);
        let possible =
            fixed.removed.iter().all(|voice| state.remove(*voice)) && fixed.kept.iter().all(|voice| state.keep(*voice));
        let mut best: Option<Removal> = None;
        if possible {
            self.descend(&mut state, limit, &mut best)?;
        }
        Some(best)
    }

    /// Walks the tree of decisions; each is first to remove a voice, then to keep it.
    fn descend(&mut self, state: &mut State<'_>, limit: u32, best: &mut Option<Removal>) -> Option<()> {
        let mut decisions: Vec<(u32, usize)> = Vec::new();
        let mut prices = Prices::new(self.problem);
        loop {
            *self.steps = self.steps.checked_sub(1 + (self.problem.conflicts.len() / CONFLICTS_A_STEP) as u64)?;
            let below = best.as_ref().map_or(limit, |(weight, _)| *weight);
            state.keep_dominated();
            let open = state.weight < below && !prices.reach(state, below - state.weight);
            match open.then(|| state.choose()) {
                Some(Some(voice)) => {
                    decisions.push((voice, state.trail.len()));
                    state.remove(voice);
                    continue;
                }
                Some(None) => *best = Some((state.weight, state.removed())),
                None => {}
            }
            if !back(state, &mut decisions) {
                return Some(());
            }
        }
    }
}

/// Takes back decisions until one is left to take the other way; says whether there was one.
fn back(state: &mut State<'_>, decisions: &mut Vec<(u32, usize)>) -> bool {
    while let Some((voice, trail)) = decisions.pop() {
        state.undo(trail);
        if state.keep(voice) {
            return true;
        }
        state.undo(trail);
    }
    false
}

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}
