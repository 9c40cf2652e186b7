//! Finds the days, weeks, months, quarters or years that agree with the numbers of a code.

use crate::code::Meaning;
use crate::date::{Day, days_in_month};

/// The first year that a short year can mean.
pub const FIRST: i32 = 1850;

/// The last year that a short year can mean.
pub const LAST: i32 = 2030;

/// A day, week, month, quarter or year; the first day is never after the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CodeDate {
    /// Its first day.
    pub first: Day,
    /// Its last day.
    pub last: Day,
}

/// The days in which codes of a key were used, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// The first.
    pub first: Day,
    /// The last.
    pub last: Day,
}

impl Window {
    /// Takes both ends; a missing one defaults to that of the considered years, 1850 to 2030.
    pub fn new(first: Option<Day>, last: Option<Day>) -> Window {
        let edge = |year, month, day| Day::from_ymd(year, month, day).expect("the edges are days");
        Window { first: first.unwrap_or_else(|| edge(FIRST, 1, 1)), last: last.unwrap_or_else(|| edge(LAST, 12, 31)) }
    }

    fn meets(self, date: CodeDate) -> bool {
        date.first <= self.last && self.first <= date.last
    }
}

/// The numbers in the parts of one code.
#[derive(Clone, Copy, Debug, Default)]
pub struct Facts {
    numbers: [Option<u32>; Meaning::ALL.len()],
}

impl Facts {
    /// Gathers the numbers.
    pub fn new(numbers: impl Iterator<Item = (Meaning, u32)>) -> Facts {
        let mut facts = Facts::default();
        numbers.for_each(|(meaning, number)| facts.numbers[meaning as usize] = Some(number));
        facts
    }

    fn number(&self, meaning: Meaning) -> Option<u32> {
        self.numbers[meaning as usize]
    }

    /// Every date that agrees with the numbers and has a day in the window, in order. Empty if no year has such a date,
    /// such as 31 February.
    pub fn dates(&self, window: Window) -> Option<Vec<CodeDate>> {
        let mut is_possible = false;
        let mut dates = Vec::new();
        for year in self.years() {
            if let Some(date) = self.date(year) {
                is_possible = true;
                dates.extend(window.meets(date).then_some(date));
            }
        }
        is_possible.then_some(dates)
    }

    /// The years that all year parts allow.
    fn years(&self) -> Vec<i32> {
        let ends = |meaning: Meaning, modulus: i32, year: i32| {
            self.number(meaning).is_none_or(|number| year.rem_euclid(modulus) == number as i32)
        };
        let agrees = |year: &i32| ends(Meaning::YearOfCentury, 100, *year) && ends(Meaning::YearOfDecade, 10, *year);
        match self.number(Meaning::Year) {
            Some(year) => Some(year as i32).into_iter().filter(agrees).collect(),
            None => (FIRST..=LAST).filter(agrees).collect(),
        }
    }

    /// The finest date that the parts give in a year, if that year has it.
    fn date(&self, year: i32) -> Option<CodeDate> {
        if let Some(week) = self.number(Meaning::Week) {
            return self::week(year, week);
        }
        let quarter = self.number(Meaning::Quarter);
        match (self.number(Meaning::Month), self.number(Meaning::Day)) {
            (Some(month), day) => {
                let is_in = quarter.is_none_or(|quarter| quarter == month.div_ceil(3));
                let month = u8::try_from(month).ok().filter(|_| is_in)?;
                let day = day.map(u8::try_from).transpose().ok()?;
                let first = Day::from_ymd(year, month, day.unwrap_or(1))?;
                let last = day.unwrap_or_else(|| days_in_month(year, month));
                Some(CodeDate { first, last: Day::from_ymd(year, month, last)? })
            }
            (None, _) => {
                let (first, last) = quarter.map_or((1, 12), |quarter| (3 * quarter - 2, 3 * quarter));
                let (first, last) = (u8::try_from(first).ok()?, u8::try_from(last).ok()?);
                let last = Day::from_ymd(year, last, days_in_month(year, last))?;
                Some(CodeDate { first: Day::from_ymd(year, first, 1)?, last })
            }
        }
    }
}

/// The Monday to the Sunday of a week of ISO 8601, if the year has it.
pub fn week(year: i32, week: u32) -> Option<CodeDate> {
    let monday = |year| {
        // Week 1 is the week of 4 January. 1 January 1970, day 0, was a Thursday.
        let fourth = Day::from_ymd(year, 1, 4)?;
        Some(fourth.plus_days(-(fourth.number() + 3).rem_euclid(7)))
    };
    let first = monday(year)?.plus_days(7 * (i32::try_from(week).ok()? - 1));
    // The last week of 9999 has no year after it to begin in.
    let next = monday(year + 1).unwrap_or_else(|| first.plus_days(7));
    (week >= 1 && first < next).then(|| CodeDate { first, last: first.plus_days(6) })
}

/// Dates as one EDTF string: a date, an interval, or one of a set.
pub fn edtf(dates: &[CodeDate]) -> String {
    match dates {
        [one] => written(*one, "/"),
        several => {
            let members: Vec<String> = several.iter().map(|date| written(*date, "..")).collect();
            format!("[{}]", members.join(","))
        }
    }
}

/// A date in the fewest figures: `1978`, `1978-04`, `1978-04-03`, or its two ends.
fn written(date: CodeDate, between: &str) -> String {
    let ((year, month, day), (last_year, last_month, last_day)) = (date.first.ymd(), date.last.ymd());
    let are_months = day == 1 && last_day == days_in_month(last_year, last_month);
    match () {
        () if date.first == date.last => date.first.to_string(),
        () if are_months && year == last_year && (month, last_month) == (1, 12) => format!("{year:04}"),
        () if are_months && (year, month) == (last_year, last_month) => format!("{year:04}-{month:02}"),
        () if are_months => format!("{year:04}-{month:02}{between}{last_year:04}-{last_month:02}"),
        () => format!("{}{between}{}", date.first, date.last),
    }
}

/// The days of sorted dates as runs that neither touch nor overlap, so that the same days give equal runs.
pub fn joined(dates: &[CodeDate]) -> Vec<CodeDate> {
    let mut runs: Vec<CodeDate> = Vec::new();
    for date in dates {
        match runs.last_mut() {
            Some(run) if date.first <= run.last.plus_days(1) => run.last = run.last.max(date.last),
            _ => runs.push(*date),
        }
    }
    runs
}
