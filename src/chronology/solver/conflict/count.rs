//! Says whether a knot has more irreducible conflicts than are worth listing.
//!
//! It follows one path after another, each while it can still reach a new contradiction. It stops when a knot has too
//! many sets or it has looked at so many constraints. Every set that it counts is irreducible; it may leave some
//! uncounted.

use std::collections::{BTreeMap, HashSet};

use crate::chronology::solver::conflict::{SETS_OF_A_KNOT, on_cycles};
use crate::chronology::solver::constraint::{Order, Support, Unknown};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::probe::Probe;
use crate::chronology::solver::tangle::Tangle;
use crate::resolve::leaders::Leaders;

/// How many steps it may take to count the sets of a tangle.
const COUNTING: u64 = 40_000;

/// Gives the sets found in a tangle by the time its first knot has more than [`SETS_OF_A_KNOT`] of them. `None` if no
/// knot has so many, or the steps run out before. Takes the steps that it needs.
pub fn too_many(tangle: &Tangle, probe: &Probe<'_>, steps: &mut u64) -> Option<Vec<Members>> {
    if probe.count_paths().is_some_and(|paths| paths <= SETS_OF_A_KNOT as u64) {
        return None;
    }
    let most = COUNTING.min(*steps / 2);
    let mut walk = Walk::new(tangle, probe, most);
    walk.follow_all();
    *steps -= most - walk.steps;
    walk.is_full.then_some(walk.irreducible)
}

/// Says whether one group of sets that share voices has more than [`SETS_OF_A_KNOT`] members.
pub fn is_any_full(sets: &[Vec<u32>], voices: usize) -> bool {
    sets.len() > SETS_OF_A_KNOT && !full(sets, voices).is_empty()
}

/// The voices of each group of sets that share voices and are more than [`SETS_OF_A_KNOT`].
pub fn full(sets: &[Vec<u32>], voices: usize) -> Vec<Members> {
    more_than(SETS_OF_A_KNOT, sets, voices)
}

/// The voices of each group of sets that share voices and are more than so many.
pub fn more_than(most: usize, sets: &[Vec<u32>], voices: usize) -> Vec<Members> {
    let mut leaders = Leaders::new(voices);
    sets.iter().for_each(|set| set.windows(2).for_each(|pair| leaders.unite(pair[0], pair[1])));
    let mut counts = vec![0; voices];
    sets.iter().for_each(|set| counts[leaders.of(set[0]) as usize] += 1);
    let mut groups: BTreeMap<u32, Members> = BTreeMap::new();
    for voice in 0..voices as u32 {
        let leader = leaders.of(voice);
        if counts[leader as usize] > most {
            groups.entry(leader).or_insert_with(|| Members::none(voices)).insert(voice);
        }
    }
    groups.into_values().collect()
}

/// How far a path has come.
#[derive(Clone)]
struct Frame {
    unknown: Unknown,
    day: i32,
    /// The unknown that closes it, where it began with an order of a cycle.
    closes_at: Option<Unknown>,
    /// Which order is followed next.
    next: usize,
    voices: Members,
    /// The ends that its voices contradict already.
    closed: Members,
}

struct Walk<'a> {
    tangle: &'a Tangle,
    probe: &'a Probe<'a>,
    on_cycles: HashSet<Unknown>,
    /// The ends, by place, that each unknown can lead to.
    ends_ahead: Vec<Members>,
    /// Contradictory sets that were met.
    seen: HashSet<Members>,
    /// The irreducible sets.
    irreducible: Vec<Members>,
    leaders: Leaders,
    counts: Vec<usize>,
    /// How many more steps it may take.
    steps: u64,
    is_full: bool,
}

