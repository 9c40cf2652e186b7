//! A consistent network to the tightest days of each unknown, each with the chain of voices it stands on.
//!
//! Two passes over an order: days not before flow along it, days not after against it. Estimates come second and move
//! no day that exists.

use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::sync::Arc;

use crate::date::Day;
use crate::reason::VoiceIndex;
use crate::reason::constraint::{Grouped, Limit, Network, Order, Support, Unknown};

/// Which way days flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The earliest day an unknown can be.
    Earliest,
    /// The latest day an unknown can be.
    Latest,
}

/// A day with what it stands on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The day.
    pub day: Day,
    /// The voices of the chain, sorted.
    pub voices: Vec<VoiceIndex>,
    /// The estimate it began with, by number.
    pub estimate: Option<usize>,
}

/// A day that only an estimate gives.
#[derive(Clone, Copy, Debug)]
pub struct Hint {
    /// The unknown it is of.
    pub unknown: Unknown,
    /// The day.
    pub day: Day,
    /// The estimate's number.
    pub estimate: usize,
}

/// The days of every unknown in one direction.
pub struct Pass {
    network: Arc<Network>,
    direction: Direction,
    order: Vec<Unknown>,
    position: Vec<u32>,
}

impl Pass {
    /// Prepares a pass over a network without cycles.
    pub fn new(network: &Arc<Network>, direction: Direction) -> Pass {
        let order = match direction {
            Direction::Earliest => network.in_order(),
            Direction::Latest => network.in_reverse_order(),
        };
        let mut position = vec![0; network.len()];
        order.iter().enumerate().for_each(|(at, unknown)| position[unknown.0 as usize] = at as u32);
        Pass { network: Arc::clone(network), direction, order, position }
    }

    /// Gives each unknown's day from the voices alone: the tightest, with the fewest voices, then the first by name.
    ///
    /// Where every way on from an unknown stands on one voice (a garment's placing), that voice counts with its chain.
    pub fn days(&self) -> Vec<Option<Reason>> {
        let limits = self.limits();
        self.flow(|unknown| {
            let own = limits.of(unknown).iter();
            own.map(|limit| Reason { day: limit.day, voices: limit.support.joined_to(&[]), estimate: None }).collect()
        })
    }

    /// Gives the tightest day that any one estimate gives an unknown which the voices leave open.
    pub fn estimated(&self, days: &[Option<Reason>], hints: &[Hint]) -> Vec<Option<Reason>> {
        let mut by_unknown = vec![Vec::new(); self.network.len()];
        for hint in hints {
            let reason = Reason { day: hint.day, voices: Vec::new(), estimate: Some(hint.estimate) };
            by_unknown[hint.unknown.0 as usize].push(reason);
        }
        let open = |unknown: Unknown| days[unknown.0 as usize].is_none();
        self.flow(|unknown| if open(unknown) { by_unknown[unknown.0 as usize].clone() } else { Vec::new() })
            .into_iter()
            .zip(days)
            .map(|(estimated, known)| if known.is_none() { estimated } else { None })
            .collect()
    }

    /// Gives the day an unknown would have without some voices.
    pub fn without(&self, unknown: Unknown, voices: &[VoiceIndex]) -> Option<Day> {
        self.where_holding(unknown, |voice| !voices.contains(&voice))
    }

    /// Gives the day an unknown would have if only some voices held.
    pub fn where_holding(&self, unknown: Unknown, holds: impl Fn(VoiceIndex) -> bool) -> Option<Day> {
        self.again(unknown, holds, |_| None)
    }

    /// As [`Pass::without`], where the days are known that all voices give.
    ///
    /// A day whose chain does without these voices stays, so only days that stand on them are worked out again.
    pub fn without_from(&self, days: &[Option<Reason>], unknown: Unknown, voices: &[VoiceIndex]) -> Option<Day> {
        let holds = |voice| !voices.contains(&voice);
        self.again(unknown, holds, |unknown| match &days[unknown.0 as usize] {
            None => Some(None),
            Some(reason) if voices.iter().any(|voice| reason.voices.binary_search(voice).is_ok()) => None,
            Some(reason) => Some(Some(reason.day)),
        })
    }

