//! What becomes of voices against the definition: every set of voices is tried.

use std::collections::BTreeSet;

use super::{Case, Says, members, random_case};
use crate::support::numbers::Numbers;
use bartack::chronology::solver::removal::STEPS;
use bartack::chronology::solver::{conflict, solution, tangle};
use bartack::knowledge::{Standing, VoiceIndex};

impl Case {
    /// What becomes of each voice and the smallest conflict of those that are doubted, by trying every set of voices.
    fn by_enumeration(&self, weights: &[u32]) -> (Vec<Standing>, BTreeSet<Vec<VoiceIndex>>) {
        let all = (1u32 << self.voices.len()) - 1;
        let holds: Vec<bool> = (0..=all).map(|set| self.reference(set).is_some()).collect();
        let is_removal = |gone: &u32| {
            let one_back = |voice: usize| gone & (1 << voice) == 0 || !holds[(all & !gone | 1 << voice) as usize];
            holds[(all & !gone) as usize] && (0..self.voices.len()).all(one_back)
        };
        let weight = |set: u32| members(set).iter().map(|voice| weights[voice.0 as usize]).sum::<u32>();
        let removals: Vec<u32> = (0..=all).filter(is_removal).collect();
        let least = removals.iter().map(|gone| weight(*gone)).min().unwrap();
        let near: Vec<u32> = removals.into_iter().filter(|gone| weight(*gone) < least + 4).collect();
        let standing = |voice: usize| match near.iter().filter(|gone| *gone & (1 << voice) != 0).count() {
            0 => Standing::Kept,
            count if count == near.len() => Standing::SetAside,
            _ => Standing::Contested,
        };
        let standings: Vec<Standing> = (0..self.voices.len()).map(standing).collect();
        let sets = self.irreducible();
        let doubted = (0..).map(VoiceIndex).zip(&standings).filter(|(_, standing)| **standing != Standing::Kept);
        let smallest = doubted.map(|(voice, _)| {
            let holding = sets.iter().filter(|set| set.contains(&voice));
            holding.min_by(|one, other| one.len().cmp(&other.len()).then_with(|| one.cmp(other))).unwrap().clone()
        });
        let smallest = smallest.collect();
        (standings, smallest)
    }

    /// The same as the search finds it, listing conflicts only until so many were looked at.
    fn by_search(&self, weights: &[u32], looked_at: usize) -> (Vec<Standing>, BTreeSet<Vec<VoiceIndex>>) {
        let mut standings = vec![Standing::Kept; weights.len()];
        let mut listed = BTreeSet::new();
        for tangle in tangle::find(&self.system().network(|_| true)) {
            let own: Vec<u32> = tangle.voices.iter().map(|voice| weights[voice.0 as usize]).collect();
            let solution = solution::beyond(looked_at, &tangle, &own, &mut STEPS.clone());
            assert!(solution.unsearched.is_empty());
            for (voice, standing) in tangle.voices.iter().zip(&solution.standings) {
                standings[voice.0 as usize] = *standing;
            }
            let voice = |number: &u32| tangle.voices[*number as usize];
            listed.extend(solution.listed.iter().map(|set| set.iter().map(voice).collect::<Vec<VoiceIndex>>()));
        }
        (standings, listed)
    }
}

/// Voices that each say one or two things of a few unknowns, cycles and all.
fn tangled_case(numbers: &mut Numbers) -> Case {
    let unknowns = 2 + numbers.below(5) as u32;
    let pick = |numbers: &mut Numbers| numbers.below(u64::from(unknowns)) as u32;
    let structure = (0..numbers.below(4)).map(|_| (pick(numbers), pick(numbers)));
    let structure = structure.filter(|(from, to)| from < to).collect();
    let says = |numbers: &mut Numbers| match numbers.below(5) {
        0 => Says::NotBefore(pick(numbers), numbers.below(6) as i32),
        1 => Says::NotAfter(pick(numbers), numbers.below(6) as i32),
        2 => Says::Order(pick(numbers), pick(numbers)),
        _ => Says::StrictOrder(pick(numbers), pick(numbers)),
    };
    let voices = 3 + numbers.below(7);
    let voices = (0..voices).map(|_| (0..1 + numbers.below(2)).map(|_| says(numbers)).collect()).collect();
    Case { things: 0, unknowns, structure, voices }
}

#[test]
fn standings_and_listed_conflicts_are_those_of_the_definition_however_few_conflicts_are_listed_first() {
    let (mut doubted, mut light) = (0, 0);
    for seed in [0x5EED_0006, 0x5EED_0007, 0x5EED_0008] {
        let mut numbers = Numbers(seed);
        for round in 0..400 {
            let case = if round % 2 == 0 { tangled_case(&mut numbers) } else { random_case(&mut numbers) };
            let weights: Vec<u32> = case.voices.iter().map(|_| [2, 3, 4, 6, 8][numbers.below(5) as usize]).collect();
            let expected = case.by_enumeration(&weights);
            for looked_at in [0, 3, 12, conflict::LOOKED_AT] {
                assert_eq!(case.by_search(&weights, looked_at), expected, "{looked_at} {weights:?} {case:?}");
            }
            doubted += expected.0.iter().filter(|standing| **standing != Standing::Kept).count();
            light +=
                expected.0.iter().zip(&weights).filter(|(one, weight)| **one == Standing::Kept && **weight < 4).count();
        }
    }
    assert!(doubted > 1000 && light > 500, "{doubted} doubted, {light} light and kept");
}

#[test]
fn a_knot_with_too_many_sets_says_so() {
    // 320 voices that begin late against 320 that end early: 102,400 pairs.
    let mut voices = vec![vec![Says::NotBefore(0, 9)]; 320];
    voices.extend(vec![vec![Says::NotAfter(0, 3)]; 320]);
    let case = Case { things: 1, unknowns: 1, structure: Vec::new(), voices };
    let tangles = tangle::find(&case.system().network(|_| true));
    let solution = solution::of(&tangles[0], &[4; 640], &mut STEPS.clone());
    assert_eq!((tangles.len(), solution.unsearched), (1, vec![0]));
    assert_eq!(solution.standings, [Standing::Contested; 640]);
}
