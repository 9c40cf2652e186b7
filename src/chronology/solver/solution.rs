//! Solves a tangle: the standing of each voice, and the smallest conflict of each voice that is set
//! aside or contested.
//!
//! The smallest conflicts are listed first; the rest are found on demand.

use std::cell::OnceCell;

use crate::chronology::solver::conflict::{self, Listing, count};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::probe::Probe;
use crate::chronology::solver::removal::Removals;
use crate::chronology::solver::smallest::Smallest;
use crate::chronology::solver::sweep;
use crate::chronology::solver::tangle::Tangle;
use crate::knowledge::{Standing, VoiceIndex};

/// The standings of the voices of a tangle, by their numbers.
#[derive(Clone, Debug, Default)]
pub struct Solution {
    pub standings: Vec<Standing>,
    /// For each that is set aside or contested, its smallest conflict; each set sorted.
    pub listed: Vec<Vec<u32>>,
    /// The first voice of each knot that was not searched to the end.
    pub unsearched: Vec<u32>,
    /// The conflicts behind the standings; `None` if a knot has too many.
    conflicts: Option<Vec<Vec<u32>>>,
    /// Whether these are all.
    is_complete: bool,
    /// Whether it was found by one pass through time, without conflicts.
    is_swept: bool,
}

/// With fewer steps left than this, every knot that is not settled yet is given up at once.
const LAST_STEPS: u64 = 1_000;

/// How many partial and whole conflicts are listed for a step.
const LISTED_A_STEP: usize = 100;

/// With no more conflicts than this, finding which voices to remove is cheaper than a pass through time.
const FEW: usize = 300;

impl Solution {
    /// The conflicts found: all that decide the standings, or else the smallest of each voice.
    pub fn known(&self) -> &[Vec<u32>] {
        self.conflicts.as_ref().unwrap_or(&self.listed)
    }

    /// The standing of each voice without some of them; `None` if the answer takes more than the
    /// given steps.
    pub fn without(&self, tangle: &Tangle, gone: &[u32], weighed: &[u32], steps: &mut u64) -> Option<Vec<Standing>> {
        let gone = Members::of(weighed.len(), gone.iter().copied());
        if self.is_swept {
            return sweep::standings(tangle, weighed, &gone, steps);
        }
        let probe = Probe::new(tangle);
        let more = Some(&probe).filter(|_| !self.is_complete);
        let mut removals = Removals::new(self.conflicts.clone()?, weighed, more, steps);
        removals.leave_out(&gone);
        removals.standings()
    }
}

/// Solves a tangle in at most `steps`, and subtracts the steps taken.
///
/// A knot may take half of them before the solver gives it up, so that a hard knot leaves steps for
/// the others.
pub fn of(tangle: &Tangle, weights: &[u32], steps: &mut u64) -> Solution {
    beyond(conflict::LOOKED_AT, tangle, weights, steps)
}

/// Like [`of`], but lists conflicts only until so many were looked at.
pub fn beyond(looked_at: usize, tangle: &Tangle, weights: &[u32], steps: &mut u64) -> Solution {
    let probe = Probe::new(tangle);
    let listing = conflict::list(tangle, looked_at.min(*steps as usize * LISTED_A_STEP));
    *steps -= (listing.looked_at / LISTED_A_STEP) as u64;
    Solving { tangle, weights, listing, probe: &probe }.solve(steps)
}

/// For each voice the smallest of some sets with it, the first by number among equals.
fn smallest_of(sets: &[Vec<u32>], voices: usize) -> Vec<Option<&Vec<u32>>> {
    let mut smallest: Vec<Option<&Vec<u32>>> = vec![None; voices];
    let is_before = |one: &Vec<u32>, other: &Vec<u32>| (one.len(), one) < (other.len(), other);
    for set in sets {
        for voice in set {
            let own = &mut smallest[*voice as usize];
            if own.is_none_or(|own| is_before(set, own)) {
                *own = Some(set);
            }
        }
    }
    smallest
}

struct Solving<'a> {
    tangle: &'a Tangle,
    weights: &'a [u32],
    listing: Listing,
    probe: &'a Probe<'a>,
}

/// A search that ran out of steps.
struct Unfinished {
    /// The conflicts that it knew.
    conflicts: Vec<Vec<u32>>,
    /// A voice of the knot that it was looking at.
    at: Option<u32>,
}

/// Knots that are contested as a whole, and the smallest known conflict of each voice.
struct GivenUp {
    knots: Vec<Members>,
    smallest: Vec<Option<Vec<u32>>>,
}

