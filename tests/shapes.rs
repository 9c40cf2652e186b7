//! Systems of contradicting voices of many shapes and sizes: all are settled exactly, in counted steps.
//!
//! The shapes are made up: those that have many ways through them, many conflicts, or many removals of one weight.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use crate::support::shape::{Shape, draw, drawn, settled};
use bartack::chronology::solver::constraint::{Support, Unknown};
use bartack::chronology::solver::removal::STEPS;
use bartack::chronology::solver::tangle;
use bartack::date::Day;

/// Features each of whose states came before the next; garments that show one new and the next old; and a law against a
/// book, which alone contradict one another.
fn grid(features: usize, garments: usize) -> Shape {
    let mut shape = Shape::default();
    let variant = shape.thing();
    let states: Vec<[[Unknown; 2]; 2]> =
        (0..features).map(|_| [shape.part_of(variant), shape.part_of(variant)]).collect();
    for [old, new] in &states {
        shape.before(*old, *new, 4);
    }
    for pair in states.windows(2) {
        for _ in 0..garments {
            shape.garment(&[variant, pair[0][1], pair[1][0]]);
        }
    }
    let (law, book) = (shape.voice(16), shape.voice(8));
    shape.system.not_before(variant[0], Day::from_number(1960), law);
    shape.system.not_after(states[features - 1][1][0], Day::from_number(1950), book);
    shape
}

/// A row of diamonds: from each thing to the next through either of two others.
fn diamonds(count: usize, ways: usize) -> Shape {
    let mut shape = Shape::default();
    let first = shape.thing();
    shape.begins_within(first, 1970, 1970);
    let mut at = first;
    for _ in 0..count {
        let next = shape.thing();
        for _ in 0..ways {
            let side = shape.thing();
            shape.before(at, side, 4);
            shape.before(side, next, 4);
        }
        at = next;
    }
    let voice = shape.voice(16);
    shape.system.not_after(at[1], Day::from_number(1900), voice);
    shape
}

/// Settles a shape to the end within some steps; gives how many voices are set aside and contested.
fn within(most: u64, shape: &Shape) -> [usize; 2] {
    let settled = settled(shape);
    assert_eq!(settled.unsearched, 0);
    assert!(settled.steps <= most, "{} voices take {} steps", shape.weights.len(), settled.steps);
    [settled.set_aside, settled.contested]
}

/// Claims that each begin a thing on another day: every two exclude one another.
fn clique(count: usize, weigh: fn(u64) -> u32) -> Shape {
    let mut shape = Shape::default();
    let thing = shape.thing();
    for number in 0..count {
        let voice = shape.voice(weigh(number as u64));
        shape.system.not_before(thing[0], Day::from_number(10 * number as i32), voice);
        shape.system.not_after(thing[0], Day::from_number(10 * number as i32 + 1), voice);
    }
    shape
}

/// Garments of all different days, each of which has to be older than every other by some of a few claims: features
/// whose old state shows at ones of a garment's number and whose new state at noughts.
fn bits(features: u32, heavy: u32) -> Shape {
    let mut shape = Shape::default();
    let states: Vec<[[Unknown; 2]; 2]> = (0..features).map(|_| [shape.thing(), shape.thing()]).collect();
    for [old, new] in &states {
        shape.before(*old, *new, heavy);
    }
    for number in 0..1_u32 << features {
        let shown: Vec<[Unknown; 2]> =
            (0..features).map(|bit| states[bit as usize][if number >> bit & 1 == 1 { 0 } else { 1 }]).collect();
        let made = shape.garment(&shown);
        shape.dated(made, number as i32 * 10, number as i32 * 10 + 5);
    }
    shape
}

/// Old garments against new ones on both sides of one claim, with days that interleave.
fn two_sides(garments: usize, heavy: u32) -> Shape {
    let mut shape = Shape::default();
    let (old, new) = (shape.thing(), shape.thing());
    shape.before(old, new, heavy);
    for number in 0..garments {
        let state = [old, new][number % 2];
        let made = shape.garment(&[state]);
        let day = 10 * ((number * 37) % garments) as i32;
        shape.dated(made, day, day + 5);
    }
    shape
}

/// A chain of things each before the next, and spans that slide along it the wrong way.
fn windows(count: usize, width: usize, light: u32) -> Shape {
    let mut shape = Shape::default();
    let things: Vec<[Unknown; 2]> = (0..count).map(|_| shape.thing()).collect();
    for pair in things.windows(2) {
        shape.before(pair[0], pair[1], 8);
    }
    for (number, thing) in things.iter().enumerate() {
        for shift in 0..width {
            let voice = shape.voice(light + 4 * (shift as u32 % 2));
            let day = 1000 - 7 * number as i32 + 11 * shift as i32;
            shape.system.not_before(thing[0], Day::from_number(day), voice);
            shape.system.not_after(thing[1], Day::from_number(day + 3), voice);
        }
    }
    shape
}

