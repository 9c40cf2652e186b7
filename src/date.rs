//! Whole days of the proleptic Gregorian calendar, and spans of them.
//!
//! The dates contributors write are in `edtf`. Nothing here knows the clock.

pub mod edtf;
pub mod fault;
mod grammar;
mod nearest;
pub mod numeral;
mod pattern;
mod phrase;
pub mod spoken;
pub mod words;
mod written;

use std::fmt;

/// A day, counted from 1970-01-01.
///
/// Moving past what can be counted (some five million years) stops at the last day that can.
///
/// ```
/// use bartack::date::Day;
/// let day = Day::from_ymd(1904, 2, 29).unwrap();
/// assert_eq!(day.to_string(), "1904-02-29");
/// assert_eq!(day.plus_years(1).to_string(), "1905-02-28");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i32);

impl Day {
    /// Gives the day of a year, month and day of month, or nothing where there is no such day.
    pub fn from_ymd(year: i32, month: u8, day: u8) -> Option<Day> {
        if !(1..=12).contains(&month) || day == 0 || day > days_in_month(year, month) {
            return None;
        }
        Some(Day::counted(days_before(year, month) + i64::from(day) - 1))
    }

    /// Gives the day that is this many days after 1970-01-01.
    pub fn from_number(number: i32) -> Day {
        Day(number)
    }

    /// Counts the days since 1970-01-01.
    pub fn number(self) -> i32 {
        self.0
    }

    /// Gives year, month and day of month.
    pub fn ymd(self) -> (i32, u8, u8) {
        // Counts in cycles of 400 years that begin on 1 March, so that the leap day is the last of its year.
        let shifted = i64::from(self.0) + 719_468;
        let era = shifted.div_euclid(146_097);
        let day_of_era = shifted.rem_euclid(146_097);
        let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let shifted_month = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * shifted_month + 2) / 5 + 1;
        let month = if shifted_month < 10 { shifted_month + 3 } else { shifted_month - 9 };
        let year = year_of_era + era * 400 + i64::from(month <= 2);
        (year as i32, month as u8, day as u8)
    }

    /// Gives the calendar year.
    pub fn year(self) -> i32 {
        self.ymd().0
    }

    /// Moves by whole years, keeping the day or taking the last of that month.
    pub fn plus_years(self, years: i32) -> Day {
        self.moved_by_months(i64::from(years) * 12)
    }

    /// Moves by whole months, keeping the day or taking the last of that month.
    pub fn plus_months(self, months: i32) -> Day {
        self.moved_by_months(i64::from(months))
    }

    /// Moves by days.
    pub fn plus_days(self, days: i32) -> Day {
        Day(self.0.saturating_add(days))
    }

    fn moved_by_months(self, months: i64) -> Day {
        let (year, month, day) = self.ymd();
        // With more months than this, every date is beyond the days that can be counted.
        let months = months.clamp(-200_000_000, 200_000_000);
        let count = i64::from(year) * 12 + i64::from(month) - 1 + months;
        let (year, month) = (count.div_euclid(12) as i32, (count.rem_euclid(12) + 1) as u8);
        Day::counted(days_before(year, month) + i64::from(day.min(days_in_month(year, month))) - 1)
    }

    /// Takes the nearest day that can be counted.
    fn counted(number: i64) -> Day {
        Day(number.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.ymd();
        write!(formatter, "{year:04}-{month:02}-{day:02}")
    }
}

/// Counts the days of a month.
pub fn days_in_month(year: i32, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if is_leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

fn is_leap(year: i32) -> bool {
    year.rem_euclid(4) == 0 && (year.rem_euclid(100) != 0 || year.rem_euclid(400) == 0)
}

fn days_before(year: i32, month: u8) -> i64 {
    let shifted_year = i64::from(year) - i64::from(month <= 2);
    let era = shifted_year.div_euclid(400);
    let year_of_era = shifted_year.rem_euclid(400);
    let shifted_month = i64::from(if month > 2 { month - 3 } else { month + 9 });
    let day_of_year = (153 * shifted_month + 2) / 5;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    era * 146_097 + day_of_era - 719_468
}

/// One unknown day between a first and a last day; an end that is `None` bounds nothing.
///
/// The first day is never after the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct DaySpan {
    first: Option<Day>,
    last: Option<Day>,
}

