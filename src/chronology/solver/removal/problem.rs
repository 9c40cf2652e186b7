//! Conflicts with the weights of their voices, numbered for the search.
//!
//! Nothing is searched here.

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

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}