impl<'a> Walk<'a> {
    fn new(tangle: &'a Tangle, probe: &'a Probe<'a>, steps: u64) -> Walk<'a> {
        Walk {
            tangle,
            probe,
            on_cycles: on_cycles(&tangle.network),
            ends_ahead: ends_ahead(tangle),
            seen: HashSet::new(),
            irreducible: Vec::new(),
            leaders: Leaders::new(tangle.voices.len()),
            counts: vec![0; tangle.voices.len()],
            steps,
            is_full: false,
        }
    }

    fn follow_all(&mut self) {
        let begun = |unknown: Unknown, support: Support| Frame {
            unknown,
            day: 0,
            closes_at: None,
            next: 0,
            voices: Members::of(self.tangle.voices.len(), support.voices().map(|voice| voice.0)),
            closed: Members::none(self.tangle.network.not_after.all().len()),
        };
        let limits = self.tangle.network.not_before.all().iter();
        let limits = limits.map(|limit| Frame { day: limit.day.number(), ..begun(limit.unknown, limit.support) });
        let strict = self.tangle.network.after.all().iter().filter(|order| order.strict && self.is_on_cycle(order));
        let cycles = strict.map(|order| Frame { closes_at: Some(order.from), ..begun(order.to, order.support) });
        let frames: Vec<Frame> = limits.chain(cycles).collect();
        frames.into_iter().for_each(|frame| self.follow(frame));
    }

    fn is_on_cycle(&self, order: &Order) -> bool {
        self.on_cycles.contains(&order.from) && self.on_cycles.contains(&order.to)
    }

    /// Follows all paths from a first step, to ends or to the unknown that closes a cycle.
    fn follow(&mut self, begun: Frame) {
        let mut stack: Vec<Frame> = self.arrived(begun).into_iter().collect();
        while let Some(frame) = stack.last_mut() {
            if self.steps == 0 || self.is_full {
                return;
            }
            let Some(order) = self.tangle.network.after.of(frame.unknown).get(frame.next) else {
                stack.pop();
                continue;
            };
            frame.next += 1;
            self.probe.look(1);
            self.steps = self.steps.saturating_sub(self.probe.owed());
            let mut next = Frame { unknown: order.to, next: 0, ..frame.clone() };
            next.day += i32::from(order.strict);
            order.support.voices().for_each(|voice| next.voices.insert(voice.0));
            let crosses = self.is_on_cycle(order) && stack.iter().any(|frame| frame.unknown == order.to);
            if !crosses {
                stack.extend(self.arrived(next));
            }
        }
    }

    /// Notes the contradictions at a step; gives it back where a path can lead on from it.
    fn arrived(&mut self, frame: Frame) -> Option<Frame> {
        match frame.closes_at {
            Some(last) if last == frame.unknown => {
                self.note(frame.voices);
                None
            }
            Some(_) => Some(frame).filter(|frame| self.on_cycles.contains(&frame.unknown)),
            None if self.on_cycles.is_empty() => self.closed(frame),
            None => self.ended(frame),
        }
    }

    /// Notes every end that the voices of a path contradict by now, along any path.
    fn closed(&mut self, mut frame: Frame) -> Option<Frame> {
        let days = self.probe.earliest(&frame.voices);
        for (place, end) in (0..).zip(self.tangle.network.not_after.all()) {
            let is_passed = days[end.unknown.0 as usize].is_some_and(|day| day > end.day.number());
            if is_passed && !frame.closed.contains(place) {
                frame.closed.insert(place);
                self.note(joined(&frame.voices, end.support));
            }
        }
        let leads_on = !self.ends_ahead[frame.unknown.0 as usize].is_within(&frame.closed);
        leads_on.then_some(frame)
    }

    /// Notes the ends at the unknown that a path has come to.
    fn ended(&mut self, frame: Frame) -> Option<Frame> {
        for end in self.tangle.network.not_after.of(frame.unknown).iter().filter(|end| end.day.number() < frame.day) {
            self.note(joined(&frame.voices, end.support));
        }
        let leads_on = !self.ends_ahead[frame.unknown.0 as usize].is_empty();
        leads_on.then_some(frame)
    }

    fn note(&mut self, set: Members) {
        if self.seen.contains(&set) {
            return;
        }
        if self.probe.is_irreducible(&set) {
            set.iter().next().into_iter().for_each(|first| self.count(first, &set));
            self.irreducible.push(set.clone());
        }
        self.seen.insert(set);
    }

    /// Counts an irreducible set in the group that it shares voices with.
    fn count(&mut self, first: u32, set: &Members) {
        let mut count = 1;
        for voice in set.iter() {
            count += std::mem::take(&mut self.counts[self.leaders.of(voice) as usize]);
            self.leaders.unite(first, voice);
        }
        self.counts[self.leaders.of(first) as usize] = count;
        self.is_full |= count > SETS_OF_A_KNOT;
    }
}

fn joined(voices: &Members, support: Support) -> Members {
    let mut joined = voices.clone();
    support.voices().for_each(|voice| joined.insert(voice.0));
    joined
}

/// The ends, by place, that each unknown can lead to.
fn ends_ahead(tangle: &Tangle) -> Vec<Members> {
    let network = &tangle.network;
    let ends = network.not_after.all();
    let mut ahead = vec![Members::none(ends.len()); network.len()];
    (0..).zip(ends).for_each(|(place, end)| ahead[end.unknown.0 as usize].insert(place));
    network.join_later(&mut ahead);
    ahead
}
