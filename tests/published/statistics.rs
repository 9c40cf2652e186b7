//! Tests, intervals and pooled estimates against published values and independent libraries.
//!
//! Published numbers stand in `statistics.json`, each with its source; `reference.json` is what scipy and statsmodels
//! said, printed by `reference.py`. No worked example of Newcombe's 2006 method 5 was at hand: its limits are held
//! against its own equation, solved by scipy's root finder.

use bartack::statistics::association::{self, Method, Table};
use bartack::statistics::rank::{self, Direction, Sample};
use bartack::statistics::stratified::{self, Correction, Stratum};
use bartack::statistics::{Proportion, interval, multiple};
use serde_json::Value;

/// How near a library that works with the same formula comes.
const NEAR: f64 = 1e-9;

/// How near libraries come that take another value of z: 1.95996398… instead of 1.959964.
const NEAR_Z: f64 = 1e-7;

fn published(name: &str) -> Value {
    serde_json::from_str::<Value>(include_str!("statistics.json")).unwrap()[name].clone()
}

fn reference(name: &str) -> Value {
    serde_json::from_str::<Value>(include_str!("reference.json")).unwrap()[name].clone()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn counts(value: &Value) -> Vec<u64> {
    value.as_array().unwrap().iter().map(|number| number.as_u64().unwrap()).collect()
}

fn table(value: &Value) -> Table {
    Table::new(value.as_array().unwrap().iter().map(|row| (row[0].as_u64().unwrap(), row[1].as_u64().unwrap())))
        .unwrap()
}

fn share(value: &[u64]) -> Proportion {
    Proportion::new(value[0], value[1]).unwrap()
}

fn strata(value: &Value) -> Vec<Stratum> {
    let stratum = |row: &Value| {
        let row = counts(row);
        Stratum { a: share(&[row[0], row[0] + row[1]]), b: share(&[row[2], row[2] + row[3]]) }
    };
    value.as_array().unwrap().iter().map(stratum).collect()
}

fn sample(value: &Value) -> Sample {
    Sample::new(numbers(value)).unwrap()
}

fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} ± {tolerance}");
}

fn assert_limits(found: interval::Interval, expected: &Value, tolerance: f64) {
    let expected = numbers(expected);
    assert_near(found.low, expected[0], tolerance);
    assert_near(found.high, expected[1], tolerance);
}

#[test]
fn exact_tests_give_the_published_p() {
    for name in ["fisher_convictions", "fisher_tea"] {
        let case = published(name);
        let test = association::test(&table(&case["table"]));
        assert_eq!(test.method, Method::Exact);
        assert_near(test.p, case["p"].as_f64().unwrap(), case["tolerance"].as_f64().unwrap());
    }
    for case in reference("freeman_halton").as_array().unwrap() {
        assert_near(association::test(&table(&case["table"])).p, case["p"].as_f64().unwrap(), NEAR);
    }
}

#[test]
fn pearsons_chi_square_gives_the_published_statistic() {
    let case = published("pearson_party");
    let test = association::chi_square(&table(&case["table"])).unwrap();
    assert_eq!(test.degrees, case["degrees"].as_u64().unwrap());
    assert_near(test.statistic, case["statistic"].as_f64().unwrap(), case["tolerance"].as_f64().unwrap());
    assert_near(test.p / case["p"].as_f64().unwrap(), 1.0, 5e-4);
}

#[test]
fn intervals_of_shares_give_the_published_limits() {
    for name in ["wilson_81_263", "wilson_52_100"] {
        let case = published(name);
        let limits = interval::wilson(share(&counts(&case["share"])));
        assert_limits(limits, &case["limits"], case["tolerance"].as_f64().unwrap());
    }
    for case in reference("wilson").as_array().unwrap() {
        assert_limits(interval::wilson(share(&counts(&case["share"]))), &case["limits"], NEAR_Z);
    }
    for case in reference("jeffreys").as_array().unwrap() {
        let share = share(&counts(&case["share"]));
        let (found, expected) = (interval::jeffreys(share), numbers(&case["limits"]));
        // Brown, Cai and DasGupta 2001 set the limit beside a count of none or all to 0 or 1; statsmodels does not.
        assert_near(found.low, if share.count() == 0 { 0.0 } else { expected[0] }, NEAR);
        assert_near(found.high, if share.count() == share.total() { 1.0 } else { expected[1] }, NEAR);
    }
}

