//! The irreducible conflict with the fewest voices that holds a voice.
//!
//! Paths grow voice by voice, the smallest first. Of two paths that end at one unknown on as late a day, only the
//! smaller is followed, unless they differ in voices that can still matter. Such voices may come again further on, or
//! belong to conflicts without the voice, which no irreducible set with it may hold. Such conflicts are learnt as they
//! are met.

use std::cmp::{Ordering, Reverse};
use std::collections::{BinaryHeap, HashMap, HashSet};

use crate::chronology::solver::conflict::on_cycles;
use crate::chronology::solver::constraint::{Order, Support, Unknown};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::network::Network;
use crate::chronology::solver::probe::Probe;
use crate::chronology::solver::tangle::Tangle;

/// A tangle, ready to be asked for the smallest conflicts of its voices.
pub struct Smallest<'a> {
    network: &'a Network,
    probe: &'a Probe<'a>,
    voices: usize,
    on_cycles: HashSet<Unknown>,
    latest: Vec<Option<i32>>,
    /// The voices that each unknown can lead to.
    ahead: Vec<Members>,
    /// The sets that occur with more than one constraint.
    again: Vec<Members>,
}

impl<'a> Smallest<'a> {
    /// Prepares a tangle.
    pub fn new(tangle: &'a Tangle, probe: &'a Probe<'a>) -> Smallest<'a> {
        let (network, voices) = (&tangle.network, tangle.voices.len());
        let ahead = ahead(network, voices);
        let repeated = repeated(network, voices);
        Smallest {
            network,
            probe,
            voices,
            on_cycles: on_cycles(network),
            latest: network.latest().into_iter().map(|day| day.map(|day| day.number())).collect(),
            again: ahead.iter().map(|ahead| ahead.shared(&repeated)).collect(),
            ahead,
        }
    }

    fn is_on_cycle(&self, order: &Order) -> bool {
        self.on_cycles.contains(&order.from) && self.on_cycles.contains(&order.to)
    }

    /// Finds the smallest irreducible set with a voice, the first by number among equals: nothing where no set has it.
    /// The outer `None` says that the steps ran out.
    pub fn with(&self, voice: u32, steps: &mut u64) -> Option<Option<Members>> {
        let mut excluded: Vec<Members> = Vec::new();
        loop {
            let found = Search::new(self, voice, &excluded).run(steps)?;
            let Some(set) = found else { return Some(None) };
            let is_irreducible = self.probe.is_irreducible(&set);
            let core = if is_irreducible { set } else { self.probe.reduced(set) };
            self.probe.pay(steps)?;
            if core.contains(voice) {
                return Some(Some(core));
            }
            excluded.push(core);
        }
    }
}

/// The voices on everything that each unknown can lead to.
fn ahead(network: &Network, voices: usize) -> Vec<Members> {
    let mut ahead = vec![Members::none(voices); network.len()];
    let add = |members: &mut Members, support: Support| support.voices().for_each(|voice| members.insert(voice.0));
    network.not_after.all().iter().for_each(|end| add(&mut ahead[end.unknown.0 as usize], end.support));
    network.after.all().iter().for_each(|order| add(&mut ahead[order.from.0 as usize], order.support));
    network.join_later(&mut ahead);
    ahead
}

/// The voices behind more than one constraint.
fn repeated(network: &Network, voices: usize) -> Members {
    let limits = network.not_before.all().iter().chain(network.not_after.all()).map(|limit| limit.support);
    let supports = limits.chain(network.after.all().iter().map(|order| order.support));
    let mut counts = vec![0; voices];
    supports.flat_map(Support::voices).for_each(|voice| counts[voice.0 as usize] += 1);
    Members::of(voices, (0..voices as u32).filter(|voice| counts[*voice as usize] > 1))
}

/// How far a path has come, or a whole one.
#[derive(Clone)]
struct Label {
    /// Where it is; nothing where it is whole.
    at: Option<Unknown>,
    /// The day it has come to; of a cycle, one if it has a strict order.
    day: i32,
    voices: Members,
    /// The label it came from.
    parent: Option<usize>,
    /// The unknown that closes it, where it began with an order of a cycle.
    closes_at: Option<Unknown>,
}

/// A label's place in the queue: fewer voices first, then the first by number.
#[derive(PartialEq, Eq)]
struct Queued {
    size: usize,
    voices: Members,
    number: usize,
}

impl Ord for Queued {
    fn cmp(&self, other: &Queued) -> Ordering {
        let by_size = self.size.cmp(&other.size);
        by_size.then_with(|| self.voices.by_numbers(&other.voices)).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Queued {
    fn partial_cmp(&self, other: &Queued) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

struct Search<'a> {
    of: &'a Smallest<'a>,
    voice: u32,
    excluded: &'a [Members],
    labels: Vec<Label>,
    queue: BinaryHeap<Reverse<Queued>>,
    /// The latest day that was reached with the voices that still matter.
    reached: HashMap<Place, i32>,
}

/// An unknown, the unknown that closes the cycle, and the voices that still matter.
type Place = (Unknown, Option<Unknown>, Members);

impl<'a> Search<'a> {
    fn new(of: &'a Smallest<'a>, voice: u32, excluded: &'a [Members]) -> Search<'a> {
        Search { of, voice, excluded, labels: Vec::new(), queue: BinaryHeap::new(), reached: HashMap::new() }
    }

    fn run(mut self, steps: &mut u64) -> Option<Option<Members>> {
        self.start();
        while let Some(Reverse(queued)) = self.queue.pop() {
            *steps = steps.checked_sub(1)?;
            match self.labels[queued.number].at {
                None => return Some(Some(queued.voices)),
                Some(unknown) => self.extend(queued.number, unknown),
            }
        }
        Some(None)
    }

    fn start(&mut self) {
        let network = self.of.network;
        for limit in network.not_before.all() {
            let label = self.begun(limit.unknown, limit.support);
            self.push(Label { day: limit.day.number(), ..label });
        }
        for order in network.after.all().iter().filter(|order| self.of.is_on_cycle(order)) {
            if order.support.voices().any(|voice| voice.0 == self.voice) {
                let label = self.begun(order.to, order.support);
                self.push(Label { day: i32::from(order.strict), closes_at: Some(order.from), ..label });
            }
        }
    }

    fn begun(&self, unknown: Unknown, support: Support) -> Label {
        let voices = Members::of(self.of.voices, support.voices().map(|voice| voice.0));
        Label { at: Some(unknown), day: 0, voices, parent: None, closes_at: None }
    }

    /// Queues a label that can still become a conflict with the voice.
    fn push(&mut self, label: Label) {
        let has_voice = label.voices.contains(self.voice);
        let can_close = match (label.at, label.closes_at) {
            (None, _) => has_voice,
            (Some(unknown), Some(_)) => self.of.on_cycles.contains(&unknown),
            (Some(unknown), None) => {
                let at = unknown.0 as usize;
                self.of.latest[at].is_some_and(|latest| label.day > latest)
                    && (has_voice || self.of.ahead[at].contains(self.voice))
            }
        };
        if can_close && !self.excluded.iter().any(|set| set.is_within(&label.voices)) {
            let (size, voices, number) = (label.voices.len(), label.voices.clone(), self.labels.len());
            self.queue.push(Reverse(Queued { size, voices, number }));
            self.labels.push(label);
        }
    }

    fn extend(&mut self, number: usize, unknown: Unknown) {
        let label = self.labels[number].clone();
        let place = (unknown, label.closes_at, self.that_matter(&label.voices, unknown));
        if self.reached.get(&place).is_some_and(|day| *day >= label.day) {
            return;
        }
        self.reached.insert(place, label.day);
        self.close(&label, unknown);
        for order in self.of.network.after.of(unknown) {
            let strict = i32::from(order.strict);
            let next = Label {
                at: Some(order.to),
                day: if label.closes_at.is_some() { label.day.max(strict) } else { label.day + strict },
                voices: joined(&label.voices, order.support),
                parent: Some(number),
                closes_at: label.closes_at,
            };
            self.go_on(next, order.to);
        }
    }

    /// Queues the conflicts that end at the unknown a label is at.
    fn close(&mut self, label: &Label, unknown: Unknown) {
        if label.closes_at == Some(unknown) && label.day > 0 {
            self.push(Label { at: None, ..label.clone() });
        }
        if label.closes_at.is_none() {
            for end in self.of.network.not_after.of(unknown).iter().filter(|end| end.day.number() < label.day) {
                self.push(Label { at: None, voices: joined(&label.voices, end.support), ..label.clone() });
            }
        }
    }

    /// Queues a step, unless it returns to where its path was with the same voices: that is nothing new or a whole
    /// contradiction.
    fn go_on(&mut self, next: Label, unknown: Unknown) {
        let before = if self.of.on_cycles.contains(&unknown) { self.was_at(&next, unknown) } else { None };
        match before {
            Some(day) if day >= next.day => {}
            Some(_) if next.closes_at.is_none() => self.push(Label { at: None, ..next }),
            _ => self.push(next),
        }
    }

    /// The day on which a path was at an unknown before, with the voices it has now.
    fn was_at(&self, label: &Label, unknown: Unknown) -> Option<i32> {
        let mut at = label.parent;
        while let Some(earlier) = at.map(|number| &self.labels[number]) {
            if earlier.voices.len() < label.voices.len() {
                return None;
            }
            if earlier.at == Some(unknown) {
                return Some(earlier.day);
            }
            at = earlier.parent;
        }
        None
    }

    /// The voices of a path that can still make a difference beyond an unknown.
    fn that_matter(&self, voices: &Members, unknown: Unknown) -> Members {
        let at = unknown.0 as usize;
        let mut mattering = self.of.again[at].clone();
        mattering.insert(self.voice);
        for set in self.excluded.iter().filter(|set| set.without(voices).is_within(&self.of.ahead[at])) {
            mattering.join(set);
        }
        voices.shared(&mattering)
    }
}

fn joined(voices: &Members, support: Support) -> Members {
    let mut joined = voices.clone();
    support.voices().for_each(|voice| joined.insert(voice.0));
    joined
}
