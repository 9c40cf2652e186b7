//! Readings of a measure in several settings: areas, limits, shifts and tests, worked out slowly from their definitions.

use super::states::{self, Tested, Z};

/// The readings of A and of B, setting by setting.
pub type Settings = Vec<(Vec<f64>, Vec<f64>)>;

/// The share of pairs in which B's reading is larger, ties half.
fn area((a, b): &(Vec<f64>, Vec<f64>)) -> f64 {
    let score = |one: &f64, other: &f64| {
        if other > one {
            1.0
        } else if other == one {
            0.5
        } else {
            0.0
        }
    };
    a.iter().flat_map(|one| b.iter().map(move |other| score(one, other))).sum::<f64>() / (a.len() * b.len()) as f64
}

fn weight((a, b): &(Vec<f64>, Vec<f64>)) -> f64 {
    states::weight(a.len() as u64, b.len() as u64)
}

/// The difference from A to B: above 0 where B's readings are larger.
pub fn difference(settings: &Settings) -> f64 {
    let sum: f64 = settings.iter().map(weight).sum();
    settings.iter().map(|setting| weight(setting) * (2.0 * area(setting) - 1.0)).sum::<f64>() / sum
}

fn variance(theta: f64, (m, n): (f64, f64)) -> f64 {
    let others = (m + n) / 2.0 - 1.0;
    let more = 1.0 + others * (1.0 - theta) / (2.0 - theta) + others * theta / (1.0 + theta);
    theta * (1.0 - theta) * more / (m * n)
}

/// The limits of the difference from A to B (Newcombe 2006, method 5, in each setting).
pub fn limits(settings: &Settings) -> (f64, f64) {
    let sum: f64 = settings.iter().map(weight).sum();
    let shares: Vec<f64> = settings.iter().map(|setting| weight(setting) / sum).collect();
    let sizes: Vec<(f64, f64)> = settings.iter().map(|(a, b)| (a.len() as f64, b.len() as f64)).collect();
    let areas: Vec<f64> = settings.iter().map(area).collect();
    let mut variances: Vec<f64> = areas.iter().zip(&sizes).map(|(theta, size)| variance(*theta, *size)).collect();
    if variances.iter().all(|variance| *variance == 0.0) {
        variances = sizes.iter().map(|(m, n)| (n + m + 2.0) / (m * n)).collect();
    }
    let over: f64 = shares.iter().zip(&variances).map(|(v, variance)| v * v * variance).sum();
    let under: f64 = shares.iter().zip(&variances).map(|(v, variance)| v * variance.sqrt()).sum();
    let q = Z * over.sqrt() / under;
    let (mut low, mut high) = (0.0, 0.0);
    for ((share, size), theta) in shares.iter().zip(&sizes).zip(&areas) {
        low += share * limit(*theta, *size, q, 0.0);
        high += share * limit(*theta, *size, q, 1.0);
    }
    (2.0 * low - 1.0, 2.0 * high - 1.0)
}

/// Where the distance from an area is q standard errors, towards one end: by halving.
fn limit(area: f64, size: (f64, f64), q: f64, end: f64) -> f64 {
    let (mut inside, mut outside) = (area, end);
    for _ in 0..200 {
        let middle = (inside + outside) / 2.0;
        let is_inside = (middle - area).powi(2) <= q * q * variance(middle, size);
        if is_inside { inside = middle } else { outside = middle }
    }
    if area == end { end } else { inside }
}

/// The shift from A to B: the median of all differences, pooled.
pub fn shift(settings: &Settings) -> f64 {
    let sum: f64 = settings.iter().map(weight).sum();
    settings.iter().map(|setting| weight(setting) * median(setting)).sum::<f64>() / sum
}

fn median((a, b): &(Vec<f64>, Vec<f64>)) -> f64 {
    let mut all: Vec<f64> = a.iter().flat_map(|one| b.iter().map(move |other| other - one)).collect();
    all.sort_by(f64::total_cmp);
    (all[(all.len() - 1) / 2] + all[all.len() / 2]) / 2.0
}

