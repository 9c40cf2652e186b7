//! A network to its irreducible conflicts: smallest sets of voices that cannot all hold.
//!
//! A conflict is a path of orders from a day that an unknown is not before to an earlier day that another is not after,
//! or a cycle with a strict order in it. Which of them to believe is not asked here.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashMap, HashSet};

use crate::chronology::solver::conflict::subsets::Subsets;
use crate::chronology::solver::conflict::tangle::{Leave, Tangles};
use crate::chronology::solver::constraint::{Order, Unknown};
use crate::chronology::solver::network::Network;
use crate::date::Day;
use crate::knowledge::{Chain, VoiceIndex};

mod subsets;
pub mod tangle;

/// How many irreducible sets a knot may have before all its voices are contested.
pub const SETS_OF_A_KNOT: usize = 100_000;

/// Irreducible sets that hang together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Knot {
    /// The sets, each sorted, the smallest first.
    pub sets: Vec<Vec<VoiceIndex>>,
    /// Whether there are more than [`SETS_OF_A_KNOT`], or finding them takes more than [`tangle::PATHS`]: not all are listed.
    pub overflows: bool,
    /// The voices that may be in sets that are not listed.
    unlisted: Vec<VoiceIndex>,
}

impl Knot {
    /// Its voices, sorted.
    pub fn voices(&self) -> Vec<VoiceIndex> {
        let mut voices: Vec<VoiceIndex> = self.sets.iter().flatten().chain(&self.unlisted).copied().collect();
        voices.sort_unstable();
        voices.dedup();
        voices
    }
}

/// Finds all irreducible conflicts, grouped by the voices they share; sorted by their first voice.
pub fn find(network: &Network) -> Vec<Knot> {
    let mut search = Search::new(network);
    search.start();
    while let Some(Reverse((_, _, event))) = search.queue.pop() {
        match search.events[event].clone() {
            Event::Reached(label) => search.extend(label),
            Event::Closed(voices, unknown) => {
                if search.found.add(voices) {
                    search.give_up(unknown);
                }
            }
        }
    }
    search.found.knots()
}

/// Groups irreducible conflicts by the voices they share; sorted by their first voice.
pub fn grouped(sets: impl IntoIterator<Item = Vec<VoiceIndex>>) -> Vec<Knot> {
    let mut found = Found::default();
    for set in sets {
        found.add(set.into());
    }
    found.knots()
}

/// The unknowns that are on a cycle, or between two.
fn on_cycles(network: &Network) -> HashSet<Unknown> {
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
    /// A conflict, and an unknown that it speaks of.
    Closed(Chain, Unknown),
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
    /// Found when they are asked for: most networks are searched in a moment.
    tangles: Option<Tangles>,
    found: Found,
}

impl<'a> Search<'a> {
    fn new(network: &'a Network) -> Search<'a> {
        Search {
            network,
            latest: network.latest(),
            on_cycles: on_cycles(network),
            labels: Vec::new(),
            settled: HashMap::new(),
            events: Vec::new(),
            queue: BinaryHeap::new(),
            tangles: None,
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
        if !can_close || !self.may_follow(label.unknown) {
            return;
        }
        let size = label.voices.len();
        self.labels.push(label);
        self.push(size, Event::Reached(self.labels.len() - 1));
    }

    /// Says whether one more path may be followed to an unknown; gives its tangle up where it may not.
    fn may_follow(&mut self, unknown: Unknown) -> bool {
        let in_all = self.labels.len();
        if in_all < tangle::PATHS {
            return true;
        }
        let leave = self.tangles().follow(unknown, in_all);
        if leave == Leave::JustDenied {
            self.give_up(unknown);
        }
        leave == Leave::Given
    }

    fn give_up(&mut self, unknown: Unknown) {
        let network = self.network;
        let voices = self.tangles().voices(network, unknown);
        self.found.give_up(voices);
    }

    fn tangles(&mut self) -> &mut Tangles {
        let reached = self.labels.iter().map(|label| label.unknown);
        self.tangles.get_or_insert_with(|| Tangles::new(self.network, reached))
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
            self.push(label.voices.len(), Event::Closed(label.voices.clone(), label.unknown));
        }
        if label.closes_at.is_some() {
            return;
        }
        for limit in self.network.not_after.of(label.unknown) {
            if limit.day < label.day {
                let voices = limit.support.joined_to(&label.voices);
                self.push(voices.len(), Event::Closed(voices, label.unknown));
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

/// Irreducible sets found so far, and which voices they tie together.
#[derive(Default)]
struct Found {
    sets: Vec<Vec<VoiceIndex>>,
    within: Subsets,
    leaders: BTreeMap<VoiceIndex, VoiceIndex>,
    counts: HashMap<VoiceIndex, usize>,
    given_up: Vec<Vec<VoiceIndex>>,
    full: HashSet<VoiceIndex>,
}

impl Found {
    /// Says whether the voices hold a set that was found, or belong to a knot that is full.
    fn covers(&self, voices: &[VoiceIndex]) -> bool {
        let is_full = |voice: &VoiceIndex| self.full.contains(&self.leader(*voice));
        !self.full.is_empty() && voices.iter().any(is_full) || self.within.has_within(voices, 0)
    }

    /// Adds a set, unless it holds another; says whether its knot has too many with it.
    fn add(&mut self, voices: Chain) -> bool {
        if self.covers(&voices) {
            return false;
        }
        let leader = self.join(&voices);
        self.within.add(&voices, 0);
        self.sets.push(voices.to_vec());
        let count = self.counts.entry(leader).or_default();
        *count += 1;
        let is_full = *count > SETS_OF_A_KNOT;
        if is_full {
            self.full.insert(leader);
        }
        is_full
    }

    /// Takes note of voices whose sets are too many to find.
    fn give_up(&mut self, voices: Vec<VoiceIndex>) {
        if voices.is_empty() {
            return;
        }
        let leader = self.join(&voices);
        self.full.insert(leader);
        self.given_up.push(voices);
    }

    fn leader(&self, voice: VoiceIndex) -> VoiceIndex {
        let mut at = voice;
        while let Some(next) = self.leaders.get(&at).filter(|next| **next != at) {
            at = *next;
        }
        at
    }

    fn join(&mut self, voices: &[VoiceIndex]) -> VoiceIndex {
        let roots: Vec<VoiceIndex> = voices.iter().map(|voice| self.leader(*voice)).collect();
        let first = roots.iter().copied().min().unwrap_or(voices[0]);
        for (voice, root) in voices.iter().zip(roots) {
            self.leaders.insert(*voice, first);
            self.leaders.insert(root, first);
            if root != first {
                if self.full.contains(&root) {
                    self.full.insert(first);
                }
                let moved = self.counts.remove(&root).unwrap_or(0);
                *self.counts.entry(first).or_default() += moved;
            }
        }
        first
    }

    fn knots(self) -> Vec<Knot> {
        let mut knots: BTreeMap<VoiceIndex, Knot> = BTreeMap::new();
        for set in &self.sets {
            let leader = self.leader(set[0]);
            let knot = knots.entry(leader).or_default();
            knot.overflows = self.full.contains(&leader);
            knot.sets.push(set.clone());
        }
        for voices in self.given_up.iter() {
            let knot = knots.entry(self.leader(voices[0])).or_default();
            knot.overflows = true;
            knot.unlisted.extend(voices);
        }
        knots.into_values().collect()
    }
}
