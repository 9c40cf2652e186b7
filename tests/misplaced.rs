//! How many garments filed under the wrong variant a reviewer is shown, and how many rightly placed ones are accused.
//!
//! The ordinary test takes a slice; with `BARTACK_SIMULATIONS=all` it moves every garment of the demo and takes more
//! seeds, and prints what it counted (`--nocapture`).

#![allow(clippy::print_stdout)]

use std::collections::BTreeSet;
use std::fmt::Write;

use bartack::analysis::Analysis;
use bartack::compile::{self, example};
use bartack::record::id::{ModelId, VariantId};
use bartack::source::{FilePath, SourceFile, Sources};
use rayon::prelude::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};

use crate::support;
use crate::support::numbers::Numbers;
use crate::support::site;

/// Of the garments with four readings or more that were moved to another variant of the demo, so many must be noticed.
const LEAST_NOTICED: f64 = 0.6;

/// The same in invented worlds, by the share of features in which a variant is drawn anew: one in so many.
const LEAST_BY_WORLD: [(u64, f64); 2] = [(2, 0.55), (3, 0.4)];

/// Of the rightly placed garments, at most so many may be accused.
const MOST_ACCUSED: f64 = 0.05;

/// The most readings that are too few to be promised anything.
const TOO_FEW: usize = 3;

fn is_all() -> bool {
    std::env::var_os("BARTACK_SIMULATIONS").is_some_and(|wish| wish == "all")
}

/// The entries that are said to fit another variant, of some models or of all.
fn accused(sources: Sources, model: Option<&ModelId>) -> BTreeSet<String> {
    let knowledge = compile::compile(sources, Vec::new(), compile::Options::default()).knowledge;
    let models: BTreeSet<ModelId> = match model {
        Some(model) => BTreeSet::from([model.clone()]),
        None => knowledge.catalog.models.keys().cloned().collect(),
    };
    let path = |garment| knowledge.catalog.record(knowledge.catalog.garment(garment).observations[0]).path.to_string();
    Analysis::new(&knowledge).misplaced(&models).iter().map(|found| path(found.garment)).collect()
}

/// What was counted.
#[derive(Debug, Default)]
struct Counts {
    moved: usize,
    noticed: usize,
    right: usize,
    accused: usize,
}

impl Counts {
    fn judge(&self, what: &str, least: f64) {
        println!("{what}: {self:?}");
        assert!(self.moved > 0 && self.noticed as f64 >= least * self.moved as f64, "{what}: {self:?}");
        assert!(self.right > 0 && self.accused as f64 <= MOST_ACCUSED * self.right as f64, "{what}: {self:?}");
    }
}

/// A garment of the demo, and a variant of its model that it is not of.
struct Move {
    path: String,
    from: VariantId,
    to: VariantId,
}

/// Every garment with enough readings that one entry records, moved to each other variant of its model.
fn moves(knowledge: &bartack::knowledge::Knowledge) -> Vec<Move> {
    let catalog = &knowledge.catalog;
    let mut moves = Vec::new();
    for garment in &catalog.garments {
        let ([index], Some(from)) = (&garment.observations[..], &garment.variant) else { continue };
        let record = catalog.record(*index);
        if record.content.observation().unwrap().features.len() <= TOO_FEW {
            continue;
        }
        let others = catalog.models[&from.model()].variants.iter().filter(|other| *other != from);
        moves.extend(others.map(|to| Move { path: record.path.to_string(), from: from.clone(), to: to.clone() }));
    }
    moves
}

#[test]
fn most_garments_of_the_demo_are_noticed_when_moved() {
    let (compilation, _) = site::compiled(&support::repository(""));
    let sources = &compilation.knowledge.catalog.sources;
    let every = if is_all() { 1 } else { 14 };
    let moves: Vec<Move> = moves(&compilation.knowledge).into_iter().step_by(every).collect();
    let is_noticed = |Move { path, from, to }: &Move| {
        let moved = path.replace(&format!("/{from}/"), &format!("/{to}/")).replace(".md", "-moved.md");
        let files = sources.iter().map(|(_, file)| match file.path().as_str() == path {
            true => SourceFile::new(FilePath::new(moved.clone()), file.text().to_string()),
            false => file.clone(),
        });
        accused(Sources::new(files.collect()), Some(&to.model())).contains(&moved)
    };
    let noticed = moves.par_iter().filter(|one| is_noticed(one)).count();
    let (right, found) = (compilation.knowledge.catalog.garments.len(), accused(sources.clone(), None));
    Counts { moved: moves.len(), noticed, right, accused: found.len() }.judge("demo", LEAST_NOTICED);
}

