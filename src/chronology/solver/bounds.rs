//! Gives the tightest days of each unknown in a consistent network, each with the chain of voices
//! it depends on.
//!
//! Two passes follow one order: earliest days flow along it, latest days against it. Estimates come
//! second and move no existing day.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use crate::chronology::solver::constraint::{Limit, Order, Support, Unknown};
use crate::chronology::solver::network::{Grouped, Network};
use crate::date::Day;
use crate::knowledge::{Chain, VoiceIndex};

/// Which way days flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The earliest day an unknown can be.
    Earliest,
    /// The latest day an unknown can be.
    Latest,
}

/// A day with the voices it depends on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The day.
    pub day: Day,
    /// The voices of the chain, sorted.
    pub voices: Chain,
    /// The estimate it began with, by number.
    pub estimate: Option<u32>,
}

/// A day that only an estimate gives.
#[derive(Clone, Copy, Debug)]
pub struct Hint {
    /// The unknown it is of.
    pub unknown: Unknown,
    /// The day.
    pub day: Day,
    /// The estimate's number.
    pub estimate: u32,
}

/// The days of every unknown in one direction.
pub struct Pass {
    network: Arc<Network>,
    direction: Direction,
    order: Vec<Unknown>,
}

impl Pass {
    /// Prepares a pass over a network without cycles.
    pub fn new(network: &Arc<Network>, direction: Direction) -> Pass {
        let order = match direction {
            Direction::Earliest => network.in_order(),
            Direction::Latest => network.in_reverse_order(),
        };
        Pass { network: Arc::clone(network), direction, order }
    }

    /// Gives each unknown's day from the voices alone: the tightest, with the fewest voices, then
    /// the first by name.
    ///
    /// If every way on from an unknown depends on one voice (a garment's placing), the chain
    /// includes that voice.
    pub fn days(&self) -> Vec<Option<Reason>> {
        let limits = self.limits();
        let reason = |limit: &Limit| Reason { day: limit.day, voices: limit.support.joined_to(&[]), estimate: None };
        self.flow(|unknown| limits.of(unknown).iter().map(reason))
    }

    /// Gives, for an unknown that the voices leave open, the tightest day that any one estimate gives it.
    pub fn estimated(&self, days: &[Option<Reason>], hints: &[Hint]) -> Vec<Option<Reason>> {
        let mut by_unknown = vec![Vec::new(); self.network.len()];
        for hint in hints {
            let reason = Reason { day: hint.day, voices: Chain::new(), estimate: Some(hint.estimate) };
            by_unknown[hint.unknown.0 as usize].push(reason);
        }
        let open = |unknown: Unknown| days[unknown.0 as usize].is_none();
        let own = |unknown: Unknown| if open(unknown) { by_unknown[unknown.0 as usize].as_slice() } else { &[] };
        self.flow(|unknown| own(unknown).iter().cloned())
            .into_iter()
            .zip(days)
            .map(|(estimated, known)| if known.is_none() { estimated } else { None })
            .collect()
    }

    /// Gives the day of an unknown without some voices; `days` are the results of this pass with
    /// all voices.
    pub fn without(&self, unknown: Unknown, voices: &[VoiceIndex], days: &[Option<Reason>]) -> Option<Day> {
        let is_out = |voice: &VoiceIndex| voices.contains(voice);
        // Removing voices only loosens: a day whose chain holds none of them stays, and an open one stays open.
        let stays = |at: Unknown| match &days[at.0 as usize] {
            Some(reason) if reason.voices.iter().any(is_out) => None,
            reason => Some(reason.as_ref().map(|reason| reason.day)),
        };
        self.walked(unknown, |voice| !is_out(&voice), stays)
    }

    /// Gives the day of an unknown from only the voices that hold, which must leave no cycle.
    pub fn tightest(&self, unknown: Unknown, holds: impl Fn(VoiceIndex) -> bool) -> Option<Day> {
        self.walked(unknown, holds, |_| None)
    }

    /// Walks back from an unknown along constraints that hold, until days are known.
    fn walked(
        &self,
        unknown: Unknown,
        holds: impl Fn(VoiceIndex) -> bool,
        known: impl Fn(Unknown) -> Option<Option<Day>>,
    ) -> Option<Day> {
        if let Some(day) = known(unknown) {
            return day;
        }
        let holds = |support: Support| support.voices().all(&holds);
        // Each unknown without a known day is met twice: before all that lead to it, and when their days are there.
        let mut days: BTreeMap<Unknown, Option<Day>> = BTreeMap::new();
        let mut open = vec![(unknown, false)];
        while let Some((at, is_ready)) = open.pop() {
            let orders = self.incoming().of(at).iter().filter(|order| holds(order.support));
            if is_ready {
                let own = self.limits().of(at).iter().filter(|limit| holds(limit.support)).map(|limit| limit.day);
                let day_of = |at| known(at).unwrap_or_else(|| days.get(&at).copied().flatten());
                let through = orders.filter_map(|order| Some(self.step(day_of(self.start(order))?, order)));
                let day = own.chain(through).reduce(|one, other| self.tighter(one, other));
                days.insert(at, day);
            } else if let Entry::Vacant(place) = days.entry(at) {
                place.insert(None);
                open.push((at, true));
                let starts = orders.map(|order| self.start(order)).filter(|start| known(*start).is_none());
                open.extend(starts.map(|start| (start, false)));
            }
        }
        days.remove(&unknown).flatten()
    }