/// The p value of a normal deviate: an integral by Simpson's rule where it is large, a continued fraction where small.
pub fn two_sided(deviate: f64) -> f64 {
    let density = |x: f64| (-x * x / 2.0).exp() * (2.0 / std::f64::consts::PI).sqrt();
    if deviate > 3.0 {
        return density(deviate) / (1..400).rev().fold(deviate, |below, at| deviate + f64::from(at) / below);
    }
    let steps = 2000;
    let width = deviate / f64::from(steps);
    let factor = |at: i32| {
        if at == 0 || at == steps {
            1.0
        } else if at % 2 == 1 {
            4.0
        } else {
            2.0
        }
    };
    1.0 - (0..=steps).map(|at| factor(at) * density(f64::from(at) * width)).sum::<f64>() * width / 3.0
}

/// The variance of Mann and Whitney's U, ties corrected, from the ranks themselves.
fn rank_variance((a, b): &(Vec<f64>, Vec<f64>)) -> f64 {
    let all = [a.clone(), b.clone()].concat();
    let rank = |reading: &f64| {
        let below = all.iter().filter(|other| *other < reading).count() as f64;
        below + (all.iter().filter(|other| *other == reading).count() as f64 + 1.0) / 2.0
    };
    let (n, mean) = (all.len() as f64, (all.len() as f64 + 1.0) / 2.0);
    let spread: f64 = all.iter().map(|reading| (rank(reading) - mean).powi(2)).sum();
    (a.len() * b.len()) as f64 * spread / (n * (n - 1.0))
}

fn excess(setting: &(Vec<f64>, Vec<f64>)) -> f64 {
    (area(setting) - 0.5) * (setting.0.len() * setting.1.len()) as f64
}

/// Van Elteren's test, with the least p value that so many readings can give.
pub fn van_elteren(settings: &Settings) -> Tested {
    let (mut sum, mut variance) = (0.0, 0.0);
    for setting in settings {
        let weight = 1.0 / (setting.0.len() + setting.1.len() + 1) as f64;
        sum += weight * excess(setting);
        variance += weight * weight * rank_variance(setting);
    }
    let p = if variance > 0.0 { two_sided(sum.abs() / variance.sqrt()) } else { 1.0 };
    Tested { p, least: least(settings), method: "normal" }
}

fn least(settings: &Settings) -> f64 {
    let choose = |n: usize, k: usize| (1..=k).map(|at| (n - k + at) as f64 / at as f64).product::<f64>();
    let ways: f64 = settings.iter().map(|(a, b)| choose(a.len() + b.len(), a.len())).product();
    (2.0 / ways).min(1.0)
}

/// The test of one setting by Mann and Whitney, of several by van Elteren.
pub fn test(settings: &Settings) -> Tested {
    let [one] = &settings[..] else { return van_elteren(settings) };
    let (a, b) = one;
    let is_tied = a.iter().any(|reading| b.contains(reading)) || has_twins(a) || has_twins(b);
    if !is_tied && a.len() < 50 && b.len() < 50 {
        return Tested { p: exact(one), least: least(settings), method: "exact" };
    }
    let variance = rank_variance(one);
    let deviate = (excess(one).abs() - 0.5).max(0.0) / variance.sqrt();
    let p = if variance > 0.0 { two_sided(deviate).min(1.0) } else { 1.0 };
    Tested { p, least: least(settings), method: "normal" }
}

fn has_twins(readings: &[f64]) -> bool {
    readings.iter().enumerate().any(|(at, reading)| readings[..at].contains(reading))
}

/// Counts the orders of A's and B's readings by U, and doubles the share that is as extreme.
fn exact((a, b): &(Vec<f64>, Vec<f64>)) -> f64 {
    let (m, n) = (a.len(), b.len());
    // ways[i][u]: orders of i of A's readings and all of B's looked at so far with U = u.
    let mut ways = vec![vec![0.0; m * n + 1]; m + 1];
    ways.iter_mut().for_each(|row| row[0] = 1.0);
    for _ in 0..n {
        let mut next = vec![vec![0.0; m * n + 1]; m + 1];
        for i in 0..=m {
            for u in 0..=m * n {
                // The last is one of B's, above i of A's; or one of A's.
                let last_b = if u >= i { ways[i][u - i] } else { 0.0 };
                let last_a = if i > 0 { next[i - 1][u] } else { 0.0 };
                next[i][u] = last_b + last_a;
            }
        }
        ways = next;
    }
    let all: f64 = ways[m].iter().sum();
    let seen = (excess(&(a.clone(), b.clone())) + (m * n) as f64 / 2.0).round() as usize;
    let tail = seen.min(m * n - seen);
    (2.0 * ways[m][..=tail].iter().sum::<f64>() / all).min(1.0)
}
