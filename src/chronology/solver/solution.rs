//! A tangle to what becomes of each of its voices, and the smallest conflict of each that does not simply count.
//!
//! The smallest conflicts are listed first; where that is not all of them, the rest are found as they are needed.

use std::cell::OnceCell;

use crate::chronology::solver::conflict::{self, Listing, count};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::probe::Probe;
use crate::chronology::solver::removal::Removals;
use crate::chronology::solver::smallest::Smallest;
use crate::chronology::solver::tangle::Tangle;
use crate::knowledge::{Standing, VoiceIndex};

/// What becomes of the voices of a tangle, by their numbers.
#[derive(Clone, Debug, Default)]
pub struct Solution {
    /// What becomes of each.
    pub standings: Vec<Standing>,
    /// For each that is set aside or contested, its smallest conflict; each set sorted.
    pub listed: Vec<Vec<u32>>,
    /// The first voice of each knot that was not searched to the end.
    pub unsearched: Vec<u32>,
    /// The conflicts that it follows from; nothing where those of a knot are too many.
    conflicts: Option<Vec<Vec<u32>>>,
    /// Whether these are all.
    is_complete: bool,
}

/// How many steps it may take to find what would become of a tangle without one of its voices.
const WITHOUT: u64 = 5_000;

impl Solution {
    /// What would become of each voice if some were not there; nothing where that takes long to find out.
    pub fn without(&self, tangle: &Tangle, gone: &[u32], weights: &[u32]) -> Option<Vec<Standing>> {
        let probe = Probe::new(tangle);
        let more = Some(&probe).filter(|_| !self.is_complete);
        let mut steps = WITHOUT;
        let mut removals = Removals::new(self.conflicts.clone()?, weights, more, &mut steps);
        removals.leave_out(&Members::of(weights.len(), gone.iter().copied()));
        removals.standings()
    }
}

/// Solves a tangle with at most so many steps, which it takes off.
pub fn of(tangle: &Tangle, weights: &[u32], steps: &mut u64) -> Solution {
    beyond(conflict::LOOKED_AT, tangle, weights, steps)
}

/// As [`of`], listing conflicts only until so many were looked at.
pub fn beyond(looked_at: usize, tangle: &Tangle, weights: &[u32], steps: &mut u64) -> Solution {
    let probe = Probe::new(tangle);
    let solving = Solving { tangle, weights, listing: conflict::list(tangle, looked_at), probe: &probe };
    solving.solve(steps).unwrap_or_else(|| given_up(tangle, &solving.listing))
}

/// What becomes of voices where the steps ran out: nobody knows, so all are contested.
fn given_up(tangle: &Tangle, listing: &Listing) -> Solution {
    let listed = smallest_listed(listing, tangle.voices.len()).into_iter().flatten().cloned().collect();
    let standings = vec![Standing::Contested; tangle.voices.len()];
    Solution { standings, listed, unsearched: vec![0], ..Solution::default() }
}

/// For each voice the smallest listed set with it, the first by number among equals.
fn smallest_listed(listing: &Listing, voices: usize) -> Vec<Option<&Vec<u32>>> {
    let mut smallest: Vec<Option<&Vec<u32>>> = vec![None; voices];
    let is_before = |one: &Vec<u32>, other: &Vec<u32>| (one.len(), one) < (other.len(), other);
    for set in &listing.sets {
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

impl Solving<'_> {
    /// Solves the tangle; nothing where the steps run out.
    fn solve(&self, steps: &mut u64) -> Option<Solution> {
        if let Some(sets) = self.too_many(steps) {
            return self.contest(&sets, steps);
        }
        let more = Some(self.probe).filter(|_| !self.listing.is_complete);
        let mut removals = Removals::new(self.listing.sets.clone(), self.weights, more, steps);
        let standings = removals.standings()?;
        let conflicts = Some(removals.into_conflicts());
        let doubted = (0..).zip(&standings).filter(|(_, standing)| **standing != Standing::Kept);
        let listed = self.listed(doubted.map(|(voice, _)| voice), steps)?;
        let (listed, is_complete) = (listed.into_iter().flatten().collect(), self.listing.is_complete);
        Some(Solution { standings, listed, unsearched: Vec::new(), conflicts, is_complete })
    }

    /// The sets that were found, where a knot has too many.
    fn too_many(&self, steps: &mut u64) -> Option<Vec<Vec<u32>>> {
        if count::is_any_full(&self.listing.sets, self.tangle.voices.len()) {
            return Some(self.listing.sets.clone());
        }
        let sets = if self.listing.is_complete { None } else { count::too_many(self.tangle, self.probe, steps) };
        sets.map(|sets| sets.iter().map(|set| set.iter().collect()).collect())
    }

    /// Contests every voice of the knots with too many sets, and solves what is left without them.
    fn contest(&self, sets: &[Vec<u32>], steps: &mut u64) -> Option<Solution> {
        let count = self.tangle.voices.len();
        let smallest = self.listed(0..count as u32, steps)?;
        let all: Vec<Vec<u32>> = sets.iter().chain(smallest.iter().flatten()).cloned().collect();
        let full = count::full(&all, count);
        let mut solution = Solution { standings: vec![Standing::Kept; count], ..Solution::default() };
        for knot in &full {
            solution.unsearched.extend(knot.iter().next());
            for voice in knot.iter() {
                solution.standings[voice as usize] = Standing::Contested;
                solution.listed.extend(smallest[voice as usize].clone());
            }
        }
        let left = |voice: VoiceIndex| !full.iter().any(|knot| knot.contains(voice.0));
        for part in self.tangle.parts(left) {
            let weights: Vec<u32> = part.voices.iter().map(|voice| self.weights[voice.0 as usize]).collect();
            solution.take_over(&part, of(&part, &weights, steps));
        }
        Some(solution)
    }

    /// The smallest conflict of each of some voices, where it has one.
    fn listed(&self, voices: impl Iterator<Item = u32>, steps: &mut u64) -> Option<Vec<Option<Vec<u32>>>> {
        let smallest = OnceCell::new();
        let in_listing = smallest_listed(&self.listing, self.tangle.voices.len());
        let mut listed = Vec::new();
        for voice in voices {
            let known = in_listing[voice as usize].cloned();
            let is_certain = known.as_ref().is_some_and(|set| set.len() <= self.listing.up_to);
            listed.push(match is_certain || self.listing.is_complete {
                true => known,
                false => {
                    let smallest = smallest.get_or_init(|| Smallest::new(self.tangle, self.probe));
                    smallest.with(voice, steps)?.map(|set| set.iter().collect())
                }
            });
        }
        Some(listed)
    }
}

impl Solution {
    /// Takes over the solution of a part of the tangle, whose voices stand for numbers here.
    fn take_over(&mut self, part: &Tangle, solution: Solution) {
        let name = |voice: &u32| part.voices[*voice as usize].0;
        for (voice, standing) in part.voices.iter().zip(solution.standings) {
            self.standings[voice.0 as usize] = standing;
        }
        self.listed.extend(solution.listed.iter().map(|set| set.iter().map(name).collect()));
        self.unsearched.extend(solution.unsearched.iter().map(name));
    }
}
