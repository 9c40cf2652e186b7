//! Answers whether some voices of a tangle can all hold, and gives one conflict among them if they
//! cannot.
//!
//! Each answer takes one pass over the constraints; it searches for no other conflict.

use std::cell::Cell;
use std::collections::VecDeque;

use crate::chronology::solver::constraint::{Order, Support, Unknown};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::network::Network;
use crate::chronology::solver::tangle::Tangle;
use crate::knowledge::VoiceIndex;

/// A tangle, ready to be asked.
pub struct Probe<'a> {
    network: &'a Network,
    voices: usize,
    /// The unknowns, each after all that are not after it; in any order where there are cycles.
    order: Vec<Unknown>,
    has_cycles: bool,
    /// How often constraints were looked at and not yet paid for.
    looked: Cell<u64>,
}

/// How many looks at a constraint are a step.
pub const LOOKS: u64 = 8192;

/// The origin of an unknown's day: the support of a limit or order, and the unknown the order comes
/// from.
#[derive(Clone, Copy)]
struct Step {
    day: i32,
    support: Support,
    from: Option<Unknown>,
}

impl<'a> Probe<'a> {
    /// Prepares a tangle.
    pub fn new(tangle: &'a Tangle) -> Probe<'a> {
        let network = &tangle.network;
        let sorted = network.in_order();
        let has_cycles = sorted.len() < network.len();
        let all = (0..network.len() as u32).map(Unknown);
        let order = if has_cycles { all.collect() } else { sorted };
        Probe { network, voices: tangle.voices.len(), order, has_cycles, looked: Cell::new(0) }
    }

    /// Pays the steps of the questions since the last time, and one more; `None` if they run out.
    pub fn pay(&self, steps: &mut u64) -> Option<()> {
        *steps = steps.checked_sub(1 + self.owed())?;
        Some(())
    }

    /// The whole steps that the questions since the last time were worth.
    pub fn owed(&self) -> u64 {
        let looked = self.looked.take();
        self.looked.set(looked % LOOKS);
        looked / LOOKS
    }

    /// Notes that all constraints were looked at so many times.
    pub fn look(&self, times: usize) {
        self.looked.set(self.looked.get() + (times * self.network.size()) as u64);
    }

    /// Finds an irreducible conflict among voices.
    pub fn conflict(&self, stays: &Members) -> Option<Members> {
        let found = self.contradiction(stays)?;
        Some(self.reduced(found))
    }

    /// Says whether a voice has a part in a contradictory path or cycle among voices: always so where it is in a conflict.
    pub fn may_involve(&self, voice: u32, stays: &Members) -> bool {
        self.look(6);
        let mut network = self.network.clone();
        network.retain(|other| stays.contains(other.0));
        let (earliest, latest) = (network.earliest(), network.latest());
        let is_its = |support: Support| support.voices().any(|other| other.0 == voice);
        let day = |unknown: Unknown| (earliest[unknown.0 as usize], latest[unknown.0 as usize]);
        let starts = network.not_before.all().iter().filter(|limit| is_its(limit.support));
        let ends = network.not_after.all().iter().filter(|limit| is_its(limit.support));
        let orders = network.after.all().iter().filter(|order| is_its(order.support));
        starts.into_iter().any(|limit| day(limit.unknown).1.is_some_and(|latest| limit.day > latest))
            || ends.into_iter().any(|limit| day(limit.unknown).0.is_some_and(|earliest| limit.day < earliest))
            || orders.into_iter().any(|order| {
                let begun = day(order.from).0.map(|day| day.plus_days(i32::from(order.strict)));
                begun.zip(day(order.to).1).is_some_and(|(begun, latest)| begun > latest)
            })
    }

    /// Says whether voices can all hold.
    pub fn can_hold(&self, stays: &Members) -> bool {
        self.contradiction(stays).is_none()
    }

    /// Drops voices that are not needed for the contradiction, so that the rest is irreducible.
    pub fn reduced(&self, mut voices: Members) -> Members {
        for voice in voices.clone().iter() {
            voices.remove(voice);
            if self.can_hold(&voices) {
                voices.insert(voice);
            }
        }
        voices
    }

    /// Says whether contradictory voices can all hold without any one of them.
    pub fn is_irreducible(&self, voices: &Members) -> bool {
        if !self.has_cycles && self.has_one_way(voices) {
            return true;
        }
        let mut rest = voices.clone();
        voices.iter().all(|voice| {
            rest.remove(voice);
            let can_hold = self.can_hold(&rest);
            rest.insert(voice);
            can_hold
        })
    }

    /// Says whether there is one contradictory path with some voices, and all of them are on it.
    fn has_one_way(&self, voices: &Members) -> bool {
        let (earliest, latest) = (self.earliest(voices), self.latest(voices));
        let at = |unknown: Unknown| unknown.0 as usize;
        let mut ways_in = vec![0; self.network.len()];
        let mut met = Members::none(self.voices);
        let mut meet = |support: Support| support.voices().for_each(|voice| met.insert(voice.0));
        for unknown in &self.order {
            let Some(last) = latest[at(*unknown)] else { continue };
            for limit in self.network.not_before.of(*unknown) {
                if limit.day.number() > last && holds(limit.support, voices) {
                    ways_in[at(*unknown)] += 1;
                    meet(limit.support);
                }
            }
            for order in self.network.before.of(*unknown) {
                let day = earliest[at(order.from)].map(|day| day + i32::from(order.strict));
                if day.is_some_and(|day| day > last) && holds(order.support, voices) {
                    ways_in[at(*unknown)] += 1;
                    meet(order.support);
                }
            }
        }
        let ends = self.network.not_after.all().iter().filter(|end| holds(end.support, voices));
        let mut ends = ends.filter(|end| earliest[at(end.unknown)].is_some_and(|day| day > end.day.number()));
        let end = ends.next();
        end.into_iter().for_each(|end| meet(end.support));
        ends.next().is_none() && ways_in.iter().all(|ways| *ways <= 1) && voices.is_within(&met)
    }

    /// The days that voices give each unknown not to be before, where there are no cycles.
    pub fn earliest(&self, voices: &Members) -> Vec<Option<i32>> {
        self.look(1);
        let mut days: Vec<Option<i32>> = vec![None; self.network.len()];
        for unknown in &self.order {
            let limits = self.network.not_before.of(*unknown).iter();
            let own = limits.filter(|limit| holds(limit.support, voices)).map(|limit| limit.day.number());
            let orders = self.network.before.of(*unknown).iter().filter(|order| holds(order.support, voices));
            let through = orders.filter_map(|order| Some(days[order.from.0 as usize]? + i32::from(order.strict)));
            days[unknown.0 as usize] = own.chain(through).max();
        }
        days
    }

    /// The days that voices give each unknown not to be after, where there are no cycles.
    fn latest(&self, voices: &Members) -> Vec<Option<i32>> {
        self.look(1);
        let mut days: Vec<Option<i32>> = vec![None; self.network.len()];
        for unknown in self.order.iter().rev() {
            let limits = self.network.not_after.of(*unknown).iter();
            let own = limits.filter(|limit| holds(limit.support, voices)).map(|limit| limit.day.number());
            let orders = self.network.after.of(*unknown).iter().filter(|order| holds(order.support, voices));
            let through = orders.filter_map(|order| Some(days[order.to.0 as usize]? - i32::from(order.strict)));
            days[unknown.0 as usize] = own.chain(through).min();
        }
        days
    }

    /// Counts the paths from days to ends, as far as there are no cycles; no set of voices is a conflict along none.
    pub fn count_paths(&self) -> Option<u64> {
        let mut counts: Vec<u64> = vec![0; self.network.len()];
        let mut sum: u64 = 0;
        for unknown in self.order.iter().filter(|_| !self.has_cycles) {
            let begun = self.network.not_before.of(*unknown).len() as u64;
            let through = self.network.before.of(*unknown).iter().map(|order| counts[order.from.0 as usize]);
            let count = through.fold(begun, u64::saturating_add);
            counts[unknown.0 as usize] = count;
            sum = sum.saturating_add(count.saturating_mul(self.network.not_after.of(*unknown).len() as u64));
        }
        (!self.has_cycles).then_some(sum)
    }

    /// The voices of one contradictory path or cycle, if there is any.
    fn contradiction(&self, stays: &Members) -> Option<Members> {
        let cycle = if self.has_cycles { self.strict_cycle(stays) } else { None };
        cycle.or_else(|| self.path(stays))
    }

    /// Finds a path from a day that an unknown is not before to an earlier one that another is not after.
    fn path(&self, stays: &Members) -> Option<Members> {
        let mut steps: Vec<Option<Step>> = vec![None; self.network.len()];
        loop {
            self.look(1);
            let mut has_changed = false;
            for unknown in &self.order {
                has_changed |= self.tighten(*unknown, stays, &mut steps);
                let Some(step) = steps[unknown.0 as usize] else { continue };
                let mut ends = self.network.not_after.of(*unknown).iter();
                if let Some(end) = ends.find(|end| end.day.number() < step.day && holds(end.support, stays)) {
                    return Some(self.traced(*unknown, end.support, &steps));
                }
            }
            if !has_changed || !self.has_cycles {
                return None;
            }
        }
    }

    /// Moves an unknown to the latest day that its predecessors give; says whether it moved.
    fn tighten(&self, unknown: Unknown, stays: &Members, steps: &mut [Option<Step>]) -> bool {
        let mut best = steps[unknown.0 as usize];
        let known = best.map(|step| step.day);
        for limit in self.network.not_before.of(unknown) {
            if best.is_none_or(|step| limit.day.number() > step.day) && holds(limit.support, stays) {
                best = Some(Step { day: limit.day.number(), support: limit.support, from: None });
            }
        }
        for order in self.network.before.of(unknown) {
            let Some(from) = steps[order.from.0 as usize] else { continue };
            let day = from.day + i32::from(order.strict);
            if best.is_none_or(|step| day > step.day) && holds(order.support, stays) {
                best = Some(Step { day, support: order.support, from: Some(order.from) });
            }
        }
        steps[unknown.0 as usize] = best;
        best.map(|step| step.day) != known
    }

    fn traced(&self, end: Unknown, support: Support, steps: &[Option<Step>]) -> Members {
        let mut voices = Members::of(self.voices, support.voices().map(|voice| voice.0));
        let mut at = Some(end);
        while let Some(step) = at.and_then(|unknown| steps[unknown.0 as usize]) {
            step.support.voices().for_each(|voice| voices.insert(voice.0));
            at = step.from;
        }
        voices
    }

    /// Finds a cycle with a strict order in it.
    fn strict_cycle(&self, stays: &Members) -> Option<Members> {
        self.look(16);
        let mut network = self.network.clone();
        network.retain(|voice: VoiceIndex| stays.contains(voice.0));
        if network.in_order().len() == network.len() {
            return None;
        }
        let strict = network.after.all().iter().filter(|order| order.strict);
        strict.into_iter().find_map(|order| self.way_back(&network, order))
    }

    /// The voices of the shortest way from the end of an order to its start, with its own.
    fn way_back(&self, network: &Network, order: &Order) -> Option<Members> {
        let mut came_by: Vec<Option<Order>> = vec![None; network.len()];
        let mut open = VecDeque::from([order.to]);
        while let Some(unknown) = open.pop_front().filter(|unknown| *unknown != order.from) {
            for next in network.after.of(unknown) {
                if came_by[next.to.0 as usize].is_none() && next.to != order.to {
                    came_by[next.to.0 as usize] = Some(*next);
                    open.push_back(next.to);
                }
            }
        }
        if order.from != order.to && came_by[order.from.0 as usize].is_none() {
            return None;
        }
        let mut voices = Members::of(self.voices, order.support.voices().map(|voice| voice.0));
        let mut at = order.from;
        while let Some(by) = came_by[at.0 as usize].filter(|_| at != order.to) {
            by.support.voices().for_each(|voice| voices.insert(voice.0));
            at = by.from;
        }
        Some(voices)
    }
}

fn holds(support: Support, stays: &Members) -> bool {
    support.voices().all(|voice| stays.contains(voice.0))
}