#[test]
fn intervals_of_differences_give_the_published_limits() {
    let case = published("newcombe_1998");
    let limits = interval::newcombe(share(&counts(&case["a"])), share(&counts(&case["b"])));
    assert_limits(limits, &case["limits"], case["tolerance"].as_f64().unwrap());
    for case in reference("newcombe").as_array().unwrap() {
        let pair = counts(&case["pair"]);
        assert_limits(interval::newcombe(share(&pair[..2]), share(&pair[2..])), &case["limits"], NEAR_Z);
    }
}

#[test]
fn intervals_of_areas_solve_their_equation() {
    for case in reference("area").as_array().unwrap() {
        let given = numbers(&case["area"]);
        let limits = interval::area(given[0], given[1] as u64, given[2] as u64).unwrap();
        assert_limits(limits, &case["limits"], NEAR);
    }
}

#[test]
fn stratified_tests_give_the_published_p() {
    for name in ["rabbits", "admissions"] {
        let case = published(name);
        let (strata, tolerance) = (strata(&case["strata"]), case["tolerance"].as_f64().unwrap());
        let (statistic, p) = stratified::chi_square(&strata, Correction::Continuity).unwrap();
        let expected = numbers(&case["corrected"]);
        assert_near(statistic, expected[0], tolerance);
        assert_near(p, expected[1], tolerance);
        if let Some(exact) = case["exact_p"].as_f64() {
            assert_near(stratified::exact_p(&strata).unwrap(), exact, 5e-6);
        }
        if case["uncorrected"].is_array() {
            let (expected, found) =
                (numbers(&case["uncorrected"]), stratified::chi_square(&strata, Correction::Uncorrected));
            assert_near(found.unwrap().0, expected[0], NEAR);
            assert_near(found.unwrap().1, expected[1], NEAR);
        }
    }
}

#[test]
fn stratified_tests_and_pooled_differences_agree_with_libraries() {
    for (name, case) in reference("strata").as_object().unwrap() {
        let strata = strata(&case["strata"]);
        assert_near(stratified::exact_p(&strata).unwrap(), case["exact_p"].as_f64().unwrap(), 1e-8);
        let pooling = stratified::mantel_haenszel(&strata).unwrap();
        let expected = numbers(&case["pooled"]);
        assert_near(pooling.difference, expected[0], NEAR);
        assert_near(pooling.variance, expected[1], NEAR);
        for (correction, key) in [(Correction::Continuity, "corrected"), (Correction::Uncorrected, "uncorrected")] {
            let (statistic, p) = stratified::chi_square(&strata, correction).unwrap();
            let expected = numbers(&case[key]);
            // statsmodels draws toward the mean by half a count even where it is nearer than that.
            if name != "small" || correction == Correction::Uncorrected {
                assert_near(statistic, expected[0], NEAR);
                assert_near(p, expected[1], NEAR);
            }
        }
    }
}

#[test]
fn kidney_stones_reverse_within_sizes() {
    let strata = strata(&published("kidney_stones")["strata"]);
    let whole = |get: fn(&Stratum) -> Proportion| {
        let (count, total) =
            strata.iter().fold((0, 0), |sum, stratum| (sum.0 + get(stratum).count(), sum.1 + get(stratum).total()));
        Proportion::new(count, total).unwrap().share()
    };
    let crude = whole(|stratum| stratum.a) - whole(|stratum| stratum.b);
    // 273/350 − 289/350: the difference as it stands has puncture ahead.
    assert_near(crude, -16.0 / 350.0, 1e-12);
    assert!(strata.iter().all(|stratum| stratum.a.share() > stratum.b.share()));
    assert!(stratified::mantel_haenszel(&strata).unwrap().difference > 0.0);
}

