//! Systems of constraints made by hand or at random, and what becomes of their voices.

#![allow(dead_code, clippy::unwrap_used)]

use bartack::chronology::solver::constraint::{Support, System, Unknown};
use bartack::chronology::solver::removal::STEPS;
use bartack::chronology::solver::{solution, tangle};
use bartack::date::Day;
use bartack::knowledge::{Standing, VoiceIndex};

use crate::support::numbers::Numbers;

/// A system and what its voices weigh.
#[derive(Default)]
pub struct Shape {
    pub system: System,
    pub weights: Vec<u32>,
    /// How many days lie between two that are drawn; nought is one.
    pub spacing: i32,
}

impl Shape {
    pub fn voice(&mut self, quarters: u32) -> Support {
        self.weights.push(quarters);
        Support::one(VoiceIndex(self.weights.len() as u32 - 1))
    }

    /// The first and last day of a thing.
    pub fn thing(&mut self) -> [Unknown; 2] {
        let days = [self.system.unknown(), self.system.unknown()];
        self.system.order(days[0], days[1], Support::STRUCTURE);
        days
    }

    pub fn part_of(&mut self, whole: [Unknown; 2]) -> [Unknown; 2] {
        let part = self.thing();
        self.system.order(whole[0], part[0], Support::STRUCTURE);
        self.system.order(part[1], whole[1], Support::STRUCTURE);
        part
    }

    pub fn before(&mut self, one: [Unknown; 2], other: [Unknown; 2], quarters: u32) {
        let voice = self.voice(quarters);
        self.system.strict_order(one[1], other[0], voice);
    }

    pub fn begins_within(&mut self, thing: [Unknown; 2], first: i32, last: i32) -> Support {
        let voice = self.voice(16);
        self.system.not_before(thing[0], Day::from_number(first), voice);
        self.system.not_after(thing[0], Day::from_number(last), voice);
        voice
    }

    /// A garment that shows some states.
    pub fn garment(&mut self, states: &[[Unknown; 2]]) -> Unknown {
        let (made, seen) = (self.system.unknown(), self.voice(16));
        for state in states {
            self.system.order(state[0], made, seen);
            self.system.order(made, state[1], seen);
        }
        made
    }

    pub fn dated(&mut self, made: Unknown, first: i32, last: i32) {
        let voice = self.voice(16);
        self.system.not_before(made, Day::from_number(first), voice);
        self.system.not_after(made, Day::from_number(last), voice);
    }
}

/// Claims about a few things drawn at random: begun, ended, attested, before.
pub fn drawn(seed: u64, count: usize, things: u64, weights: &[u32]) -> Shape {
    let mut shape = Shape::default();
    draw(&mut shape, seed, count, things, weights);
    shape
}

pub fn draw(shape: &mut Shape, seed: u64, count: usize, things: u64, weights: &[u32]) {
    let mut numbers = Numbers(seed);
    let things: Vec<[Unknown; 2]> = (0..things).map(|_| shape.thing()).collect();
    for _ in 0..count {
        let voice = shape.voice(weights[numbers.below(weights.len() as u64) as usize]);
        let thing = things[numbers.below(things.len() as u64) as usize];
        let other = things[numbers.below(things.len() as u64) as usize];
        let (first, spacing) = (numbers.below(100) as i32, shape.spacing.max(1));
        let last = first + numbers.below(20) as i32;
        let (first, last) = (Day::from_number(first * spacing), Day::from_number(last * spacing + spacing - 1));
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
}

/// What became of the voices of a shape.
pub struct Settled {
    pub steps: u64,
    pub set_aside: usize,
    pub contested: usize,
    pub unsearched: usize,
}

pub fn settled(shape: &Shape) -> Settled {
    let mut steps = STEPS;
    let mut settled = Settled { steps: 0, set_aside: 0, contested: 0, unsearched: 0 };
    for tangle in tangle::find(&shape.system.network(|_| true)) {
        let weights: Vec<u32> = tangle.voices.iter().map(|voice| shape.weights[voice.0 as usize]).collect();
        let solution = solution::of(&tangle, &weights, &mut steps);
        let count = |wanted| solution.standings.iter().filter(|standing| **standing == wanted).count();
        settled.unsearched += solution.unsearched.len();
        settled.set_aside += count(Standing::SetAside);
        settled.contested += count(Standing::Contested);
    }
    settled.steps = STEPS - steps;
    settled
}
