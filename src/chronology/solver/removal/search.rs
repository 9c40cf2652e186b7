//! Depth-first search for the lightest hitting set.

use crate::chronology::solver::removal::bound::Prices;
use crate::chronology::solver::removal::problem::Problem;
use crate::chronology::solver::removal::state::State;

/// Voices that a search may not decide.
#[derive(Default)]
pub struct Fixed {
    /// These stay.
    pub kept: Vec<u32>,
    /// These go.
    pub removed: Vec<u32>,
}

/// A weight and the voices removed for it.
struct Removal {
    weight: u32,
    voices: Vec<u32>,
}

/// A decision counts as one more step for each time so many voices of conflicts, which all may have to be looked at.
const VOICES_A_STEP: usize = 512;

/// A search that counts its steps.
pub struct Search<'a> {
    /// The problem to search.
    pub problem: &'a Problem,
    /// How many more decisions it may take.
    pub steps: &'a mut u64,
}

impl Search<'_> {
    /// Finds the lightest hitting set below a limit, if there is one; the outer `None` says that the steps ran out.
    pub fn lightest(&mut self, fixed: &Fixed, limit: u32) -> Option<Option<Vec<u32>>> {
        let mut state = State::new(self.problem);
        let (removed, kept) = (self.problem.numbers(&fixed.removed), self.problem.numbers(&fixed.kept));
        let is_possible =
            removed.iter().all(|voice| state.remove(*voice)) && kept.iter().all(|voice| state.keep(*voice));
        let mut best: Option<Removal> = None;
        if is_possible {
            self.descend(&mut state, limit, &mut best)?;
        }
        let named = |removal: Removal| removal.voices.iter().map(|voice| self.problem.name(*voice)).collect();
        Some(best.map(named))
    }

    /// Walks the tree of decisions; each is first to remove a voice, then to keep it.
    fn descend(&mut self, state: &mut State<'_>, limit: u32, best: &mut Option<Removal>) -> Option<()> {
        let mut decisions: Vec<(u32, usize)> = Vec::new();
        let mut prices = Prices::new(self.problem);
        loop {
            *self.steps = self.steps.checked_sub(1 + (self.problem.size / VOICES_A_STEP) as u64)?;
            let below = best.as_ref().map_or(limit, |removal| removal.weight);
            state.keep_dominated();
            let can_better = state.weight < below
                && !prices.reach(state, below - state.weight)
                && prices.fix(state, below - state.weight);
            // Decisions by price may have raised the state to the weight.
            let open = can_better && state.weight < below;
            match open.then(|| state.choose()) {
                Some(Some(voice)) => {
                    decisions.push((voice, state.trail.len()));
                    if state.remove(voice) {
                        continue;
                    }
                }
                Some(None) => *best = Some(Removal { weight: state.weight, voices: state.removed() }),
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
