//! How likely each year is for something made within an era, before anything is seen of a garment.
//!
//! A likelihood makes a year unlikely, never impossible: the weight of a year is never 0.

use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use crate::date::{Day, DaySpan};
use crate::knowledge::{Era, Side};

/// The first year that is considered.
pub const FIRST: i32 = 1850;

/// The last year that is considered.
pub const LAST: i32 = 2030;

/// How many years are considered.
pub const COUNT: usize = (LAST - FIRST + 1) as usize;

/// A number for each year that is considered.
pub type Years = [f64; COUNT];

/// The least weight of a year in which something was possibly made.
const FLOOR: f64 = 0.05;

/// The number of years in which a weight halves, beyond an unknown bound and beyond the possible span.
const HALVING: f64 = 5.0;

/// The days that bound an era, in the order of [`Side`].
pub type Bounds = [Option<Day>; 4];

/// The bounds of an era as plain days.
pub fn bounds(era: &Era) -> Bounds {
    Side::ALL.map(|(side, _)| era.day(side))
}

/// The later begin and the earlier end of two eras: the era of something that lies in both.
pub fn both(one: Bounds, other: Bounds) -> Bounds {
    let later = |side: Side| one[side as usize].max(other[side as usize]);
    let earlier = |side: Side| match (one[side as usize], other[side as usize]) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    };
    [later(Side::BeginEarliest), later(Side::BeginLatest), earlier(Side::EndEarliest), earlier(Side::EndLatest)]
}

/// The years in order.
pub fn all() -> RangeInclusive<i32> {
    FIRST..=LAST
}

/// The first and last day of a year.
pub fn days(year: i32) -> DaySpan {
    DaySpan::new(Day::from_ymd(year, 1, 1), Day::from_ymd(year, 12, 31)).unwrap_or(DaySpan::OPEN)
}

/// The production weight of each year: 1 where something was surely made, less where it was possibly made, and falling
/// away beyond that by half every five years.
///
/// ```
/// use bartack::date::Day;
/// use bartack::dating::likelihood::years;
/// let day = |year| Day::from_ymd(year, 7, 1);
/// let weights = years::production(&[day(1970), day(1970), day(1979), day(1979)]);
/// let at = |year: i32| weights[(year - years::FIRST) as usize];
/// assert_eq!((at(1970), at(1979), at(1980)), (1.0, 1.0, 0.05 * 0.5_f64.powf(1.0 / 5.0)));
/// ```
pub fn production(bounds: &Bounds) -> Years {
    let mut shape = [0.0; COUNT];
    for (weight, year) in shape.iter_mut().zip(all()) {
        *weight = Day::from_ymd(year, 7, 1).map_or(0.0, |day| begun(bounds, day) * not_ended(bounds, day));
    }
    let greatest = shape.iter().copied().fold(0.0, f64::max);
    let [first, _, _, last] = *bounds;
    let touches =
        |year: i32| first.is_none_or(|first| first.year() <= year) && last.is_none_or(|last| year <= last.year());
    for (weight, year) in shape.iter_mut().zip(all()) {
        let scaled = match greatest {
            0.0 => f64::from(u8::from(touches(year))),
            _ => *weight / greatest,
        };
        *weight = scaled.max(FLOOR * halved(f64::from(distance(bounds, year))));
    }
    shape
}

/// The share of a begin within its bounds that lies before a day.
fn begun(bounds: &Bounds, day: Day) -> f64 {
    match (bounds[Side::BeginEarliest as usize], bounds[Side::BeginLatest as usize]) {
        (Some(earliest), Some(latest)) if earliest == latest => f64::from(u8::from(day >= latest)),
        (Some(earliest), Some(latest)) => (days_from(earliest, day) / days_from(earliest, latest)).clamp(0.0, 1.0),
        (Some(earliest), None) => f64::from(u8::from(day >= earliest)),
        (None, Some(latest)) => halved(years_from(day, latest)),
        (None, None) => 1.0,
    }
}

/// The share of an end within its bounds that lies after a day.
fn not_ended(bounds: &Bounds, day: Day) -> f64 {
    match (bounds[Side::EndEarliest as usize], bounds[Side::EndLatest as usize]) {
        (Some(earliest), Some(latest)) if earliest == latest => f64::from(u8::from(day <= latest)),
        (Some(earliest), Some(latest)) => (days_from(day, latest) / days_from(earliest, latest)).clamp(0.0, 1.0),
        (Some(earliest), None) => halved(years_from(earliest, day)),
        (None, Some(latest)) => f64::from(u8::from(day <= latest)),
        (None, None) => 1.0,
    }
}

/// One half for every five years; 1 where there are none.
fn halved(years: f64) -> f64 {
    (-years.max(0.0) / HALVING).exp2()
}

fn days_from(one: Day, other: Day) -> f64 {
    f64::from(other.number()) - f64::from(one.number())
}

fn years_from(one: Day, other: Day) -> f64 {
    days_from(one, other) / 365.25
}

/// Whole calendar years from a year to the nearest in which it was possibly made.
fn distance(bounds: &Bounds, year: i32) -> i32 {
    let before = bounds[Side::BeginEarliest as usize].map_or(0, |first| first.year().saturating_sub(year));
    let after = bounds[Side::EndLatest as usize].map_or(0, |last| year.saturating_sub(last.year()));
    before.max(after).max(0)
}