const MODELS: usize = 6;
const VARIANTS: usize = 3;
const GARMENTS: usize = 9;
const FEATURES: usize = 12;
const STATES: u64 = 3;

/// An invented world: in each model the usual state of some features is drawn anew for a variant, a garment shows the usual state
/// of its variant in 17 of 20 cases, and each feature was examined on two garments of three. One garment of each variant
/// is filed under the next.
struct World {
    text: String,
    moved: BTreeSet<String>,
}

fn world(seed: u64, one_in: u64) -> World {
    let mut numbers = Numbers(0x9e37_79b9_7f4a_7c15 ^ (seed << 17));
    (0..20).for_each(|_| _ = numbers.below(2));
    let mut world = World { text: "--- schema/vocabulary.toml\n".to_string(), moved: BTreeSet::new() };
    for feature in 0..FEATURES {
        write!(world.text, "[f{feature:02}]\nname = \"F\"\nkind = \"state\"\nstates = [\"s0\", \"s1\", \"s2\"]\n")
            .unwrap();
        world.text.push_str("look = \"Look.\"\n");
    }
    for model in 0..MODELS {
        let common: Vec<u64> = (0..FEATURES).map(|_| numbers.below(STATES)).collect();
        let mut variants: Vec<Vec<u64>> = vec![common; VARIANTS];
        for usual in variants.iter_mut().flatten() {
            if numbers.below(one_in) == 0 {
                *usual = numbers.below(STATES);
            }
        }
        for (number, usual) in variants.iter().enumerate() {
            let head = "+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++";
            writeln!(world.text, "--- entries/makers/hollin/m{model}/v{number}/variant.md\n{head}").unwrap();
            for garment in 0..GARMENTS {
                let filed = if garment == 0 { (number + 1) % VARIANTS } else { number };
                world.garment(&mut numbers, format!("m{model}/v{filed}/g{number}-{garment}"), usual);
            }
        }
    }
    world
}

impl World {
    fn garment(&mut self, numbers: &mut Numbers, name: String, usual: &[u64]) {
        let path = format!("entries/makers/hollin/{name}.md");
        let mut readings = String::new();
        for (feature, usual) in usual.iter().enumerate() {
            if numbers.below(3) > 0 {
                let state = if numbers.below(20) < 17 { *usual } else { numbers.below(STATES) };
                writeln!(readings, "f{feature:02} = \"s{state}\"").unwrap();
            }
        }
        let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]";
        writeln!(self.text, "--- {path}\n{head}\n{readings}+++").unwrap();
        if name.ends_with("-0") && readings.lines().count() > TOO_FEW {
            self.moved.insert(path);
        }
    }
}

#[test]
fn most_garments_of_invented_worlds_are_noticed_when_moved() {
    for (one_in, least) in LEAST_BY_WORLD {
        let seeds = if is_all() { 1..41 } else { 1..7 };
        let all: Vec<Counts> = seeds.into_par_iter().map(|seed| counted(&world(seed, one_in))).collect();
        let sum = |of: fn(&Counts) -> usize| all.iter().map(of).sum();
        let [moved, noticed, right, accused] =
            [sum(|one| one.moved), sum(|one| one.noticed), sum(|one| one.right), sum(|one| one.accused)];
        Counts { moved, noticed, right, accused }.judge(&format!("invented worlds, one in {one_in}"), least);
    }
}

fn counted(world: &World) -> Counts {
    let found = accused(example::read(&world.text).sources, None);
    Counts {
        moved: world.moved.len(),
        noticed: found.intersection(&world.moved).count(),
        right: MODELS * VARIANTS * (GARMENTS - 1),
        accused: found.iter().filter(|path| !path.ends_with("-0.md")).count(),
    }
}
