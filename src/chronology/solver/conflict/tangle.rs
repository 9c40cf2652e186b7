//! Unknowns that contradict one another: where a search for conflicts can lead, and how far it may go there.

use crate::chronology::solver::constraint::Unknown;
use crate::chronology::solver::network::Network;
use crate::date::Day;
use crate::knowledge::VoiceIndex;
use crate::resolve::leaders::Leaders;

/// How many partial conflicts may be followed among unknowns that hang together, before all their voices are contested.
pub const PATHS: usize = 500_000;

/// How many may be followed in all: where knots are many, each keeps to what is left of it.
const PATHS_IN_ALL: usize = 4 * PATHS;

/// The unknowns that are not before a day later than one they are not after, and how they hang together.
pub struct Tangles {
    /// The first unknown of each one's tangle.
    of: Vec<Option<u32>>,
    /// How many paths were followed, by the first unknown.
    followed: Vec<usize>,
    /// Whether no more may be, by the first unknown.
    is_given_up: Vec<bool>,
    earliest: Vec<Option<Day>>,
    latest: Vec<Option<Day>>,
}

/// Whether a path may be followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leave {
    /// It may.
    Given,
    /// It would be one too many, the first of its tangle.
    JustDenied,
    /// Its tangle was given up.
    Denied,
}

impl Tangles {
    /// Finds them, with the unknowns that paths have reached so far.
    pub fn new(network: &Network, reached: impl Iterator<Item = Unknown>) -> Tangles {
        let (earliest, latest) = (network.earliest(), network.latest());
        let is_tangled = |at: usize| earliest[at].zip(latest[at]).is_some_and(|(earliest, latest)| earliest > latest);
        let tangled: Vec<bool> = (0..network.len()).map(is_tangled).collect();
        let mut leaders = Leaders::new(network.len());
        for order in network.after.all() {
            if tangled[order.from.0 as usize] && tangled[order.to.0 as usize] {
                leaders.unite(order.from.0, order.to.0);
            }
        }
        let of = (0_u32..).zip(&tangled).map(|(at, tangled)| tangled.then(|| leaders.of(at)));
        let of: Vec<Option<u32>> = of.collect();
        let mut followed = vec![0; network.len()];
        reached.filter_map(|unknown| of[unknown.0 as usize]).for_each(|tangle| followed[tangle as usize] += 1);
        Tangles { of, followed, is_given_up: vec![false; network.len()], earliest, latest }
    }

    /// Counts one more path that reaches an unknown, beside so many in all; says whether it may.
    pub fn follow(&mut self, unknown: Unknown, in_all: usize) -> Leave {
        let Some(tangle) = self.of[unknown.0 as usize].map(|tangle| tangle as usize) else { return Leave::Denied };
        if self.is_given_up[tangle] {
            return Leave::Denied;
        }
        if self.followed[tangle] >= PATHS || in_all >= PATHS_IN_ALL {
            self.is_given_up[tangle] = true;
            return Leave::JustDenied;
        }
        self.followed[tangle] += 1;
        Leave::Given
    }

    /// The voices of all contradictory paths through the tangle of an unknown, sorted.
    pub fn voices(&self, network: &Network, unknown: Unknown) -> Vec<VoiceIndex> {
        let tangle = self.of[unknown.0 as usize];
        let is_of = |other: Unknown| tangle.is_some() && self.of[other.0 as usize] == tangle;
        let earliest = |unknown: Unknown| self.earliest[unknown.0 as usize];
        let latest = |unknown: Unknown| self.latest[unknown.0 as usize];
        let starts = network.not_before.all().iter().filter(|limit| Some(limit.day) > latest(limit.unknown));
        let ends = network.not_after.all().iter().filter(|limit| Some(limit.day) < earliest(limit.unknown));
        let limits = starts.chain(ends).filter(|limit| is_of(limit.unknown)).map(|limit| limit.support);
        let orders = network.after.all().iter().filter(|order| is_of(order.from) && is_of(order.to));
        let orders = orders.filter(|order| {
            let begun = earliest(order.from).map(|day| day.plus_days(i32::from(order.strict)));
            begun > latest(order.to)
        });
        let mut voices: Vec<VoiceIndex> =
            limits.chain(orders.map(|order| order.support)).flat_map(|support| support.voices()).collect();
        voices.sort_unstable();
        voices.dedup();
        voices
    }
}

#[cfg(test)]
mod tests {
    use crate::chronology::solver::conflict::{self, Knot};
    use crate::chronology::solver::constraint::{Support, System};
    use crate::date::Day;
    use crate::knowledge::VoiceIndex;

    /// The knots of a day that lies before an earlier one along each of `ways` to the power of `stages` paths, and how
    /// many voices say so.
    fn knots(stages: u32, ways: u32) -> (Vec<Knot>, usize) {
        let mut system = System::default();
        let mut voices = (0..).map(|number| Support::one(VoiceIndex(number)));
        let mut voice = || voices.next().unwrap_or(Support::STRUCTURE);
        let mut at = system.unknown();
        system.not_before(at, Day::from_number(100), voice());
        for _ in 0..stages {
            let next = system.unknown();
            (0..ways).for_each(|_| system.order(at, next, voice()));
            at = next;
        }
        system.not_after(at, Day::from_number(0), voice());
        (conflict::find(&system.network(|_| true)), (2 + stages * ways) as usize)
    }

    #[test]
    fn all_sets_are_found_up_to_the_limits_and_beyond_them_all_voices_are_named() {
        let (few, voices) = knots(6, 4);
        assert_eq!((few.len(), few[0].sets.len(), few[0].overflows, few[0].voices().len()), (1, 4096, false, voices));
        // Ways to the end are as many as sets that are one too many; or so many that not one is ever followed to its end.
        for (stages, ways) in [(9, 4), (30, 5)] {
            let (many, voices) = knots(stages, ways);
            assert_eq!((many.len(), many[0].overflows, many[0].voices().len()), (1, true, voices), "{ways}^{stages}");
        }
    }
}
