//! Settles constraints: finds the standing of each voice, and the conflicts worth showing.

use std::collections::{BTreeMap, BTreeSet};

use crate::chronology::solver::constraint::System;
use crate::chronology::solver::network::Network;
use crate::chronology::solver::solution::{self, Solution};
use crate::chronology::solver::tangle::{self, Tangle};
use crate::knowledge::{Conflict, Standing, Voice, VoiceIndex};
use crate::record::id::VoiceName;

/// The standings of contradictory voices, and their conflicts.
#[derive(Debug, Default)]
pub struct Settlement {
    /// Voices that are set aside or contested.
    pub standings: BTreeMap<VoiceIndex, Standing>,
    /// For each of them the smallest conflict that holds it, sorted by knot and id.
    pub conflicts: Vec<Conflict>,
    /// Knots whose search was given up, by their first voice.
    pub unsearched: Vec<VoiceName>,
    /// Every voice that a contradiction may involve.
    pub entangled: BTreeSet<VoiceIndex>,
    /// The contradictions it was found from.
    pub contradictions: Contradictions,
}

/// All contradictions of a system, kept to answer what would become of voices without some others.
#[derive(Debug, Default)]
pub struct Contradictions {
    tangles: Vec<Solved>,
}

#[derive(Debug)]
struct Solved {
    tangle: Tangle,
    solution: Solution,
}

impl Contradictions {
    /// The standings without some voices, for the voices that share a tangle with them; the rest
    /// keep theirs. `None` if the answer takes more than the given steps.
    ///
    /// Leaving voices out adds no contradiction: the sets without any of them remain.
    pub fn without(
        &self,
        gone: &[VoiceIndex],
        voices: &[Voice],
        mut steps: u64,
    ) -> Option<BTreeMap<VoiceIndex, Standing>> {
        let mut standings = BTreeMap::new();
        for Solved { tangle, solution } in &self.tangles {
            let places = gone.iter().filter_map(|voice| tangle.voices.binary_search(voice).ok());
            let places: Vec<u32> = places.map(|place| place as u32).collect();
            if places.is_empty() {
                continue;
            }
            let found = solution.without(tangle, &places, &weights(tangle, voices), &mut steps)?;
            let all = tangle.voices.iter().copied().zip(found);
            standings.extend(all.filter(|(voice, _)| !gone.contains(voice)));
        }
        Some(standings)
    }

    /// For each of some voices, the ones of `meant` that share a known conflict with it, or else
    /// its whole tangle.
    ///
    /// If a voice overturned another only through a third, the two share no conflict.
    pub fn opponents(&self, voices: &[VoiceIndex], meant: &BTreeSet<VoiceIndex>) -> Vec<Vec<VoiceIndex>> {
        let mut found: BTreeMap<VoiceIndex, BTreeSet<VoiceIndex>> =
            voices.iter().map(|voice| (*voice, BTreeSet::new())).collect();
        self.tangles.iter().for_each(|solved| solved.add_opponents(meant, &mut found));
        voices.iter().map(|voice| found.remove(voice).into_iter().flatten().collect()).collect()
    }
}

impl Solved {
    fn add_opponents(&self, meant: &BTreeSet<VoiceIndex>, found: &mut BTreeMap<VoiceIndex, BTreeSet<VoiceIndex>>) {
        let in_tangle: BTreeSet<VoiceIndex> =
            self.tangle.voices.iter().copied().filter(|voice| meant.contains(voice)).collect();
        if in_tangle.is_empty() {
            return;
        }
        for conflict in self.solution.known() {
            let members: Vec<VoiceIndex> = conflict.iter().map(|number| self.tangle.voices[*number as usize]).collect();
            for voice in &members {
                let others = members.iter().filter(|other| *other != voice && in_tangle.contains(other));
                found.entry(*voice).and_modify(|opponents| opponents.extend(others));
            }
        }
        for voice in &self.tangle.voices {
            let unexplained = found.get_mut(voice).filter(|opponents| opponents.is_empty());
            unexplained.into_iter().for_each(|opponents| opponents.extend(&in_tangle));
        }
    }
}