/// Probabilities closer than this are equal when years are ranked: the difference is rounding.
const EQUAL: f64 = 1e-12;

/// The years that hold a share of the probability, taken in order of falling probability, the earlier first among
/// equals.
pub fn densest(probabilities: &Years, share: f64) -> BTreeSet<i32> {
    let mut order: Vec<usize> = (0..COUNT).collect();
    order.sort_by_cached_key(|at| std::cmp::Reverse(rank(probabilities[*at])));
    let mut sum = 0.0;
    let mut taken = BTreeSet::new();
    for at in order {
        if !is_within(sum, share) {
            break;
        }
        sum += probabilities[at];
        taken.insert(FIRST + at as i32);
    }
    taken
}

/// The probability of all years that are taken before a year.
pub fn denser(probabilities: &Years, year: i32) -> f64 {
    let own = (year - FIRST) as usize;
    let limit = rank(probabilities[own]);
    let is_before = |(at, probability): &(usize, &f64)| match rank(**probability).cmp(&limit) {
        Ordering::Greater => true,
        Ordering::Equal => *at < own,
        Ordering::Less => false,
    };
    probabilities.iter().enumerate().filter(is_before).map(|(_, probability)| probability).sum()
}

/// Says whether a year belongs to the densest years that hold a share, from the probability of the
/// denser years.
pub fn is_within(denser: f64, share: f64) -> bool {
    denser < share - EQUAL
}

fn rank(probability: f64) -> i64 {
    (probability / EQUAL).round() as i64
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Bounds, COUNT, FIRST, all, both, denser, densest, is_within, production};
    use crate::date::Day;

    fn day(text: &str) -> Option<Day> {
        let parts: Vec<i32> = text.split('-').map(|part| part.parse().unwrap()).collect();
        Day::from_ymd(parts[0], parts[1] as u8, parts[2] as u8)
    }

    fn at(bounds: &Bounds, year: i32) -> f64 {
        production(bounds)[(year - FIRST) as usize]
    }

    #[test]
    fn uncertain_begin_rises_and_uncertain_end_falls_in_a_straight_line() {
        let bounds = [day("1970-07-01"), day("1974-07-01"), day("1980-07-01"), day("1984-07-01")];
        for (year, weight) in
            [(1972, 731.0 / 1461.0), (1974, 1.0), (1980, 1.0), (1982, 731.0 / 1461.0), (1983, 366.0 / 1461.0)]
        {
            assert!((at(&bounds, year) - weight).abs() < 1e-12, "{year} {}", at(&bounds, year));
        }
        assert_eq!(at(&bounds, 1970), 0.05, "possible, so no less than the floor");
        assert!((at(&bounds, 1960) - 0.05 * 0.25).abs() < 1e-12, "ten years from what is possible");
    }

    #[test]
    fn side_that_nobody_bounds_halves_every_five_years_from_the_other() {
        let known_late = [None, day("1970-07-01"), day("1980-07-01"), None];
        for year in [1965, 1985] {
            assert!((at(&known_late, year) - 0.5).abs() < 1e-3, "{year}");
        }
        let within = [day("1970-07-01"), None, None, day("1980-07-01")];
        for (year, weight) in
            [(1969, 0.05 * (-0.2_f64).exp2()), (1970, 1.0), (1980, 1.0), (1981, 0.05 * (-0.2_f64).exp2())]
        {
            assert!((at(&within, year) - weight).abs() < 1e-12, "{year}: impossible beyond what bounds the other side");
        }
    }

    #[test]
    fn run_of_less_than_a_year_has_the_years_it_touches() {
        let bounds = [day("1975-08-01"), day("1975-08-01"), day("1976-05-01"), day("1976-05-01")];
        assert_eq!((at(&bounds, 1975), at(&bounds, 1976)), (1.0, 1.0));
        assert!(at(&bounds, 1974) < 0.05);
    }

    #[test]
    fn weight_that_never_reaches_one_is_scaled() {
        let bounds = [day("1970-01-01"), day("1979-12-31"), day("1970-01-01"), day("1979-12-31")];
        let greatest = production(&bounds).into_iter().fold(0.0, f64::max);
        assert_eq!(greatest, 1.0);
    }

    #[test]
    fn eras_meet_in_the_later_begin_and_the_earlier_end() {
        let one = [day("1970-01-01"), None, day("1980-01-01"), day("1985-01-01")];
        let other = [day("1972-01-01"), day("1974-01-01"), None, day("1983-01-01")];
        assert_eq!(both(one, other), [day("1972-01-01"), day("1974-01-01"), day("1980-01-01"), day("1983-01-01")]);
    }

    #[test]
    fn year_is_among_the_densest_where_denser_ones_do_not_hold_the_share() {
        let weights: [f64; COUNT] = std::array::from_fn(|at| ((at * 37 % 11) as f64).powi(3) + 0.25);
        let total: f64 = weights.iter().sum();
        let probabilities = weights.map(|weight| weight / total);
        for share in [0.0, 0.5, 0.95, 1.0] {
            let taken = densest(&probabilities, share);
            for year in all() {
                assert_eq!(is_within(denser(&probabilities, year), share), taken.contains(&year), "{share} {year}");
            }
        }
    }
}
