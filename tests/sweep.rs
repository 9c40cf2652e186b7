//! The pass through time that settles tangles of few days, held to the search that asks for conflicts one by one.
//!
//! That search is held to enumeration and to an independent solver in `removal.rs`.

#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::shape::{Shape, draw};
use bartack::chronology::solver::constraint::{Support, System};
use bartack::chronology::solver::members::Members;
use bartack::chronology::solver::probe::Probe;
use bartack::chronology::solver::removal::{Removals, STEPS};
use bartack::chronology::solver::solution;
use bartack::chronology::solver::sweep;
use bartack::chronology::solver::tangle::{self, Tangle};
use bartack::date::Day;
use bartack::knowledge::{Standing, VoiceIndex};

fn tangles(system: &System) -> Vec<Tangle> {
    tangle::find(&system.network(|_| true))
}

fn weights(shape: &Shape, tangle: &Tangle) -> Vec<u32> {
    tangle.voices.iter().map(|voice| shape.weights[voice.0 as usize]).collect()
}

fn swept(tangle: &Tangle, weights: &[u32], gone: &[u32]) -> Option<Vec<Standing>> {
    let gone = Members::of(weights.len(), gone.iter().copied());
    sweep::standings(tangle, weights, &gone, &mut STEPS.clone())
}

fn searched(tangle: &Tangle, weights: &[u32], gone: &[u32]) -> Vec<Standing> {
    let (probe, mut steps) = (Probe::new(tangle), STEPS);
    let mut removals = Removals::new(Vec::new(), weights, Some(&probe), &mut steps);
    removals.leave_out(&Members::of(weights.len(), gone.iter().copied()));
    removals.standings().unwrap()
}

/// Claims drawn at random: days so far apart that each unknown could have its own, hardly so, and not.
fn shapes(weights: &[u32]) -> Vec<Shape> {
    let spaced = |seed: u64| {
        let mut shape = Shape { spacing: [1, 4, 400][seed as usize % 3], ..Shape::default() };
        draw(&mut shape, seed, 6 + seed as usize % 30, 2 + seed % 5, weights);
        shape
    };
    (1..400).map(spaced).collect()
}

#[test]
fn a_pass_through_time_finds_what_the_search_for_removals_finds() {
    let mut settled = 0;
    for shape in shapes(&[4, 5, 8, 16]) {
        for tangle in tangles(&shape.system) {
            let weights = weights(&shape, &tangle);
            for gone in [vec![], vec![0], vec![0, weights.len() as u32 / 2]] {
                assert_eq!(swept(&tangle, &weights, &gone), Some(searched(&tangle, &weights, &gone)));
                settled += 1;
            }
        }
    }
    assert!(settled > 1000, "only {settled} were settled");
}

#[test]
fn voices_too_light_to_be_needed_are_settled_alike() {
    let mut settled = 0;
    for shape in shapes(&[1, 2, 3, 4, 8]) {
        for tangle in tangles(&shape.system) {
            let weights = weights(&shape, &tangle);
            assert_eq!(swept(&tangle, &weights, &[]), Some(searched(&tangle, &weights, &[])));
            settled += 1;
        }
    }
    assert!(settled > 300, "only {settled} were settled");
}

#[test]
fn what_would_be_without_a_voice_is_what_is_where_it_never_spoke() {
    let mut shape = Shape::default();
    draw(&mut shape, 3, 80, 6, &[4, 8, 16]);
    let found = tangles(&shape.system);
    let tangle = found.last().unwrap();
    let own = weights(&shape, tangle);
    let solution = solution::of(tangle, &own, &mut STEPS.clone());
    assert!(solution.unsearched.is_empty() && solution.known().len() < 100, "it was not swept");
    for gone in [0, 7, 20] {
        let without = solution.without(tangle, &[gone], &own, &mut STEPS.clone()).unwrap();
        assert_eq!(without, searched(tangle, &own, &[gone]), "without {gone}");
    }
}

/// A thing whose first day is said to be too late for its last, beside what the shape adds.
fn contradictory(add: impl Fn(&mut Shape)) -> Option<Vec<Standing>> {
    let mut shape = Shape::default();
    let thing = shape.thing();
    let (late, early) = (shape.voice(16), shape.voice(8));
    shape.system.not_before(thing[0], Day::from_number(100), late);
    shape.system.not_after(thing[1], Day::from_number(50), early);
    add(&mut shape);
    let found = tangles(&shape.system);
    let tangle = found.last().unwrap();
    swept(tangle, &weights(&shape, tangle), &[])
}

#[test]
fn what_it_cannot_lay_out_in_time_is_left_to_the_search() {
    assert_eq!(contradictory(|_| {}), Some(vec![Standing::Kept, Standing::SetAside]));
    let days = |shape: &mut Shape, number: u32| {
        let other = shape.thing();
        let first = bartack::chronology::solver::constraint::Unknown(0);
        let (one, two) = (shape.voice(4), shape.voice(4));
        match number {
            // Two days each not after the other: they would have to be placed together.
            0 => {
                shape.system.order(first, other[0], one);
                shape.system.order(other[0], first, two);
            }
            // A constraint of two voices.
            1 => shape.system.order(first, other[0], Support::both(VoiceIndex(2), VoiceIndex(3))),
            // A voice whose two constraints can fail together.
            _ => {
                shape.system.order(first, other[0], one);
                shape.system.not_before(first, Day::from_number(90), one);
                shape.system.order(first, other[0], two);
            }
        }
        shape.system.not_after(other[1], Day::from_number(60), two);
    };
    for number in 0..3 {
        assert_eq!(contradictory(|shape| days(shape, number)), None, "{number}");
    }
}

#[test]
fn what_structure_says_beside_contradictory_paths_is_known_to_it() {
    // A garment can be too early for the first day of its variant, or too late for its last; since the first is not
    // after the last, not both. Nothing contradicts that order here.
    let mut shape = Shape::default();
    let variant = shape.thing();
    let made = shape.garment(&[variant]);
    for (unknown, first, last) in
        [(variant[0], Some(100), None), (variant[1], None, Some(150)), (made, Some(200), None), (made, None, Some(90))]
    {
        let voice = shape.voice(4);
        first.into_iter().for_each(|day| shape.system.not_before(unknown, Day::from_number(day), voice));
        last.into_iter().for_each(|day| shape.system.not_after(unknown, Day::from_number(day), voice));
    }
    let found = tangles(&shape.system);
    let own = weights(&shape, &found[0]);
    assert_eq!((found.len(), found[0].structure.len()), (1, 1));
    assert_eq!(swept(&found[0], &own, &[]), Some(searched(&found[0], &own, &[])));
}

#[test]
fn it_takes_no_steps_where_they_are_too_few() {
    let mut shape = Shape::default();
    draw(&mut shape, 5, 40, 5, &[4, 8]);
    let found = tangles(&shape.system);
    let tangle = found.last().unwrap();
    let (weights, mut steps) = (weights(&shape, tangle), 0);
    let none = Members::none(weights.len());
    assert_eq!((sweep::standings(tangle, &weights, &none, &mut steps), steps), (None, 0));
}
