//! Constraints to what becomes of each voice, and the conflicts worth showing.

use std::collections::{BTreeMap, BTreeSet};

use crate::reason::conflict::{self, Knot};
use crate::reason::constraint::System;
use crate::reason::removal;
use crate::reason::{Conflict, Standing, Voice, VoiceIndex};
use crate::record::id::VoiceName;

/// What becomes of voices that cannot all hold.
#[derive(Clone, Debug, Default)]
pub struct Settlement {
    /// Voices that do not simply count.
    pub standings: BTreeMap<VoiceIndex, Standing>,
    /// For each of them the smallest conflict that holds it, sorted by knot and id.
    pub conflicts: Vec<Conflict>,
    /// Knots too large to search, by their first voice.
    pub unsearched: Vec<VoiceName>,
    /// Every voice of any contradiction, listed or not.
    pub entangled: BTreeSet<VoiceIndex>,
}

/// Finds the conflicts among the voices that pass, and sets aside as little as will do.
pub fn settle(system: &System, voices: &[Voice], keep: impl Fn(VoiceIndex) -> bool) -> Settlement {
    let mut settlement = Settlement::default();
    let mut listed = BTreeSet::new();
    loop {
        let gone = &settlement.standings;
        let network = system.network(|voice| keep(voice) && !gone.contains_key(&voice));
        let knots = conflict::find(&network);
        let overflows = knots.iter().any(|knot| knot.overflows);
        for knot in &knots {
            settlement.entangled.extend(knot.voices());
            listed.extend(decide(knot, voices, &mut settlement));
        }
        // A knot of which only a part was listed may have hidden other conflicts.
        if !overflows {
            break;
        }
    }
    settlement.unsearched.sort();
    settlement.conflicts = grouped(listed, voices);
    settlement
}

/// All contradictions of a system, kept so that few of them need be decided again when voices are left out.
pub struct Knots {
    knots: Vec<Knot>,
    by_voice: BTreeMap<VoiceIndex, usize>,
}

impl Knots {
    /// Finds them; nothing where one is too large to list, since another may hide behind it.
    pub fn of(system: &System) -> Option<Knots> {
        let knots = conflict::find(&system.network(|_| true));
        if knots.iter().any(|knot| knot.overflows) {
            return None;
        }
        let voices =
            knots.iter().enumerate().flat_map(|(at, knot)| knot.voices().into_iter().map(move |one| (one, at)));
        let by_voice = voices.collect();
        Some(Knots { knots, by_voice })
    }

    /// The standings that [`settle`] would give without some voices, where `voices` have those it gave with all.
    ///
    /// A smallest set without these voices stays one, and no other comes up, so only their own knots are decided again.
    pub fn without(&self, voices: &[Voice], left_out: &[VoiceIndex]) -> BTreeMap<VoiceIndex, Standing> {
        let touched: BTreeSet<usize> = left_out.iter().filter_map(|voice| self.by_voice.get(voice)).copied().collect();
        let untouched = self.by_voice.iter().filter(|(_, knot)| !touched.contains(knot));
        let standing = |index: VoiceIndex| voices[index.0 as usize].standing;
        let stay = untouched.map(|(voice, _)| (*voice, standing(*voice))).filter(|(_, one)| *one != Standing::Kept);
        let mut settlement = Settlement { standings: stay.collect(), ..Settlement::default() };
        for knot in touched {
            let sets = self.knots[knot].sets.iter().filter(|set| !set.iter().any(|voice| left_out.contains(voice)));
            for rest in conflict::grouped(sets.cloned()) {
                decide(&rest, voices, &mut settlement);
            }
        }
        settlement.standings
    }
}

/// Decides the voices of a knot; gives the conflicts to list.
fn decide(knot: &Knot, voices: &[Voice], settlement: &mut Settlement) -> Vec<Vec<VoiceIndex>> {
    let members = knot.voices();
    let number = |voice: &VoiceIndex| members.binary_search(voice).map_or(0, |at| at as u32);
    let sets: Vec<Vec<u32>> = knot.sets.iter().map(|set| set.iter().map(number).collect()).collect();
    let weights: Vec<u32> = members.iter().map(|voice| voices[voice.0 as usize].weight.quarters).collect();
    let exact = if knot.overflows { None } else { removal::standings(&sets, &weights, removal::STEPS) };
    let standings = exact.unwrap_or_else(|| {
        settlement.unsearched.push(voices[members[0].0 as usize].name.clone());
        vec![Standing::Contested; members.len()]
    });
    let mut listed = Vec::new();
    for (voice, standing) in members.iter().zip(standings) {
        if standing != Standing::Kept {
            settlement.standings.insert(*voice, standing);
            listed.extend(smallest(knot, *voice));
        }
    }
    listed
}