#[test]
fn rank_tests_agree_with_libraries() {
    for (name, is_exact) in [("without_ties", true), ("with_ties", false)] {
        let case = reference(name);
        let (a, b) = (sample(&case["a"]), sample(&case["b"]));
        assert_eq!(rank::is_exact(&a, &b), is_exact);
        assert_near(rank::mann_whitney(&a, &b), case["p"].as_f64().unwrap(), NEAR);
        assert_near(rank::area(&a, &b), case["area"].as_f64().unwrap(), NEAR);
        assert_near(rank::hodges_lehmann(&a, &b), case["shift"].as_f64().unwrap(), NEAR);
    }
    let case = reference("van_elteren");
    let strata: Vec<_> =
        case["strata"].as_array().unwrap().iter().map(|pair| (sample(&pair[0]), sample(&pair[1]))).collect();
    assert_near(stratified::van_elteren(&strata).unwrap(), case["p"].as_f64().unwrap(), NEAR);
    // Weights 3 · 4 / 7 and 2 · 3 / 5; areas 10.5 / 12 (9.5, 10 and 11 above all, 8 above one and level with one) and
    // 4.5 / 6 (6 and 7.5 above both, 5 level with one): (12/7 · 0.75 + 6/5 · 0.5) / (12/7 + 6/5).
    let pooled = stratified::pooled_separation(&strata, Direction::Rising).unwrap();
    let (one, other) = (12.0 / 7.0, 6.0 / 5.0);
    assert_near(pooled, (one * 0.75 + other * 0.5) / (one + other), 1e-12);
}

#[test]
fn holms_adjustment_agrees_with_a_library() {
    let case = reference("holm");
    let found = multiple::holm(&numbers(&case["p_values"]));
    found.iter().zip(numbers(&case["adjusted"])).for_each(|(found, expected)| assert_near(*found, expected, 1e-12));
}

#[test]
fn tarones_set_is_the_one_worked_by_hand() {
    // Smallest p: 0.001, 0.012, 0.02, 0.04, 0.3. Of k = 1, 0.05: four can reach it, more than 1. k = 2, 0.025: three.
    // k = 3, 0.0167: two, which is at most 3, so that the set is these two. The rule of Tarone 1990, Biometrics 46:515.
    assert_eq!(multiple::tarone(&[0.04, 0.001, 0.3, 0.012, 0.02]), [1, 3]);
    assert!(multiple::tarone(&[0.3, 0.06]).is_empty());
    // A smallest p of exactly 0.05 / k is within: two of 0.025 with k = 2.
    assert_eq!(multiple::tarone(&[0.025, 0.025]), [0, 1]);
}

/// The ways to draw a table of three states, as whole numbers.
fn ways(rows: [u64; 3], first: [u64; 3]) -> u64 {
    let choose = |total: u64, count: u64| (0..count).fold(1, |ways, step| ways * (total - step) / (step + 1));
    (0..3).map(|row| choose(rows[row], first[row])).product()
}

/// All ways to share out so many into three.
fn splits(total: u64) -> Vec<[u64; 3]> {
    (0..=total).flat_map(|one| (0..=total - one).map(move |two| [one, two, total - one - two])).collect()
}

#[test]
fn every_small_table_has_the_p_of_plain_enumeration() {
    let groups: Vec<(u64, u64)> = (1..=6).flat_map(|a| (1..=6).map(move |b| (a, b))).collect();
    for (total_a, total_b) in groups {
        for (a, b) in splits(total_a).into_iter().flat_map(|a| splits(total_b).into_iter().map(move |b| (a, b))) {
            let rows = [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
            let fits = |first: &[u64; 3]| (0..3).all(|row| first[row] <= rows[row]);
            let all: Vec<u64> = splits(total_a).into_iter().filter(fits).map(|first| ways(rows, first)).collect();
            let sum = all.iter().sum::<u64>() as f64;
            let up_to = |limit: u64| all.iter().filter(|way| **way <= limit).sum::<u64>() as f64 / sum;
            let table = Table::new((0..3).map(|row| (a[row], b[row]))).unwrap();
            assert_near(association::test(&table).p, up_to(ways(rows, a)), 1e-12);
            assert_near(association::smallest_p(&table), up_to(*all.iter().min().unwrap()), 1e-12);
        }
    }
}