impl Solving<'_> {
    /// Solves the tangle; contests the voices of knots with too many sets or steps.
    fn solve(&self, steps: &mut u64) -> Solution {
        if let Some(sets) = self.too_many(steps) {
            let given_up = self.full(sets, steps);
            return self.contest(&given_up, steps);
        }
        let share = *steps / 2;
        let mut left = share;
        let settled = self.settled(&mut left);
        *steps -= share - left;
        settled.unwrap_or_else(|unfinished| {
            let given_up = self.given_up(unfinished, *steps < LAST_STEPS);
            self.contest(&given_up, steps)
        })
    }

    fn settled(&self, steps: &mut u64) -> Result<Solution, Unfinished> {
        let none = Members::none(self.weights.len());
        let is_long = !self.listing.is_complete || self.listing.sets.len() > FEW;
        let swept = is_long.then(|| sweep::standings(self.tangle, self.weights, &none, steps));
        if let Some(standings) = swept.flatten() {
            let conflicts = || self.listing.sets.clone();
            let listed = self.listed(&doubted(&standings), steps);
            let listed = listed.map_err(|voice| Unfinished { conflicts: conflicts(), at: Some(voice) })?;
            let listed = listed.into_iter().flatten().collect();
            return Ok(Solution { standings, listed, is_swept: true, ..Solution::default() });
        }
        let more = Some(self.probe).filter(|_| !self.listing.is_complete);
        let mut removals = Removals::new(self.listing.sets.clone(), self.weights, more, steps);
        let Some(standings) = removals.standings() else {
            return Err(Unfinished { at: removals.at(), conflicts: removals.into_conflicts() });
        };
        let conflicts = removals.into_conflicts();
        match self.listed(&doubted(&standings), steps) {
            Ok(listed) => {
                let listed = listed.into_iter().flatten().collect();
                let is_complete = self.listing.is_complete;
                Ok(Solution { standings, listed, conflicts: Some(conflicts), is_complete, ..Solution::default() })
            }
            Err(voice) => Err(Unfinished { conflicts, at: Some(voice) }),
        }
    }

    /// The sets that were found, where a knot has too many.
    fn too_many(&self, steps: &mut u64) -> Option<Vec<Vec<u32>>> {
        if count::is_any_full(&self.listing.sets, self.tangle.voices.len()) {
            return Some(self.listing.sets.clone());
        }
        let sets = if self.listing.is_complete { None } else { count::too_many(self.tangle, self.probe, steps) };
        sets.map(|sets| sets.iter().map(|set| set.iter().collect()).collect())
    }

    /// The knots with too many sets.
    fn full(&self, mut sets: Vec<Vec<u32>>, steps: &mut u64) -> GivenUp {
        let count = self.tangle.voices.len();
        let all: Vec<u32> = (0..count as u32).collect();
        let smallest = self.listed(&all, steps).unwrap_or_else(|_| cloned(&smallest_of(&sets, count)));
        sets.extend(smallest.iter().flatten().cloned());
        GivenUp { knots: count::full(&sets, count), smallest }
    }

    /// The knot that a search did not finish, or all that are left: voices joined through the conflicts that were found.
    fn given_up(&self, unfinished: Unfinished, all: bool) -> GivenUp {
        let (count, mut conflicts) = (self.tangle.voices.len(), unfinished.conflicts);
        let mut stays = Members::all(count);
        conflicts.iter().flatten().for_each(|voice| stays.remove(*voice));
        while let Some(conflict) = self.probe.conflict(&stays) {
            stays = stays.without(&conflict);
            conflicts.push(conflict.iter().collect());
        }
        let mut knots = count::more_than(0, &conflicts, count);
        let is_meant = |knot: &Members| unfinished.at.is_some_and(|voice| knot.contains(voice));
        if !all && knots.iter().any(is_meant) {
            knots.retain(is_meant);
        }
        GivenUp { knots, smallest: cloned(&smallest_of(&conflicts, count)) }
    }

    /// Contests every voice of some knots and solves the rest without them.
    fn contest(&self, given_up: &GivenUp, steps: &mut u64) -> Solution {
        let count = self.tangle.voices.len();
        let mut solution = Solution { standings: vec![Standing::Kept; count], ..Solution::default() };
        for knot in &given_up.knots {
            solution.unsearched.extend(knot.iter().next());
            for voice in knot.iter() {
                solution.standings[voice as usize] = Standing::Contested;
                solution.listed.extend(given_up.smallest[voice as usize].clone());
            }
        }
        let left = |voice: VoiceIndex| !given_up.knots.iter().any(|knot| knot.contains(voice.0));
        for part in self.tangle.parts(left) {
            let weights: Vec<u32> = part.voices.iter().map(|voice| self.weights[voice.0 as usize]).collect();
            solution.take_over(&part, of(&part, &weights, steps));
        }
        solution
    }

    /// The smallest conflict of each of some voices that has one, or the voice at which the steps ran out.
    fn listed(&self, voices: &[u32], steps: &mut u64) -> Result<Vec<Option<Vec<u32>>>, u32> {
        let smallest = OnceCell::new();
        let in_listing = smallest_of(&self.listing.sets, self.tangle.voices.len());
        let mut listed = Vec::new();
        for voice in voices {
            let known = in_listing[*voice as usize].cloned();
            let is_certain = known.as_ref().is_some_and(|set| set.len() <= self.listing.up_to);
            listed.push(match is_certain || self.listing.is_complete {
                true => known,
                false => {
                    let smallest = smallest.get_or_init(|| Smallest::new(self.tangle, self.probe));
                    smallest.with(*voice, steps).ok_or(*voice)?.map(|set| set.iter().collect())
                }
            });
        }
        Ok(listed)
    }
}

/// The voices that are set aside or contested.
fn doubted(standings: &[Standing]) -> Vec<u32> {
    (0..).zip(standings).filter(|(_, standing)| **standing != Standing::Kept).map(|(voice, _)| voice).collect()
}

fn cloned(sets: &[Option<&Vec<u32>>]) -> Vec<Option<Vec<u32>>> {
    sets.iter().map(|set| set.cloned()).collect()
}

impl Solution {
    /// Copies the solution of a part of the tangle, whose voices have other numbers here.
    fn take_over(&mut self, part: &Tangle, solution: Solution) {
        let name = |voice: &u32| part.voices[*voice as usize].0;
        for (voice, standing) in part.voices.iter().zip(solution.standings) {
            self.standings[voice.0 as usize] = standing;
        }
        self.listed.extend(solution.listed.iter().map(|set| set.iter().map(name).collect()));
        self.unsearched.extend(solution.unsearched.iter().map(name));
    }
}
