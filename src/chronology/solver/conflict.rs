//! Lists the irreducible conflicts of a tangle, the smallest first, within a limited number of steps.
//!
//! A conflict is a path of orders from a day that one unknown is not before to an earlier day that another is not
//! after. A cycle with a strict order in it is one too. Which of them to believe is not asked here.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap, HashSet};

use crate::chronology::solver::conflict::found::Found;
use crate::chronology::solver::conflict::subsets::Subsets;
use crate::chronology::solver::constraint::{Order, Unknown};
use crate::chronology::solver::network::Network;
use crate::chronology::solver::tangle::Tangle;
use crate::date::Day;
use crate::knowledge::Chain;

mod found;
pub mod count;
mod subsets;

/// How many irreducible sets a knot may have before all its voices are contested.
pub const SETS_OF_A_KNOT: usize = 100_000;

/// How many partial and whole conflicts of a tangle are looked at in one go, before conflicts are found one by one.
pub const LOOKED_AT: usize = 60_000;

/// The irreducible conflicts of a tangle, or the smallest of them.
#[derive(Clone, Debug, Default)]
pub struct Listing {
    /// The sets, each sorted, the smallest first.
    pub sets: Vec<Vec<u32>>,
    /// All sets of at most so many voices are listed.
    pub up_to: usize,
    /// Whether all sets are listed.
    pub is_complete: bool,
    /// How many partial and whole conflicts were looked at.
    pub looked_at: usize,
}

/// Lists the irreducible conflicts of a tangle, until more than so many partial and whole ones were looked at.
pub fn list(tangle: &Tangle, most: usize) -> Listing {
    let mut search = Search::new(tangle);
    search.start();
    while let Some(Reverse((size, _, event))) = search.queue.pop() {
        if search.events.len() > most {
            let looked_at = search.events.len();
            return Listing { sets: search.found.sets, up_to: size - 1, is_complete: false, looked_at };
        }
        match search.events[event].clone() {
            Event::Reached(label) => search.extend(label),
            Event::Closed(voices) => search.found.add(voices),
        }
    }
    let looked_at = search.events.len();
    Listing { sets: search.found.sets, up_to: tangle.voices.len(), is_complete: true, looked_at }
}

/// The unknowns that are on a cycle, or between two.
pub fn on_cycles(network: &Network) -> HashSet<Unknown> {
    let sorted = network.in_order();
    if sorted.len() == network.len() {
        return HashSet::new();
    }
    let outside: HashSet<Unknown> = sorted.into_iter().chain(network.in_reverse_order()).collect();
    (0..network.len() as u32).map(Unknown).filter(|unknown| !outside.contains(unknown)).collect()
}

/// A day that an unknown cannot be before, on the word of some voices.
#[derive(Clone, Debug)]
struct Label {
    unknown: Unknown,
    day: Day,
    voices: Chain,
    /// The labels it came through, so that no path crosses itself.
    parent: Option<usize>,
    /// For a path that began with a strict order of a cycle: the unknown that closes it; such a path counts no days.
    closes_at: Option<Unknown>,
}

#[derive(Clone, Debug)]
enum Event {
    Reached(usize),
    /// A conflict.
    Closed(Chain),
}

struct Search<'a> {
    network: &'a Network,
    latest: Vec<Option<Day>>,
    on_cycles: HashSet<Unknown>,
    labels: Vec<Label>,
    /// The voices of labels with their days, by unknown and the unknown that would close them.
    settled: HashMap<(Unknown, Option<Unknown>), Subsets>,
    events: Vec<Event>,
    /// Smaller sets first, then in order of arrival, so that what is taken out is final.
    queue: BinaryHeap<Reverse<(usize, usize, usize)>>,
    found: Found,
}

impl<'a> Search<'a> {
    fn new(tangle: &'a Tangle) -> Search<'a> {
        let network = &tangle.network;
        Search {
            network,
            latest: network.latest(),
            on_cycles: on_cycles(network),
            labels: Vec::new(),
            settled: HashMap::new(),
            events: Vec::new(),
            queue: BinaryHeap::new(),
            found: Found::default(),
        }
    }

    fn start(&mut self) {
        for limit in self.network.not_before.all() {
            if !self.is_too_late(limit.unknown, limit.day) {
                continue;
            }
            let voices = limit.support.joined_to(&[]);
            self.reach(Label { unknown: limit.unknown, day: limit.day, voices, parent: None, closes_at: None });
        }
        if self.on_cycles.is_empty() {
            return;
        }
        for order in self.network.after.all().iter().filter(|order| order.strict) {
            if self.on_cycles.contains(&order.from) && self.on_cycles.contains(&order.to) {
                self.start_cycle(order);
            }
        }
    }

    fn start_cycle(&mut self, order: &Order) {
        let (day, voices) = (Day::from_number(0), order.support.joined_to(&[]));
        self.reach(Label { unknown: order.to, day, voices, parent: None, closes_at: Some(order.from) });
    }

    /// Queues a label that can still become a conflict.
    fn reach(&mut self, label: Label) {
        let can_close = match label.closes_at {
            Some(_) => self.on_cycles.contains(&label.unknown),
            None => self.is_too_late(label.unknown, label.day),
        };
        if !can_close {
            return;
        }
        let size = label.voices.len();
        self.labels.push(label);
        self.push(size, Event::Reached(self.labels.len() - 1));
    }

    fn is_too_late(&self, unknown: Unknown, day: Day) -> bool {
        self.latest[unknown.0 as usize].is_some_and(|latest| day > latest)
    }

    fn push(&mut self, size: usize, event: Event) {
        self.events.push(event);
        let number = self.events.len() - 1;
        self.queue.push(Reverse((size, number, number)));
    }

    fn extend(&mut self, number: usize) {
        let label = self.labels[number].clone();
        if self.is_dominated(&label) || self.found.covers(&label.voices) {
            return;
        }
        self.settled.entry((label.unknown, label.closes_at)).or_default().add(&label.voices, label.day.number());
        self.close(&label);
        for order in self.network.after.of(label.unknown) {
            if !self.crosses(number, order.to) {
                self.reach(Label {
                    unknown: order.to,
                    day: label.day.plus_days(i32::from(order.strict && label.closes_at.is_none())),
                    voices: order.support.joined_to(&label.voices),
                    parent: Some(number),
                    closes_at: label.closes_at,
                });
            }
        }
    }

    /// Queues the conflicts that end at the label's unknown.
    fn close(&mut self, label: &Label) {
        if label.closes_at == Some(label.unknown) {
            self.push(label.voices.len(), Event::Closed(label.voices.clone()));
        }
        if label.closes_at.is_some() {
            return;
        }
        for limit in self.network.not_after.of(label.unknown) {
            if limit.day < label.day {
                let voices = limit.support.joined_to(&label.voices);
                self.push(voices.len(), Event::Closed(voices));
            }
        }
    }

    /// Says whether fewer voices already reach as late a day at the same unknown.
    fn is_dominated(&self, label: &Label) -> bool {
        let settled = self.settled.get(&(label.unknown, label.closes_at));
        settled.is_some_and(|settled| settled.has_within(&label.voices, label.day.number()))
    }

    /// Says whether the path to a label already went through an unknown; only cycles can lead back.
    fn crosses(&self, number: usize, unknown: Unknown) -> bool {
        if !self.on_cycles.contains(&unknown) {
            return false;
        }
        let mut at = Some(number);
        while let Some(label) = at.map(|number| &self.labels[number]) {
            if label.unknown == unknown {
                return true;
            }
            at = label.parent;
        }
        false
    }
}
