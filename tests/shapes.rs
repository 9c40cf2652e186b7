//! Systems of contradicting voices of many shapes and sizes: all are settled exactly, in counted steps.
//!
//! The shapes are made up: those that have many ways through them, many conflicts, or many removals of one weight.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use crate::support::numbers::Numbers;
use bartack::chronology::solver::constraint::{Support, System, Unknown};
use bartack::chronology::solver::removal::STEPS;
use bartack::chronology::solver::{solution, tangle};
use bartack::date::Day;
use bartack::knowledge::{Standing, VoiceIndex};

/// A system and what its voices weigh.
#[derive(Default)]
struct Shape {
    system: System,
    weights: Vec<u32>,
}

impl Shape {
    fn voice(&mut self, quarters: u32) -> Support {
        self.weights.push(quarters);
        Support::one(VoiceIndex(self.weights.len() as u32 - 1))
    }

    /// The first and last day of a thing.
    fn thing(&mut self) -> [Unknown; 2] {
        let days = [self.system.unknown(), self.system.unknown()];
        self.system.order(days[0], days[1], Support::STRUCTURE);
        days
    }

    fn part_of(&mut self, whole: [Unknown; 2]) -> [Unknown; 2] {
        let part = self.thing();
        self.system.order(whole[0], part[0], Support::STRUCTURE);
        self.system.order(part[1], whole[1], Support::STRUCTURE);
        part
    }

    fn before(&mut self, one: [Unknown; 2], other: [Unknown; 2], quarters: u32) {
        let voice = self.voice(quarters);
        self.system.strict_order(one[1], other[0], voice);
    }

    fn begins_within(&mut self, thing: [Unknown; 2], first: i32, last: i32) -> Support {
        let voice = self.voice(16);
        self.system.not_before(thing[0], Day::from_number(first), voice);
        self.system.not_after(thing[0], Day::from_number(last), voice);
        voice
    }

    /// A garment that shows some states.
    fn garment(&mut self, states: &[[Unknown; 2]]) -> Unknown {
        let (made, seen) = (self.system.unknown(), self.voice(16));
        for state in states {
            self.system.order(state[0], made, seen);
            self.system.order(made, state[1], seen);
        }
        made
    }

    fn dated(&mut self, made: Unknown, first: i32, last: i32) {
        let voice = self.voice(16);
        self.system.not_before(made, Day::from_number(first), voice);
        self.system.not_after(made, Day::from_number(last), voice);
    }
}

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

fn report(name: &str, shape: &Shape) -> (u64, Vec<Standing>) {
    let mut steps = STEPS;
    let mut standings = vec![Standing::Kept; shape.weights.len()];
    let mut unsearched = 0;
    for tangle in tangle::find(&shape.system.network(|_| true)) {
        let weights: Vec<u32> = tangle.voices.iter().map(|voice| shape.weights[voice.0 as usize]).collect();
        let solution = solution::of(&tangle, &weights, &mut steps);
        unsearched += solution.unsearched.len();
        for (voice, standing) in tangle.voices.iter().zip(&solution.standings) {
            standings[voice.0 as usize] = *standing;
        }
    }
    let count = |wanted| standings.iter().filter(|standing| **standing == wanted).count();
    let (aside, contested) = (count(Standing::SetAside), count(Standing::Contested));
    let taken = STEPS - steps;
    eprintln!(
        "{name}: {} voices, {taken} steps, {aside} set aside, {contested} contested, {unsearched} unsearched",
        shape.weights.len()
    );
    (taken, standings)
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

/// Claims about a few things drawn at random: begun, ended, attested, before.
fn drawn(seed: u64, count: usize, things: u64, weights: &[u32]) -> Shape {
    let (mut shape, mut numbers) = (Shape::default(), Numbers(seed));
    let things: Vec<[Unknown; 2]> = (0..things).map(|_| shape.thing()).collect();
    for _ in 0..count {
        let voice = shape.voice(weights[numbers.below(weights.len() as u64) as usize]);
        let thing = things[numbers.below(things.len() as u64) as usize];
        let other = things[numbers.below(things.len() as u64) as usize];
        let first = numbers.below(100) as i32;
        let (first, last) = (Day::from_number(first), Day::from_number(first + numbers.below(20) as i32));
        match numbers.below(4) {
            0 => {
                shape.system.not_before(thing[0], first, voice);
                shape.system.not_after(thing[0], last, voice);
            }
            1 => {
                shape.system.not_before(thing[1], first, voice);
                shape.system.not_after(thing[1], last, voice);
            }
            2 => {
                shape.system.not_after(thing[0], last, voice);
                shape.system.not_before(thing[1], first, voice);
            }
            _ => shape.system.strict_order(thing[1], other[0], voice),
        }
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
fn shapes() {
    let which = std::env::var("SHAPE").unwrap_or_default();
    let only = |name: &str, shape: fn() -> Shape| {
        if name.contains(&which) {
            report(name, &shape());
        }
    };
    only("grid 7x8", || grid(7, 8));
    only("grid 20x9", || grid(20, 9));
    only("diamonds 16", || diamonds(16, 2));
    only("diamonds 24", || diamonds(24, 2));
    only("diamonds 49", || diamonds(49, 2));
    only("diamonds 12x4", || diamonds(12, 4));
    only("clique 66", || clique(66, |_| 4));
    only("clique 200", || clique(200, |_| 4));
    only("clique 200 light", || clique(200, |_| 2));
    only("clique 200 mixed", || clique(200, |number| [4, 8, 16, 2, 3][number as usize % 5]));
    only("bits 5", || bits(5, 160));
    only("bits 5 equal", || bits(5, 16));
    only("bits 6", || bits(6, 160));
    only("sides 66", || two_sides(66, 160));
    only("sides 100", || two_sides(100, 160));
    only("sides 100 equal", || two_sides(100, 16));
    only("random 66", || drawn(7, 66, 5, &[4, 8, 16]));
    only("random 100", || drawn(8, 100, 8, &[4, 8, 16]));
    only("random 200", || drawn(9, 200, 10, &[4, 8, 16]));
    only("random 200 one", || drawn(10, 200, 10, &[4]));
    only("random 200 light", || drawn(11, 200, 10, &[2]));
    only("random 200 mixed", || drawn(12, 200, 20, &[2, 3, 4, 6, 8, 16]));
    only("random 200 few", || drawn(13, 200, 3, &[4, 8, 16]));
    only("random 200 many", || drawn(14, 200, 40, &[4, 8, 16]));
    only("windows 66", || windows(22, 2, 4));
    only("windows 200", || windows(66, 2, 4));
    only("windows 200 light", || windows(66, 2, 2));
    only("windows 200 wide", || windows(33, 5, 4));
    only("ring 20", || ring(20, 2, 4));
    only("ring 50", || ring(50, 2, 4));
    only("ring 50 light", || ring(50, 2, 2));
}
