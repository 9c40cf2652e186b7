//! Times comparison, dating, eras and a bare loop by themselves, for `tests/bench/run`, which names the knowledge bases.
//!
//! Each writes a line that begins with `measured`; the targets are kept by `tests/bench/*.py`.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod dating;
mod eras;
mod reading;

use std::fs;
use std::path::Path;
use std::time::Instant;

use bartack::compile;
use bartack::disk::{self, Reading};
use bartack::reason::Knowledge;

/// The seconds this thread has run on a processor; where the system does not tell, the seconds that have passed.
fn seconds(since: Instant) -> f64 {
    let told = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|line| line.split(' ').next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| since.elapsed().as_secs_f64(), |nanoseconds| nanoseconds / 1e9)
}

fn knowledge(root: &Path) -> Knowledge {
    let Reading { sources, faults, .. } = disk::read(root).unwrap();
    compile::compile(sources, faults, &|_| {}).knowledge
}

#[test]
fn all_pairs_are_compared() {
    // A measurement is made only where `tests/bench/run` asks for it, by naming the folder.
    let Ok(root) = std::env::var("BENCH_ROOT") else { return };
    let knowledge = knowledge(Path::new(&root));
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults.first());
    let start = Instant::now();
    let before = seconds(start);
    let (mut pairs, mut features) = (0, 0);
    for model in knowledge.catalog.models.keys() {
        let compared = knowledge.comparisons(model);
        pairs += compared.len();
        features += compared.iter().map(|comparison| comparison.features.len()).sum::<usize>();
    }
    let took = seconds(start) - before;
    println!("measured compared {pairs} {features} {took}");
    assert!(pairs > 0 && features >= pairs);
}
