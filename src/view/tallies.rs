//! What was seen of one or more variants, feature by feature, for a table cell: states with counts, measures in short.
//!
//! The counts are those of the evidence, with the interval of their share. Printed numbers and codes are no evidence
//! and are only listed. Whether a difference tells two variants apart is not said here.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use serde::Serialize;

use crate::evidence::Evidence;
use crate::record::observation::Value;
use crate::statistics::{Proportion, interval};
use crate::vocabulary::measure::{self, rounded};
use crate::vocabulary::{Feature, Kind, Unit};

/// The counts of one feature.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tally {
    /// How many were counted.
    pub examined: usize,
    /// The counts, one line each.
    pub lines: Vec<Line>,
}

/// A state with how often it was seen, or what a quantity came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    shows: String,
    /// The 95 % Jeffreys interval of its share, where it is evidence.
    limits: Option<String>,
}

impl Tally {
    /// The state and its count, in one line.
    pub fn words(&self) -> String {
        self.lines.iter().map(|line| line.shows.as_str()).collect::<Vec<&str>>().join("; ")
    }
}

/// Tallies a feature over variants and adds up their counts; an unexamined feature has none.
pub fn tally(evidence: &[&Evidence<'_>], feature: &Feature) -> Tally {
    match &feature.kind {
        Kind::State { .. } | Kind::Count => states(evidence, feature),
        Kind::Measure(measure) => {
            let items = evidence.iter().flat_map(|evidence| evidence.items(&feature.id));
            let numbers: Vec<f64> = items.filter_map(|item| item.seen.measure()).collect();
            Tally { examined: numbers.len(), lines: quantities(numbers, Some(measure.unit)) }
        }
        Kind::Number => numbers(evidence, feature),
        Kind::Code => codes(evidence, feature),
    }
}

fn states(evidence: &[&Evidence<'_>], feature: &Feature) -> Tally {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for (state, count) in evidence.iter().flat_map(|evidence| evidence.counts(&feature.id)) {
        *counts.entry(feature.label(state)).or_default() += count as usize;
    }
    let examined = counts.values().sum();
    let line = |(state, count): (String, usize)| Line {
        shows: format!("{state} × {count}"),
        limits: limits(count as u64, examined as u64),
    };
    Tally { examined, lines: commonest_first(counts).into_iter().map(line).collect() }
}

fn commonest_first(counts: BTreeMap<String, usize>) -> Vec<(String, usize)> {
    let mut sorted: Vec<_> = counts.into_iter().collect();
    sorted.sort_by_key(|(state, count)| (Reverse(*count), state.clone()));
    sorted
}

/// Writes the interval of a share in whole per cents.
fn limits(count: u64, total: u64) -> Option<String> {
    let limits = interval::jeffreys(Proportion::new(count, total)?);
    Some(format!("{:.0}–{:.0} %", limits.low * 100.0, limits.high * 100.0))
}

fn plain(shows: String) -> Line {
    Line { shows, limits: None }
}

/// The values on which each bearer's observations agree.
fn agreed<'e>(evidence: &[&'e Evidence<'_>], feature: &Feature) -> impl Iterator<Item = &'e Value> {
    let bearers = evidence.iter().flat_map(|evidence| evidence.bearers.iter());
    bearers.filter_map(|bearer| bearer.shown.get(&feature.id)?.agreed())
}

fn numbers(evidence: &[&Evidence<'_>], feature: &Feature) -> Tally {
    let (mut numbers, mut absent) = (Vec::new(), 0);
    for value in agreed(evidence, feature) {
        match value {
            Value::Number(number) => numbers.push(*number),
            _ => absent += 1,
        }
    }
    let examined = numbers.len() + absent;
    let mut lines = quantities(numbers, None);
    if absent > 0 {
        lines.push(plain(format!("absent × {absent}")));
    }
    Tally { examined, lines }
}

fn codes(evidence: &[&Evidence<'_>], feature: &Feature) -> Tally {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for value in agreed(evidence, feature) {
        let words = match value {
            Value::Code(code) => code.clone(),
            Value::Absent => "absent".to_string(),
            _ => "other".to_string(),
        };
        *counts.entry(words).or_default() += 1;
    }
    // Codes are mostly all different; a few show what they look like.
    let (examined, different) = (counts.values().sum(), counts.len());
    let commonest = commonest_first(counts).into_iter().take(4);
    let mut lines: Vec<Line> = commonest.map(|(code, count)| plain(format!("{code} × {count}"))).collect();
    if different > lines.len() {
        lines.push(plain(format!("and {} more", different - lines.len())));
    }
    Tally { examined, lines }
}

/// Writes median and range.
fn quantities(mut numbers: Vec<f64>, unit: Option<Unit>) -> Vec<Line> {
    numbers.sort_by(f64::total_cmp);
    let (Some(first), Some(last)) = (numbers.first(), numbers.last()) else { return Vec::new() };
    let middle = median(&numbers);
    let middle = unit.map_or_else(|| rounded(middle), |unit| measure::words(middle, unit));
    if first == last {
        return vec![plain(middle)];
    }
    let range = match unit {
        Some(unit) => measure::range(*first, *last, unit),
        None => format!("{} to {}", rounded(*first), rounded(*last)),
    };
    vec![plain(format!("median {middle}")), plain(format!("from {range}"))]
}

fn median(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[middle] } else { (sorted[middle - 1] + sorted[middle]) / 2.0 }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::{Line, commonest_first, limits, quantities};
    use crate::vocabulary::Unit;

    #[test]
    fn the_commonest_state_stands_first() {
        let counts = BTreeMap::from([("chain".to_string(), 2), ("felled".to_string(), 5), ("lock".to_string(), 2)]);
        assert_eq!(
            commonest_first(counts),
            [("felled", 5), ("chain", 2), ("lock", 2)].map(|(s, n)| (s.to_string(), n))
        );
    }

    #[test]
    fn quantities_show_their_median_and_range() {
        let shown = |lines: Vec<Line>| lines.into_iter().map(|line| line.shows).collect::<Vec<_>>();
        let inches = quantities(vec![8.5, 7.0, 9.25, 8.0], Some(Unit::Inch));
        assert_eq!(shown(inches), ["median 8.25 in (21 cm)", "from 7 to 9.25 in (17.8 to 23.5 cm)"]);
        assert_eq!(shown(quantities(vec![29.0, 33.0, 40.0], None)), ["median 33", "from 29 to 40"]);
        assert_eq!(shown(quantities(vec![34.0], None)), ["34"]);
        assert!(quantities(Vec::new(), Some(Unit::Inch)).is_empty());
    }

    #[test]
    fn shares_stand_with_their_interval_and_never_without_a_count() {
        // Beta(1/2, 21/2) has its 97.5 % point at 0.2172: the example of `statistics::interval`.
        assert_eq!(limits(0, 10).as_deref(), Some("0–22 %"));
        assert_eq!(limits(0, 0), None);
    }
}
