//! Times comparison, dating, eras and a bare loop by themselves, for `tests/bench/run`, which names the knowledge bases.
//!
//! Each writes a line that begins with `measured`; the targets are kept by `tests/bench/*.py`.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod dating;
mod eras;
mod reading;

use std::path::Path;

use bartack::analysis::Analysis;
use bartack::compile;
use bartack::disk::{self, Reading};
use bartack::knowledge::Knowledge;

/// What is measured without the program has the program's allocator.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The CPU seconds of this process so far, of all its threads.
fn seconds() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}

fn knowledge(root: &Path) -> Knowledge {
    let Reading { sources, faults, .. } = disk::read(root, &|_| {}).unwrap();
    compile::compile(sources, faults, compile::Options::default()).knowledge
}

#[test]
fn all_pairs_are_compared() {
    // A measurement is made only where `tests/bench/run` asks for it, by naming the folder.
    let Ok(root) = std::env::var("BENCH_ROOT") else { return };
    let knowledge = knowledge(Path::new(&root));
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults.first());
    let analysis = Analysis::new(&knowledge);
    let before = seconds();
    let (mut pairs, mut features) = (0, 0);
    for model in knowledge.catalog.models.keys() {
        let compared = analysis.comparisons(model);
        pairs += compared.len();
        features += compared.iter().map(|comparison| comparison.features.len()).sum::<usize>();
    }
    let took = seconds() - before;
    println!("measured compared {pairs} {features} {took}");
    assert!(pairs > 0 && features >= pairs);
}

#[test]
fn all_lines_are_compared_and_all_changes_sought() {
    let Ok(root) = std::env::var("BENCH_ROOT") else { return };
    let knowledge = knowledge(Path::new(&root));
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults.first());
    let analysis = Analysis::new(&knowledge);
    let before = seconds();
    let pairs = analysis.lines().len();
    let of_pairs = seconds() - before;
    let histories = analysis.histories().len();
    let took = seconds() - before;
    println!("measured lines {pairs} {histories} {took} {of_pairs}");
    assert!(pairs > 0 && histories > pairs);
}
