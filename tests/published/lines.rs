//! Differences and tests within strata, and changes in a sequence, against published values and independent libraries.
//!
//! Published and computed numbers stand in `lines.json`, each with its source; `lines_reference.json` is what scipy and
//! ruptures said, printed by `lines.py`.

use bartack::statistics::Proportion;
use bartack::statistics::association::Method;
use bartack::statistics::rank::{Direction, Sample};
use bartack::statistics::segmentation::{Item, Partition, Sequence};
use bartack::statistics::stratified::states::StratifiedTable;
use bartack::statistics::stratified::vector;
use bartack::statistics::stratified::{self, Correction, Stratum, measures};
use serde_json::Value;

fn published(name: &str) -> Value {
    serde_json::from_str::<Value>(include_str!("lines.json")).unwrap()[name].clone()
}

fn reference(name: &str) -> Value {
    serde_json::from_str::<Value>(include_str!("lines_reference.json")).unwrap()[name].clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn count(value: &Value) -> u64 {
    value.as_u64().unwrap()
}

fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} ± {tolerance}");
}

/// Strata given as how many of A show something, of how many, and the same of B.
fn shares(value: &Value) -> Vec<Stratum> {
    let share = |row: &Value, at: usize| Proportion::new(count(&row[at]), count(&row[at + 1])).unwrap();
    list(value).iter().map(|row| Stratum { a: share(row, 0), b: share(row, 2) }).collect()
}

/// The same strata with the two states written out.
fn two_states(strata: &[Stratum]) -> StratifiedTable<'static> {
    let rows = strata
        .iter()
        .map(|Stratum { a, b }| vec![(a.count(), b.count()), (a.total() - a.count(), b.total() - b.count())]);
    StratifiedTable::new(vec!["no", "yes"], rows).unwrap()
}

/// Strata given as (count in A, count in B) for each state.
fn several_states(value: &Value) -> StratifiedTable<'static> {
    let names = ["a", "b", "c", "d", "e"][..list(&value[0]).len()].to_vec();
    let rows = list(value).iter().map(|rows| list(rows).iter().map(|row| (count(&row[0]), count(&row[1]))).collect());
    StratifiedTable::new(names, rows).unwrap()
}

#[test]
fn stratified_newcombe_gives_the_published_limits() {
    let case = published("stratified_newcombe");
    let strata = shares(&case["strata"]);
    let (table, tolerance) = (two_states(&strata), number(&case["tolerance"]));
    // The first state is the one counted, though it is called last.
    let pooled = table.difference_in(|state| state == "no");
    assert_near(pooled.difference, number(&case["difference"]), tolerance);
    assert_near(pooled.interval.low, number(&case["limits"][0]), tolerance);
    assert_near(pooled.interval.high, number(&case["limits"][1]), tolerance);
    assert_near(table.difference().difference, number(&case["difference"]), tolerance);
    assert_near(vector::test(&table).p, number(&case["exact_p"]), 5e-11);
}

#[test]
fn admissions_and_kidney_stones_turn_once_the_stratum_is_held_equal() {
    for name in ["admissions", "kidney_stones"] {
        let case = published(name);
        let strata = shares(&case["strata"]);
        let whole = |of: fn(&Stratum) -> Proportion| {
            let sum = |get: fn(Proportion) -> u64| strata.iter().map(|stratum| get(of(stratum))).sum::<u64>();
            sum(Proportion::count) as f64 / sum(Proportion::total) as f64
        };
        let crude = whole(|stratum| stratum.a) - whole(|stratum| stratum.b);
        assert_near(crude, number(&case["crude"]), 5e-9);
        let table = two_states(&strata);
        let pooled = table.difference_in(|state| state == "no").difference;
        assert!(pooled * crude < 0.0, "{name}: {pooled} goes the same way as {crude}");
        assert_near(stratified::exact_p(&strata).unwrap(), number(&case["exact_p"]), 5e-11);
        assert_near(vector::test(&table).p, number(&case["exact_p"]), 5e-11);
        let (statistic, p) = stratified::chi_square(&strata, Correction::Uncorrected).unwrap();
        assert_near(statistic, number(&case["statistic"]), 1e-7);
        assert_near(p, number(&case["chi_square_p"]), 5e-8);
    }
}

#[test]
fn several_states_have_cochrans_chi_square() {
    let case = published("hair");
    let found = vector::chi_square(&several_states(&case["strata"])).unwrap();
    assert_eq!(found.degrees, count(&case["degrees"]));
    assert_near(found.p, number(&case["p"]), 5e-10);
}

#[test]
fn one_stratum_of_three_states_has_the_p_of_r() {
    let case = published("one_stratum");
    let found = vector::test(&several_states(&Value::from(vec![case["table"].clone()])));
    assert_eq!(found.method, Method::Exact);
    assert_near(found.p, number(&case["p"]), 5e-11);
}

#[test]
fn vectors_agree_with_plain_enumeration_and_with_a_pseudo_inverse() {
    for case in list(&reference("vectors")) {
        let table = several_states(&case["strata"]);
        assert_near(vector::test(&table).p, number(&case["p"]), 1e-12);
        let (found, expected) = (vector::chi_square(&table).unwrap(), &case["cochran"]);
        assert_near(found.statistic, number(&expected[0]), 1e-9);
        assert_eq!(found.degrees, count(&expected[1]));
        assert_near(found.p, number(&expected[2]), 1e-9);
    }
}

#[test]
fn readings_agree_with_limits_solved_by_a_root_finder() {
    for case in list(&reference("measures")) {
        let sample = |value: &Value| Sample::new(list(value).iter().map(number).collect()).unwrap();
        let strata: Vec<_> = list(&case["strata"]).iter().map(|pair| (sample(&pair[0]), sample(&pair[1]))).collect();
        let found = measures::separation(&strata).unwrap();
        assert_eq!(found.direction, Direction::Rising);
        assert_near(found.difference, number(&case["difference"]), 1e-12);
        assert_near(found.interval.low, number(&case["low"]), 1e-9);
        assert_near(found.interval.high, number(&case["high"]), 1e-9);
        assert_near(measures::shift(&strata).unwrap(), number(&case["shift"]), 1e-12);
    }
}

#[test]
fn best_segmentations_are_those_of_an_independent_search() {
    for case in list(&reference("segmentations")) {
        let items = |block: &Value| {
            let counts = list(block).iter().enumerate();
            let shown = counts.flat_map(|(state, seen)| (0..count(seen)).map(move |_| Item { state, group: 0 }));
            shown.collect()
        };
        let sequence = Sequence::new(list(&case["blocks"]).iter().map(items).collect()).unwrap();
        let partition = Partition::new(&sequence);
        for changes in 1..=3 {
            let expected: Vec<usize> =
                list(&case["gaps"][changes.to_string()]).iter().map(|gap| count(gap) as usize).collect();
            assert_eq!(partition.gaps(changes), expected);
        }
    }
}