    /// Works out again what is not known to stay.
    fn again(
        &self,
        unknown: Unknown,
        counts: impl Fn(VoiceIndex) -> bool,
        stays: impl Fn(Unknown) -> Option<Option<Day>>,
    ) -> Option<Day> {
        let holds = |support: Support| support.voices().all(&counts);
        let mut found = BTreeSet::from([(self.position[unknown.0 as usize], unknown)]);
        let mut open = vec![unknown];
        while let Some(at) = open.pop() {
            for order in self.incoming().of(at).iter().filter(|order| holds(order.support)) {
                let from = self.start(order);
                if stays(from).is_none() && found.insert((self.position[from.0 as usize], from)) {
                    open.push(from);
                }
            }
        }
        let mut days: std::collections::HashMap<Unknown, Day> = std::collections::HashMap::new();
        for (_, at) in found {
            let own = self.limits().of(at).iter().filter(|limit| holds(limit.support)).map(|limit| limit.day);
            let orders = self.incoming().of(at).iter().filter(|order| holds(order.support));
            let through = orders.filter_map(|order| {
                let from = self.start(order);
                let day = stays(from).unwrap_or_else(|| days.get(&from).copied())?;
                Some(self.step(day, order))
            });
            if let Some(day) = own.chain(through).reduce(|one, other| self.tighter(one, other)) {
                days.insert(at, day);
            }
        }
        days.get(&unknown).copied()
    }

    fn flow(&self, own: impl Fn(Unknown) -> Vec<Reason>) -> Vec<Option<Reason>> {
        let mut days: Vec<Option<Reason>> = vec![None; self.network.len()];
        for unknown in &self.order {
            let toll = self.toll(*unknown);
            let mut best: Option<Reason> = None;
            let mut offer = |next: Reason| {
                if best.as_ref().is_none_or(|best| self.prefer(&next, best, toll) == Ordering::Less) {
                    best = Some(next);
                }
            };
            own(*unknown).into_iter().for_each(&mut offer);
            let through = self.incoming().of(*unknown).iter().filter_map(|order| {
                let from = days[self.start(order).0 as usize].as_ref()?;
                Some((self.step(from.day, order), order.support, from))
            });
            // Most days are looser than one that is known already, and need no list of voices.
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

    use proptest::collection::vec;
    use proptest::prelude::proptest;

    use super::{Direction, Hint, Pass};
    use crate::date::Day;
    use crate::reason::VoiceIndex;
    use crate::reason::constraint::{Support, System};

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
        assert_eq!(days[1].as_ref().map(|reason| reason.voices.clone()), Some(vec![claim]));
        assert_eq!(pass.without(end, &[claim]), Some(Day::from_number(5)));
        assert_eq!(pass.without(end, &[claim, seen]), None);
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
        assert_eq!(days[1].as_ref().map(|reason| reason.voices.clone()), Some(vec![seen]));
    }

    proptest! {
        /// Orders lead from lower numbers to higher ones, so that there is no cycle.
        #[test]
        fn known_days_change_nothing_but_the_work(
            limits in vec((0..8u32, 0..6i32, 0..5u32), 0..12),
            orders in vec((0..7u32, 1..4u32, 0..5u32), 0..16),
        ) {
            let mut system = System::default();
            let unknowns: Vec<_> = (0..8).map(|_| system.unknown()).collect();
            let support = |number| if number == 0 { Support::STRUCTURE } else { Support::one(VoiceIndex(number)) };
            for (at, day, voice) in limits {
                system.not_before(unknowns[at as usize], Day::from_number(day), support(voice));
                system.not_after(unknowns[at as usize], Day::from_number(day + 3), support(voice));
            }
            for (from, further, voice) in orders {
                system.order(unknowns[from as usize], unknowns[(from + further).min(7) as usize], support(voice));
            }
            let network = Arc::new(system.network(|_| true));
            for pass in [Direction::Earliest, Direction::Latest].map(|direction| Pass::new(&network, direction)) {
                let days = pass.days();
                for (unknown, voice) in unknowns.iter().flat_map(|unknown| (1..5).map(move |voice| (*unknown, voice))) {
                    let left_out = [VoiceIndex(voice), VoiceIndex(voice % 4 + 1)];
                    for voices in [&left_out[..1], &left_out] {
                        assert_eq!(pass.without_from(&days, unknown, voices), pass.without(unknown, voices));
                    }
                }
            }
        }
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
