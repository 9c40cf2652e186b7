//! Seeded worlds through the whole pipeline: how often a comparison names a tell that is none, and finds one that is.
//!
//! The ordinary test takes a slice of the worlds; with `BARTACK_SIMULATIONS=all` every world runs with more pairs, sizes
//! and seeds, and the table is printed (`--nocapture`). What is counted is held to a promised rate with room for chance:
//! a rate that keeps the promise fails one judgement in ten thousand, whatever the seeds.

#![allow(clippy::print_stdout)]

#[path = "simulation/world.rs"]
mod world;

use std::fmt::Write;

use bartack::comparison::{self, Verdict};
use bartack::compile::{self, example};
use bartack::evidence;
use bartack::knowledge::Knowledge;
use bartack::record::id::VariantId;
use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use world::{Chance, FEATURES, Promise, WORLDS, World};

/// The most pairs in a hundred that may show a false tell where the rules are made for it.
const MOST_FALSE: f64 = 0.05;

/// The guide says that where nothing differs, one pair in five has a feature that leans: so, at the largest size.
const LEANING: [f64; 2] = [0.14, 0.28];

/// How unlikely a count must be, were the promise kept, to fail.
const UNLIKELY: f64 = 1e-4;

/// A tell that each garment of its variant shows with this chance, and each of the other with the rest.
struct Power {
    tell: f64,
    /// Garments of each variant, and the share of pairs in which the exact test, after Holm, and the interval allow it.
    found: [(usize, f64); 2],
}

/// What a comparison can find, by `power.py`: it enumerates the counts of both variants and knows nothing of the program.
/// Below 12 garments Tarone's rule may adjust for fewer features than twelve, so no size below is held to this.
const POWER: [Power; 2] = [
    Power { tell: 0.9, found: [(12, 0.9149), (20, 0.9858)] },
    Power { tell: 0.8, found: [(12, 0.4599), (20, 0.6108)] },
];

/// Of the pairs that these allow, some are not called: the difference must also hold at equal age and size.
const LEFT_AT_EQUAL_AGE_AND_SIZE: f64 = 0.9;

/// So many pairs of variants of one world, each of so many garments.
#[derive(Clone, Copy)]
struct Run {
    world: usize,
    garments: usize,
    pairs: usize,
    seed: u64,
}

/// In how many pairs a feature that is no tell was called one, was called leaning, and a true tell was found.
#[derive(Clone, Copy, Debug, Default)]
struct Counts {
    pairs: usize,
    falsely: usize,
    leaning: usize,
    found: usize,
}

impl Run {
    fn counts(&self) -> Counts {
        let knowledge =
            compile::compile(example::read(&self.entries()).sources, Vec::new(), compile::Options::default()).knowledge;
        assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults.first());
        let mut counts = Counts { pairs: self.pairs, ..Counts::default() };
        for model in 0..self.pairs {
            counts.add(&WORLDS[self.world], &verdicts(&knowledge, model));
        }
        counts
    }

    fn entries(&self) -> String {
        let mut chance = Chance::new(self.seed << 32 ^ (self.garments as u64) << 8 ^ self.world as u64);
        let mut text = world::vocabulary();
        for model in 0..self.pairs {
            let folder = format!("entries/makers/hollin/m{model}");
            writeln!(text, "--- {folder}/model.md\n+++\nname = \"M\"\ngarment = \"trousers\"\n+++").unwrap();
            for variant in ["a", "b"] {
                let head = "+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++";
                writeln!(text, "--- {folder}/{variant}/variant.md\n{head}").unwrap();
                for number in 0..self.garments {
                    let garment = WORLDS[self.world].garment(&mut chance, variant == "a");
                    write!(text, "--- {folder}/{variant}/g{number:02}.md\n{garment}").unwrap();
                }
            }
        }
        text
    }
}

fn verdicts(knowledge: &Knowledge, model: usize) -> Vec<Verdict> {
    let seen = |variant| evidence::of(knowledge, &VariantId::new(format!("hollin/m{model}/{variant}")));
    let comparison = comparison::of(&knowledge.catalog, &seen("a"), &seen("b"));
    assert_eq!(comparison.features.len(), FEATURES);
    comparison.features.into_iter().map(|compared| compared.verdict).collect()
}

impl Counts {
    fn add(&mut self, world: &World, verdicts: &[Verdict]) {
        let (true_ones, rest) = verdicts.split_at(usize::from(world.tell.is_some()));
        self.falsely += usize::from(rest.contains(&Verdict::Tell));
        self.leaning += usize::from(rest.contains(&Verdict::Leaning));
        self.found += usize::from(true_ones.contains(&Verdict::Tell));
    }

    fn sum<'c>(all: impl Iterator<Item = &'c Counts>) -> Counts {
        all.fold(Counts::default(), |sum, counts| Counts {
            pairs: sum.pairs + counts.pairs,
            falsely: sum.falsely + counts.falsely,
            leaning: sum.leaning + counts.leaning,
            found: sum.found + counts.found,
        })
    }
}

/// What is run: garments of each variant, pairs, seeds.
struct Plan {
    sizes: &'static [usize],
    pairs: usize,
    seeds: &'static [u64],
}

const SLICE: Plan = Plan { sizes: &[3, 6, 12], pairs: 20, seeds: &[1, 2] };
const ALL: Plan = Plan { sizes: &[3, 5, 8, 12, 20], pairs: 400, seeds: &[1, 2, 3] };

