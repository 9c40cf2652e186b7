//! One date as written (year, month or season, day, and their marks), and the days it may be.
//!
//! Does not read text (see `grammar`) and knows no intervals or sets.

use crate::date::pattern::Pattern;
use crate::date::{Day, DaySpan, days_in_month};

/// The number of 0001-01-01, before which nothing is dated here.
const EARLIEST: i32 = -719_162;
/// The number of 9999-12-31, after which nothing is dated here.
const LATEST: i32 = 2_932_896;

/// A year, perhaps a month or season, perhaps a day.
///
/// At least one existing day fits it. A day occurs only with a month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Written {
    parts: Parts,
    marks: Marks,
    days: DaySpan,
}

/// The parts of a date, not yet checked for an existing day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Parts {
    pub(super) year: Pattern<4>,
    pub(super) within: Option<Within>,
}

/// The part after the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Within {
    /// A month, perhaps with a day.
    Month(Pattern<2>, Option<Pattern<2>>),
    /// The number of the season in its year: 1 is spring.
    Season(u8),
}

/// The meaning of `?`, `~` and `%` for a date.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Marks {
    /// Whether any part is uncertain.
    pub(super) uncertain: bool,
    /// Which of year, month or season, and day are approximate.
    pub(super) approximate: [bool; 3],
}

impl Written {
    /// Gives the date, or nothing where no existing day fits it.
    pub(super) fn new(parts: Parts, marks: Marks) -> Option<Written> {
        let days = parts.days()?;
        Some(Written { parts, marks, days })
    }

    /// Gives the days it may be, as if nothing were approximate.
    pub(super) fn unwidened(&self) -> DaySpan {
        self.days
    }

    /// Gives the days it may be, both ends moved out by each approximation, a year by `circa_years`.
    pub(super) fn span(&self, circa_years: u32) -> DaySpan {
        let moved = |day: Day, sign: i32| {
            let day = self.approximations().into_iter().fold(day, |day, unit| unit.moved(day, circa_years, sign));
            Day::from_number(day.number().clamp(EARLIEST, LATEST))
        };
        let first = self.days.first().map(|day| moved(day, -1));
        let last = self.days.last().map(|day| moved(day, 1));
        DaySpan::new(first, last).expect("ends that move outward do not cross")
    }

    /// Says whether any part is uncertain.
    pub(super) fn is_uncertain(&self) -> bool {
        self.marks.uncertain
    }

    /// Says whether any part is approximate.
    pub(super) fn is_approximate(&self) -> bool {
        self.marks.approximate.contains(&true)
    }

    /// Lists the units to move by: for each run of neighbouring approximate parts, the finest one with a digit.
    ///
    /// `~2004-~06-~11` means the same as `2004-06-11~` and moves by days alone; `~2004-06-~11` names two
    /// approximations and moves by both. A part without a digit (`XX`) says nothing that could be approximate.
    fn approximations(&self) -> Vec<Unit> {
        let mut found = Vec::new();
        let mut finest = None;
        for (unit, is_approximate) in self.parts.units().into_iter().zip(self.marks.approximate) {
            if is_approximate {
                finest = unit.or(finest);
            } else {
                found.extend(finest.take());
            }
        }
        found.extend(finest);
        found
    }
}

impl Parts {
    /// Gives the first to the last existing day that fits, or nothing where none does.
    fn days(self) -> Option<DaySpan> {
        // A day that no leap year has exists in no year; asking first avoids a walk through all years.
        self.first_of(2000)?;
        let first = self.years().find_map(|year| self.first_of(year))?;
        let last = self.years().rev().find_map(|year| self.last_of(year))?;
        if self.year.finest_digit().is_none() {
            return Some(DaySpan::OPEN);
        }
        let last = Day::from_number(last.number().min(LATEST));
        Some(DaySpan::new(Some(first), Some(last)).expect("the first fitting day is not after the last"))
    }

    fn years(self) -> impl DoubleEndedIterator<Item = i32> {
        self.year.range().filter(move |year| *year > 0 && self.year.fits(*year)).map(i32::from)
    }

    fn first_of(self, year: i32) -> Option<Day> {
        match self.within {
            None => Day::from_ymd(year, 1, 1),
            Some(Within::Season(season)) => Day::from_ymd(year, 3 * season, 1),
            Some(Within::Month(month, None)) => months(month).find_map(|month| Day::from_ymd(year, month, 1)),
            Some(Within::Month(month, Some(day))) => {
                months(month).find_map(|month| days(day).find_map(|day| Day::from_ymd(year, month, day)))
            }
        }
    }

    fn last_of(self, year: i32) -> Option<Day> {
        match self.within {
            None => Day::from_ymd(year, 12, 31),
            Some(Within::Season(season)) => {
                Day::from_ymd(year, 3 * season, 1).map(|day| day.plus_months(3).plus_days(-1))
            }
            Some(Within::Month(month, None)) => {
                months(month).rev().find_map(|month| Day::from_ymd(year, month, days_in_month(year, month)))
            }
            Some(Within::Month(month, Some(day))) => {
                months(month).rev().find_map(|month| days(day).rev().find_map(|day| Day::from_ymd(year, month, day)))
            }
        }
    }

