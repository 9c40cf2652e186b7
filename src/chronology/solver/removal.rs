//! Which voices to set aside: exact lightest hitting sets of irreducible conflicts, which are found as they are needed.
//!
//! A removal is a set of voices that meets every conflict and none of whose members could be put back. Voices in all
//! removals that weigh less than one more than the lightest are set aside; voices in some of them are contested. The
//! lightest removal of the known conflicts may leave no contradiction: then it is the lightest of all. Otherwise the
//! conflicts it leaves refute it (Reiter 1987; implicit hitting sets: Davies and Bacchus 2011).

use std::collections::BTreeMap;

use crate::chronology::solver::members::Members;
use crate::chronology::solver::probe::Probe;
use crate::chronology::solver::removal::conflict_set::ConflictSet;
use crate::chronology::solver::removal::search::{Fixed, Search};
use crate::knowledge::Standing;

mod bound;
mod conflict_set;
mod problem;
mod search;
mod state;

/// How many steps one run of the program may take in all to find what becomes of contradictory voices.
///
/// A knot may take half of what is left when its turn comes; past that, all its voices are contested. Of what the
/// conclusions leave, half goes to the conflicts without settled disputes, half to leaving pieces out.
///
/// One step pays for one of three things. A decision of the search for a removal costs one, and one more for every 512
/// voices of the conflicts it looks at. A piece of a path to the smallest conflict of a voice costs one. So do 8192
/// looks at a constraint, with one more for each question to the constraints. The largest of the measured knots of 200
/// voices (`tests/removal.rs`) takes under a half. One pass through time (`sweep`) takes a step for 16,384 looks at
/// what can come next.
pub const STEPS: u64 = 400_000;

/// The most steps for asking what would change without one piece.
const WITHOUT: u64 = 5_000;

/// The steps for each such question, from the steps left and the number of voices to ask about.
pub fn share(steps_left: u64, voices: usize) -> u64 {
    (steps_left / 2 / voices.max(1) as u64).min(WITHOUT)
}

/// One whole weight, in quarters: removals within it of the lightest are not told apart.
pub const MARGIN: u32 = 4;

/// Gives each voice's standing when all conflicts are known, or `None` if that takes more than the given steps.
///
/// Voices are numbers below `weights.len()`; weights are quarters.
///
/// ```
/// use bartack::{chronology::solver::removal, knowledge::Standing};
/// // Two light voices against one heavy one.
/// let standings = removal::standings(&[vec![0, 2], vec![1, 2]], &[4, 4, 16], &mut removal::STEPS.clone());
/// assert_eq!(standings, Some(vec![Standing::SetAside, Standing::SetAside, Standing::Kept]));
/// ```
pub fn standings(conflicts: &[Vec<u32>], weights: &[u32], steps: &mut u64) -> Option<Vec<Standing>> {
    Removals::new(conflicts.to_vec(), weights, None, steps).standings()
}

/// A search for removals near the lightest.
pub struct Removals<'a> {
    known: ConflictSet<'a>,
    /// Finds conflicts that are not known yet; nothing where all are.
    probe: Option<&'a Probe<'a>>,
    steps: &'a mut u64,
    /// The lightest removal.
    lightest: Members,
    /// The voices that are known to be in some removal near the lightest.
    in_some: Members,
    /// A voice of the part that is looked at.
    at: Option<u32>,
}

/// The kind of lightest removal to find: with one voice, or without it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Question {
    With(u32),
    Without(u32),
}

/// Whether a voice is a needed part of a removal.
enum Need {
    Needed,
    /// It could be put back, unless at least one of these stays.
    UnlessOneStays(Vec<u32>),
}

