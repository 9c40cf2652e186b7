//! Counts of states in several settings: shares, limits and tests, worked out slowly from their definitions.

use std::collections::{BTreeMap, BTreeSet};

use num_bigint::BigInt;
use num_rational::BigRational;

pub const Z: f64 = 1.959964;

/// How often each state was seen on A and on B, setting by setting.
pub type Settings = Vec<BTreeMap<String, (u64, u64)>>;

pub fn totals(setting: &BTreeMap<String, (u64, u64)>) -> (u64, u64) {
    setting.values().fold((0, 0), |sum, counts| (sum.0 + counts.0, sum.1 + counts.1))
}

pub fn weight(n_a: u64, n_b: u64) -> f64 {
    (n_a * n_b) as f64 / (n_a + n_b) as f64
}

fn whole(number: u64) -> BigRational {
    BigRational::from_integer(BigInt::from(number))
}

fn states(settings: &Settings) -> BTreeSet<String> {
    settings.iter().flat_map(|setting| setting.keys().cloned()).collect()
}

/// Σ w (a/nA − b/nB) / Σ w of some states, as a fraction.
fn exact(settings: &Settings, group: &BTreeSet<String>) -> BigRational {
    let (mut sum, mut weights) = (whole(0), whole(0));
    for setting in settings {
        let (n_a, n_b) = totals(setting);
        let weight = whole(n_a * n_b) / whole(n_a + n_b);
        for (a, b) in group.iter().filter_map(|state| setting.get(state)) {
            sum += &weight * (whole(*a) / whole(n_a) - whole(*b) / whole(n_b));
        }
        weights += weight;
    }
    sum / weights
}

fn float(number: &BigRational) -> f64 {
    let digits = BigInt::from(10_u64.pow(17));
    let scaled = (number * BigRational::from_integer(digits)).round().to_integer();
    scaled.to_string().parse::<f64>().unwrap() / 1e17
}

/// The difference in a grouping.
pub fn difference(settings: &Settings, group: &BTreeSet<String>) -> f64 {
    float(&exact(settings, group))
}

/// The states that speak for A: those with more of A, and those with equal shares as the interval is widest.
pub fn grouping(settings: &Settings) -> BTreeSet<String> {
    let of = |state: &String| exact(settings, &BTreeSet::from([state.clone()]));
    let (mut for_a, mut even) = (BTreeSet::new(), Vec::new());
    for state in states(settings) {
        let found = of(&state);
        if found > whole(0) {
            for_a.insert(state);
        } else if found == whole(0) {
            even.push(state);
        }
    }
    let mut best: Option<(f64, BTreeSet<String>)> = None;
    for chosen in 0..1_u32 << even.len() {
        let mut group = for_a.clone();
        group.extend((0..even.len()).filter(|at| chosen >> at & 1 == 1).map(|at| even[at].clone()));
        let (low, high) = limits(settings, &group);
        let width = high - low;
        let is_better = best.as_ref().is_none_or(|(widest, names)| {
            let is_equal = (width - widest).abs() < 1e-12;
            if is_equal { group.iter().lt(names.iter()) } else { width > *widest }
        });
        if is_better {
            best = Some((width, group));
        }
    }
    best.unwrap().1
}

/// The limits of the difference in a grouping (Yan and Su 2010); with one setting Newcombe's of 1998, method 10.
pub fn limits(settings: &Settings, group: &BTreeSet<String>) -> (f64, f64) {
    let counts = settings.iter().map(|setting| {
        let (n_a, n_b) = totals(setting);
        let seen = setting.iter().filter(|(state, _)| group.contains(*state));
        let (x_a, x_b) = seen.fold((0, 0), |sum, (_, counts)| (sum.0 + counts.0, sum.1 + counts.1));
        (n_a, n_b, x_a, x_b)
    });
    let counts: Vec<(u64, u64, u64, u64)> = counts.collect();
    let sum: f64 = counts.iter().map(|(n_a, n_b, ..)| weight(*n_a, *n_b)).sum();
    let shares: Vec<f64> = counts.iter().map(|(n_a, n_b, ..)| weight(*n_a, *n_b) / sum).collect();
    let a: Vec<(u64, u64)> = counts.iter().map(|(n, _, x, _)| (*x, *n)).collect();
    let b: Vec<(u64, u64)> = counts.iter().map(|(_, n, _, x)| (*x, *n)).collect();
    let (of_a, of_b) = (pooled_wilson(&a, &shares), pooled_wilson(&b, &shares));
    let d = difference(settings, group);
    let half = |one: f64, other: f64, by: (f64, f64)| {
        Z * (by.0 * one * (1.0 - one) + by.1 * other * (1.0 - other)).max(0.0).sqrt()
    };
    let by = (of_a.2, of_b.2);
    (d - half(of_a.0, of_b.1, by), d + half(of_a.1, of_b.0, by))
}

