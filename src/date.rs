//! Whole days of the proleptic Gregorian calendar, and spans of them.
//!
//! The dates contributors write are in `edtf`. Nothing here knows the clock.

pub mod edtf;

use std::fmt;

/// A day, counted from 1970-01-01.
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
        Some(Day(days_before(year, month) + i32::from(day) - 1))
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
        // Counted in eras of 400 years that begin on 1 March, so that the leap day is the last of its year.
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
        self.plus_months(years * 12)
    }

    /// Moves by whole months, keeping the day or taking the last of that month.
    pub fn plus_months(self, months: i32) -> Day {
        let (year, month, day) = self.ymd();
        let count = year * 12 + i32::from(month) - 1 + months;
        let (year, month) = (count.div_euclid(12), (count.rem_euclid(12) + 1) as u8);
        Day(days_before(year, month) + i32::from(day.min(days_in_month(year, month))) - 1)
    }

    /// Moves by days.
    pub fn plus_days(self, days: i32) -> Day {
        Day(self.0 + days)
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

fn days_before(year: i32, month: u8) -> i32 {
    let shifted_year = if month <= 2 { year - 1 } else { year };
    let era = shifted_year.div_euclid(400);
    let year_of_era = shifted_year.rem_euclid(400);
    let shifted_month = i32::from(if month > 2 { month - 3 } else { month + 9 });
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
