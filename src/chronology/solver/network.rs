//! The constraints that hold, by the unknowns that they bind.

use crate::chronology::solver::constraint::{Limit, Order, Support, System, Unknown};
use crate::chronology::solver::members::Members;
use crate::date::Day;
use crate::knowledge::VoiceIndex;

/// The constraints that hold, by unknown.
#[derive(Clone, Debug)]
pub struct Network {
    /// Days that each unknown is not before.
    pub not_before: Grouped<Limit>,
    /// Days that each unknown is not after.
    pub not_after: Grouped<Limit>,
    /// The orders that lead from each unknown to later ones.
    pub after: Grouped<Order>,
    /// The orders that lead to each unknown from earlier ones.
    pub before: Grouped<Order>,
}

/// Values grouped by unknown, each group in the order in which it was given.
#[derive(Clone, Debug)]
pub struct Grouped<T> {
    starts: Vec<u32>,
    values: Vec<T>,
}

impl<T: Copy> Grouped<T> {
    /// Counts first, then puts each value into its place: a sort would take several times as long.
    pub fn new<'a, I: Iterator<Item = &'a T>>(
        unknowns: usize,
        all: impl Fn() -> I,
        of: impl Fn(&T) -> Unknown,
    ) -> Grouped<T>
    where
        T: 'a,
    {
        let mut starts = vec![0; unknowns + 1];
        for value in all() {
            starts[of(value).0 as usize + 1] += 1;
        }
        for index in 1..starts.len() {
            starts[index] += starts[index - 1];
        }
        let Some(first) = all().next() else { return Grouped { starts, values: Vec::new() } };
        let (mut next, mut values) = (starts.clone(), vec![*first; starts[unknowns] as usize]);
        for value in all() {
            let place = &mut next[of(value).0 as usize];
            values[*place as usize] = *value;
            *place += 1;
        }
        Grouped { starts, values }
    }

    /// Keeps the values that pass, in their order.
    fn retain(&mut self, keep: impl Fn(&T) -> bool) {
        let mut kept = 0;
        let mut begin = 0;
        for index in 1..self.starts.len() {
            let end = self.starts[index];
            for place in begin..end {
                let value = self.values[place as usize];
                if keep(&value) {
                    self.values[kept as usize] = value;
                    kept += 1;
                }
            }
            self.starts[index] = kept;
            begin = end;
        }
        self.values.truncate(kept as usize);
    }

    /// The values of an unknown.
    pub fn of(&self, unknown: Unknown) -> &[T] {
        let index = unknown.0 as usize;
        &self.values[self.starts[index] as usize..self.starts[index + 1] as usize]
    }

    /// All values, by unknown.
    pub fn all(&self) -> &[T] {
        &self.values
    }
}

impl System {
    /// Keeps the constraints whose voices all pass, and indexes them both ways.
    pub fn network(&self, keep: impl Fn(VoiceIndex) -> bool) -> Network {
        let holds = |support: Support| support.voices().all(&keep);
        let limits = |all: &[Limit]| {
            Grouped::new(self.len(), || all.iter().filter(|limit| holds(limit.support)), |limit| limit.unknown)
        };
        let orders = || self.orders.iter().filter(|order| holds(order.support));
        Network {
            not_before: limits(&self.not_before),
            not_after: limits(&self.not_after),
            after: Grouped::new(self.len(), orders, |order| order.from),
            before: Grouped::new(self.len(), orders, |order| order.to),
        }
    }
}

impl Network {
    /// Keeps the constraints whose voices all pass. The result equals [`System::network`] for the
    /// voices that passed before and pass now.
    pub fn retain(&mut self, keep: impl Fn(VoiceIndex) -> bool) {
        let holds = |support: Support| support.voices().all(&keep);
        self.not_before.retain(|limit| holds(limit.support));
        self.not_after.retain(|limit| holds(limit.support));
        self.after.retain(|order| holds(order.support));
        self.before.retain(|order| holds(order.support));
    }

    /// Counts the unknowns.
    pub fn len(&self) -> usize {
        self.after.starts.len() - 1
    }

    /// Counts the constraints.
    pub fn size(&self) -> usize {
        self.not_before.all().len() + self.not_after.all().len() + self.after.all().len()
    }

    /// Says whether there are no unknowns.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Lists the unknowns so that each follows all its predecessors; leaves out unknowns on or
    /// behind a cycle.
    pub fn in_order(&self) -> Vec<Unknown> {
        self.sorted(&self.before, &self.after, |order| order.to)
    }

    /// Lists the unknowns so that each follows all its successors; leaves out unknowns on or before
    /// a cycle.
    pub fn in_reverse_order(&self) -> Vec<Unknown> {
        self.sorted(&self.after, &self.before, |order| order.from)
    }

