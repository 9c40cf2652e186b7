//! Conflicts and eras against a reference: shortest paths over all pairs (Floyd 1962, Warshall 1962).
//!
//! The reference itself is held to the published network of Dechter, Meiri and Pearl 1991, whose differences of any
//! length our own orders do not need.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::support::numbers::Numbers;
use bartack::chronology::solver::bounds::{Direction, Pass, Reason};
use bartack::chronology::solver::conflict;
use bartack::chronology::solver::constraint::{Support, System, Unknown};
use bartack::chronology::solver::network::Network;
use bartack::chronology::solver::tangle;
use bartack::date::Day;
use bartack::knowledge::VoiceIndex;

#[path = "temporal/standings.rs"]
mod standings;

const FAR: i64 = i64::MAX / 4;

/// Upper limits of the difference between every two variables; the first is the origin. `None` where they exclude one another.
fn minimal_network(variables: usize, limits: &[(usize, usize, i64)]) -> Option<Vec<Vec<i64>>> {
    let mut least = vec![vec![FAR; variables]; variables];
    for (from, to, limit) in limits {
        least[*from][*to] = least[*from][*to].min(*limit);
    }
    (0..variables).for_each(|at| least[at][at] = least[at][at].min(0));
    for middle in 0..variables {
        for from in 0..variables {
            for to in 0..variables {
                if least[from][middle] < FAR && least[middle][to] < FAR {
                    least[from][to] = least[from][to].min(least[from][middle] + least[middle][to]);
                }
            }
        }
    }
    (0..variables).all(|at| least[at][at] >= 0).then_some(least)
}

/// Source: R. Dechter, I. Meiri, J. Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991), the
/// commuters' example; constraints from memory of the paper, minimal network computed with Floyd-Warshall elsewhere.
#[test]
fn the_reference_gives_the_published_minimal_network() {
    let constraints = [(0, 1, 10, 20), (1, 2, 30, 40), (3, 4, 40, 50), (3, 2, 10, 20), (0, 4, 60, 70)];
    let limits: Vec<(usize, usize, i64)> =
        constraints.iter().flat_map(|(from, to, least, most)| [(*from, *to, *most), (*to, *from, -*least)]).collect();
    let expected = [
        [0, 20, 50, 30, 70],
        [-10, 0, 40, 20, 60],
        [-40, -30, 0, -10, 30],
        [-20, -10, 20, 0, 50],
        [-60, -50, -20, -40, 0],
    ];
    assert_eq!(minimal_network(5, &limits).unwrap(), expected.map(|row| row.to_vec()));
    let bus_and_carpool = [(0, 1, 10, 20), (1, 2, 60, 1000), (3, 4, 40, 50), (3, 2, 10, 20), (0, 4, 60, 70)];
    let limits: Vec<(usize, usize, i64)> = bus_and_carpool
        .iter()
        .flat_map(|(from, to, least, most)| [(*from, *to, *most), (*to, *from, -*least)])
        .collect();
    assert!(minimal_network(5, &limits).is_none(), "by bus and carpool they cannot meet as told");
}

/// What one voice says about unknowns `0..`.
#[derive(Clone, Copy, Debug)]
enum Says {
    NotBefore(u32, i32),
    NotAfter(u32, i32),
    Order(u32, u32),
    StrictOrder(u32, u32),
}

/// A system: orders that always hold, and for each voice what it says.
#[derive(Clone, Debug)]
struct Case {
    /// First and last days of things come first; the rest are days of garments, whose chains are no one's concern.
    things: u32,
    unknowns: u32,
    structure: Vec<(u32, u32)>,
    voices: Vec<Vec<Says>>,
}

impl Case {
    fn system(&self) -> System {
        let mut system = System::default();
        (0..self.unknowns).for_each(|_| _ = system.unknown());
        self.structure.iter().for_each(|(from, to)| system.order(Unknown(*from), Unknown(*to), Support::STRUCTURE));
        for (voice, says) in self.voices.iter().enumerate() {
            let support = Support::one(VoiceIndex(voice as u32));
            for said in says {
                match *said {
                    Says::NotBefore(at, day) => system.not_before(Unknown(at), Day::from_number(day), support),
                    Says::NotAfter(at, day) => system.not_after(Unknown(at), Day::from_number(day), support),
                    Says::Order(from, to) => system.order(Unknown(from), Unknown(to), support),
                    Says::StrictOrder(from, to) => system.strict_order(Unknown(from), Unknown(to), support),
                }
            }
        }
        system
    }

