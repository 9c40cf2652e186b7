//! Eras and conflicts alone: a catalog to knowledge.

use std::path::Path;

use bartack::chronology;
use bartack::disk::{self, Reading};
use bartack::knowledge::Knowledge;
use bartack::resolve::{self, Catalog};
use bartack::validate;

use crate::seconds;

/// How often a measurement is repeated; the quickest counts.
const RUNS: usize = 5;

/// How many observations are concluded at once: a small knowledge base over and over, since the clock is coarse.
const AT_ONCE: usize = 50_000;

/// How the name of a claim continues that `generate.py` plants against what was seen.
const PLANTED: &str = "#planted";

#[test]
fn exactly_the_planted_conflicts_are_found() {
    // A measurement is made only where `tests/bench/run` asks for it, by naming the folders.
    let Ok(roots) = std::env::var("BENCH_ERAS_ROOTS") else { return };
    for root in roots.split(':') {
        let catalog = catalog(Path::new(root));
        let observations = catalog.records.iter().filter(|record| record.content.observation().is_some()).count();
        let planted = planted(&catalog);
        let took = (0..RUNS).map(|_| concluded(&catalog, observations, &planted)).fold(f64::INFINITY, f64::min);
        println!("measured eras {observations} {} {took}", planted.len());
    }
}

fn catalog(root: &Path) -> Catalog {
    let Reading { sources, faults, .. } = disk::read(root, &|_| {}).unwrap();
    let validated = validate::all(&sources, &|| {});
    let (catalog, dangling) = resolve::catalog(sources, validated);
    assert!(faults.is_empty() && dangling.is_empty(), "{:?}", dangling.first());
    catalog
}

/// Concludes, holds what is found to what was planted, and gives the CPU seconds of one conclusion.
fn concluded(catalog: &Catalog, observations: usize, planted: &[String]) -> f64 {
    let catalogs = vec![catalog.clone(); AT_ONCE.div_ceil(observations)];
    let count = catalogs.len() as f64;
    let before = seconds();
    let all: Vec<Knowledge> = catalogs.into_iter().map(|catalog| chronology::knowledge(catalog, Vec::new())).collect();
    let took = (seconds() - before) / count;
    for knowledge in &all {
        assert_eq!(found(knowledge), planted, "one conflict for each that was planted, and no other");
    }
    took
}

/// The entries with a planted claim, sorted.
fn planted(catalog: &Catalog) -> Vec<String> {
    let is_planted = |id: &str| format!("#{id}") == PLANTED;
    let claims = catalog.records.iter().flat_map(|record| record.content.claims().iter().map(move |one| (record, one)));
    let planted = claims.filter(|(_, claim)| claim.id.as_ref().is_some_and(|id| is_planted(&id.value)));
    planted.map(|(record, _)| record.path.to_string()).collect()
}

/// The entries with a planted claim of all conflicts, sorted; a conflict without one by the names of its voices.
fn found(knowledge: &Knowledge) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for conflict in &knowledge.conflicts {
        let names: Vec<&str> =
            conflict.members.iter().map(|member| knowledge.voices[member.0 as usize].name.as_str()).collect();
        let planted = names.iter().find_map(|name| Some(name.split_once(PLANTED)?.0.to_string()));
        found.push(planted.unwrap_or_else(|| names.join(" against ")));
    }
    found.sort();
    found
}