impl DaySpan {
    /// The span that bounds nothing.
    pub const OPEN: DaySpan = DaySpan { first: None, last: None };

    /// Gives the span from first to last, or nothing where the first is after the last.
    pub fn new(first: Option<Day>, last: Option<Day>) -> Option<DaySpan> {
        match (first, last) {
            (Some(first), Some(last)) if first > last => None,
            _ => Some(DaySpan { first, last }),
        }
    }

    /// The first day it may be.
    pub fn first(self) -> Option<Day> {
        self.first
    }

    /// The last day it may be.
    pub fn last(self) -> Option<Day> {
        self.last
    }

    /// Says whether neither end is bounded.
    pub fn is_open(self) -> bool {
        self.first.is_none() && self.last.is_none()
    }

    /// Says whether the day lies within.
    pub fn contains(self, day: Day) -> bool {
        self.first.is_none_or(|first| first <= day) && self.last.is_none_or(|last| day <= last)
    }

    /// Gives the days that both spans hold, if there are any.
    pub fn intersection(self, other: DaySpan) -> Option<DaySpan> {
        let first = self.first.max(other.first);
        let last = match (self.last, other.last) {
            (Some(one), Some(two)) => Some(one.min(two)),
            (one, two) => one.or(two),
        };
        DaySpan::new(first, last)
    }

    /// Says whether some day lies in both.
    pub fn overlaps(self, other: DaySpan) -> bool {
        self.intersection(other).is_some()
    }