    /// The reference's limits with the voices of a set; variable 0 is the origin, unknown `n` is variable `n + 1`.
    fn reference(&self, holding: u32) -> Option<Vec<Vec<i64>>> {
        let at = |unknown: u32| unknown as usize + 1;
        let mut limits: Vec<(usize, usize, i64)> =
            self.structure.iter().map(|(from, to)| (at(*to), at(*from), 0)).collect();
        for (_, says) in self.voices.iter().enumerate().filter(|(voice, _)| holding & (1 << voice) != 0) {
            limits.extend(says.iter().map(|said| match *said {
                Says::NotBefore(unknown, day) => (at(unknown), 0, -i64::from(day)),
                Says::NotAfter(unknown, day) => (0, at(unknown), i64::from(day)),
                Says::Order(from, to) => (at(to), at(from), 0),
                Says::StrictOrder(from, to) => (at(to), at(from), -1),
            }));
        }
        minimal_network(self.unknowns as usize + 1, &limits)
    }

    fn irreducible(&self) -> BTreeSet<Vec<VoiceIndex>> {
        let broken: Vec<u32> = (0..1u32 << self.voices.len()).filter(|set| self.reference(*set).is_none()).collect();
        let smaller = |set: u32| broken.iter().any(|other| *other != set && other & set == *other);
        broken.iter().filter(|set| !smaller(**set)).map(|set| members(*set)).collect()
    }

    fn check(&self) {
        let network = self.system().network(|_| true);
        let found = irreducible_sets(&network);
        let expected = self.irreducible();
        assert_eq!(found, expected, "{self:?}");
        if expected.is_empty() {
            self.check_days(&network);
        }
    }

    fn check_days(&self, network: &Network) {
        let all = (1u32 << self.voices.len()) - 1;
        let least = self.reference(all).unwrap();
        for direction in [Direction::Earliest, Direction::Latest] {
            let pass = Pass::new(&Arc::new(network.clone()), direction);
            let days = pass.days();
            for (unknown, reason) in days.iter().enumerate() {
                let day = |limits: &Vec<Vec<i64>>| match direction {
                    Direction::Earliest => Some(-limits[unknown + 1][0]).filter(|day| *day > -FAR),
                    Direction::Latest => Some(limits[0][unknown + 1]).filter(|day| *day < FAR),
                };
                let found = reason.as_ref().map(|reason| i64::from(reason.day.number()));
                assert_eq!(found, day(&least), "{direction:?} of {unknown} in {self:?}");
                let Some(reason) = reason.as_ref().filter(|_| (unknown as u32) < self.things) else { continue };
                let gives = |set: &u32| day(&self.reference(*set).unwrap()) == found;
                let chains = (0..=all).filter(gives).map(members);
                let first =
                    chains.min_by(|one, other| one.len().cmp(&other.len()).then_with(|| one.cmp(other))).unwrap();
                assert_eq!(reason.voices.to_vec(), first, "{direction:?} of {unknown} in {self:?}");
                self.check_without((&pass, &days), (unknown, direction), &reason.voices);
            }
        }
    }

    fn check_without(
        &self,
        (pass, days): (&Pass, &[Option<Reason>]),
        (unknown, direction): (usize, Direction),
        voices: &[VoiceIndex],
    ) {
        let all = (1u32 << self.voices.len()) - 1;
        let rest = voices.iter().fold(all, |set, voice| set & !(1 << voice.0));
        let least = self.reference(rest).unwrap();
        let expected = match direction {
            Direction::Earliest => Some(-least[unknown + 1][0]).filter(|day| *day > -FAR),
            Direction::Latest => Some(least[0][unknown + 1]).filter(|day| *day < FAR),
        };
        let unknown = Unknown(unknown as u32);
        let found = pass.without(unknown, voices, days).map(|day| i64::from(day.number()));
        assert_eq!(found, expected, "without {voices:?} in {self:?}");
        let walked = pass.tightest(unknown, |voice| !voices.contains(&voice)).map(|day| i64::from(day.number()));
        assert_eq!(walked, expected, "over all but {voices:?} in {self:?}");
    }
}

fn members(set: u32) -> Vec<VoiceIndex> {
    (0..32).filter(|voice| set & (1 << voice) != 0).map(VoiceIndex).collect()
}

/// Everything a voice can say about a thing's first and last day, and another unknown, on days 0 to 2.
fn sayings() -> Vec<Vec<Says>> {
    let mut sayings = Vec::new();
    for unknown in 0..2 {
        for day in 0..3 {
            sayings.push(vec![Says::NotBefore(unknown, day)]);
            sayings.push(vec![Says::NotAfter(unknown, day)]);
        }
    }
    for day in 0..3 {
        sayings.push(vec![Says::NotAfter(0, day), Says::NotBefore(1, day)]);
        sayings.push(vec![Says::NotBefore(0, day), Says::NotAfter(0, day)]);
    }
    sayings.push(vec![Says::StrictOrder(1, 0)]);
    sayings.push(vec![Says::StrictOrder(0, 1)]);
    sayings.push(vec![Says::Order(0, 2), Says::Order(2, 1)]);
    sayings.push(vec![Says::NotBefore(2, 2)]);
    sayings
}