/// The pooled limits of one side, and λ.
fn pooled_wilson(counts: &[(u64, u64)], shares: &[f64]) -> (f64, f64, f64) {
    let mut variances: Vec<f64> = counts.iter().map(|(x, n)| (x * (n - x)) as f64 / (*n as f64).powi(3)).collect();
    if variances.iter().all(|variance| *variance == 0.0) {
        variances = counts.iter().map(|(_, n)| 1.0 / *n as f64).collect();
    }
    let over: f64 = shares.iter().zip(&variances).map(|(v, variance)| v * v * variance).sum();
    let under: f64 = shares.iter().zip(&variances).map(|(v, variance)| v * variance.sqrt()).sum();
    let q = Z * over.sqrt() / under;
    let (mut low, mut high, mut lambda) = (0.0, 0.0, 0.0);
    for ((x, n), share) in counts.iter().zip(shares) {
        let (x, n) = (*x as f64, *n as f64);
        let root = q * (q * q + 4.0 * x * (1.0 - x / n)).sqrt();
        let (least, most) =
            ((2.0 * x + q * q - root) / (2.0 * (n + q * q)), (2.0 * x + q * q + root) / (2.0 * (n + q * q)));
        low += share * if x == 0.0 { 0.0 } else { least };
        high += share * if x == n { 1.0 } else { most };
        lambda += share * share / n;
    }
    (low, high, lambda)
}

/// A p value and the least that the margins allow.
#[derive(Clone, Copy)]
pub struct Tested {
    pub p: f64,
    pub least: f64,
    pub method: &'static str,
}

fn log_factorial(n: u64) -> f64 {
    (2..=n).map(|factor| (factor as f64).ln()).sum()
}

fn log_choose(n: u64, k: u64) -> f64 {
    log_factorial(n) - log_factorial(k) - log_factorial(n - k)
}

/// All ways in which A's garments of a setting can show the states, each with the logarithm of the number of draws.
fn draws(n_a: u64, columns: &[u64]) -> Vec<(Vec<u64>, f64)> {
    let Some((first, rest)) = columns.split_first() else {
        return if n_a == 0 { vec![(Vec::new(), 0.0)] } else { Vec::new() };
    };
    let mut all = Vec::new();
    for shown in 0..=n_a.min(*first) {
        for (more, log) in draws(n_a - shown, rest) {
            all.push(([vec![shown], more].concat(), log + log_choose(*first, shown)));
        }
    }
    all
}

/// How many tables the margins of a setting allow.
fn tables(n_a: u64, columns: &[u64]) -> u64 {
    let mut ways = vec![0_u64; n_a as usize + 1];
    ways[0] = 1;
    for column in columns {
        let sum = |at: usize| (0..=at.min(*column as usize)).map(|shown| ways[at - shown]).fold(0, u64::saturating_add);
        ways = (0..ways.len()).map(sum).collect();
    }
    ways[n_a as usize]
}

/// The exact test of A's totals, or Cochran's chi-square.
pub fn test(settings: &Settings) -> Tested {
    let states: Vec<String> = states(settings).into_iter().collect();
    let rows: Vec<Vec<(u64, u64)>> = settings
        .iter()
        .map(|setting| states.iter().map(|state| setting.get(state).copied().unwrap_or_default()).collect())
        .collect();
    let margins = |row: &[(u64, u64)]| row.iter().map(|(a, b)| a + b).collect::<Vec<u64>>();
    let n_a = |row: &[(u64, u64)]| row.iter().map(|(a, _)| *a).sum::<u64>();
    let count = rows.iter().map(|row| tables(n_a(row), &margins(row))).fold(0, u64::saturating_add);
    if states.len() < 2 {
        return Tested { p: 1.0, least: 1.0, method: "exact" };
    }
    if count > 100_000 {
        return Tested { p: cochran(&rows), least: 0.0, method: "chi-square" };
    }
    let mut distribution: BTreeMap<Vec<u64>, f64> = BTreeMap::from([(vec![0; states.len()], 1.0)]);
    for row in &rows {
        let all = draws(n_a(row), &margins(row));
        let total = log_choose(margins(row).iter().sum(), n_a(row));
        let mut sums: BTreeMap<Vec<u64>, f64> = BTreeMap::new();
        for (before, probability) in &distribution {
            for (more, log) in &all {
                let vector = before.iter().zip(more).map(|(one, other)| one + other).collect();
                *sums.entry(vector).or_default() += probability * (log - total).exp();
            }
        }
        distribution = sums;
    }
    let seen: Vec<u64> = (0..states.len()).map(|at| rows.iter().map(|row| row[at].0).sum()).collect();
    two_sided(&distribution, &seen)
}

/// The probability of what is at most as probable, of what was seen and of what is least probable.
fn two_sided<K: Ord>(distribution: &BTreeMap<K, f64>, seen: &K) -> Tested {
    let up_to = |limit: f64| -> f64 {
        distribution.values().filter(|probability| **probability <= limit * (1.0 + 1e-7)).sum::<f64>().min(1.0)
    };
    let least = distribution.values().copied().fold(f64::INFINITY, f64::min);
    Tested { p: up_to(distribution[seen]), least: up_to(least), method: "exact" }
}