/// Rings of `before`: each thing before the next, and the last before the first, through alternatives.
fn ring(count: usize, ways: usize, quarters: u32) -> Shape {
    let mut shape = Shape::default();
    let things: Vec<[Unknown; 2]> = (0..count).map(|_| shape.thing()).collect();
    for number in 0..count {
        for _ in 0..ways {
            let side = shape.thing();
            shape.before(things[number], side, quarters);
            shape.before(side, things[(number + 1) % count], quarters);
        }
    }
    shape
}

#[test]
fn a_law_against_a_book_among_many_roads_sets_the_book_aside() {
    let shape = grid(7, 8);
    assert_eq!(shape.weights.len(), 57);
    assert_eq!(within(700, &shape), [1, 0]);
}

#[test]
fn diamonds_of_equal_claims_are_contested_and_what_they_stand_between_is_kept() {
    let shape = diamonds(16, 2);
    assert_eq!(shape.weights.len(), 66);
    assert_eq!(within(40_000, &shape), [0, 64]);
}

#[test]
fn voices_that_all_exclude_one_another_leave_the_heaviest() {
    assert_eq!(within(5_000, &clique(66, |_| 4)), [0, 66]);
    assert_eq!(within(5_000, &clique(60, |number| [4, 8, 16, 2, 3][number as usize % 5])), [48, 12]);
}

#[test]
fn garments_on_both_sides_of_one_claim_set_it_aside_or_are_contested() {
    assert_eq!(within(1_000, &two_sides(100, 16)), [1, 0]);
    assert_eq!(within(60_000, &bits(4, 160)), [0, 32]);
}

#[test]
fn claims_drawn_at_random_and_rings_are_settled() {
    assert_eq!(within(200_000, &drawn(7, 66, 5, &[4, 8, 16])), [36, 5]);
    assert_eq!(within(60_000, &ring(8, 2, 4)), [0, 32]);
}

#[test]
fn claims_drawn_at_random_about_many_things_are_settled() {
    for (count, things) in [(60, 20), (80, 20)] {
        for seed in 0..6 {
            let shape = drawn(seed, count, things, &[4, 8, 16]);
            assert_eq!(settled(&shape).unsearched, 0, "{count} claims on {things} things, seed {seed}");
        }
    }
}

/// The same of ten things: far more contradict one another than can be told apart one by one.
#[test]
fn two_hundred_claims_drawn_at_random_about_ten_things_are_settled() {
    for (count, seeds) in [(60, 1..4), (100, 1..3), (150, 1..2), (200, 1..2)] {
        for seed in seeds {
            let settled = settled(&drawn(seed, count, 10, &[4, 8, 16]));
            assert_eq!(settled.unsearched, 0, "{count} claims, seed {seed}");
            assert!(settled.steps <= STEPS / 4, "{count} claims, seed {seed}: {} steps", settled.steps);
        }
    }
}

/// A ring of many ways, and a law against a book on both sides of it: a network that no conflict joins.
fn ring_between_a_law_and_a_book() -> Shape {
    let mut shape = ring(40, 3, 4);
    let (first, last) = (shape.thing(), shape.thing());
    shape.system.order(first[0], last[0], Support::STRUCTURE);
    let (into, out) = (shape.voice(16), shape.voice(16));
    let ring: [Unknown; 2] = [Unknown(0), Unknown(1)];
    shape.system.order(first[0], ring[0], into);
    shape.system.order(ring[1], last[0], out);
    let (law, book) = (shape.voice(16), shape.voice(8));
    shape.system.not_before(first[0], Day::from_number(1960), law);
    shape.system.not_after(last[0], Day::from_number(1950), book);
    shape
}

#[test]
fn a_knot_that_is_given_up_leaves_the_other_knots_of_its_network_as_they_are() {
    let shape = ring_between_a_law_and_a_book();
    let tangles = tangle::find(&shape.system.network(|_| true));
    assert_eq!(tangles.len(), 1, "one network");
    let settled = settled(&shape);
    assert_eq!((settled.unsearched, settled.set_aside, settled.contested), (1, 1, 240));
}

/// Whatever does not end within the steps of a run says so; nothing goes past them.
#[test]
fn what_is_too_hard_is_contested_and_said() {
    let settled = settled(&windows(66, 3, 4));
    assert!(settled.steps <= STEPS && settled.unsearched == 1 && settled.contested > 100, "{}", settled.steps);
}

#[test]
fn four_models_of_200_claims_are_settled_with_the_steps_of_one_run() {
    let mut shape = Shape::default();
    (20..24).for_each(|seed| draw(&mut shape, seed, 200, 10, &[4, 8, 16]));
    assert_eq!(settled(&shape).unsearched, 0);
}
