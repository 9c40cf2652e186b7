//! Depth-first search for the lightest hitting set, with forced moves and a packing bound.

/// Conflicts renumbered so that their voices are `0..len`.
pub struct Problem {
    names: Vec<u32>,
    weights: Vec<u32>,
    conflicts: Vec<Vec<u32>>,
    /// The conflicts of each voice.
    occurrences: Vec<Vec<u32>>,
    /// The voices that each voice cannot hold beside, from conflicts of two.
    opponents: Vec<Vec<u32>>,
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
        let weights = names.iter().map(|name| weights[*name as usize]).collect();
        Problem { names, weights, conflicts, occurrences, opponents }
    }

    /// Counts the voices.
    pub fn len(&self) -> usize {
        self.names.len()
    }

    /// Counts the opponents of a voice.
    fn degree(&self, voice: u32) -> usize {
        self.opponents[voice as usize].len()
    }

    /// The number a voice had before.
    pub fn name(&self, voice: u32) -> u32 {
        self.names[voice as usize]
    }

    /// The voices of a conflict.
    pub fn conflict(&self, index: usize) -> &[u32] {
        &self.conflicts[index]
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
        loop {
            *self.steps = self.steps.checked_sub(1)?;
            let below = best.as_ref().map_or(limit, |(weight, _)| *weight);
            let open = state.weight < below && state.weight + state.bound(below - state.weight) < below;
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

#[derive(Clone, Copy, PartialEq, Eq)]
enum Choice {
    Open,
    Kept,
    Removed,
}

/// What is decided so far.
struct State<'a> {
    problem: &'a Problem,
    choices: Vec<Choice>,
    /// For each conflict, how many of its voices are removed and how many are open.
    met: Vec<u32>,
    open: Vec<u32>,
    trail: Vec<u32>,
    weight: u32,
}

impl<'a> State<'a> {
    fn new(problem: &'a Problem) -> State<'a> {
        State {
            problem,
            choices: vec![Choice::Open; problem.len()],
            met: vec![0; problem.conflicts.len()],
            open: problem.conflicts.iter().map(|conflict| conflict.len() as u32).collect(),
            trail: Vec::new(),
            weight: 0,
        }
    }

    /// Removes a voice; says whether that is possible.
    fn remove(&mut self, voice: u32) -> bool {
        match self.choices[voice as usize] {
            Choice::Removed => true,
            Choice::Kept => false,
            Choice::Open => {
                self.set(voice, Choice::Removed);
                true
            }
        }
    }

    /// Keeps a voice and removes whatever alone is left to meet a conflict; says whether that is possible.
    fn keep(&mut self, voice: u32) -> bool {
        match self.choices[voice as usize] {
            Choice::Kept => return true,
            Choice::Removed => return false,
            Choice::Open => self.set(voice, Choice::Kept),
        }
        for index in 0..self.problem.occurrences[voice as usize].len() {
            let conflict = self.problem.occurrences[voice as usize][index] as usize;
            if self.met[conflict] > 0 || self.open[conflict] > 1 {
                continue;
            }
            let last = self.problem.conflicts[conflict].iter().find(|other| self.is_open(**other)).copied();
            if !last.is_some_and(|last| self.remove(last)) {
                return false;
            }
        }
        true
    }

    fn set(&mut self, voice: u32, choice: Choice) {
        self.choices[voice as usize] = choice;
        self.trail.push(voice);
        let removed = choice == Choice::Removed;
        self.weight += if removed { self.problem.weights[voice as usize] } else { 0 };
        for conflict in &self.problem.occurrences[voice as usize] {
            self.met[*conflict as usize] += u32::from(removed);
            self.open[*conflict as usize] -= 1;
        }
    }

    fn undo(&mut self, trail: usize) {
        while self.trail.len() > trail {
            let voice = self.trail.pop().expect("the trail is longer");
            let removed = self.choices[voice as usize] == Choice::Removed;
            self.choices[voice as usize] = Choice::Open;
            self.weight -= if removed { self.problem.weights[voice as usize] } else { 0 };
            for conflict in &self.problem.occurrences[voice as usize] {
                self.met[*conflict as usize] -= u32::from(removed);
                self.open[*conflict as usize] += 1;
            }
        }
    }

    fn is_open(&self, voice: u32) -> bool {
        self.choices[voice as usize] == Choice::Open
    }

    fn removed(&self) -> Vec<u32> {
        let voices = 0..self.choices.len() as u32;
        voices.filter(|voice| self.choices[*voice as usize] == Choice::Removed).collect()
    }

    /// The open voice that meets the most conflicts for its weight, if any conflict is left.
    fn choose(&self) -> Option<u32> {
        let unmet = |voice: u32| {
            let conflicts = self.problem.occurrences[voice as usize].iter();
            conflicts.filter(|conflict| self.met[**conflict as usize] == 0).count() as u64
        };
        let open = (0..self.choices.len() as u32).filter(|voice| self.is_open(*voice));
        let counted = open.map(|voice| (voice, unmet(voice), u64::from(self.problem.weights[voice as usize].max(1))));
        counted
            .filter(|(_, count, _)| *count > 0)
            .reduce(|best, next| if next.1 * best.2 > best.1 * next.2 { next } else { best })
            .map(|(voice, _, _)| voice)
    }

    /// The least weight that must still be removed, at most: stops counting at the limit.
    ///
    /// Voices that all exclude one another leave at most one of them; other conflicts cost their lightest voice.
    /// Weight is counted once, by taking it off what is left of each voice.
    fn bound(&self, limit: u32) -> u32 {
        let mut left: Vec<u32> = self.problem.weights.clone();
        let mut marks = vec![0u32; left.len()];
        let mut bound = 0;
        let mut round = 0;
        for voice in 0..left.len() as u32 {
            while bound < limit && self.is_open(voice) && left[voice as usize] > 0 {
                let clique = self.clique(voice, &left, &mut marks, &mut round);
                if clique.len() < 2 {
                    break;
                }
                let least = clique.iter().map(|member| left[*member as usize]).min().unwrap_or(0);
                clique.iter().for_each(|member| left[*member as usize] -= least);
                bound += least * (clique.len() as u32 - 1);
            }
        }
        bound + self.packing(limit.saturating_sub(bound), &mut left)
    }

    /// A set of open voices with weight left, all opponents of one another, grown greedily from one of them.
    fn clique(&self, voice: u32, left: &[u32], marks: &mut [u32], round: &mut u32) -> Vec<u32> {
        let mut clique = vec![voice];
        let usable = |other: &&u32| self.is_open(**other) && left[**other as usize] > 0;
        let mut candidates: Vec<u32> = self.problem.opponents[voice as usize].iter().filter(usable).copied().collect();
        candidates.sort_by_key(|other| std::cmp::Reverse((left[*other as usize], self.problem.degree(*other))));
        while let Some(chosen) = candidates.first().copied() {
            clique.push(chosen);
            *round += 1;
            self.problem.opponents[chosen as usize].iter().for_each(|other| marks[*other as usize] = *round);
            candidates.retain(|other| marks[*other as usize] == *round);
        }
        clique
    }

    /// Adds up the lightest voice of conflicts that are not met, as far as weight is left.
    fn packing(&self, limit: u32, left: &mut [u32]) -> u32 {
        let mut bound = 0;
        for (index, conflict) in self.problem.conflicts.iter().enumerate() {
            if bound >= limit {
                break;
            }
            if self.met[index] == 0 {
                let open = conflict.iter().filter(|voice| self.is_open(**voice));
                let least = open.map(|voice| left[*voice as usize]).min().unwrap_or(0);
                conflict.iter().filter(|voice| self.is_open(**voice)).for_each(|voice| left[*voice as usize] -= least);
                bound += least;
            }
        }
        bound
    }
}