impl<'a> Removals<'a> {
    /// Begins with the conflicts known so far, and what finds more.
    pub fn new(
        conflicts: Vec<Vec<u32>>,
        weights: &'a [u32],
        probe: Option<&'a Probe<'a>>,
        steps: &'a mut u64,
    ) -> Removals<'a> {
        let none = Members::none(weights.len());
        Removals {
            known: ConflictSet::new(conflicts, weights),
            probe,
            steps,
            lightest: none.clone(),
            in_some: none,
            at: None,
        }
    }

    /// A voice of the part that was looked at last.
    pub fn at(&self) -> Option<u32> {
        self.at
    }

    /// Leaves voices out as if they were not there.
    pub fn leave_out(&mut self, voices: &Members) {
        self.known.leave_out(voices);
    }

    /// Every conflict found so far.
    pub fn into_conflicts(self) -> Vec<Vec<u32>> {
        self.known.into_conflicts()
    }

    /// Gives each voice's standing, unless the steps run out.
    pub fn standings(&mut self) -> Option<Vec<Standing>> {
        self.find_lightest()?;
        let in_all = self.in_all()?;
        self.known.leave_out(&in_all);
        self.lightest = self.lightest.without(&in_all);
        self.find_in_some()?;
        let standing = |voice| match (in_all.contains(voice), self.in_some.contains(voice)) {
            (true, _) => Standing::SetAside,
            (false, true) => Standing::Contested,
            (false, false) => Standing::Kept,
        };
        Some((0..self.known.weights.len() as u32).map(standing).collect())
    }

    /// Finds the lightest removal of the known conflicts, until it is one of all conflicts.
    fn find_lightest(&mut self) -> Option<()> {
        let mut solved = BTreeMap::<Vec<u32>, Vec<u32>>::new();
        loop {
            let mut removal = Members::none(self.known.weights.len());
            for part in self.known.parts() {
                if !solved.contains_key(&part) {
                    let problem = self.known.problem(&part, &[], None);
                    self.at = Some(problem.name(0));
                    let mut search = Search { problem: &problem, steps: self.steps };
                    let found = search.lightest(&Fixed::default(), u32::MAX)?;
                    solved.insert(part.clone(), found.expect("removing every voice leaves nothing"));
                }
                solved[&part].iter().for_each(|voice| removal.insert(*voice));
            }
            if !self.is_refuted(&removal, None)? {
                self.in_some = removal.clone();
                self.lightest = removal;
                return Some(());
            }
        }
    }

    /// The voices in all removals near the lightest: the voices of one removal, less any that
    /// another removal can spare.
    fn in_all(&mut self) -> Option<Members> {
        let mut in_all = self.lightest.clone();
        for voice in self.lightest.clone().iter() {
            if !in_all.contains(voice) {
                continue;
            }
            if let Some(other) = self.ask(Question::Without(voice))? {
                in_all = in_all.shared(&other);
                self.in_some.join(&other);
            }
        }
        Some(in_all)
    }

    /// Finds the voices of some removal near the lightest, besides the voices in all of them.
    fn find_in_some(&mut self) -> Option<()> {
        for voice in 0..self.known.weights.len() as u32 {
            if self.in_some.contains(voice) || !self.may_be_in_some(voice) {
                continue;
            }
            if let Some(removal) = self.ask(Question::With(voice))? {
                self.in_some.join(&removal);
            }
        }
        Some(())
    }

    /// Says whether a voice can be in a removal near the lightest: what no known conflict needs comes on top of it.
    fn may_be_in_some(&self, voice: u32) -> bool {
        let is_light = self.known.weights[voice as usize] < MARGIN;
        self.known.has(voice) || self.probe.is_some() && is_light && !self.known.is_left_out(voice)
    }

    /// Finds the lightest removal that answers a question, if it is near the lightest of all.
    fn ask(&mut self, question: Question) -> Option<Option<Members>> {
        let mut needs: Vec<Vec<u32>> = Vec::new();
        loop {
            let (voice, fixed) = question.parts();
            self.at = Some(voice);
            let part = self.known.part_of(voice, &needs);
            let problem = self.known.problem(&part.conflicts, &needs, Some(voice));
            let limit = self.known.weight(&self.lightest.shared(&part.voices)) + MARGIN;
            let mut search = Search { problem: &problem, steps: self.steps };
            let Some(found) = search.lightest(&fixed, limit)? else { return Some(None) };
            let mut removal = self.lightest.without(&part.voices);
            found.into_iter().for_each(|voice| removal.insert(voice));
            if self.is_refuted(&removal, Some(voice).filter(|_| question == Question::Without(voice)))? {
                continue;
            }
            match self.need(question, &removal)? {
                Need::Needed => return Some(Some(removal)),
                Need::UnlessOneStays(voices) if voices.is_empty() => return Some(None),
                Need::UnlessOneStays(voices) => needs.push(voices),
            }
        }
    }

    /// Adds conflicts that a removal does not meet; says whether there are any. One voice is not to be removed.
    ///
    /// Voices that would meet each of them cheaply are removed too, so that many are found before the next search.
    fn is_refuted(&mut self, removal: &Members, kept: Option<u32>) -> Option<bool> {
        let Some(probe) = self.probe else { return Some(false) };
        let mut stays = self.known.all_but(removal);
        let mut is_refuted = false;
        loop {
            let found = probe.conflict(&stays);
            probe.pay(self.steps)?;
            let Some(conflict) = found else { return Some(is_refuted) };
            is_refuted = true;
            self.known.add(conflict.iter().collect());
            let removable = conflict.iter().filter(|voice| Some(*voice) != kept);
            let Some(chosen) = self.known.cheapest(removable) else { return Some(true) };
            stays.remove(chosen);
        }
    }

    /// Says whether a removal needs the voice that was asked for.
    ///
    /// One that weighs one or more is needed by the lightest set that holds it: without it, the set would be lighter
    /// than the lightest removal. A lighter voice may come on top of a removal, and be no part of any.
    fn need(&mut self, question: Question, removal: &Members) -> Option<Need> {
        let Question::With(voice) = question else { return Some(Need::Needed) };
        if self.known.weights[voice as usize] >= MARGIN {
            return Some(Need::Needed);
        }
        let mut with_it = self.known.all_but(removal);
        with_it.insert(voice);
        *self.steps = self.steps.checked_sub(1)?;
        let conflict = self.probe.and_then(|probe| probe.conflict(&with_it));
        self.probe.map_or(Some(()), |probe| probe.pay(self.steps))?;
        if let Some(conflict) = &conflict {
            self.known.add(conflict.iter().collect());
        }
        if conflict.is_some() || self.known.involves(voice, &with_it) {
            return Some(Need::Needed);
        }
        self.what_it_lacks(voice, removal, with_it).map(Need::UnlessOneStays)
    }

    /// The removed voices without which a voice is in no conflict, as few as will do.
    fn what_it_lacks(&mut self, voice: u32, removal: &Members, mut stays: Members) -> Option<Vec<u32>> {
        let mut lacking = Vec::new();
        for other in removal.iter().filter(|other| *other != voice) {
            *self.steps = self.steps.checked_sub(1)?;
            stays.insert(other);
            let involves = match self.probe {
                Some(probe) => probe.may_involve(voice, &stays),
                None => self.known.involves(voice, &stays),
            };
            if involves {
                stays.remove(other);
                lacking.push(other);
            }
        }
        Some(lacking)
    }
}

impl Question {
    /// The voice it is about, and what that fixes.
    fn parts(self) -> (u32, Fixed) {
        match self {
            Question::With(voice) => (voice, Fixed { removed: vec![voice], ..Fixed::default() }),
            Question::Without(voice) => (voice, Fixed { kept: vec![voice], ..Fixed::default() }),
        }
    }
}
