//! Judges estimates: which of them fit the kept voices, and which of the fitting ones exclude each
//! other.

use crate::chronology::solved_network::Days;
use crate::chronology::solver::bounds::{Direction, Hint, Reason};
use crate::chronology::solver::constraint::Unknown;
use crate::chronology::voice::Voices;
use crate::date::{Day, DaySpan};
use crate::knowledge::Estimate;
use crate::resolve::GarmentIndex;
use litemap::LiteMap;

/// Judges every estimate against the spans that the kept voices leave, then the fitting estimates
/// against each other.
pub fn judged(
    collected: &Voices,
    spans: &LiteMap<GarmentIndex, DaySpan>,
    earliest: &Days,
    latest: &Days,
) -> Vec<Estimate> {
    let fits = |estimate: &Estimate| spans.get(&estimate.garment).is_some_and(|span| span.overlaps(estimate.span));
    let all = collected.estimates.iter();
    let mut estimates: Vec<Estimate> =
        all.map(|estimate| Estimate { fits: fits(estimate), ..estimate.clone() }).collect();
    let by_first = excluded(collected, &estimates, earliest);
    let by_last = excluded(collected, &estimates, latest);
    for (estimate, (first, last)) in estimates.iter_mut().zip(by_first.into_iter().zip(by_last)) {
        estimate.excluded_by = first.or(last);
    }
    estimates
}

/// For each estimate, another one that excludes it: its garment would be too late or too early for that one.
///
/// An estimate binds one unknown, and one that fits agrees with every bound of the kept voices. So contradictory
/// estimates are pairs: the first day of one, carried along the orders, is past the other's last day.
fn excluded(collected: &Voices, estimates: &[Estimate], days: &Days) -> Vec<Option<usize>> {
    let hints = hints(collected, estimates, days.direction);
    if hints.is_empty() {
        return vec![None; estimates.len()];
    }
    let carried = days.pass.estimated(&vec![None; days.days.len()], &hints);
    let excluded_by = |estimate: &Estimate| {
        let unknown = unknown(collected, estimate)?;
        let reason: &Reason = carried[unknown.0 as usize].as_ref()?;
        let is_past = match days.direction {
            Direction::Earliest => estimate.span.last().is_some_and(|last| reason.day > last),
            Direction::Latest => estimate.span.first().is_some_and(|first| reason.day < first),
        };
        reason.estimate.filter(|_| is_past).map(|other| other as usize)
    };
    estimates.iter().map(excluded_by).collect()
}

/// The days in one direction of the estimates that may bound something.
pub fn hints(collected: &Voices, estimates: &[Estimate], direction: Direction) -> Vec<Hint> {
    let hint = |(number, estimate): (usize, &Estimate)| {
        let unknown = unknown(collected, estimate)?;
        Some(Hint { unknown, day: day(estimate, direction)?, estimate: number as u32 })
    };
    estimates.iter().enumerate().filter_map(hint).collect()
}

/// The day made of the garment of an estimate that may bound something.
fn unknown(collected: &Voices, estimate: &Estimate) -> Option<Unknown> {
    collected.made.get(&estimate.garment).copied().filter(|_| estimate.counts())
}

fn day(estimate: &Estimate, direction: Direction) -> Option<Day> {
    match direction {
        Direction::Earliest => estimate.span.first(),
        Direction::Latest => estimate.span.last(),
    }
}
