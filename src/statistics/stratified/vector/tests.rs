//! The stratified test against plain enumeration, and against the tests that it contains.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::{Distribution, Stratum as Telling, chi_square, excess, test};
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

/// Twelve strata of three states with up to eight garments a side; A shows the first state the more, the larger the lean.
fn long_strata(seed: u64, lean: u64) -> Vec<Rows> {
    let mut state = seed;
    let mut below = |limit: u64| {
        // Knuth's multiplier, The Art of Computer Programming 2, section 3.3.4.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % limit
    };
    let side = |leaning: bool, below: &mut dyn FnMut(u64) -> u64| {
        let mut counts = [0; 3];
        for _ in 0..4 + below(5) {
            let state = if leaning && below(10) < lean { 0 } else { below(3) };
            counts[state as usize] += 1;
        }
        counts
    };
    let stratum = |_| {
        let (a, b) = (side(true, &mut below), side(false, &mut below));
        (0..3).map(|state| (a[state], b[state])).collect()
    };
    (0..12).map(stratum).collect()
}

#[test]
fn what_is_left_aside_changes_no_p_value() {
    let mut left_aside = 0;
    for (seed, lean) in (1..=12).flat_map(|seed| [0, 3, 6, 10].map(|lean| (seed, lean))) {
        let strata = long_strata(seed, lean);
        let table = table(&strata);
        let telling: Vec<Telling<'_>> = table.strata().iter().filter_map(Telling::of).collect();
        let whole = Distribution::of(&telling, &table, None).unwrap();
        let density = excess(&table).density();
        for density in [density, density.map(|density| density * 1e12)] {
            let trimmed = Distribution::of(&telling, &table, density).unwrap();
            let ratio = trimmed.p() / whole.p();
            assert!((ratio - 1.0).abs() < 1e-9, "{seed} {lean}: {} is not {}", trimmed.p(), whole.p());
            let (most, smallest) = (trimmed.smallest_p(), whole.smallest_p());
            assert!(most >= smallest * (1.0 - 1e-9) && most < 1e-10, "{seed} {lean}: {most} {smallest}");
            left_aside += usize::from(most > smallest * 1.1);
        }
    }
    assert!(left_aside > 40, "{left_aside}");
}

#[test]
fn many_strata_of_many_garments_stay_in_range() {
    // 900 strata of 2 against 2: a product of so many probabilities is below the least float.
    let stratum = |place: usize| if place.is_multiple_of(30) { vec![(2, 1), (0, 1)] } else { vec![(1, 1), (1, 1)] };
    let strata: Vec<Rows> = (0..900).map(stratum).collect();
    let share = |count: u64, rest: u64| Proportion::new(count, count + rest).unwrap();
    let pooled = strata.iter().map(|rows| Stratum { a: share(rows[0].0, rows[1].0), b: share(rows[0].1, rows[1].1) });
    let (found, expected) = (test(&table(&strata)), stratified::exact_p(&pooled.collect::<Vec<_>>()).unwrap());
    assert_eq!(found.method, Method::Exact);
    assert!((found.p / expected - 1.0).abs() < 1e-6 && found.p < 0.9, "{found:?} {expected}");
}
