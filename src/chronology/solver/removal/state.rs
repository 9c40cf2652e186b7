//! The decisions of a search so far, and the moves that follow from them.

use crate::chronology::solver::removal::problem::Problem;

/// Voices with more conflicts than this are not compared with others: the work would outweigh the gain.
const COMPARED: usize = 12;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Choice {
    Open,
    Kept,
    Removed,
}

/// The decisions so far.
pub struct State<'a> {
    /// The problem to search.
    pub problem: &'a Problem,
    choices: Vec<Choice>,
    /// For each conflict, how many of its voices are removed and how many are open.
    met: Vec<u32>,
    open: Vec<u32>,
    /// For each set that must keep a voice, the number of voices removed.
    gone: Vec<u32>,
    /// The voices decided, in order.
    pub trail: Vec<u32>,
    /// The weight of the removed voices.
    pub weight: u32,
}

impl<'a> State<'a> {
    /// Begins with every voice open.
    pub fn new(problem: &'a Problem) -> State<'a> {
        State {
            problem,
            choices: vec![Choice::Open; problem.len()],
            met: vec![0; problem.conflicts.len()],
            open: problem.conflicts.iter().map(|conflict| conflict.len() as u32).collect(),
            gone: vec![0; problem.needs.len()],
            trail: Vec::new(),
            weight: 0,
        }
    }

    /// Removes a voice, and keeps the last voice left of any set that must keep one; says whether
    /// that is possible.
    pub fn remove(&mut self, voice: u32) -> bool {
        match self.choices[voice as usize] {
            Choice::Removed => return true,
            Choice::Kept => return false,
            Choice::Open => self.set(voice, Choice::Removed),
        }
        for index in 0..self.problem.need_places[voice as usize].len() {
            let need = self.problem.need_places[voice as usize][index] as usize;
            let voices = &self.problem.needs[need];
            if self.gone[need] as usize + 1 < voices.len() {
                continue;
            }
            let last = voices.iter().find(|other| self.choices[**other as usize] != Choice::Removed).copied();
            if !last.is_some_and(|last| self.keep(last)) {
                return false;
            }
        }
        true
    }

    /// Keeps a voice, and removes any voice that alone can still meet a conflict; says whether that
    /// is possible.
    pub fn keep(&mut self, voice: u32) -> bool {
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
        self.problem.need_places[voice as usize]
            .iter()
            .for_each(|need| self.gone[*need as usize] += u32::from(removed));
    }

    /// Takes back decisions until so many are left.
    pub fn undo(&mut self, trail: usize) {
        while self.trail.len() > trail {
            let voice = self.trail.pop().expect("the trail is longer");
            let removed = self.choices[voice as usize] == Choice::Removed;
            self.choices[voice as usize] = Choice::Open;
            self.weight -= if removed { self.problem.weights[voice as usize] } else { 0 };
            for conflict in &self.problem.occurrences[voice as usize] {
                self.met[*conflict as usize] -= u32::from(removed);
                self.open[*conflict as usize] += 1;
            }
            let needs = &self.problem.need_places[voice as usize];
            needs.iter().for_each(|need| self.gone[*need as usize] -= u32::from(removed));
        }
    }

    /// Says whether a voice is not decided.
    pub fn is_open(&self, voice: u32) -> bool {
        self.choices[voice as usize] == Choice::Open
    }

    /// Lists the removed voices.
    pub fn removed(&self) -> Vec<u32> {
        let voices = 0..self.choices.len() as u32;
        voices.filter(|voice| self.choices[*voice as usize] == Choice::Removed).collect()
    }

    /// The open voice that meets the most conflicts for its weight, if any conflict is left.
    pub fn choose(&self) -> Option<u32> {
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

    /// Says whether no voice of a conflict is removed.
    pub fn is_unmet(&self, conflict: usize) -> bool {
        self.met[conflict] == 0
    }

    /// Keeps voices that another voice could replace: one that meets the same conflicts and weighs
    /// no more.
    ///
    /// The lightest removal stays as light, but a different one of equal weight may be found. A
    /// voice that may have to stay replaces none.
    pub fn keep_dominated(&mut self) {
        let mut again = true;
        while again {
            again = false;
            for voice in 0..self.choices.len() as u32 {
                if self.is_open(voice) && self.is_dominated(voice) {
                    again |= self.keep(voice);
                }
            }
        }
    }

    fn is_dominated(&self, voice: u32) -> bool {
        let all = &self.problem.occurrences[voice as usize];
        let unmet: Vec<usize> = all.iter().map(|c| *c as usize).filter(|conflict| self.is_unmet(*conflict)).collect();
        if unmet.is_empty() || unmet.len() > COMPARED {
            return false;
        }
        let weight = self.problem.weights[voice as usize];
        let smallest = unmet.iter().min_by_key(|conflict| self.open[**conflict]).copied().unwrap_or(unmet[0]);
        let rivals = self.problem.conflicts[smallest].iter();
        let may_go = |rival: u32| self.is_open(rival) && self.problem.need_places[rival as usize].is_empty();
        let mut rivals = rivals.filter(|rival| **rival != voice && may_go(**rival));
        rivals.any(|rival| {
            self.problem.weights[*rival as usize] <= weight
                && unmet.iter().all(|conflict| self.problem.conflicts[*conflict].binary_search(rival).is_ok())
        })
    }
}
