//! The stratified test against plain enumeration, and against the tests that it contains.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::{chi_square, test};
use crate::statistics::Proportion;
use crate::statistics::association::{self, Method, Table};
use crate::statistics::stratified::states::StratifiedTable;
use crate::statistics::stratified::{self, Stratum};

type Rows = Vec<(u64, u64)>;

fn table(strata: &[Rows]) -> StratifiedTable<'static> {
    let states = ["a", "b", "c", "d"][..strata[0].len()].to_vec();
    StratifiedTable::new(states, strata.iter().cloned()).unwrap()
}

/// Every way to give A so many of the states of a stratum, with the number of draws that come to it.
fn draws(rows: &Rows, total_a: u64) -> Vec<(Vec<u64>, u64)> {
    let choose = |total: u64, count: u64| (0..count).fold(1, |ways, step| ways * (total - step) / (step + 1));
    let mut draws = vec![(Vec::new(), 1)];
    for (a, b) in rows {
        let longer = draws.iter().flat_map(|(counts, ways): &(Vec<u64>, u64)| {
            (0..=a + b).map(move |count| ([counts.as_slice(), &[count]].concat(), ways * choose(a + b, count)))
        });
        draws = longer.collect();
    }
    draws.into_iter().filter(|(counts, _)| counts.iter().sum::<u64>() == total_a).collect()
}

/// The p value of what was seen and the smallest one, by listing every combination of tables, in whole numbers.
fn enumerated(strata: &[Rows]) -> (f64, f64) {
    let mut vectors: BTreeMap<Vec<u64>, u64> = BTreeMap::from([(vec![0; strata[0].len()], 1)]);
    for rows in strata {
        let mut sums = BTreeMap::new();
        for (counts, ways) in draws(rows, rows.iter().map(|row| row.0).sum()) {
            for (vector, before) in &vectors {
                let sum: Vec<u64> = vector.iter().zip(&counts).map(|(one, other)| one + other).collect();
                *sums.entry(sum).or_insert(0) += before * ways;
            }
        }
        vectors = sums;
    }
    let seen: Vec<u64> = (0..strata[0].len()).map(|state| strata.iter().map(|rows| rows[state].0).sum()).collect();
    let all: u64 = vectors.values().sum();
    let up_to = |limit: u64| vectors.values().filter(|ways| **ways <= limit).sum::<u64>() as f64 / all as f64;
    (up_to(vectors[&seen]), up_to(*vectors.values().min().unwrap()))
}

/// Strata of up to three states with few garments, all of them in some combination.
fn small_strata() -> Vec<Vec<Rows>> {
    let columns =
        |total: u64| (0..=total).flat_map(move |one| (0..=total - one).map(move |two| [one, two, total - one - two]));
    let rows = |a: [u64; 3], b: [u64; 3]| (0..3).map(|state| (a[state], b[state])).collect::<Rows>();
    let mut all = Vec::new();
    for (a, b) in columns(3).flat_map(|a| columns(2).map(move |b| (a, b))) {
        for (c, d) in columns(2).flat_map(|c| columns(3).map(move |d| (c, d))) {
            all.push(vec![rows(a, b), rows(c, d)]);
        }
    }
    all
}

#[test]
fn every_small_table_has_the_p_of_plain_enumeration() {
    for strata in small_strata() {
        let (found, (p, smallest)) = (test(&table(&strata)), enumerated(&strata));
        assert_eq!(found.method, Method::Exact);
        assert!((found.p - p).abs() < 1e-12 && (found.smallest - smallest).abs() < 1e-12, "{strata:?} {found:?}");
    }
}

#[test]
fn three_strata_of_four_states_have_the_p_of_plain_enumeration() {
    let strata = [
        vec![(3, 0), (1, 2), (0, 2), (1, 1)],
        vec![(2, 1), (0, 2), (1, 0), (0, 0)],
        vec![(1, 0), (1, 1), (0, 3), (2, 0)],
    ];
    let (found, (p, smallest)) = (test(&table(&strata)), enumerated(&strata));
    assert!((found.p - p).abs() < 1e-12 && (found.smallest - smallest).abs() < 1e-12, "{found:?} {p} {smallest}");
}

#[test]
fn one_stratum_gives_the_unstratified_test() {
    for rows in [vec![(6, 2), (2, 2), (2, 6)], vec![(1, 0), (0, 3), (5, 5)], vec![(4, 4), (0, 0), (0, 0)]] {
        let (found, whole) = (test(&table(std::slice::from_ref(&rows))), Table::new(rows.clone()).unwrap());
        assert!((found.p - association::test(&whole).p).abs() < 1e-12);
        assert!((found.smallest - association::smallest_p(&whole)).abs() < 1e-12);
    }
}

#[test]
fn two_states_give_cochrans_mantels_and_haenszels_exact_test() {
    let strata = [vec![(6, 1), (2, 5)], vec![(3, 4), (0, 2)], vec![(1, 1), (4, 4)]];
    let share = |count: u64, rest: u64| Proportion::new(count, count + rest).unwrap();
    let pooled = strata.iter().map(|rows| Stratum { a: share(rows[0].0, rows[1].0), b: share(rows[0].1, rows[1].1) });
    let expected = stratified::exact_p(&pooled.collect::<Vec<_>>()).unwrap();
    assert!((test(&table(&strata)).p - expected).abs() < 1e-12);
}

#[test]
fn strata_of_one_state_tell_nothing() {
    let telling = vec![(3, 1), (0, 4)];
    assert_eq!(test(&table(&[telling.clone(), vec![(5, 9), (0, 0)]])), test(&table(&[telling])));
    let mute = test(&table(&[vec![(5, 9), (0, 0)], vec![(0, 0), (2, 3)]]));
    assert_eq!((mute.p, mute.smallest, mute.method), (1.0, 1.0, Method::Exact));
}

#[test]
fn tables_are_added_over_the_strata_and_beyond_a_hundred_thousand_chi_square_takes_over() {
    // Two states of n each: n + 1 tables in a stratum.
    let stratum = |n: u64| vec![(n / 2, n - n / 2), (n - n / 2, n / 2)];
    let within = test(&table(&[stratum(498), stratum(98)]));
    assert_eq!(within.method, Method::Exact);
    let beyond = table(&[stratum(60_000), stratum(50_000)]);
    let found = test(&beyond);
    assert_eq!((found.method, found.smallest), (Method::ChiSquare, 0.0));
    assert_eq!(found.p, chi_square(&beyond).unwrap().p);
}

#[test]
fn chi_square_of_one_stratum_is_pearsons() {
    let rows = vec![(762, 484), (327, 239), (468, 477)];
    let (found, expected) =
        (chi_square(&table(std::slice::from_ref(&rows))), association::chi_square(&Table::new(rows.clone()).unwrap()));
    let (found, expected) = (found.unwrap(), expected.unwrap());
    assert_eq!(found.degrees, expected.degrees);
    assert!((found.statistic - expected.statistic).abs() < 1e-9 && (found.p - expected.p).abs() < 1e-12);
}

#[test]
fn states_that_never_meet_leave_fewer_degrees_of_freedom() {
    // Two states in each stratum, none in both: two free totals and not three.
    let apart = [vec![(6, 2), (2, 6), (0, 0), (0, 0)], vec![(0, 0), (0, 0), (1, 7), (5, 3)]];
    let found = chi_square(&table(&apart)).unwrap();
    let alone = |rows: Rows| chi_square(&table(&[rows])).unwrap().statistic;
    assert_eq!(found.degrees, 2);
    assert!((found.statistic - alone(apart[0].clone()) - alone(apart[1].clone())).abs() < 1e-9);
}
