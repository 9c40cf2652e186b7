//! The exact search for what to set aside: against enumeration, an independent MILP solver, and its own step limit.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use crate::support::numbers::Numbers;
use bartack::chronology::solver::removal::{self, STEPS};
use bartack::knowledge::Standing;
use good_lp::{Expression, Solution, SolverModel, constraint, microlp, variable, variables};

/// Random irreducible sets over some voices, each voice in at least one of them.
fn random_sets(numbers: &mut Numbers, voices: u64, count: u64) -> Vec<Vec<u32>> {
    let mut sets: Vec<Vec<u32>> = Vec::new();
    for _ in 0..count {
        let size = 1 + numbers.below(3) + u64::from(numbers.below(2) == 0);
        let mut set: Vec<u32> = (0..size).map(|_| numbers.below(voices) as u32).collect();
        set.sort_unstable();
        set.dedup();
        sets.push(set);
    }
    minimal(sets, voices as u32)
}

fn minimal(mut sets: Vec<Vec<u32>>, voices: u32) -> Vec<Vec<u32>> {
    sets.sort_by_key(Vec::len);
    let mut kept: Vec<Vec<u32>> = Vec::new();
    for set in sets {
        if !kept.iter().any(|other| other.iter().all(|voice| set.contains(voice))) {
            kept.push(set);
        }
    }
    for voice in 0..voices {
        if !kept.iter().any(|set| set.contains(&voice)) {
            kept.push(vec![voice]);
        }
    }
    kept
}

/// All removals by trying every set of voices; then who is in all and who in some of those near the lightest.
fn by_enumeration(sets: &[Vec<u32>], weights: &[u32]) -> Vec<Standing> {
    let meets = |chosen: u32| sets.iter().all(|set| set.iter().any(|voice| chosen & (1 << voice) != 0));
    let weight = |chosen: u32| (0..weights.len()).filter(|v| chosen & (1 << v) != 0).map(|v| weights[v]).sum::<u32>();
    let is_removal = |chosen: &u32| {
        meets(*chosen) && (0..weights.len()).all(|voice| chosen & (1 << voice) == 0 || !meets(chosen & !(1 << voice)))
    };
    let removals: Vec<u32> = (0..1u32 << weights.len()).filter(is_removal).collect();
    let least = removals.iter().map(|chosen| weight(*chosen)).min().unwrap();
    let near: Vec<u32> = removals.into_iter().filter(|chosen| weight(*chosen) < least + 4).collect();
    let standing = |voice: usize| {
        let count = near.iter().filter(|chosen| **chosen & (1 << voice) != 0).count();
        match count {
            0 => Standing::Kept,
            all if all == near.len() => Standing::SetAside,
            _ => Standing::Contested,
        }
    };
    (0..weights.len()).map(standing).collect()
}

#[test]
fn standings_equal_those_by_enumeration() {
    let mut numbers = Numbers(0x5EED_0001);
    for case in 0..3000 {
        let voices = 1 + numbers.below(9);
        let count = 1 + numbers.below(12);
        let sets = random_sets(&mut numbers, voices, count);
        let weights: Vec<u32> = (0..voices).map(|_| 1 + numbers.below(20) as u32).collect();
        let found = removal::standings(&sets, &weights, &mut STEPS.clone()).unwrap();
        assert_eq!(found, by_enumeration(&sets, &weights), "case {case}: {sets:?} weighing {weights:?}");
    }
}

/// The weight of the lightest hitting set, by the MILP solver microlp.
fn least_by_milp(sets: &[Vec<u32>], weights: &[u32], kept: Option<u32>) -> u32 {
    let mut problem = variables!();
    let removed: Vec<_> = weights.iter().map(|_| problem.add(variable().binary())).collect();
    let cost: Expression = removed.iter().zip(weights).map(|(voice, weight)| *voice * f64::from(*weight)).sum();
    let mut model = problem.minimise(cost).using(microlp);
    for set in sets {
        let sum: Expression = set.iter().map(|voice| Expression::from(removed[*voice as usize])).sum();
        model = model.with(constraint!(sum >= 1.0));
    }
    if let Some(kept) = kept {
        model = model.with(constraint!(removed[kept as usize] <= 0.0));
    }
    let Ok(solution) = model.solve() else { return u32::MAX };
    let chosen = removed.iter().zip(weights).filter(|(voice, _)| solution.value(**voice) > 0.5);
    chosen.map(|(_, weight)| *weight).sum()
}