/// Cochran's chi-square without the last state that varies, whose covariances follow from the others'.
fn cochran(rows: &[Vec<(u64, u64)>]) -> f64 {
    let states = rows[0].len();
    let (mut excess, mut covariances) = (vec![0.0; states], vec![vec![0.0; states]; states]);
    for row in rows {
        let columns: Vec<f64> = row.iter().map(|(a, b)| (a + b) as f64).collect();
        let (n, n_a) = (columns.iter().sum::<f64>(), row.iter().map(|(a, _)| *a as f64).sum::<f64>());
        let scale = n_a * (n - n_a) / n.powi(3);
        for one in 0..states {
            excess[one] += row[one].0 as f64 - n_a * columns[one] / n;
            for other in 0..states {
                let own = if one == other { n * columns[one] } else { 0.0 };
                covariances[one][other] += scale * (own - columns[one] * columns[other]);
            }
        }
    }
    let (statistic, rank) = quadratic(excess, covariances);
    upper_gamma(rank as f64 / 2.0, statistic / 2.0)
}

/// x′ C⁻ x and the rank of C, by elimination that passes over what no pivot is left for.
fn quadratic(mut x: Vec<f64>, mut c: Vec<Vec<f64>>) -> (f64, usize) {
    let (mut sum, mut rank) = (0.0, 0);
    loop {
        let pivot = (0..x.len()).max_by(|one, other| c[*one][*one].total_cmp(&c[*other][*other])).unwrap();
        let top = c[pivot][pivot];
        if top < 1e-9 {
            return (sum, rank);
        }
        sum += x[pivot] * x[pivot] / top;
        rank += 1;
        let (row, value) = (c[pivot].clone(), x[pivot]);
        for one in 0..x.len() {
            let factor = row[one] / top;
            x[one] -= factor * value;
            for other in 0..x.len() {
                c[one][other] -= factor * row[other];
            }
        }
    }
}

/// Q(a, x) for whole and half a, by recurrence from the exponential and the error function's complement.
fn upper_gamma(a: f64, x: f64) -> f64 {
    if a == 0.0 {
        return 1.0;
    }
    let (mut at, mut sum, mut term) = if a.fract() == 0.0 {
        (1.0, (-x).exp(), x * (-x).exp())
    } else {
        (0.5, super::readings::two_sided((2.0 * x).sqrt()), 2.0 * (x / std::f64::consts::PI).sqrt() * (-x).exp())
    };
    while at < a {
        sum += term;
        at += 1.0;
        term *= x / at;
    }
    sum
}

/// The garments of one side in a stratum: those in the grouping, and all.
#[derive(Clone, Copy)]
pub struct Counted {
    pub shown: u64,
    pub all: u64,
}

/// The exact conditional test of strata in a grouping, A and B in each.
pub fn conditional(strata: &[[Counted; 2]]) -> Tested {
    let mut distribution: BTreeMap<u64, f64> = BTreeMap::from([(0, 1.0)]);
    for [a, b] in strata {
        let (shown, n) = (a.shown + b.shown, a.all + b.all);
        let mut sums: BTreeMap<u64, f64> = BTreeMap::new();
        for (before, probability) in &distribution {
            for x in shown.saturating_sub(b.all)..=shown.min(a.all) {
                let log = log_choose(a.all, x) + log_choose(b.all, shown - x) - log_choose(n, shown);
                *sums.entry(before + x).or_default() += probability * log.exp();
            }
        }
        distribution = sums;
    }
    two_sided(&distribution, &strata.iter().map(|[a, _]| a.shown).sum())
}

/// How often a garment that is left out of its setting is given to the right one of the two.
pub fn right(settings: &Settings) -> f64 {
    let weights: Vec<f64> = settings.iter().map(|setting| weight(totals(setting).0, totals(setting).1)).collect();
    let sum: f64 = weights.iter().sum();
    let mut rates = [0.0, 0.0];
    for (left, setting) in settings.iter().enumerate() {
        for (state, counts) in setting {
            for side in [0, 1] {
                let own = if side == 0 { counts.0 } else { counts.1 };
                let n = if side == 0 { totals(setting).0 } else { totals(setting).1 };
                let hit = if own == 0 { 0.0 } else { hit(settings, &weights, state, (left, side)) };
                rates[side] += weights[left] * own as f64 * hit / n as f64;
            }
        }
    }
    (rates[0] + rates[1]) / sum / 2.0
}

/// One, a half or nothing, for a garment of a state left out of a setting and side.
fn hit(settings: &Settings, weights: &[f64], state: &str, left_out: (usize, usize)) -> f64 {
    let share = |side: usize| -> f64 {
        let of = |at: usize| {
            let counts = settings[at].get(state).copied().unwrap_or_default();
            let (mut own, mut n) =
                if side == 0 { (counts.0, totals(&settings[at]).0) } else { (counts.1, totals(&settings[at]).1) };
            if left_out == (at, side) {
                (own, n) = (own - 1, n - 1);
            }
            weights[at] * if n == 0 { 0.0 } else { own as f64 / n as f64 }
        };
        (0..settings.len()).map(of).sum()
    };
    let ahead = share(left_out.1) - share(1 - left_out.1);
    if ahead.abs() < 1e-12 {
        0.5
    } else if ahead > 0.0 {
        1.0
    } else {
        0.0
    }
}