    /// Moves both ends outward by whole years.
    pub fn widened_by_years(self, years: i32) -> DaySpan {
        DaySpan {
            first: self.first.map(|day| day.plus_years(-years)),
            last: self.last.map(|day| day.plus_years(years)),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Day, DaySpan, days_in_month};

    /// Walks a calendar day by day without any arithmetic on day numbers.
    fn next(date: (i32, u8, u8)) -> (i32, u8, u8) {
        match date {
            (year, 12, 31) => (year + 1, 1, 1),
            (year, month, day) if day == length(year, month) => (year, month + 1, 1),
            (year, month, day) => (year, month, day + 1),
        }
    }

    fn length(year: i32, month: u8) -> u8 {
        let february = if year % 400 == 0 || (year % 4 == 0 && year % 100 != 0) { 29 } else { 28 };
        [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][usize::from(month) - 1]
    }

    fn add_one_month(year: i32, month: u8) -> (i32, u8) {
        if month == 12 { (year + 1, 1) } else { (year, month + 1) }
    }

    fn day(year: i32, month: u8, day: u8) -> Day {
        Day::from_ymd(year, month, day).unwrap()
    }

    #[test]
    fn known_day_numbers_hold() {
        // The first by definition; the others from `date -u -d DAY +%s` divided by 86400.
        for (number, text) in [
            (0, "1970-01-01"),
            (-719_162, "0001-01-01"),
            (2_932_896, "9999-12-31"),
            (11_016, "2000-02-29"),
            (-25_508, "1900-03-01"),
        ] {
            assert_eq!(Day::from_number(number).to_string(), text);
        }
    }

    #[test]
    fn every_day_from_1899_to_1905_follows_the_one_before() {
        let mut date = (1899, 12, 1);
        let mut number = day(1899, 12, 1).number();
        while date.0 <= 1905 {
            assert_eq!(Day::from_number(number).ymd(), date);
            assert_eq!(day(date.0, date.1, date.2).number(), number);
            assert_eq!(Day::from_number(number).year(), date.0);
            assert_eq!(days_in_month(date.0, date.1), length(date.0, date.1));
            (date, number) = (next(date), number + 1);
        }
    }

    #[test]
    fn four_hundred_years_either_side_of_1970_are_walked_without_a_slip() {
        let mut date = (1570, 1, 1);
        for number in day(1570, 1, 1).number()..=day(2370, 1, 1).number() {
            assert_eq!(Day::from_number(number).ymd(), date);
            date = next(date);
        }
    }

    #[test]
    fn days_that_do_not_exist_are_refused() {
        for year in 1899..=1905 {
            for month in 0..=13 {
                for number in 0..=32 {
                    let exists = (1..=12).contains(&month) && number > 0 && number <= length(year, month);
                    assert_eq!(Day::from_ymd(year, month, number).is_some(), exists, "{year}-{month}-{number}");
                }
            }
        }
    }

    #[test]
    fn months_and_years_move_as_a_month_by_month_walk_does() {
        for number in day(1899, 12, 1).number()..=day(1905, 1, 1).number() {
            let from = Day::from_number(number);
            let (mut year, mut month) = (from.ymd().0, from.ymd().1);
            for months in 0..=50 {
                let to = day(year, month, from.ymd().2.min(length(year, month)));
                assert_eq!(from.plus_months(months), to);
                if months % 12 == 0 {
                    assert_eq!(from.plus_years(months / 12), to);
                }
                let first = day(year, month, 1);
                assert_eq!(first.plus_months(-months), day(from.ymd().0, from.ymd().1, 1));
                (year, month) = add_one_month(year, month);
            }
        }
    }

    #[test]
    fn moving_past_the_countable_days_stops_there() {
        let extremes = [Day::from_number(i32::MIN), day(1977, 5, 31), Day::from_number(i32::MAX)];
        for start in extremes {
            for count in [i32::MIN, -1, 1, i32::MAX] {
                for moved in [start.plus_days(count), start.plus_months(count), start.plus_years(count)] {
                    assert!(if count < 0 { moved <= start } else { moved >= start });
                }
            }
        }
    }

    fn spans() -> Vec<DaySpan> {
        let ends: Vec<Option<Day>> = std::iter::once(None).chain((0..6).map(|n| Some(Day(n)))).collect();
        let pairs = ends.iter().flat_map(|first| ends.iter().map(|last| (*first, *last)));
        pairs.filter_map(|(first, last)| DaySpan::new(first, last)).collect()
    }

    /// The days from -1 to 6: one more on either side than any end of `spans`.
    fn days(span: DaySpan) -> Vec<Day> {
        (-1..=6).map(Day).filter(|day| span.contains(*day)).collect()
    }

    #[test]
    fn spans_behave_as_plain_sets_of_days() {
        assert_eq!(spans().len(), 1 + 6 + 6 + 21);
        for one in spans() {
            assert_eq!(one.is_open(), one == DaySpan::OPEN);
            for two in spans() {
                let shared: Vec<Day> = days(one).into_iter().filter(|day| two.contains(*day)).collect();
                assert_eq!(one.intersection(two).map_or(Vec::new(), days), shared);
                assert_eq!(one.overlaps(two), !shared.is_empty());
            }
        }
    }

    #[test]
    fn span_with_its_ends_crossed_is_refused() {
        assert_eq!(DaySpan::new(Some(Day(1)), Some(Day(0))), None);
        assert!(DaySpan::new(Some(Day(1)), Some(Day(1))).is_some());
    }

    #[test]
    fn widening_a_span_moves_only_the_ends_it_has() {
        let half = DaySpan::new(Some(day(1904, 2, 29)), None).unwrap();
        assert_eq!(half.widened_by_years(1), DaySpan::new(Some(day(1903, 2, 28)), None).unwrap());
        assert_eq!(DaySpan::OPEN.widened_by_years(9), DaySpan::OPEN);
        let whole = DaySpan::new(Some(day(1904, 1, 1)), Some(day(1904, 2, 29))).unwrap();
        assert_eq!(whole.widened_by_years(4), DaySpan::new(Some(day(1900, 1, 1)), Some(day(1908, 2, 29))).unwrap());
    }
}
