//! Constraints to what becomes of each voice, and the conflicts worth showing.

use std::collections::{BTreeMap, BTreeSet};

use crate::chronology::solver::conflict::{self, Knot};
use crate::chronology::solver::constraint::System;
use crate::chronology::solver::network::Network;
use crate::chronology::solver::removal;
use crate::knowledge::{Conflict, Standing, Voice, VoiceIndex};
use crate::record::id::VoiceName;

/// How many irreducible sets a knot may have to be settled anew without each of its voices.
const SETTLED_ANEW: usize = 1_000;

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

/// All contradictions of a system, kept for asking what would become of voices if others had never spoken.
pub struct Contradictions {
    knots: Vec<Knot>,
    knot_of: BTreeMap<VoiceIndex, usize>,
}

impl Contradictions {
    /// Finds them; nothing where there are too many to list them all.
    pub fn of(network: &Network) -> Option<Contradictions> {
        let knots = conflict::find(network);
        let numbered = knots.iter().enumerate();
        let knot_of = numbered.flat_map(|(number, knot)| knot.voices().into_iter().map(move |voice| (voice, number)));
        let knot_of = knot_of.collect();
        knots.iter().all(|knot| !knot.overflows).then_some(Contradictions { knots, knot_of })
    }

    /// Says whether voices are in no knot that is so large that settling it anew for each piece of it takes long.
    pub fn are_few(&self, voices: &[VoiceIndex]) -> bool {
        let mut knots = voices.iter().filter_map(|voice| self.knot_of.get(voice)).map(|number| &self.knots[*number]);
        knots.all(|knot| knot.sets.len() <= SETTLED_ANEW)
    }

    /// What would become of the voices that share a contradiction with some, without these; all others stay as they are.
    ///
    /// Leaving voices out brings no new contradiction: what remains are the sets that hold none of them.
    pub fn without(&self, gone: &[VoiceIndex], voices: &[Voice]) -> BTreeMap<VoiceIndex, Standing> {
        let touched: BTreeSet<usize> = gone.iter().filter_map(|voice| self.knot_of.get(voice)).copied().collect();
        let knots = || touched.iter().map(|number| &self.knots[*number]);
        let is_left = |set: &&Vec<VoiceIndex>| !set.iter().any(|voice| gone.contains(voice));
        let mut settlement = Settlement::default();
        for knot in conflict::grouped(knots().flat_map(|knot| knot.sets.iter().filter(is_left).cloned())) {
            decide(&knot, voices, &mut settlement);
        }
        let stands = |voice| settlement.standings.get(&voice).copied().unwrap_or(Standing::Kept);
        let stays = knots().flat_map(Knot::voices).filter(|voice| !gone.contains(voice));
        stays.map(|voice| (voice, stands(voice))).collect()
    }
}

/// Finds the conflicts among the voices that pass, and sets aside as little as will do; gives what then holds with it.
pub fn settle(system: &System, voices: &[Voice], keep: impl Fn(VoiceIndex) -> bool) -> (Settlement, Network) {
    let mut settlement = Settlement::default();
    let mut listed = BTreeSet::new();
    let mut network = system.network(keep);
    loop {
        let knots = conflict::find(&network);
        let overflows = knots.iter().any(|knot| knot.overflows);
        for knot in &knots {
            settlement.entangled.extend(knot.voices());
            listed.extend(decide(knot, voices, &mut settlement));
        }
        network.retain(|voice| !settlement.standings.contains_key(&voice));
        // A knot of which only a part was listed may have hidden other conflicts.
        if !overflows {
            break;
        }
    }
    settlement.unsearched.sort();
    settlement.conflicts = grouped(listed, voices);
    (settlement, network)
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

    use std::collections::BTreeMap;

    use smallvec::SmallVec;

    use super::{Contradictions, settle};
    use crate::chronology::solver::constraint::{Support, System, Unknown};
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
            let whole = settle(&system, &voices, |_| true).0.standings;
            let contradictions = Contradictions::of(&system.network(|_| true)).unwrap();
            for gone in (0..VOICES).flat_map(|one| (one..VOICES).map(move |other| [VoiceIndex(one), VoiceIndex(other)]))
            {
                let anew = contradictions.without(&gone, &voices);
                let kept = |standings: &BTreeMap<_, _>, voice| standings.get(&voice).copied().unwrap_or(Standing::Kept);
                let expected = settle(&system, &voices, |voice| !gone.contains(&voice)).0.standings;
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
