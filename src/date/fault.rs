//! The mistake in a date string: the place, the kind, and the nearest valid string.
//!
//! Holds no wording; a lint finds the words.

/// Tells what is wrong with a date string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DateFault {
    /// The first byte of what is wrong, on a character boundary.
    pub start: usize,
    /// The byte after what is wrong, on a character boundary.
    pub end: usize,
    /// The kind of mistake.
    pub problem: DateProblem,
    /// The nearest valid spelling of the whole string, where one was found.
    pub nearest: Option<String>,
}

/// Names a kind of mistake in a date string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DateProblem {
    /// The string is empty.
    Empty,
    /// The string is longer than a date can be; nothing in it was read.
    TooLong,
    /// It is not written in the notation.
    NotADate,
    /// There is no such month or season.
    ImpossibleMonth,
    /// There is no such day in that month, in any year that fits.
    ImpossibleDay,
    /// A day is given within a season.
    DayInSeason,
    /// The beginning lies wholly after the end.
    InvertedInterval,
    /// The year lies outside 0001 to 9999.
    YearOutOfRange,
    /// A time of day is given.
    TimeOfDay,
    /// The year has two digits only, or a decade no century.
    WhichCentury {
        /// The spelling in the earlier of the two likely centuries.
        earlier: String,
        /// The spelling in the later of the two likely centuries.
        later: String,
    },
    /// A year is written with `Y` (long years) or `S` (significant digits).
    LetterYear,
    /// A code from 25 to 41: a season of one hemisphere, a quarter, a third or a half of a year.
    SubYearGrouping,
    /// A `{…}` set, which claims all of its members at once.
    AllMembers,
    /// Two of the marks `?`, `~` and `%` stand on one part.
    DoubledMark,
}

impl DateFault {
    /// Makes a fault without a suggestion.
    pub(super) fn new(start: usize, end: usize, problem: DateProblem) -> DateFault {
        DateFault { start, end, problem, nearest: None }
    }
}
