//! A tangle laid out in time: the stretches of days between which nothing changes, and the sets of unknowns that can have
//! their days by then.

use crate::chronology::solver::constraint::{Support, System, Unknown};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::sweep::apart;
use crate::chronology::solver::sweep::said::{self, Constraint, Says};
use crate::chronology::solver::tangle::Tangle;

/// More sets of unknowns than this are not told apart.
const MOST_SETS: usize = 600_000;

/// More sets at more stretches than this are not kept.
const MOST_CELLS: usize = 1 << 26;

/// Stands for an impossible weight; the sum of three still fits the type.
pub const NEVER: u32 = u32::MAX / 4;

/// One unknown more has its day.
#[derive(Clone, Copy, Debug)]
pub struct Move {
    /// The set of those that had theirs, by number.
    pub from: u32,
    /// The set with it.
    pub to: u32,
    /// The unknown.
    pub unknown: u32,
    /// The weight of the voices that put it after others that have no day yet.
    pub early: u32,
}

/// A stretch of days in which no constraint changes; unknowns get their days in it.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    /// The first day; the last is before that of the next stretch.
    pub first: i32,
    /// Whether there are days enough for each unknown to have its own; otherwise it is one day.
    pub is_long: bool,
}

/// A tangle in time.
pub struct Line {
    /// The constraints, in no order.
    pub constraints: Vec<Constraint>,
    /// The stretches, one after another; the first begins before all days.
    pub stretches: Vec<Stretch>,
    /// The sets of unknowns, as bits, each after its subsets.
    pub sets: Vec<u32>,
    /// The moves, by the set that they lead from.
    pub moves: Vec<Move>,
    /// The places of the moves of each unknown, the unknowns in the order in which one day is gone through.
    pub by_unknown: Vec<Vec<u32>>,
    /// For each unknown, the weight of the voices that exclude it from each stretch.
    pub outside: Vec<Vec<u32>>,
}

impl Line {
    /// Lays a tangle out, unless it is one that cannot be.
    pub fn of(tangle: &Tangle, weights: &[u32], gone: &Members) -> Option<Line> {
        let unknowns = tangle.network.len();
        if unknowns > u32::BITS as usize {
            return None;
        }
        let constraints = said::of(tangle, gone)?;
        if apart::can_fail_together(&constraints, unknowns) {
            return None;
        }
        let order = order_in_a_day(&constraints, unknowns)?;
        let sets = sets(&constraints, unknowns)?;
        let stretches = stretches(&constraints, unknowns);
        if sets.len() * (stretches.len() + 1) > MOST_CELLS {
            return None;
        }
        let moves = moves(&constraints, &sets, weights);
        let mut of_each: Vec<Vec<u32>> = vec![Vec::new(); unknowns];
        (0..).zip(&moves).for_each(|(place, one)| of_each[one.unknown as usize].push(place));
        let by_unknown = order.into_iter().map(|unknown| std::mem::take(&mut of_each[unknown])).collect();
        let outside = outside(&constraints, &stretches, weights, unknowns);
        Some(Line { constraints, stretches, sets, moves, by_unknown, outside })
    }

    /// How often a pass looks at a move.
    pub fn looks(&self) -> u64 {
        self.moves.len() as u64 * self.stretches.len() as u64
    }

    /// The weight of a move in a stretch.
    pub fn weight(&self, one: Move, stretch: usize) -> u32 {
        (one.early + self.outside[one.unknown as usize][stretch]).min(NEVER)
    }

    /// Says whether something does not hold when an unknown gets its day in a stretch after a set of others.
    pub fn fails(&self, constraint: &Constraint, one: Move, stretch: usize) -> bool {
        constraint.unknown == one.unknown as usize
            && match constraint.says {
                Says::NotBefore(day) => self.stretches[stretch].first < day,
                Says::NotAfter(day) => self.stretches[stretch].first > day,
                Says::After { other, .. } => self.sets[one.from as usize] & (1 << other) == 0,
            }
    }
}

/// The order in which unknowns that share a day get it. One that is not after another comes first, so that the
/// constraint holds; one that is strictly after another also comes first, so that the constraint fails. `None` if there
/// is no such order.
fn order_in_a_day(constraints: &[Constraint], unknowns: usize) -> Option<Vec<usize>> {
    let mut system = System::default();
    let days: Vec<Unknown> = (0..unknowns).map(|_| system.unknown()).collect();
    for constraint in constraints {
        match constraint.says {
            Says::After { other, strict: false } => {
                system.order(days[other], days[constraint.unknown], Support::STRUCTURE)
            }
            Says::After { other, strict: true } => {
                system.order(days[constraint.unknown], days[other], Support::STRUCTURE)
            }
            _ => {}
        }
    }
    let sorted = system.network(|_| true).in_order();
    (sorted.len() == unknowns).then(|| sorted.into_iter().map(|unknown| unknown.0 as usize).collect())
}

