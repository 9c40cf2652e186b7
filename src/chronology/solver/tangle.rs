//! Divides a network into its tangles: constraints on contradictory paths that share a day or a voice.
//!
//! Every conflict lies within one tangle. A tangle is small however large the network is, and numbers its days and
//! voices anew. It does not look for conflicts.

use std::collections::BTreeMap;

use crate::chronology::solver::constraint::{Limit, Order, Support, System, Unknown};
use crate::chronology::solver::network::Network;
use crate::date::Day;
use crate::knowledge::VoiceIndex;
use crate::resolve::leaders::Leaders;

/// Constraints that may contradict one another.
#[derive(Clone, Debug)]
pub struct Tangle {
    /// Its voices, sorted: a voice's place is its number in the network.
    pub voices: Vec<VoiceIndex>,
    /// Its constraints, with days and voices numbered anew.
    pub network: Network,
    /// The orders that the structure gives its days, outside any contradictory path.
    pub structure: Vec<Order>,
}

/// Finds the tangles of a network, smallest first by number of voices.
pub fn find(network: &Network) -> Vec<Tangle> {
    let latest = network.latest();
    let is_late = |limit: &Limit| latest[limit.unknown.0 as usize].is_some_and(|latest| limit.day > latest);
    let has_cycles = || network.in_order().len() < network.len();
    if !network.not_before.all().iter().any(is_late) && !has_cycles() {
        return Vec::new();
    }
    let parts = Parts::of(network, &Bounds { earliest: network.earliest(), latest });
    let mut tangles: Vec<Tangle> = parts.into_values().filter_map(|parts| tangle(parts, network)).collect();
    tangles.sort_by_key(|tangle| (tangle.voices.len(), tangle.voices[0]));
    tangles
}

impl Tangle {
    /// The tangles of the voices that pass, named by their numbers here.
    pub fn parts(&self, keep: impl Fn(VoiceIndex) -> bool) -> Vec<Tangle> {
        let mut network = self.network.clone();
        network.retain(keep);
        find(&network)
    }
}

/// The days that each unknown is not before and not after, with all voices.
struct Bounds {
    earliest: Vec<Option<Day>>,
    latest: Vec<Option<Day>>,
}

impl Bounds {
    fn starts_late(&self, limit: &Limit) -> bool {
        self.latest[limit.unknown.0 as usize].is_some_and(|latest| limit.day > latest)
    }

    fn ends_early(&self, limit: &Limit) -> bool {
        self.earliest[limit.unknown.0 as usize].is_some_and(|earliest| limit.day < earliest)
    }

    fn leads_on(&self, order: &Order) -> bool {
        let begun = self.earliest[order.from.0 as usize].map(|day| day.plus_days(i32::from(order.strict)));
        begun.zip(self.latest[order.to.0 as usize]).is_some_and(|(begun, latest)| begun > latest)
    }
}

/// The constraints of one tangle, with the numbers that the whole network gives.
#[derive(Default)]
struct Parts {
    not_before: Vec<Limit>,
    not_after: Vec<Limit>,
    orders: Vec<Order>,
}

impl Parts {
    /// Divides the constraints on contradictory paths, by a number of each tangle.
    fn of(network: &Network, bounds: &Bounds) -> BTreeMap<u32, Parts> {
        let starts = network.not_before.all().iter().filter(|limit| bounds.starts_late(limit));
        let ends = network.not_after.all().iter().filter(|limit| bounds.ends_early(limit));
        let orders = network.after.all().iter().filter(|order| bounds.leads_on(order));
        let mut leaders = Leaders::new(network.len() + voice_count(network));
        let mut tie = |unknown: Unknown, support: Support| {
            for voice in support.voices() {
                leaders.unite(unknown.0, network.len() as u32 + voice.0);
            }
        };
        starts.clone().chain(ends.clone()).for_each(|limit| tie(limit.unknown, limit.support));
        orders.clone().for_each(|order| tie(order.from, order.support));
        orders.clone().for_each(|order| leaders.unite(order.from.0, order.to.0));
        let mut parts: BTreeMap<u32, Parts> = BTreeMap::new();
        starts.for_each(|limit| parts.entry(leaders.of(limit.unknown.0)).or_default().not_before.push(*limit));
        ends.for_each(|limit| parts.entry(leaders.of(limit.unknown.0)).or_default().not_after.push(*limit));
        orders.for_each(|order| parts.entry(leaders.of(order.from.0)).or_default().orders.push(*order));
        parts
    }

    fn supports(&self) -> impl Iterator<Item = Support> {
        let limits = self.not_before.iter().chain(&self.not_after).map(|limit| limit.support);
        limits.chain(self.orders.iter().map(|order| order.support))
    }

    fn unknowns(&self) -> Vec<Unknown> {
        let limits = self.not_before.iter().chain(&self.not_after).map(|limit| limit.unknown);
        sorted(limits.chain(self.orders.iter().flat_map(|order| [order.from, order.to])))
    }
}

/// One more than the greatest number of a voice.
fn voice_count(network: &Network) -> usize {
    let limits = network.not_before.all().iter().chain(network.not_after.all()).map(|limit| limit.support);
    let supports = limits.chain(network.after.all().iter().map(|order| order.support));
    supports.flat_map(Support::voices).map(|voice| voice.0 as usize + 1).max().unwrap_or(0)
}

/// Numbers the days and voices anew; nothing where no voice has a part in it.
fn tangle(parts: Parts, whole: &Network) -> Option<Tangle> {
    let voices: Vec<VoiceIndex> = sorted(parts.supports().flat_map(Support::voices));
    let unknowns = parts.unknowns();
    let at = |unknown: Unknown| Unknown(place(&unknowns, &unknown));
    let number = |support: Support| support.renumbered(|voice| VoiceIndex(place(&voices, &voice)));
    let mut system = System::default();
    unknowns.iter().for_each(|_| _ = system.unknown());
    for limit in &parts.not_before {
        system.not_before(at(limit.unknown), limit.day, number(limit.support));
    }
    for limit in &parts.not_after {
        system.not_after(at(limit.unknown), limit.day, number(limit.support));
    }
    for order in &parts.orders {
        match order.strict {
            true => system.strict_order(at(order.from), at(order.to), number(order.support)),
            false => system.order(at(order.from), at(order.to), number(order.support)),
        }
    }
    let network = system.network(|_| true);
    let all = unknowns.iter().flat_map(|unknown| whole.after.of(*unknown));
    let structure =
        all.filter(|order| order.support == Support::STRUCTURE && unknowns.binary_search(&order.to).is_ok());
    let structure = structure.map(|order| Order { from: at(order.from), to: at(order.to), ..*order });
    let structure = structure.collect();
    (!voices.is_empty()).then_some(Tangle { voices, network, structure })
}

fn sorted<T: Ord>(values: impl Iterator<Item = T>) -> Vec<T> {
    let mut values: Vec<T> = values.collect();
    values.sort_unstable();
    values.dedup();
    values
}

fn place<T: Ord>(values: &[T], value: &T) -> u32 {
    values.binary_search(value).map_or(0, |at| at as u32)
}