/// The irreducible set with the fewest voices that holds a voice, the first by name among equals.
fn smallest(knot: &Knot, voice: VoiceIndex) -> Option<Vec<VoiceIndex>> {
    let holding = knot.sets.iter().filter(|set| set.binary_search(&voice).is_ok());
    holding.min_by(|one, other| one.len().cmp(&other.len()).then_with(|| one.cmp(other))).cloned()
}

/// Names the conflicts, and the groups of them that share voices.
fn grouped(listed: BTreeSet<Vec<VoiceIndex>>, voices: &[Voice]) -> Vec<Conflict> {
    let mut knots: Vec<BTreeSet<VoiceIndex>> = Vec::new();
    for members in &listed {
        let mut joined: BTreeSet<VoiceIndex> = members.iter().copied().collect();
        let (touching, apart) = knots.into_iter().partition(|knot: &BTreeSet<VoiceIndex>| !knot.is_disjoint(&joined));
        knots = apart;
        touching.into_iter().for_each(|knot| joined.extend(knot));
        knots.push(joined);
    }
    let first = |voice: &VoiceIndex| knots.iter().find(|knot| knot.contains(voice)).and_then(BTreeSet::first).copied();
    let conflict = |members: Vec<VoiceIndex>| Conflict {
        id: id(&members, voices),
        knot: voices[first(&members[0]).unwrap_or(members[0]).0 as usize].name.clone(),
        members,
    };
    let mut conflicts: Vec<Conflict> = listed.into_iter().map(conflict).collect();
    conflicts.sort_by(|one, other| (&one.knot, &one.id).cmp(&(&other.knot, &other.id)));
    conflicts
}

/// Makes an id that stays the same while the members keep their names.
fn id(members: &[VoiceIndex], voices: &[Voice]) -> String {
    let names: Vec<&str> = members.iter().map(|voice| voices[voice.0 as usize].name.as_str()).collect();
    blake3::hash(names.join("\n").as_bytes()).to_hex()[..12].to_string()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::collection::vec;
    use proptest::prelude::proptest;

    use super::{Knots, settle};
    use crate::date::Day;
    use crate::reason::constraint::{Support, System, Unknown};
    use crate::reason::{Saying, Standing, Voice, VoiceIndex, Weight};
    use crate::record::id::VoiceName;

    fn voice(number: usize, quarters: u32) -> Voice {
        Voice {
            name: VoiceName::new(format!("entries/makers/m/x/a/find-{number}.md#made")),
            claims: Vec::new(),
            says: Saying::Key,
            weight: Weight { quarters },
            roots: Vec::new(),
            garment: None,
            landmarks: Vec::new(),
            standing: Standing::Kept,
        }
    }

    proptest! {
        #[test]
        fn leaving_voices_out_of_known_knots_is_settling_without_them(
            days in vec((0..5u32, 0..6i32), 9),
            orders in vec((0..4u32, 1..3u32, 0..9u32), 0..8),
            weights in vec(1..5u32, 9),
            left_out in vec(0..9u32, 1..4),
        ) {
            let mut system = System::default();
            let unknowns: Vec<Unknown> = (0..6).map(|_| system.unknown()).collect();
            for (number, (at, day)) in days.into_iter().enumerate() {
                let (unknown, support) = (unknowns[at as usize], Support::one(VoiceIndex(number as u32)));
                system.not_before(unknown, Day::from_number(day), support);
                system.not_after(unknown, Day::from_number(day + 1), support);
            }
            for (from, further, voice) in orders {
                let to = unknowns[(from + further) as usize];
                system.order(unknowns[from as usize], to, Support::one(VoiceIndex(voice)));
            }
            let mut voices: Vec<Voice> = weights.into_iter().enumerate().map(|(at, one)| voice(at, 4 * one)).collect();
            for (index, standing) in settle(&system, &voices, |_| true).standings {
                voices[index.0 as usize].standing = standing;
            }
            let left_out: Vec<VoiceIndex> = left_out.into_iter().map(VoiceIndex).collect();
            let anew = settle(&system, &voices, |voice| !left_out.contains(&voice)).standings;
            assert_eq!(Knots::of(&system).unwrap().without(&voices, &left_out), anew);
        }
    }
}
