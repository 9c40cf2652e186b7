//! `lines.csv` and `changes.csv` worked out a second time, plainly and slowly, from what was counted: every cell agrees.
//!
//! Nothing here asks `comparison`, `changeover` or `statistics`. Tests are sums over all tables, changes sums over all
//! ways to divide the items, limits are found by halving.

#![allow(clippy::float_cmp, clippy::indexing_slicing)]

#[path = "oracle/changes.rs"]
mod changes;
#[path = "oracle/items.rs"]
mod items;
#[path = "oracle/lines.rs"]
mod lines;
#[path = "oracle/pooled.rs"]
mod pooled;
#[path = "oracle/readings.rs"]
mod readings;
#[path = "oracle/states.rs"]
mod states;
#[path = "oracle/world.rs"]
mod world;

use std::collections::{BTreeMap, BTreeSet};

use bartack::compile::example;
use bartack::knowledge::Knowledge;

use crate::exports::oracle::lines::Cells;
use crate::exports::world::{demo, files, read};

/// Says whether a number lies below a limit by more than the rounding that equals it.
fn is_below(number: f64, limit: f64) -> bool {
    number < limit - (limit.abs() * 1e-9).max(1e-12)
}

fn is_above(number: f64, limit: f64) -> bool {
    number > limit + (limit.abs() * 1e-9).max(1e-12)
}

/// How often each word was given.
type Words = BTreeMap<String, usize>;

/// Holds both tables of a knowledge base to what is worked out here, and counts the words.
fn assert_agree(knowledge: &Knowledge, what: &str, words: &mut Words) {
    let counts = items::of(knowledge);
    for (table, key, word, expected) in [
        ("lines", &["a", "b", "feature", "covariate"][..], "verdict", lines::rows(&counts)),
        ("changes", &["thing", "feature", "change"][..], "word", changes::rows(&counts)),
    ] {
        let path = format!("data/{table}.csv");
        let found = read(&files(knowledge, &path)[&path]).rows;
        let name = |cell: &dyn Fn(&str) -> String| key.iter().map(|column| cell(column)).collect::<Vec<_>>().join(" ");
        let mut left: BTreeMap<String, &BTreeMap<String, String>> =
            found.iter().map(|row| (name(&|column| row[column].clone()), row)).collect();
        for expected in expected {
            let row = name(&|column| expected[column].clone());
            let found = left.remove(&row).unwrap_or_else(|| panic!("{what}: {table}.csv lacks {row}"));
            assert_row(&format!("{what}: {table}.csv, {row}"), &expected, found);
            let (first, _) = expected[word]
                .split_once(" from")
                .or_else(|| expected[word].split_once(" by "))
                .unwrap_or((&expected[word], ""));
            *words.entry(format!("{table}: {first}")).or_default() += 1;
        }
        let more: BTreeSet<&String> = left.keys().collect();
        assert!(more.is_empty(), "{what}: {table}.csv has {more:?}");
    }
}

fn assert_row(place: &str, expected: &Cells, found: &BTreeMap<String, String>) {
    assert_eq!(found.len(), expected.len(), "{place}: columns");
    for (column, expected) in expected {
        let found = &found[*column];
        let is_same = match (expected.parse::<f64>(), found.parse::<f64>()) {
            (Ok(expected), Ok(found)) => (expected - found).abs() <= 1e-9 * (1.0 + expected.abs()),
            _ => expected == found,
        };
        assert!(is_same, "{place}: {column} is {found}, and should be {expected}");
    }
}

#[test]
fn lines_and_changes_of_the_demo_come_out_the_same_a_second_way() {
    let mut words = Words::new();
    assert_agree(&demo(), "demo", &mut words);
    assert!(words.len() >= 10, "{words:?}");
}

#[test]
fn lines_and_changes_of_random_knowledge_bases_come_out_the_same_a_second_way() {
    let mut words = Words::new();
    for seed in 1..=150 {
        let compilation = example::compile(&world::text(seed));
        assert!(compilation.knowledge.faults.is_empty(), "{seed}: {:?}", compilation.knowledge.faults);
        assert_agree(&compilation.knowledge, &format!("knowledge base {seed}"), &mut words);
    }
    // A word that never comes was never held to anything.
    for word in [
        "lines: by definition",
        "lines: cannot separate",
        "lines: differs",
        "lines: explained",
        "lines: leaning",
        "lines: same",
        "lines: tell",
        "lines: too few",
        "lines: unclear",
        "changes: cannot separate",
        "changes: changed",
        "changes: explained",
        "changes: may have changed",
        "changes: no change seen",
        "changes: share changed",
        "changes: too few",
        "changes: unclear",
    ] {
        assert!(words.get(word).is_some_and(|count| *count >= 2), "{word} in {words:?}");
    }
}
