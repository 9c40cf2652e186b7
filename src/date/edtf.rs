//! Placeholder of the date string type while its grammar is written.

use crate::date::DaySpan;

/// How many years `~` widens a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CircaYears(pub u32);

/// A date string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edtf(String);

/// Why a string is no date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DateFault {
    /// First wrong byte.
    pub start: usize,
    /// Byte after the wrong part.
    pub end: usize,
    /// Nearest valid spelling.
    pub nearest: Option<String>,
}

/// One end of an interval.
#[derive(Clone, Copy, Debug)]
pub struct DateEnd<'a>(&'a str);

impl DateEnd<'_> {
    /// Span.
    pub fn span(&self, _circa: CircaYears) -> DaySpan {
        DaySpan::OPEN
    }
    /// Span.
    pub fn unwidened(&self) -> DaySpan {
        DaySpan::OPEN
    }
    /// Uncertain.
    pub fn is_uncertain(&self) -> bool {
        self.0.contains('?')
    }
}

impl Edtf {
    /// Parse.
    pub fn parse(text: &str) -> Result<Edtf, DateFault> {
        Ok(Edtf(text.to_string()))
    }
    /// Text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
    /// Span.
    pub fn span(&self, _circa: CircaYears) -> DaySpan {
        DaySpan::OPEN
    }
    /// Span.
    pub fn unwidened(&self) -> DaySpan {
        DaySpan::OPEN
    }
    /// Uncertain.
    pub fn is_uncertain(&self) -> bool {
        self.0.contains('?')
    }
    /// Ends.
    pub fn ends(&self) -> Option<(DateEnd<'_>, DateEnd<'_>)> {
        self.0.split_once('/').map(|(a, b)| (DateEnd(a), DateEnd(b)))
    }
    /// Words.
    pub fn describe(&self, _circa: CircaYears) -> String {
        self.0.clone()
    }
}
