//! The conflicts known so far, and which of them share voices.

use crate::chronology::solver::members::Members;
use crate::chronology::solver::removal::problem::Problem;
use crate::resolve::leaders::Leaders;

/// Conflicts of voices with weights.
pub struct ConflictSet<'a> {
    /// The weight of each voice, in quarters.
    pub weights: &'a [u32],
    conflicts: Vec<Vec<u32>>,
    /// How many conflicts each voice is in.
    counts: Vec<u32>,
    /// Voices that are gone for good.
    left_out: Members,
    /// The conflicts that they meet.
    met: Vec<Vec<u32>>,
}

/// Conflicts joined through shared voices, by place, with their voices.
pub struct Part {
    /// The places of its conflicts.
    pub conflicts: Vec<u32>,
    /// Its voices.
    pub voices: Members,
}

impl<'a> ConflictSet<'a> {
    /// Takes the conflicts that are known at first.
    pub fn new(conflicts: Vec<Vec<u32>>, weights: &'a [u32]) -> ConflictSet<'a> {
        let mut counts = vec![0; weights.len()];
        conflicts.iter().flatten().for_each(|voice| counts[*voice as usize] += 1);
        ConflictSet { weights, conflicts, counts, left_out: Members::none(weights.len()), met: Vec::new() }
    }

    /// Adds a conflict.
    pub fn add(&mut self, conflict: Vec<u32>) {
        conflict.iter().for_each(|voice| self.counts[*voice as usize] += 1);
        self.conflicts.push(conflict);
    }

    /// Leaves out voices for good, with the conflicts that they meet.
    pub fn leave_out(&mut self, voices: &Members) {
        self.left_out.join(voices);
        let is_met = |conflict: &Vec<u32>| conflict.iter().any(|voice| voices.contains(*voice));
        let (met, rest) = std::mem::take(&mut self.conflicts).into_iter().partition(is_met);
        self.conflicts = rest;
        self.met.extend::<Vec<Vec<u32>>>(met);
        self.counts.fill(0);
        self.conflicts.iter().flatten().for_each(|voice| self.counts[*voice as usize] += 1);
    }

    /// Every conflict, including those left out.
    pub fn into_conflicts(mut self) -> Vec<Vec<u32>> {
        self.met.append(&mut self.conflicts);
        self.met
    }

    /// Says whether a voice is left out.
    pub fn is_left_out(&self, voice: u32) -> bool {
        self.left_out.contains(voice)
    }

    /// Says whether a voice is in a known conflict.
    pub fn has(&self, voice: u32) -> bool {
        self.counts[voice as usize] > 0
    }

    /// Says whether a voice is in a known conflict all of whose voices stay.
    pub fn involves(&self, voice: u32, stays: &Members) -> bool {
        let mut own = self.conflicts.iter().filter(|conflict| conflict.contains(&voice));
        own.any(|conflict| conflict.iter().all(|voice| stays.contains(*voice)))
    }

    /// The voices that stay after a removal.
    pub fn all_but(&self, removal: &Members) -> Members {
        Members::all(self.weights.len()).without(&self.left_out).without(removal)
    }

    /// The total weight of some voices.
    pub fn weight(&self, voices: &Members) -> u32 {
        voices.iter().map(|voice| self.weights[voice as usize]).sum()
    }

    /// The voice that meets the most conflicts for its weight.
    pub fn cheapest(&self, voices: impl Iterator<Item = u32>) -> Option<u32> {
        let rate =
            |voice: u32| (u64::from(self.counts[voice as usize]), u64::from(self.weights[voice as usize].max(1)));
        let rated = voices.map(|voice| (voice, rate(voice)));
        let better = |one: (u64, u64), other: (u64, u64)| one.0 * other.1 >= other.0 * one.1;
        rated.reduce(|best, next| if better(best.1, next.1) { best } else { next }).map(|(voice, _)| voice)
    }

    /// Divides the conflicts into groups joined through shared voices, the smallest group first.
    pub fn parts(&self) -> Vec<Vec<u32>> {
        let mut leaders = self.leaders(&[]);
        let mut parts = std::collections::BTreeMap::<u32, Vec<u32>>::new();
        for (place, conflict) in (0..).zip(&self.conflicts) {
            parts.entry(leaders.of(conflict[0])).or_default().push(place);
        }
        let mut parts: Vec<Vec<u32>> = parts.into_values().collect();
        parts.sort_by_key(Vec::len);
        parts
    }

    /// The conflicts connected to a voice, also through sets that must keep one voice.
    pub fn part_of(&self, voice: u32, needs: &[Vec<u32>]) -> Part {
        let mut leaders = self.leaders(needs);
        needs.iter().for_each(|need| leaders.unite(voice, need[0]));
        let leader = leaders.of(voice);
        let numbered = (0..).zip(&self.conflicts).filter(|(_, conflict)| leaders.of(conflict[0]) == leader);
        let conflicts: Vec<u32> = numbered.map(|(place, _)| place).collect();
        let voices = (0..self.weights.len() as u32).filter(|other| leaders.of(*other) == leader);
        Part { conflicts, voices: Members::of(self.weights.len(), voices) }
    }

    fn leaders(&self, needs: &[Vec<u32>]) -> Leaders {
        let mut leaders = Leaders::new(self.weights.len());
        for set in self.conflicts.iter().chain(needs) {
            set.windows(2).for_each(|pair| leaders.unite(pair[0], pair[1]));
        }
        leaders
    }

    /// The search problem of some conflicts, some sets that must keep one voice, and one more
    /// voice.
    pub fn problem(&self, places: &[u32], needs: &[Vec<u32>], also: Option<u32>) -> Problem {
        let conflicts: Vec<&[u32]> = places.iter().map(|place| &*self.conflicts[*place as usize]).collect();
        Problem::new(&conflicts, needs, also, self.weights)
    }
}