#[test]
fn all_systems_of_four_voices_over_three_days_agree_with_the_reference() {
    let sayings = sayings();
    let mut count = 0;
    for one in 0..sayings.len() {
        for two in one..sayings.len() {
            for three in two..sayings.len() {
                for four in three..sayings.len() {
                    let voices = [one, two, three, four].map(|at| sayings[at].clone()).to_vec();
                    Case { things: 2, unknowns: 3, structure: vec![(0, 1)], voices }.check();
                    count += 1;
                }
            }
        }
    }
    assert_eq!(count, 12650, "all multisets of four of the 22 sayings");
}

/// Things within a whole, garments within things, claims, and the odd `before`: systems shaped as ours are.
fn random_case(numbers: &mut Numbers) -> Case {
    let mut structure = Vec::new();
    let things = 1 + numbers.below(3) as u32;
    for thing in 0..things {
        structure.push((2 * thing, 2 * thing + 1));
        if thing > 0 {
            structure.extend([(0, 2 * thing), (2 * thing + 1, 1)]);
        }
    }
    let garments = numbers.below(3) as u32;
    let mut voices = Vec::new();
    for garment in 0..garments {
        let (unknown, thing) = (2 * things + garment, numbers.below(u64::from(things)) as u32);
        let mut seen = vec![Says::Order(2 * thing, unknown), Says::Order(unknown, 2 * thing + 1)];
        if numbers.below(3) == 0 {
            seen.push(Says::NotBefore(unknown, numbers.below(6) as i32));
        }
        voices.push(seen);
        let day = numbers.below(6) as i32;
        voices.push(vec![Says::NotBefore(unknown, day), Says::NotAfter(unknown, day + numbers.below(2) as i32)]);
    }
    for _ in 0..1 + numbers.below(4) {
        voices.push(random_claim(numbers, things));
    }
    Case { things: 2 * things, unknowns: 2 * things + garments, structure, voices }
}

fn random_claim(numbers: &mut Numbers, things: u32) -> Vec<Says> {
    let (thing, other) = (numbers.below(u64::from(things)) as u32, numbers.below(u64::from(things)) as u32);
    let day = numbers.below(6) as i32;
    let last = day + numbers.below(3) as i32;
    match numbers.below(5) {
        0 => vec![Says::NotBefore(2 * thing, day), Says::NotAfter(2 * thing, last)],
        1 => vec![Says::NotBefore(2 * thing + 1, day), Says::NotAfter(2 * thing + 1, last)],
        2 | 3 => vec![Says::NotAfter(2 * thing, last), Says::NotBefore(2 * thing + 1, day)],
        _ => vec![Says::StrictOrder(2 * thing + 1, 2 * other)],
    }
}

#[test]
fn random_systems_of_things_and_garments_agree_with_the_reference() {
    let mut numbers = Numbers(0x5EED_0004);
    for _ in 0..4000 {
        random_case(&mut numbers).check();
    }
}

#[test]
fn another_voice_without_conflict_widens_no_days() {
    let mut numbers = Numbers(0x5EED_0005);
    let mut compared = 0;
    for _ in 0..4000 {
        let whole = random_case(&mut numbers);
        let network = whole.system().network(|_| true);
        if !irreducible_sets(&network).is_empty() {
            continue;
        }
        let last = VoiceIndex(whole.voices.len() as u32 - 1);
        let without = whole.system().network(|voice| voice != last);
        let days = |network: &Network, direction| Pass::new(&Arc::new(network.clone()), direction).days();
        for (before, after) in days(&without, Direction::Earliest).iter().zip(days(&network, Direction::Earliest)) {
            assert!(before.as_ref().is_none_or(|before| after.is_some_and(|after| after.day >= before.day)));
        }
        for (before, after) in days(&without, Direction::Latest).iter().zip(days(&network, Direction::Latest)) {
            assert!(before.as_ref().is_none_or(|before| after.is_some_and(|after| after.day <= before.day)));
        }
        compared += 1;
    }
    assert!(compared > 500, "only {compared} systems were without conflict");
}

/// All conflicts of a network.
fn irreducible_sets(network: &Network) -> BTreeSet<Vec<VoiceIndex>> {
    let mut sets = BTreeSet::new();
    for tangle in tangle::find(network) {
        let listing = conflict::list(&tangle, conflict::LOOKED_AT);
        assert!(listing.is_complete);
        let voice = |number: &u32| tangle.voices[*number as usize];
        sets.extend(listing.sets.iter().map(|set| set.iter().map(voice).collect::<Vec<VoiceIndex>>()));
    }
    sets
}