    fn units(self) -> [Option<Unit>; 3] {
        let year = self.year.finest_digit().map(|digit| match digit {
            3 => Unit::Year,
            2 => Unit::Decade,
            _ => Unit::Century,
        });
        match self.within {
            None => [year, None, None],
            Some(Within::Season(_)) => [year, Some(Unit::Season), None],
            Some(Within::Month(month, day)) => {
                let month = month.finest_digit().map(|_| Unit::Month);
                [year, month, day.and_then(|day| day.finest_digit()).map(|_| Unit::Day)]
            }
        }
    }
}

fn months(pattern: Pattern<2>) -> impl DoubleEndedIterator<Item = u8> {
    (1..=12).filter(move |month| pattern.fits(u16::from(*month)))
}

fn days(pattern: Pattern<2>) -> impl DoubleEndedIterator<Item = u8> {
    (1..=31).filter(move |day| pattern.fits(u16::from(*day)))
}

/// How fine an approximate part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Century,
    Decade,
    Year,
    Season,
    Month,
    Day,
}

impl Unit {
    /// Moves a day by what "about" means at this fineness, back or forth by the sign.
    fn moved(self, day: Day, circa_years: u32, sign: i32) -> Day {
        match self {
            Unit::Century => day.plus_years(sign * 25),
            Unit::Decade => day.plus_years(sign * 5),
            Unit::Year => day.plus_years(sign * circa_years.min(9999) as i32),
            Unit::Season | Unit::Month => day.plus_months(sign * 3),
            Unit::Day => day.plus_days(sign * 15),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::date::edtf::{CircaYears, Edtf};
    use crate::date::{Day, DaySpan, days_in_month};

    /// Every day of the years, as written.
    fn calendar(years: std::ops::RangeInclusive<i32>) -> Vec<String> {
        let months = years.flat_map(|year| (1..=12_u8).map(move |month| (year, month)));
        let days = months.flat_map(|(year, month)| {
            (1..=days_in_month(year, month)).map(move |day| format!("{year:04}-{month:02}-{day:02}"))
        });
        days.collect()
    }

    fn is_like(day: &str, pattern: &str) -> bool {
        day.chars().zip(pattern.chars()).all(|(digit, wanted)| wanted == 'X' || wanted == digit)
    }

    /// Compares with every day whose text the pattern's begins.
    fn assert_brute(days: &[String], pattern: &str) {
        let mut fitting = days.iter().filter(|day| is_like(day, pattern));
        let expected = fitting.next().map(|first| (first.clone(), fitting.next_back().unwrap_or(first).clone()));
        let span = Edtf::parse(pattern).ok().map(|date| date.unwidened());
        let found = span.map(|span| (span.first().unwrap().to_string(), span.last().unwrap().to_string()));
        assert_eq!(found, expected, "{pattern}");
    }

    fn pairs() -> Vec<String> {
        let characters = || "0123X456789".chars();
        characters().flat_map(|one| characters().map(move |two| format!("{one}{two}"))).collect()
    }

    #[test]
    fn every_day_is_itself() {
        for text in calendar(1899..=1905) {
            let span = Edtf::parse(&text).unwrap().span(CircaYears(2));
            assert_eq!((span.first(), span.last()), (span.last(), span.first()));
            assert_eq!(span.first().unwrap().to_string(), text);
        }
    }

    #[test]
    fn unspecified_months_and_days_span_the_days_whose_text_is_like_theirs() {
        let days = calendar(1903..=1904);
        // Codes from 21 to 24 are seasons.
        for month in pairs().into_iter().filter(|month| !["21", "22", "23", "24"].contains(&month.as_str())) {
            assert_brute(&days, &format!("1904-{month}"));
            for day in pairs() {
                assert_brute(&days, &format!("1904-{month}-{day}"));
                assert_brute(&days, &format!("1903-{month}-{day}"));
            }
        }
    }

    #[test]
    fn unspecified_years_span_the_days_whose_text_is_like_theirs() {
        let days = calendar(1800..=1999);
        for tens in pairs() {
            for rest in ["", "-02-29", "-XX-31", "-0X", "-12-XX", "-02-30"] {
                assert_brute(&days, &format!("19{tens}{rest}"));
                assert_brute(&days, &format!("18{tens}{rest}"));
            }
        }
    }

    #[test]
    fn year_without_a_digit_bounds_nothing() {
        for text in ["XXXX", "XXXX-12", "XXXX-12-XX", "XXXX-02-29", "XXXX-24", "XXXX~", "XXXX-~12"] {
            assert_eq!(Edtf::parse(text).unwrap().span(CircaYears(2)), DaySpan::OPEN, "{text}");
        }
    }

    #[test]
    fn seasons_are_three_whole_months_and_winter_ends_in_the_next_year() {
        for year in 1899..=1912 {
            let leap = if year + 1 == 1904 || year + 1 == 1908 || year + 1 == 1912 { 29 } else { 28 };
            let rows = [(21, (year, 3, 1), (year, 5, 31)), (22, (year, 6, 1), (year, 8, 31))];
            let rows =
                rows.into_iter().chain([(23, (year, 9, 1), (year, 11, 30)), (24, (year, 12, 1), (year + 1, 2, leap))]);
            for (code, first, last) in rows {
                let span = Edtf::parse(&format!("{year}-{code}")).unwrap().unwidened();
                assert_eq!((span.first().unwrap().ymd(), span.last().unwrap().ymd()), (first, last), "{year}-{code}");
            }
        }
    }

    #[test]
    fn approximate_dates_are_widened_by_their_finest_part() {
        // Written out by hand from a calendar; 1904 and 2004 are leap years.
        let rows = [
            ("1977~", "1975-01-01", "1979-12-31"),
            ("1977%", "1975-01-01", "1979-12-31"),
            ("197X~", "1965-01-01", "1984-12-31"),
            ("19XX~", "1875-01-01", "2024-12-31"),
            ("1XXX~", "0975-01-01", "2024-12-31"),
            ("19X7~", "1905-01-01", "1999-12-31"),
            ("2004-06~", "2004-03-01", "2004-09-30"),
            ("1984-11~", "1984-08-01", "1985-02-28"),
            ("1984-02~", "1983-11-01", "1984-05-29"),
            ("2004-06-11~", "2004-05-27", "2004-06-26"),
            ("2001-21~", "2000-12-01", "2001-08-31"),
            ("2001-24~", "2001-09-01", "2002-05-28"),
            ("1904~-02-29", "1902-02-28", "1906-02-28"),
            ("~1904-02-29", "1902-02-28", "1906-02-28"),
            ("2004-06~-11", "2004-03-11", "2004-09-11"),
            ("2004-~06-11", "2004-03-11", "2004-09-11"),
            ("2004-06-~11", "2004-05-27", "2004-06-26"),
            ("~2004-~06-~11", "2004-05-27", "2004-06-26"),
            ("~2004-06-~11", "2002-05-27", "2006-06-26"),
            ("197X~-06", "1965-06-01", "1984-06-30"),
            ("197X-06~", "1970-03-01", "1979-09-30"),
            ("2004-XX~", "2002-01-01", "2006-12-31"),
            ("2004-06-XX~", "2004-03-01", "2004-09-30"),
            ("2004-XX-XX~", "2002-01-01", "2006-12-31"),
            ("2004-~XX", "2004-01-01", "2004-12-31"),
            ("0001~", "0001-01-01", "0003-12-31"),
            ("9999~", "9997-01-01", "9999-12-31"),
            ("9999-24", "9999-12-01", "9999-12-31"),
        ];
        for (text, first, last) in rows {
            let span = Edtf::parse(text).expect(text).span(CircaYears(2));
            let shown = (span.first().unwrap().to_string(), span.last().unwrap().to_string());
            assert_eq!(shown, (first.to_owned(), last.to_owned()), "{text}");
        }
    }

    #[test]
    fn circa_years_widen_years_alone_by_as_many_as_are_set() {
        for years in [0, 1, 2, 10, u32::MAX] {
            let day = |year: i64, month, day| Day::from_ymd(year.clamp(1, 9999) as i32, month, day);
            for year in 1899..=1905 {
                let expected = DaySpan::new(day(year - i64::from(years), 1, 1), day(year + i64::from(years), 12, 31));
                let span = Edtf::parse(&format!("{year}~")).unwrap().span(CircaYears(years));
                assert_eq!(Some(span), expected);
            }
            let decade = Edtf::parse("190X~").unwrap();
            assert_eq!(decade.span(CircaYears(years)), decade.span(CircaYears(2)));
        }
    }

    #[test]
    fn every_approximate_day_and_month_moves_by_fifteen_days_and_three_months() {
        let days = calendar(1899..=1905);
        for place in 15..days.len() - 15 {
            let span = Edtf::parse(&format!("{}~", days[place])).unwrap().span(CircaYears(2));
            assert_eq!(span.first().unwrap().to_string(), days[place - 15]);
            assert_eq!(span.last().unwrap().to_string(), days[place + 15]);
        }
        for month in 4..=9 {
            let span = Edtf::parse(&format!("1904-{month:02}~")).unwrap().span(CircaYears(2));
            assert_eq!(span.first(), Day::from_ymd(1904, month - 3, 1));
            let kept = days_in_month(1904, month).min(days_in_month(1904, month + 3));
            assert_eq!(span.last(), Day::from_ymd(1904, month + 3, kept));
        }
    }
}