    fn flow<I: Iterator<Item = Reason>>(&self, own: impl Fn(Unknown) -> I) -> Vec<Option<Reason>> {
        let mut days: Vec<Option<Reason>> = vec![None; self.network.len()];
        for unknown in &self.order {
            let toll = self.toll(*unknown);
            let mut best: Option<Reason> = None;
            let mut offer = |next: Reason| {
                if best.as_ref().is_none_or(|best| self.prefer(&next, best, toll) == Ordering::Less) {
                    best = Some(next);
                }
            };
            own(*unknown).for_each(&mut offer);
            let through = self.incoming().of(*unknown).iter().filter_map(|order| {
                let from = days[self.start(order).0 as usize].as_ref()?;
                Some((self.step(from.day, order), order.support, from))
            });
            // Most days are looser than one already known, and need no list of voices.
            let tightest = through.clone().map(|(day, ..)| day).reduce(|one, other| self.tighter(one, other));
            for (day, support, from) in through.filter(|(day, ..)| Some(*day) == tightest) {
                offer(Reason { day, voices: support.joined_to(&from.voices), estimate: from.estimate });
            }
            days[unknown.0 as usize] = best;
        }
        days
    }

    /// Orders reasons: the tighter day, then the fewer voices, then the first by name, then the first estimate.
    fn prefer(&self, one: &Reason, other: &Reason, toll: Support) -> Ordering {
        let days = match self.direction {
            Direction::Earliest => other.day.cmp(&one.day),
            Direction::Latest => one.day.cmp(&other.day),
        };
        days.then_with(|| {
            let (one_paid, other_paid) = (toll.joined_to(&one.voices), toll.joined_to(&other.voices));
            one_paid.len().cmp(&other_paid.len()).then_with(|| one_paid.cmp(&other_paid))
        })
        .then_with(|| one.estimate.cmp(&other.estimate))
    }

    /// The voices that every way on from an unknown adds: counted with each way in, so that a voice met twice counts once.
    fn toll(&self, unknown: Unknown) -> Support {
        let outgoing = match self.direction {
            Direction::Earliest => self.network.after.of(unknown),
            Direction::Latest => self.network.before.of(unknown),
        };
        match outgoing {
            [first, rest @ ..] if rest.iter().all(|order| order.support == first.support) => first.support,
            _ => Support::STRUCTURE,
        }
    }

    fn limits(&self) -> &Grouped<Limit> {
        match self.direction {
            Direction::Earliest => &self.network.not_before,
            Direction::Latest => &self.network.not_after,
        }
    }

    fn incoming(&self) -> &Grouped<Order> {
        match self.direction {
            Direction::Earliest => &self.network.before,
            Direction::Latest => &self.network.after,
        }
    }

    fn start(&self, order: &Order) -> Unknown {
        match self.direction {
            Direction::Earliest => order.from,
            Direction::Latest => order.to,
        }
    }

    fn step(&self, day: Day, order: &Order) -> Day {
        match self.direction {
            Direction::Earliest => day.plus_days(i32::from(order.strict)),
            Direction::Latest => day.plus_days(-i32::from(order.strict)),
        }
    }

    fn tighter(&self, one: Day, other: Day) -> Day {
        match self.direction {
            Direction::Earliest => one.max(other),
            Direction::Latest => one.min(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::{Direction, Hint, Pass};
    use crate::chronology::solver::constraint::{Support, System};
    use crate::date::Day;
    use crate::knowledge::VoiceIndex;

    #[test]
    fn the_chain_with_fewer_voices_wins_among_equal_days() {
        let mut system = System::default();
        let (garment, end) = (system.unknown(), system.unknown());
        let (made, claim, seen) = (VoiceIndex(0), VoiceIndex(1), VoiceIndex(2));
        system.not_before(garment, Day::from_number(5), Support::one(made));
        system.order(garment, end, Support::one(seen));
        system.not_before(end, Day::from_number(5), Support::one(claim));
        let network = Arc::new(system.network(|_| true));
        let pass = Pass::new(&network, Direction::Earliest);
        let days = pass.days();
        assert_eq!(days[1].as_ref().map(|reason| &reason.voices[..]), Some(&[claim][..]));
        assert_eq!(pass.without(end, &[claim], &days), Some(Day::from_number(5)));
        assert_eq!(pass.without(end, &[claim, seen], &days), None);
    }

    #[test]
    fn a_voice_met_twice_counts_once() {
        let mut system = System::default();
        let (garment, end) = (system.unknown(), system.unknown());
        let (made, seen) = (VoiceIndex(0), VoiceIndex(1));
        system.not_before(garment, Day::from_number(5), Support::one(made));
        system.not_before(garment, Day::from_number(5), Support::one(seen));
        system.order(garment, end, Support::one(seen));
        let network = Arc::new(system.network(|_| true));
        let days = Pass::new(&network, Direction::Earliest).days();
        assert_eq!(days[1].as_ref().map(|reason| &reason.voices[..]), Some(&[seen][..]));
    }

    #[test]
    fn an_estimate_moves_no_day_that_exists() {
        let mut system = System::default();
        let (garment, end, whole) = (system.unknown(), system.unknown(), system.unknown());
        system.order(garment, end, Support::one(VoiceIndex(0)));
        system.order(end, whole, Support::STRUCTURE);
        system.not_before(whole, Day::from_number(3), Support::one(VoiceIndex(1)));
        let network = Arc::new(system.network(|_| true));
        let pass = Pass::new(&network, Direction::Earliest);
        let hint = Hint { unknown: garment, day: Day::from_number(9), estimate: 0 };
        let estimated = pass.estimated(&pass.days(), &[hint]);
        assert_eq!(estimated[1].as_ref().map(|reason| reason.day.number()), Some(9));
        assert!(estimated[2].is_none(), "the whole has a day of its own");
    }
}