/// The counts of a world by garments of each variant.
struct Measured<'w> {
    world: &'w World,
    by_size: Vec<(usize, Counts)>,
}

impl Plan {
    fn measured(&self, number: usize) -> Measured<'static> {
        let run = |garments: usize, seed: u64| Run { world: number, garments, pairs: self.pairs, seed };
        let runs: Vec<Run> =
            self.sizes.iter().flat_map(|garments| self.seeds.iter().map(|seed| run(*garments, *seed))).collect();
        let counted: Vec<Counts> = runs.par_iter().map(Run::counts).collect();
        let by_size = self.sizes.iter().zip(counted.chunks(self.seeds.len()));
        let by_size = by_size.map(|(garments, counts)| (*garments, Counts::sum(counts.iter()))).collect();
        Measured { world: &WORLDS[number], by_size }
    }
}

#[test]
fn false_tells_are_rare_and_true_ones_are_found() {
    let plan = if std::env::var_os("BARTACK_SIMULATIONS").is_some_and(|wish| wish == "all") { ALL } else { SLICE };
    println!("pairs with a false tell, with a leaning feature, with the true tell found, by garments of each variant");
    let measured: Vec<Measured<'_>> = (0..WORLDS.len()).map(|number| plan.measured(number)).collect();
    measured.iter().for_each(Measured::print);
    measured.iter().for_each(Measured::judge);
    let (_, plain) = measured[0].by_size.last().unwrap();
    let expected = least_of(plain.pairs, LEANING[0])..=most_of(plain.pairs, LEANING[1]);
    assert!(expected.contains(&plain.leaning), "{plain:?} is not in {expected:?}");
    // Where all features follow age or size, a rule left out shows most; one world's slice is too small to tell.
    let followed = measured.iter().filter(|measured| measured.world.followers == FEATURES && measured.is_rare());
    let counts: Vec<Counts> = followed.flat_map(|measured| &measured.by_size).map(|(_, counts)| *counts).collect();
    let all = Counts::sum(counts.iter());
    assert!(all.falsely <= most_of(all.pairs, MOST_FALSE), "{} of {} pairs", all.falsely, all.pairs);
}

impl Measured<'_> {
    fn print(&self) {
        let share = |count: usize, counts: &Counts| count as f64 / counts.pairs as f64;
        print!("{:30}", self.world.name);
        for (garments, counts) in &self.by_size {
            let shares = [counts.falsely, counts.leaning, counts.found].map(|count| share(count, counts));
            print!(" | {garments:2}: {:.3} {:.3} {:.3}", shares[0], shares[1], shares[2]);
        }
        println!();
    }

    fn is_rare(&self) -> bool {
        self.world.promise == Promise::RareFalse
    }

    fn judge(&self) {
        for (garments, counts) in &self.by_size {
            let here = format!("{}, {garments} of each: {counts:?}", self.world.name);
            if *garments == 3 {
                assert_eq!(counts.falsely + counts.found, 0, "{here}: three prove nothing, p is 2/20 at least");
            }
            match self.world.promise {
                Promise::RareFalse => assert!(counts.falsely <= most_of(counts.pairs, MOST_FALSE), "{here}"),
                Promise::Found => self.judge_found(*garments, counts),
                Promise::Limit { .. } => {}
            }
        }
        if let (Promise::Limit { least, most }, Some((_, counts))) = (self.world.promise, self.by_size.last()) {
            let expected = least_of(counts.pairs, least)..=most_of(counts.pairs, most);
            assert!(expected.contains(&counts.falsely), "{}: {counts:?} is not in {expected:?}", self.world.name);
        }
    }

    fn judge_found(&self, garments: usize, counts: &Counts) {
        assert!(counts.falsely <= most_of(counts.pairs, MOST_FALSE), "{}: {counts:?}", self.world.name);
        let power = POWER.iter().find(|power| Some(power.tell) == self.world.tell).unwrap();
        if let Some((_, share)) = power.found.iter().find(|(size, _)| *size == garments) {
            let least = least_of(counts.pairs, share * LEFT_AT_EQUAL_AGE_AND_SIZE);
            let expected = least..=most_of(counts.pairs, *share);
            assert!(expected.contains(&counts.found), "{}: {counts:?} is not in {expected:?}", self.world.name);
        }
    }
}

/// The greatest count of so many that chance gives, unless it is unlikely.
fn most_of(number: usize, share: f64) -> usize {
    number - least_of(number, 1.0 - share)
}

/// The least count of so many that chance gives, unless it is unlikely: a quantile of the binomial distribution.
fn least_of(number: usize, share: f64) -> usize {
    // Logarithms, since the first terms are too small for a number.
    let mut term = number as f64 * (1.0 - share).ln();
    let mut below = 0.0;
    for count in 0..number {
        below += term.exp();
        if below > UNLIKELY {
            return count;
        }
        term += ((number - count) as f64 / (count + 1) as f64 * share / (1.0 - share)).ln();
    }
    number
}

#[test]
fn room_for_chance_is_a_quantile() {
    // 2^-13 is above one in ten thousand, 2^-14 below: of 14 throws of a coin one head at least, of 13 none.
    assert_eq!([least_of(13, 0.5), least_of(14, 0.5), most_of(14, 0.5)], [0, 1, 13]);
    // P(X ≤ 8) is 4.5e-5.
    assert_eq!([least_of(10, 0.999), most_of(10, 0.001)], [9, 1]);
}