#[test]
fn set_aside_voices_are_those_an_independent_solver_cannot_keep_cheaply() {
    let mut numbers = Numbers(0x5EED_0002);
    for case in 0..60 {
        let voices = 20 + numbers.below(20);
        let count = 20 + numbers.below(40);
        let sets = random_sets(&mut numbers, voices, count);
        let weights: Vec<u32> = (0..voices).map(|_| 2 * (1 + numbers.below(12) as u32)).collect();
        let found = removal::standings(&sets, &weights, &mut STEPS.clone()).unwrap();
        // The search splits what does not hang together; so must the yardstick: one added set ties nothing.
        for (voice, standing) in found.iter().enumerate() {
            let part = hanging_together(&sets, voice as u32);
            let least = least_by_milp(&part, &weights, None);
            let without = least_by_milp(&part, &weights, Some(voice as u32));
            let needed = without >= least.saturating_add(4);
            assert_eq!(*standing == Standing::SetAside, needed, "case {case}, voice {voice}");
        }
    }
}

/// The sets connected to a voice.
fn hanging_together(sets: &[Vec<u32>], voice: u32) -> Vec<Vec<u32>> {
    let mut reached = vec![voice];
    let mut next = 0;
    while next < reached.len() {
        let at = reached[next];
        for set in sets.iter().filter(|set| set.contains(&at)) {
            for other in set {
                if !reached.contains(other) {
                    reached.push(*other);
                }
            }
        }
        next += 1;
    }
    sets.iter().filter(|set| reached.contains(&set[0])).cloned().collect()
}

/// Conflicts of spans on one unknown day: every two that do not overlap.
fn spans(numbers: &mut Numbers, voices: u64, width: u64) -> Vec<Vec<u32>> {
    let spans: Vec<(u64, u64)> = (0..voices)
        .map(|_| {
            let first = numbers.below(1000);
            (first, first + 1 + numbers.below(width))
        })
        .collect();
    let mut sets = Vec::new();
    for one in 0..spans.len() {
        for other in one + 1..spans.len() {
            if spans[one].1 < spans[other].0 || spans[other].1 < spans[one].0 {
                sets.push(vec![one as u32, other as u32]);
            }
        }
    }
    sets
}

/// Chains: a lower voice, a placing, an upper voice; as when garments tie beginnings to ends.
fn triples(numbers: &mut Numbers, voices: u64, count: u64) -> Vec<Vec<u32>> {
    let third = voices / 3;
    let sets = (0..count).map(|_| {
        vec![
            numbers.below(third) as u32,
            (third + numbers.below(third)) as u32,
            (2 * third + numbers.below(third)) as u32,
        ]
    });
    minimal(sets.collect(), 0)
}

#[test]
fn no_measured_knot_of_200_voices_comes_near_the_step_limit() {
    let mut numbers = Numbers(0x5EED_0003);
    let mut most = 0;
    for round in 0..3 {
        let families = [
            ("narrow spans", spans(&mut numbers, 200, 60)),
            ("wide spans", spans(&mut numbers, 200, 500)),
            ("very wide spans", spans(&mut numbers, 200, 2000)),
            ("sparse triples", triples(&mut numbers, 198, 120)),
            ("triples", triples(&mut numbers, 198, 300)),
        ];
        for (name, sets) in families {
            let mut names: Vec<u32> = sets.iter().flatten().copied().collect();
            names.sort_unstable();
            names.dedup();
            let sets: Vec<Vec<u32>> =
                sets.iter().map(|set| set.iter().map(|v| names.binary_search(v).unwrap() as u32).collect()).collect();
            let weights: Vec<u32> = names.iter().map(|_| [4, 8, 16][numbers.below(3) as usize]).collect();
            let started = std::time::Instant::now();
            let mut steps = STEPS;
            removal::standings(&sets, &weights, &mut steps).unwrap();
            let steps = STEPS - steps;
            eprintln!("round {round}, {name}: {} sets, {steps} steps, {:?}", sets.len(), started.elapsed());
            most = most.max(steps);
        }
    }
    assert!(most <= STEPS / 2, "took up to {most} steps");
}
