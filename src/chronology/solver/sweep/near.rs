//! The moves of all ways through time near the lightest, and which voices each goes against.

use crate::chronology::solver::members::Members;
use crate::chronology::solver::sweep::line::{Line, Move, NEVER};
use crate::chronology::solver::sweep::said::Constraint;

/// More moves than this are not kept.
const MOST_MOVES: usize = 1 << 22;

/// A move in a stretch, possibly on a way near the lightest.
#[derive(Clone, Copy)]
struct Found {
    place: u32,
    stretch: u32,
    /// The least weight of what comes before.
    so_far: u32,
}

/// A move on some way near the lightest.
#[derive(Clone, Copy)]
struct Taken {
    one: Move,
    stretch: usize,
    /// The least weight of a way with it.
    whole: u32,
    /// The least weight of what comes after.
    rest: u32,
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
    /// Passes through time there and back; `None` if there is no way, or too many moves are on one.
    pub fn of(line: &'a Line, margin: u32) -> Option<Near<'a>> {
        let ahead = ahead(line);
        let least = ahead[0][0];
        if least >= NEVER {
            return None;
        }
        let limit = least + margin;
        let found = found(line, &ahead, limit)?;
        drop(ahead);
        let moves = on_near_ways(line, &found, limit);
        let with = with(line, &moves);
        Some(Near { line, moves, least, limit, with })
    }

    /// Says whether a way near the lightest goes against a voice.
    pub fn is_in_some(&self, voice: u32) -> bool {
        self.with.get(voice as usize).is_some_and(|weight| *weight < self.limit)
    }

    /// Says whether the lightest way against a voice is near but its voice is not needed: it may come on top of a
    /// removal without being in any.
    pub fn is_in_doubt(&self, voice: u32, weight: u32) -> bool {
        self.is_in_some(voice) && self.with[voice as usize] >= self.least + weight
    }

    /// Says whether a way near the lightest goes against others only.
    pub fn is_left_by_some(&self, voice: u32) -> bool {
        let own: Vec<&Constraint> = self.line.constraints.iter().filter(|one| one.voice == Some(voice)).collect();
        let mut weights = vec![NEVER; self.line.sets.len()];
        weights[0] = 0;
        for taken in &self.moves {
            let Taken { one, stretch, .. } = *taken;
            if !own.iter().any(|constraint| self.line.fails(constraint, one, stretch)) {
                let weight = weights[one.from as usize] + self.line.weight(one, stretch);
                weights[one.to as usize] = weights[one.to as usize].min(weight);
            }
        }
        weights.last().is_some_and(|weight| *weight < self.limit)
    }

    /// Lists every removal near the lightest, or gives nothing where that takes too many looks.
    ///
    /// Take two ways to one set of unknowns. If one goes against all voices of the other and more, it leads to no
    /// further removal.
    pub fn removals(&self, weights: &[u32]) -> Option<Vec<Members>> {
        let mut ways: Vec<Vec<Members>> = vec![Vec::new(); self.line.sets.len()];
        ways[0].push(Members::none(weights.len()));
        let mut looks = 0;
        for taken in &self.moves {
            let Taken { one, stretch, rest, .. } = *taken;
            let failing = self.line.constraints.iter().filter(|constraint| self.line.fails(constraint, one, stretch));
            let against = Members::of(weights.len(), failing.filter_map(|constraint| constraint.voice));
            for mut way in ways[one.from as usize].clone() {
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

/// The moves that may be on a way lighter than the limit, in an order in which they are possible.
fn found(line: &Line, ahead: &[Vec<u32>], limit: u32) -> Option<Vec<Found>> {
    let mut weights = vec![NEVER; line.sets.len()];
    weights[0] = 0;
    let mut found = Vec::new();
    for (stretch, ahead) in (0..line.stretches.len()).zip(ahead) {
        let mut look = |place: u32| {
            let one = line.moves[place as usize];
            let so_far = weights[one.from as usize];
            let weight = so_far + line.weight(one, stretch);
            if weight + ahead[one.to as usize] < limit {
                found.push(Found { place, stretch: stretch as u32, so_far });
                let own = &mut weights[one.to as usize];
                *own = weight.min(*own);
            }
        };
        match line.stretches[stretch].is_long {
            true => (0..line.moves.len() as u32).for_each(look),
            false => line.by_unknown.iter().flatten().for_each(|place| look(*place)),
        }
        if found.len() > MOST_MOVES {
            return None;
        }
    }
    Some(found)
}

/// The found moves that lie on a way near the lightest.
fn on_near_ways(line: &Line, found: &[Found], limit: u32) -> Vec<Taken> {
    let mut weights = vec![NEVER; line.sets.len()];
    weights[line.sets.len() - 1] = 0;
    let mut taken = Vec::new();
    for Found { place, stretch, so_far } in found.iter().rev() {
        let (one, stretch) = (line.moves[*place as usize], *stretch as usize);
        let rest = weights[one.to as usize];
        let to_the_end = line.weight(one, stretch) + rest;
        let whole = so_far + to_the_end;
        if whole < limit {
            weights[one.from as usize] = weights[one.from as usize].min(to_the_end);
            taken.push(Taken { one, stretch, whole, rest });
        }
    }
    taken.reverse();
    taken
}

/// For each voice the least weight of a way near the lightest that goes against it.
fn with(line: &Line, moves: &[Taken]) -> Vec<u32> {
    let mut said: Vec<Vec<(u32, &Constraint)>> = vec![Vec::new(); line.outside.len()];
    for constraint in &line.constraints {
        said[constraint.unknown].extend(constraint.voice.map(|voice| (voice, constraint)));
    }
    let last = line.constraints.iter().filter_map(|constraint| constraint.voice).max();
    let mut with = vec![NEVER; last.map_or(0, |voice| voice as usize + 1)];
    for Taken { one, stretch, whole, .. } in moves {
        for (voice, constraint) in &said[one.unknown as usize] {
            let least = &mut with[*voice as usize];
            if whole < least && line.fails(constraint, *one, *stretch) {
                *least = *whole;
            }
        }
    }
    with
}
