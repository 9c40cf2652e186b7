//! The moves of all ways through time that weigh little more than the lightest, and what they say of each voice.

use crate::chronology::solver::members::Members;
use crate::chronology::solver::sweep::line::{Line, Move, NEVER};
use crate::chronology::solver::sweep::said::Constraint;

/// More moves than this are not kept.
const MOST_MOVES: usize = 1 << 22;

/// A move on some way near the lightest.
#[derive(Clone, Copy)]
struct Taken {
    place: u32,
    stretch: u32,
    /// The least weight of what came before.
    so_far: u32,
    /// The least weight of what follows, with the move.
    to_the_end: u32,
}

/// More looks at the voices of one way than this are not taken to list removals.
pub const MOST_LOOKS: u64 = 1 << 22;

/// The ways near the lightest.
pub struct Near<'a> {
    line: &'a Line,
    /// In the order in which they can be taken.
    moves: Vec<Taken>,
    /// The least weight of all ways.
    least: u32,
    /// Ways that weigh as much, or more, are not near.
    limit: u32,
    /// The least weight of a way in which each voice does not hold.
    with: Vec<u32>,
}

impl<'a> Near<'a> {
    /// Goes through time there and back; nothing where there is no way, or too many moves are on one.
    pub fn of(line: &'a Line, margin: u32) -> Option<Near<'a>> {
        let ahead = ahead(line);
        let least = ahead[0][0];
        if least >= NEVER {
            return None;
        }
        let limit = least + margin;
        let moves = moves(line, &ahead, limit)?;
        drop(ahead);
        let mut near = Near { line, moves, least, limit, with: Vec::new() };
        near.prune();
        Some(near)
    }

    /// Says whether a way near the lightest goes against a voice.
    pub fn is_in_some(&self, voice: u32) -> bool {
        self.with.get(voice as usize).is_some_and(|weight| *weight < self.limit)
    }

    /// Says whether the lightest way against a voice is near, and not so light that it would have to be a needed part of
    /// it: it may come on top of a removal, and be in none.
    pub fn is_in_doubt(&self, voice: u32, weight: u32) -> bool {
        self.is_in_some(voice) && self.with[voice as usize] >= self.least + weight
    }

    /// Says whether a way near the lightest goes against others only.
    pub fn is_left_by_some(&self, voice: u32) -> bool {
        let own: Vec<&Constraint> = self.line.constraints.iter().filter(|one| one.voice == Some(voice)).collect();
        let mut weights = vec![NEVER; self.line.sets.len()];
        weights[0] = 0;
        for taken in &self.moves {
            let (one, stretch) = (self.line.moves[taken.place as usize], taken.stretch as usize);
            if !own.iter().any(|constraint| self.line.fails(constraint, one, stretch)) {
                let weight = weights[one.from as usize] + self.line.weight(one, stretch);
                weights[one.to as usize] = weights[one.to as usize].min(weight);
            }
        }
        weights.last().is_some_and(|weight| *weight < self.limit)
    }

    /// Lists every removal near the lightest, or gives nothing where that takes too many looks.
    ///
    /// Of two ways to one set of unknowns, one that goes against more voices than the other, and against all of its, leads
    /// to no removal that the other does not lead to.
    pub fn removals(&self, weights: &[u32]) -> Option<Vec<Members>> {
        let mut ways: Vec<Vec<Members>> = vec![Vec::new(); self.line.sets.len()];
        ways[0].push(Members::none(weights.len()));
        let mut looks = 0;
        for taken in &self.moves {
            let (one, stretch) = (self.line.moves[taken.place as usize], taken.stretch as usize);
            let failing = self.line.constraints.iter().filter(|constraint| self.line.fails(constraint, one, stretch));
            let against = Members::of(weights.len(), failing.filter_map(|constraint| constraint.voice));
            let rest = taken.to_the_end - self.line.weight(one, stretch);
            for way in ways[one.from as usize].clone() {
                let mut way = way;
                way.join(&against);
                let weight: u32 = way.iter().map(|voice| weights[voice as usize]).sum();
                let others = &mut ways[one.to as usize];
                looks += 1 + others.len() as u64;
                if weight + rest < self.limit && !others.iter().any(|other| other.is_within(&way)) {
                    others.retain(|other| !way.is_within(other));
                    others.push(way);
                }
            }
            if looks > MOST_LOOKS {
                return None;
            }
        }
        ways.pop()
    }

    /// Goes back through the moves, leaves out those on no way near the lightest, and notes the voices against which the
    /// others go.
    fn prune(&mut self) {
        let line = self.line;
        let mut said: Vec<Vec<&Constraint>> = vec![Vec::new(); line.outside.len()];
        for constraint in line.constraints.iter().filter(|constraint| constraint.voice.is_some()) {
            said[constraint.unknown].push(constraint);
        }
        let voices = line.constraints.iter().filter_map(|constraint| constraint.voice).max();
        self.with = vec![NEVER; voices.map_or(0, |voice| voice as usize + 1)];
        let mut weights = vec![NEVER; line.sets.len()];
        weights[line.sets.len() - 1] = 0;
        let (limit, with) = (self.limit, &mut self.with);
        let mut kept: Vec<Taken> = Vec::new();
        for taken in self.moves.iter().rev() {
            let (one, stretch) = (line.moves[taken.place as usize], taken.stretch as usize);
            let to_the_end = line.weight(one, stretch) + weights[one.to as usize];
            let whole = taken.so_far + to_the_end;
            if whole >= limit {
                continue;
            }
            weights[one.from as usize] = weights[one.from as usize].min(to_the_end);
            kept.push(Taken { to_the_end, ..*taken });
            for constraint in &said[one.unknown as usize] {
                let least = constraint.voice.map(|voice| &mut with[voice as usize]);
                if let Some(least) = least.filter(|least| **least > whole) {
                    *least = if line.fails(constraint, one, stretch) { whole } else { *least };
                }
            }
        }
        kept.reverse();
        self.moves = kept;
    }
}

/// For each stretch, and the end of time, the least weight of what follows it from each set.
fn ahead(line: &Line) -> Vec<Vec<u32>> {
    let mut last = vec![NEVER; line.sets.len()];
    last[line.sets.len() - 1] = 0;
    let mut ahead = vec![last];
    for stretch in (0..line.stretches.len()).rev() {
        let mut weights = ahead[ahead.len() - 1].clone();
        let mut look = |one: Move| {
            let weight = line.weight(one, stretch) + weights[one.to as usize];
            let own = &mut weights[one.from as usize];
            *own = weight.min(*own);
        };
        match line.stretches[stretch].is_long {
            true => line.moves.iter().rev().for_each(|one| look(*one)),
            false => {
                let places = line.by_unknown.iter().rev().flatten();
                places.for_each(|place| look(line.moves[*place as usize]));
            }
        }
        ahead.push(weights);
    }
    ahead.reverse();
    ahead
}

/// The moves that may be on a way lighter than the limit, in the order in which they can be taken.
fn moves(line: &Line, ahead: &[Vec<u32>], limit: u32) -> Option<Vec<Taken>> {
    let mut weights = vec![NEVER; line.sets.len()];
    weights[0] = 0;
    let mut taken = Vec::new();
    for (stretch, ahead) in (0..line.stretches.len()).zip(ahead) {
        let mut look = |place: u32| {
            let one = line.moves[place as usize];
            let so_far = weights[one.from as usize];
            let weight = so_far + line.weight(one, stretch);
            if weight + ahead[one.to as usize] < limit {
                taken.push(Taken { place, stretch: stretch as u32, so_far, to_the_end: 0 });
                let own = &mut weights[one.to as usize];
                *own = weight.min(*own);
            }
        };
        match line.stretches[stretch].is_long {
            true => (0..line.moves.len() as u32).for_each(look),
            false => line.by_unknown.iter().flatten().for_each(|place| look(*place)),
        }
        if taken.len() > MOST_MOVES {
            return None;
        }
    }
    Some(taken)
}
