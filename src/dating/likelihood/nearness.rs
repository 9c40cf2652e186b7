//! How near in time to each year something made on one unknown day of a span lies.

use std::ops::Range;

use crate::date::{Day, DaySpan};
use crate::dating::likelihood::years::{self, Years};

/// The years on either side from which a garment still counts for a year.
const WINDOW: i32 = 5;

/// A date of this many years or more is spread over them as production was.
const LONG: i32 = 11;

/// How much of something made on one unknown day of a span lies within the window of each year.
pub fn near(span: DaySpan, weights: &Years) -> Years {
    match (span.first(), span.last()) {
        (Some(first), Some(last)) if last < first.plus_years(LONG) => {
            let all = f64::from(last.number() - first.number() + 1);
            let mut near = [0.0; years::COUNT];
            // The windows of other years hold nothing of it.
            for at in touched(first.year() - WINDOW, last.year() + WINDOW) {
                let year = years::FIRST + at as i32;
                let window = DaySpan::new(years::days(year - WINDOW).first(), years::days(year + WINDOW).last());
                let shared = window.and_then(|window| window.intersection(span));
                let days = shared.and_then(|shared| Some(shared.last()?.number() - shared.first()?.number() + 1));
                near[at] = f64::from(days.unwrap_or(0)) / all;
            }
            near
        }
        _ => spread(span, weights),
    }
}

/// The part of the production weights over the years that a span touches which lies within each year's window.
fn spread(span: DaySpan, weights: &Years) -> Years {
    let of = touched(span.first().map_or(years::FIRST, Day::year), span.last().map_or(years::LAST, Day::year));
    let mut within = [0.0; years::COUNT];
    within[of.clone()].copy_from_slice(&weights[of]);
    let total: f64 = within.iter().sum();
    std::array::from_fn(|at| {
        let (from, to) = (at.saturating_sub(WINDOW as usize), (at + WINDOW as usize).min(years::COUNT - 1));
        if total > 0.0 { within[from..=to].iter().sum::<f64>() / total } else { 0.0 }
    })
}

/// The places of the considered years from one year to another.
fn touched(from: i32, to: i32) -> Range<usize> {
    let place = |year: i32| (year - years::FIRST).clamp(0, years::COUNT as i32) as usize;
    let (from, to) = (place(from), place(to + 1));
    from..to.max(from)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::near;
    use crate::date::{Day, DaySpan};
    use crate::dating::likelihood::years::{self, COUNT, FIRST};

    fn span(first: (i32, u8, u8), last: (i32, u8, u8)) -> DaySpan {
        let day = |(year, month, day)| Day::from_ymd(year, month, day);
        DaySpan::new(day(first), day(last)).unwrap()
    }

    #[test]
    fn short_date_counts_by_its_days_within_the_window() {
        let weights = [1.0; COUNT];
        let near = near(span((1970, 1, 1), (1971, 12, 31)), &weights);
        let at = |year: i32| near[(year - FIRST) as usize];
        assert_eq!((at(1964), at(1966), at(1975), at(1977)), (0.0, 1.0, 1.0, 0.0));
        assert_eq!(at(1965), 365.0 / 730.0, "only 1970 lies within five years of 1965");
        assert_eq!(at(1976), 365.0 / 730.0);
    }

    #[test]
    fn long_or_open_date_is_spread_as_production_was() {
        let mut weights = [0.0; COUNT];
        for year in 1970..1980 {
            weights[(year - FIRST) as usize] = 1.0;
        }
        let near = near(span((1960, 1, 1), (1974, 12, 31)), &weights);
        let at = |year: i32| near[(year - FIRST) as usize];
        assert_eq!((at(1964), at(1965), at(1970), at(1979), at(1980)), (0.0, 0.2, 1.0, 0.2, 0.0));
        assert_eq!(super::near(DaySpan::OPEN, &weights)[(1965 - FIRST) as usize], 0.1);
        assert_eq!(years::COUNT, 181);
    }

    #[test]
    fn only_years_near_a_span_are_looked_at_and_none_is_missed() {
        let weights: [f64; COUNT] = std::array::from_fn(|at| 1.0 + at as f64);
        for (first, last) in [(1840, 1841), (1846, 1852), (1969, 1969), (1960, 1990), (2024, 2028), (2031, 2040)] {
            let span = span((first, 12, 31), (last, 12, 31));
            let near = near(span, &weights);
            for (at, near) in near.iter().enumerate() {
                let year = FIRST + at as i32;
                let window = DaySpan::new(years::days(year - 5).first(), years::days(year + 5).last()).unwrap();
                assert_eq!(*near > 0.0, window.overlaps(span), "{first} {last} {year}");
            }
        }
    }
}
