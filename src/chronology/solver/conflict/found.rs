//! Irreducible sets found so far.

use crate::chronology::solver::conflict::subsets::Subsets;
use crate::knowledge::{Chain, VoiceIndex};

/// Sets without subsets among them, provided that smaller sets are added first.
#[derive(Default)]
pub struct Found {
    /// The sets by the numbers of their voices, in the order in which they were found.
    pub sets: Vec<Vec<u32>>,
    within: Subsets,
}

impl Found {
    /// Says whether the voices hold a set that was found.
    pub fn covers(&self, voices: &[VoiceIndex]) -> bool {
        self.within.has_within(voices, 0)
    }

    /// Adds a set, unless it holds another.
    pub fn add(&mut self, voices: Chain) {
        if !self.covers(&voices) {
            self.within.add(&voices, 0);
            self.sets.push(voices.iter().map(|voice| voice.0).collect());
        }
    }
}