/// The unknowns that structure puts before each, as bits.
fn before_each(constraints: &[Constraint], unknowns: usize) -> Vec<u32> {
    let mut before = vec![0; unknowns];
    for constraint in constraints.iter().filter(|constraint| constraint.voice.is_none()) {
        if let Says::After { other, .. } = constraint.says {
            before[constraint.unknown] |= 1 << other;
        }
    }
    before
}

/// Every set of unknowns that structure lets have their days before all others; nothing where they are too many.
fn sets(constraints: &[Constraint], unknowns: usize) -> Option<Vec<u32>> {
    let before = before_each(constraints, unknowns);
    let sorted = structural_order(&before);
    if sorted.len() < unknowns {
        return None;
    }
    let mut sets = vec![0u32];
    for unknown in sorted {
        let bit = 1u32 << unknown;
        let with: Vec<u32> = sets.iter().filter(|set| before[unknown] & !**set == 0).map(|set| set | bit).collect();
        sets.extend(with);
        if sets.len() > MOST_SETS {
            return None;
        }
    }
    sets.sort_unstable();
    Some(sets)
}

/// The unknowns, each after all its structural predecessors; leaves out unknowns on a structural
/// cycle.
fn structural_order(before: &[u32]) -> Vec<usize> {
    let mut sorted = Vec::new();
    let mut done = 0u32;
    while let Some(next) = (0..before.len()).find(|next| done & (1 << next) == 0 && before[*next] & !done == 0) {
        done |= 1 << next;
        sorted.push(next);
    }
    sorted
}

fn moves(constraints: &[Constraint], sets: &[u32], weights: &[u32]) -> Vec<Move> {
    let unknowns = sets.last().map_or(0, |all| all.count_ones());
    let mut orders: Vec<Vec<(usize, u32)>> = vec![Vec::new(); unknowns as usize];
    for constraint in constraints {
        if let (Some(voice), Says::After { other, .. }) = (constraint.voice, constraint.says) {
            orders[constraint.unknown].push((other, weights[voice as usize]));
        }
    }
    let mut moves = Vec::new();
    for (set, from) in sets.iter().zip(0..) {
        for unknown in (0..unknowns).filter(|unknown| set & (1 << unknown) == 0) {
            let Ok(to) = sets.binary_search(&(set | 1 << unknown)) else { continue };
            let missing = orders[unknown as usize].iter().filter(|(other, _)| set & (1 << other) == 0);
            let early = missing.map(|(_, weight)| weight).sum();
            moves.push(Move { from, to: to as u32, unknown, early });
        }
    }
    moves
}

/// Cuts time wherever a constraint on a day begins or ends; short stretches are cut into days.
fn stretches(constraints: &[Constraint], unknowns: usize) -> Vec<Stretch> {
    let cut = |constraint: &Constraint| match constraint.says {
        Says::NotBefore(day) => Some(day),
        Says::NotAfter(day) => Some(day + 1),
        Says::After { .. } => None,
    };
    let mut cuts: Vec<i32> = constraints.iter().filter_map(cut).collect();
    cuts.sort_unstable();
    cuts.dedup();
    let mut stretches = vec![Stretch { first: i32::MIN, is_long: true }];
    for (place, first) in cuts.iter().enumerate() {
        let days = cuts.get(place + 1).map_or(i64::MAX, |next| i64::from(*next) - i64::from(*first));
        match days >= unknowns as i64 {
            true => stretches.push(Stretch { first: *first, is_long: true }),
            false => stretches.extend((0..days as i32).map(|day| Stretch { first: first + day, is_long: false })),
        }
    }
    stretches
}

fn outside(constraints: &[Constraint], stretches: &[Stretch], weights: &[u32], unknowns: usize) -> Vec<Vec<u32>> {
    let mut outside = vec![vec![0u32; stretches.len()]; unknowns];
    for constraint in constraints {
        let weight = constraint.voice.map_or(NEVER, |voice| weights[voice as usize]);
        for (stretch, sum) in stretches.iter().zip(&mut outside[constraint.unknown]) {
            let fails = match constraint.says {
                Says::NotBefore(day) => stretch.first < day,
                Says::NotAfter(day) => stretch.first > day,
                Says::After { .. } => false,
            };
            *sum = if fails { (*sum + weight).min(NEVER) } else { *sum };
        }
    }
    outside
}