    /// Kahn's topological sort.
    fn sorted(&self, into: &Grouped<Order>, out: &Grouped<Order>, end: fn(&Order) -> Unknown) -> Vec<Unknown> {
        let all = (0..self.len() as u32).map(Unknown);
        let mut waiting: Vec<usize> = all.clone().map(|unknown| into.of(unknown).len()).collect();
        let mut sorted: Vec<Unknown> = all.filter(|unknown| waiting[unknown.0 as usize] == 0).collect();
        let mut next = 0;
        while next < sorted.len() {
            for order in out.of(sorted[next]) {
                let count = &mut waiting[end(order).0 as usize];
                *count -= 1;
                if *count == 0 {
                    sorted.push(end(order));
                }
            }
            next += 1;
        }
        sorted
    }

    /// For each unknown the last day it can be: `None` where it is not bounded, the least of days where a cycle makes any day impossible.
    pub fn latest(&self) -> Vec<Option<Day>> {
        let impossible = Some(Day::from_number(i32::MIN / 2));
        let mut latest = vec![impossible; self.len()];
        for unknown in self.in_reverse_order() {
            let own = self.not_after.of(unknown).iter().map(|limit| limit.day);
            let later = self.after.of(unknown).iter();
            let through =
                later.filter_map(|order| Some(latest[order.to.0 as usize]?.plus_days(-i32::from(order.strict))));
            latest[unknown.0 as usize] = own.chain(through).min();
        }
        latest
    }

    /// For each unknown the first day it can be: `None` where it is not bounded, the greatest of days where a cycle makes any day impossible.
    pub fn earliest(&self) -> Vec<Option<Day>> {
        let impossible = Some(Day::from_number(i32::MAX / 2));
        let mut earliest = vec![impossible; self.len()];
        for unknown in self.in_order() {
            let own = self.not_before.of(unknown).iter().map(|limit| limit.day);
            let sooner = self.before.of(unknown).iter();
            let through =
                sooner.filter_map(|order| Some(earliest[order.from.0 as usize]?.plus_days(i32::from(order.strict))));
            earliest[unknown.0 as usize] = own.chain(through).max();
        }
        earliest
    }

    /// Adds to the members of each unknown the members of every unknown it leads to.
    pub fn join_later(&self, members: &mut [Members]) {
        let mut has_changed = true;
        while has_changed {
            has_changed = false;
            for order in self.after.all().iter().rev() {
                let beyond = members[order.to.0 as usize].clone();
                has_changed |= members[order.from.0 as usize].join(&beyond);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::chronology::solver::constraint::{Support, System};
    use crate::date::Day;
    use crate::knowledge::VoiceIndex;

    #[test]
    fn a_strict_order_takes_a_day() {
        let mut system = System::default();
        let (one, two, three) = (system.unknown(), system.unknown(), system.unknown());
        system.strict_order(one, two, Support::STRUCTURE);
        system.order(two, three, Support::STRUCTURE);
        system.not_after(three, Day::from_number(10), Support::STRUCTURE);
        let latest = system.network(|_| true).latest();
        assert_eq!(latest.iter().map(|day| day.map(Day::number)).collect::<Vec<_>>(), [Some(9), Some(10), Some(10)]);
        system.not_before(one, Day::from_number(4), Support::STRUCTURE);
        let earliest = system.network(|_| true).earliest();
        assert_eq!(earliest.iter().map(|day| day.map(Day::number)).collect::<Vec<_>>(), [Some(4), Some(5), Some(5)]);
    }

    #[test]
    fn what_is_kept_of_a_network_is_what_would_have_been_made() {
        let mut system = System::default();
        let unknowns = [system.unknown(), system.unknown(), system.unknown()];
        for number in 0..24_u32 {
            let (one, other) = (unknowns[number as usize % 3], unknowns[number as usize / 3 % 3]);
            let support = Support::both(VoiceIndex(number % 4), VoiceIndex(number % 5));
            system.order(one, other, support);
            system.not_before(one, Day::from_number(number as i32), Support::one(VoiceIndex(number % 4)));
            system.not_after(other, Day::from_number(number as i32), support);
        }
        let mut retained = system.network(|voice| voice.0 != 4);
        retained.retain(|voice| voice.0 != 1);
        let made = system.network(|voice| voice.0 != 4 && voice.0 != 1);
        assert_eq!(format!("{retained:?}"), format!("{made:?}"));
        assert!(!made.after.of(unknowns[2]).is_empty());
    }

    #[test]
    fn nothing_fits_before_a_cycle() {
        let mut system = System::default();
        let (one, two, three) = (system.unknown(), system.unknown(), system.unknown());
        system.order(one, two, Support::STRUCTURE);
        system.strict_order(two, three, Support::STRUCTURE);
        system.order(three, two, Support::STRUCTURE);
        let network = system.network(|_| true);
        assert!(network.latest()[one.0 as usize].is_some_and(|day| day.number() < -1_000_000));
        assert!(network.earliest()[three.0 as usize].is_some_and(|day| day.number() > 1_000_000));
        assert_eq!(network.earliest()[one.0 as usize], None);
        assert_eq!(network.in_order(), [one]);
    }
}