/// Finds the conflicts among the voices that pass and sets aside as few as possible; also gives what then holds.
///
/// Takes what it needs off the steps, the smallest tangles first.
pub fn settle(
    system: &System,
    voices: &[Voice],
    keep: impl Fn(VoiceIndex) -> bool,
    steps: &mut u64,
) -> (Settlement, Network) {
    let mut settlement = Settlement::default();
    let mut listed = BTreeSet::new();
    let mut network = system.network(keep);
    for tangle in tangle::find(&network) {
        let solution = solution::of(&tangle, &weights(&tangle, voices), steps);
        settlement.entangled.extend(&tangle.voices);
        let doubted =
            tangle.voices.iter().zip(&solution.standings).filter(|(_, standing)| **standing != Standing::Kept);
        settlement.standings.extend(doubted.map(|(voice, standing)| (*voice, *standing)));
        let voice = |number: &u32| tangle.voices[*number as usize];
        listed.extend(solution.listed.iter().map(|set| set.iter().map(voice).collect::<Vec<VoiceIndex>>()));
        let names = solution.unsearched.iter().map(|number| voices[voice(number).0 as usize].name.clone());
        settlement.unsearched.extend(names);
        settlement.contradictions.tangles.push(Solved { tangle, solution });
    }
    network.retain(|voice| !settlement.standings.contains_key(&voice));
    settlement.unsearched.sort();
    settlement.conflicts = grouped(listed, voices);
    (settlement, network)
}

fn weights(tangle: &Tangle, voices: &[Voice]) -> Vec<u32> {
    tangle.voices.iter().map(|voice| voices[voice.0 as usize].weight.quarters).collect()
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

    use std::collections::BTreeMap;

    use smallvec::SmallVec;

    use super::settle;
    use crate::chronology::solver::constraint::{Support, System, Unknown};
    use crate::chronology::solver::removal::STEPS;
    use crate::date::{Day, DaySpan};
    use crate::knowledge::{Saying, Standing, Voice, VoiceIndex, Weight};
    use crate::record::id::VoiceName;

    const VOICES: u32 = 9;

    fn voice(number: u32, quarters: u32) -> Voice {
        Voice {
            name: VoiceName::new(format!("entries/a.md#{number}")),
            claims: SmallVec::new(),
            says: Saying::Made(DaySpan::OPEN),
            weight: Weight { quarters },
            roots: Vec::new(),
            garment: None,
            landmarks: Vec::new(),
            standing: Standing::Kept,
        }
    }

    /// Voices that each say one thing of three days, drawn by an xorshift generator (Marsaglia 2003).
    fn drawn(seed: u64) -> (System, Vec<Voice>) {
        let mut state = seed;
        let mut below = |limit: u64| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state % limit) as u32
        };
        let (mut system, mut voices) = (System::default(), Vec::new());
        let unknowns = [system.unknown(), system.unknown(), system.unknown()];
        for number in 0..VOICES {
            let (unknown, other): (Unknown, Unknown) = (unknowns[below(3) as usize], unknowns[below(3) as usize]);
            let (day, support) = (Day::from_number(below(4) as i32), Support::one(VoiceIndex(number)));
            match below(3) {
                0 => system.not_before(unknown, day, support),
                1 => system.not_after(unknown, day, support),
                _ => system.strict_order(unknown, other, support),
            }
            voices.push(voice(number, 1 + below(3)));
        }
        (system, voices)
    }

    #[test]
    fn leaving_voices_out_settles_the_rest_as_if_they_had_never_spoken() {
        let mut changed = 0;
        for seed in 1..400 {
            let (system, voices) = drawn(seed);
            let settlement = settle(&system, &voices, |_| true, &mut STEPS.clone()).0;
            let (whole, contradictions) = (settlement.standings, settlement.contradictions);
            for gone in (0..VOICES).flat_map(|one| (one..VOICES).map(move |other| [VoiceIndex(one), VoiceIndex(other)]))
            {
                let anew = contradictions.without(&gone, &voices, STEPS).unwrap();
                let kept = |standings: &BTreeMap<_, _>, voice| standings.get(&voice).copied().unwrap_or(Standing::Kept);
                let expected = settle(&system, &voices, |voice| !gone.contains(&voice), &mut STEPS.clone()).0.standings;
                for voice in (0..VOICES).map(VoiceIndex).filter(|voice| !gone.contains(voice)) {
                    let found = anew.get(&voice).copied().unwrap_or_else(|| kept(&whole, voice));
                    assert_eq!(found, kept(&expected, voice), "{voice:?} without {gone:?}, seed {seed}");
                    changed += usize::from(found != kept(&whole, voice));
                }
            }
        }
        assert!(changed > 1000, "only {changed} standings changed");
    }
}
