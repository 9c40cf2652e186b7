//! Conflicts with the weights of their voices, numbered for the search.
//!
//! Nothing is searched here.

/// Conflicts renumbered so that their voices are `0..len`.
pub struct Problem {
    names: Vec<u32>,
    /// The weight of each voice.
    pub weights: Vec<u32>,
    /// A common divisor of all sums of weights.
    pub unit: u32,
    /// The voices of each conflict, sorted.
    pub conflicts: Vec<Vec<u32>>,
    /// How many voices all conflicts have together.
    pub size: usize,
    /// The conflicts of each voice.
    pub occurrences: Vec<Vec<u32>>,
    /// The voices that each voice cannot hold beside, from conflicts of two.
    pub opponents: Vec<Vec<u32>>,
    /// Sets of voices that must each keep at least one.
    pub needs: Vec<Vec<u32>>,
    /// The needs of each voice.
    pub need_places: Vec<Vec<u32>>,
}

impl Problem {
    /// Builds a problem from conflicts over any numbers, sets that must keep one voice, and one
    /// more voice, with weights by number.
    pub fn new(conflicts: &[&[u32]], needs: &[Vec<u32>], also: Option<u32>, weights: &[u32]) -> Problem {
        let mut names: Vec<u32> = conflicts.iter().flat_map(|set| set.iter()).copied().collect();
        names.extend(needs.iter().flatten().copied().chain(also));
        names.sort_unstable();
        names.dedup();
        let number = |voice: &u32| names.binary_search(voice).map_or(0, |at| at as u32);
        let conflicts: Vec<Vec<u32>> = conflicts.iter().map(|set| set.iter().map(number).collect()).collect();
        let needs: Vec<Vec<u32>> = needs.iter().map(|set| set.iter().map(number).collect()).collect();
        let weights: Vec<u32> = names.iter().map(|name| weights[*name as usize]).collect();
        let unit = weights.iter().copied().fold(0, greatest_common_divisor).max(1);
        Problem {
            size: conflicts.iter().map(Vec::len).sum(),
            occurrences: places(&conflicts, names.len()),
            opponents: opponents(&conflicts, names.len()),
            need_places: places(&needs, names.len()),
            names,
            weights,
            unit,
            conflicts,
            needs,
        }
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

    /// The numbers of voices in this problem, from their former numbers.
    pub fn numbers(&self, names: &[u32]) -> Vec<u32> {
        names.iter().filter_map(|name| self.names.binary_search(name).ok()).map(|at| at as u32).collect()
    }
}

/// For each of so many voices the places of the sets that hold it.
fn places(sets: &[Vec<u32>], voices: usize) -> Vec<Vec<u32>> {
    let mut places = vec![Vec::new(); voices];
    for (place, set) in (0..).zip(sets) {
        set.iter().for_each(|voice| places[*voice as usize].push(place));
    }
    places
}

fn opponents(conflicts: &[Vec<u32>], voices: usize) -> Vec<Vec<u32>> {
    let mut opponents = vec![Vec::new(); voices];
    for conflict in conflicts {
        if let [one, other] = conflict[..] {
            opponents[one as usize].push(other);
            opponents[other as usize].push(one);
        }
    }
    opponents
}

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}
