//! Every way into the program against inputs that nobody would write: no panic, no overflow, and what a target promises holds.
//!
//! What is kept in the corpora is tried first, then a bounded number of inputs that a seeded generator makes of them;
//! `tests/fuzz/run` goes on for longer, guided by coverage.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::fs;
use std::panic;
use std::thread;
use std::time::Duration;

use self::mutation::Mutation;
use self::targets::{TARGETS, Target};
use crate::support::numbers::Numbers;
use crate::{judge, support};

#[path = "fuzz/browser.rs"]
mod browser;
#[cfg(unix)]
#[path = "fuzz/growth.rs"]
mod growth;
#[cfg(unix)]
#[path = "fuzz/growth_of_keys.rs"]
mod growth_of_keys;
#[cfg(unix)]
#[path = "fuzz/growth_of_texts.rs"]
mod growth_of_texts;
#[path = "fuzz/mutation.rs"]
mod mutation;
#[path = "fuzz/parts.rs"]
mod parts;
#[path = "fuzz/targets.rs"]
mod targets;
#[path = "fuzz/whole.rs"]
mod whole;
#[path = "fuzz/words.rs"]
mod words;

/// The most processor time that one input may take; without optimization the slowest takes a tenth of it.
const LONGEST: Duration = Duration::from_secs(20);

/// How many threads share the inputs of a target; each makes the same ones in every run.
const PARTS: usize = 2;

/// The inputs that are kept of a target, in order of their names.
fn corpus(target: &Target) -> Vec<Vec<u8>> {
    let folder = support::repository("tests/fuzz/corpus").join(target.name);
    support::entries(&folder).iter().map(|path| fs::read(path).unwrap()).collect()
}

/// Tries one input; where that fails, keeps it and says where.
fn tried(target: &Target, input: &[u8]) {
    let begun = support::processor_time();
    let held = panic::catch_unwind(|| (target.run)(input));
    let took = support::processor_time() - begun;
    if held.is_ok() && took < LONGEST {
        return;
    }
    let path = support::repository("target").join(format!("fuzz-{}-failed", target.name));
    fs::write(&path, input).unwrap();
    panic!("{}: the input in {} failed after {took:?}", target.name, path.display());
}

/// Does all work on this thread, whose processor time is then all there is.
fn alone(work: impl FnMut() + Send) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build().unwrap();
    pool.install(work);
}

/// Tries all that is kept, and what a generator makes of it on its own share of the executions.
fn hold(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).unwrap();
    let corpus = corpus(target);
    alone(|| corpus.iter().for_each(|input| tried(target, input)));
    // Threads of their own: a thread of the pool takes up other inputs while it waits, and its time would be theirs too.
    thread::scope(|scope| {
        for part in 1..=PARTS {
            let numbers = Numbers(0x5eed_0000 + part as u64);
            let mut mutation = Mutation { numbers, corpus: &corpus, words: target.words, longest: target.longest };
            let mut all = move || (0..target.executions / PARTS).for_each(|_| tried(target, &mutation.next()));
            scope.spawn(move || alone(&mut all));
        }
    });
    support::tried(&format!("fuzz inputs of {name}"), corpus.len() + target.executions / PARTS * PARTS);
}

#[test]
fn a_text_is_front_matter_or_a_fault() {
    hold("front-matter");
}

#[test]
fn a_record_of_any_kind_is_read_or_has_faults_within_it() {
    hold("record");
}

#[test]
fn a_date_holds_its_narrow_span_in_its_wide_one() {
    hold("date");
}

#[test]
fn markdown_becomes_nothing_but_what_is_meant() {
    hold("markdown");
}

#[test]
fn a_vocabulary_is_read_or_has_faults_within_it() {
    hold("vocabulary");
}

#[test]
fn an_entry_that_a_sheet_becomes_passes_a_check() {
    hold("sheet");
}

#[test]
fn a_workbook_is_read_or_refused_and_its_entries_pass_a_check() {
    hold("workbook");
}

#[test]
fn a_drawing_becomes_inert_or_a_fault() {
    hold("drawing");
}

#[test]
fn a_photograph_becomes_pictures_or_a_flaw() {
    hold("photograph");
}

#[test]
fn a_knowledge_base_is_told_and_published_whatever_lies_in_it() {
    hold("whole");
}
