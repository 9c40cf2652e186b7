//! Reads a date string into one date, an interval or a set, or finds the first place where it leaves the notation.
//!
//! The notation is EDTF as the Library of Congress publishes it (ISO 8601-2): levels 0 and 1, and from level 2
//! sets `[…]`, unspecified digits anywhere and marks on parts. Offers no suggestions (see `nearest`).

use crate::date::fault::{DateFault, DateProblem};
use crate::date::pattern::Pattern;
use crate::date::written::{Marks, Parts, Within, Written};

/// The most bytes that are read; the longest useful set is far shorter.
const LONGEST: usize = 100;

/// The kinds of date string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// One date.
    One(Written),
    /// A beginning and an end.
    Interval(End, End),
    /// One of several.
    Set(Vec<(End, End)>),
}

/// One side of an interval: a date, or nothing where it is open or unknown; and its place in the string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct End {
    pub(super) date: Option<Written>,
    pub(super) start: usize,
    pub(super) end: usize,
}

/// A stretch of the date string, with its place.
#[derive(Clone, Copy)]
struct Piece<'a> {
    text: &'a str,
    start: usize,
}

impl<'a> Piece<'a> {
    fn part(self, from: usize, to: usize) -> Piece<'a> {
        Piece { text: &self.text[from..to], start: self.start + from }
    }

    fn split_once(self, separator: &str) -> Option<(Piece<'a>, Piece<'a>)> {
        let at = self.text.find(separator)?;
        Some((self.part(0, at), self.part(at + separator.len(), self.text.len())))
    }

    fn split(self, separator: char) -> impl Iterator<Item = Piece<'a>> {
        let mut next = self.start;
        self.text.split(separator).map(move |text| {
            let start = next;
            next += text.len() + separator.len_utf8();
            Piece { text, start }
        })
    }

    fn fault(self, problem: DateProblem) -> DateFault {
        DateFault::new(self.start, self.start + self.text.len(), problem)
    }
}

/// Reads a date string.
pub(super) fn parse(text: &str) -> Result<Form, DateFault> {
    let whole = Piece { text, start: 0 };
    if text.is_empty() {
        return Err(whole.fault(DateProblem::Empty));
    }
    if text.len() > LONGEST {
        return Err(whole.fault(DateProblem::TooLong));
    }
    if text.starts_with('{') && text.ends_with('}') {
        return Err(whole.fault(DateProblem::AllMembers));
    }
    if text.len() > 2 && text.starts_with('[') && text.ends_with(']') {
        return set(whole.part(1, text.len() - 1));
    }
    match whole.split_once("/") {
        Some((begin, end)) => interval(whole, begin, end),
        None => date(whole).map(Form::One),
    }
}

fn interval(whole: Piece<'_>, begin: Piece<'_>, end: Piece<'_>) -> Result<Form, DateFault> {
    let (begin, end) = (side(begin, &["", ".."])?, side(end, &["", ".."])?);
    in_order(whole, &begin, &end)?;
    Ok(Form::Interval(begin, end))
}

fn set(inside: Piece<'_>) -> Result<Form, DateFault> {
    inside.split(',').map(member).collect::<Result<_, _>>().map(Form::Set)
}

fn member(piece: Piece<'_>) -> Result<(End, End), DateFault> {
    let Some((begin, end)) = piece.split_once("..") else {
        let end = side(piece, &[])?;
        return Ok((end.clone(), end));
    };
    if begin.text.is_empty() && end.text.is_empty() {
        return Err(piece.fault(DateProblem::NotADate));
    }
    let (begin, end) = (side(begin, &[""])?, side(end, &[""])?);
    in_order(piece, &begin, &end)?;
    Ok((begin, end))
}

/// Refuses an interval that ends before it begins even at its widest; `~` excuses nothing.
fn in_order(whole: Piece<'_>, begin: &End, end: &End) -> Result<(), DateFault> {
    let first = begin.date.as_ref().and_then(|date| date.unwidened().first());
    let last = end.date.as_ref().and_then(|date| date.unwidened().last());
    match (first, last) {
        (Some(first), Some(last)) if first > last => Err(whole.fault(DateProblem::InvertedInterval)),
        _ => Ok(()),
    }
}

fn side(piece: Piece<'_>, open: &[&str]) -> Result<End, DateFault> {
    let date = if open.contains(&piece.text) { None } else { Some(date(piece)?) };
    Ok(End { date, start: piece.start, end: piece.start + piece.text.len() })
}

fn date(piece: Piece<'_>) -> Result<Written, DateFault> {
    refuse_other_levels(piece)?;
    let mut marks = Marks::default();
    let mut parts = Vec::new();
    for (place, part) in piece.split('-').enumerate() {
        if place > 2 {
            return Err(piece.fault(DateProblem::NotADate));
        }
        parts.push(without_marks(part, place, &mut marks)?);
    }
    let year = year(parts[0]).map_err(|problem| problem.unwrap_or(piece.fault(DateProblem::NotADate)))?;
    let not_a_date = || piece.fault(DateProblem::NotADate);
    let day = parts.get(2).map(|day| Pattern::<2>::parse(day.text).ok_or_else(not_a_date)).transpose()?;
    let within = match parts.get(1) {
        Some(month) => {
            let pattern = Pattern::<2>::parse(month.text).ok_or_else(not_a_date)?;
            Some(within(*month, pattern, day)?)
        }
        None => None,
    };
    if let (Some(Within::Season(_)), Some(day)) = (within, parts.get(2)) {
        return Err(day.fault(DateProblem::DayInSeason));
    }
    let wrong = parts.last().copied().unwrap_or(piece);
    Written::new(Parts { year, within }, marks).ok_or_else(|| wrong.fault(DateProblem::ImpossibleDay))
}

/// Refuses what the notation has and these dates do not: times of day, `Y…` and `S…`, years before 0001.
fn refuse_other_levels(piece: Piece<'_>) -> Result<(), DateFault> {
    let bytes = piece.text.as_bytes();
    let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let are_digits = |from: usize, to: usize| (from..to).all(is_digit);
    if are_digits(0, 4) && are_digits(5, 7) && are_digits(8, 10) && bytes.get(10) == Some(&b'T') {
        return Err(piece.part(10, bytes.len()).fault(DateProblem::TimeOfDay));
    }
    let long = bytes.first() == Some(&b'Y') && (is_digit(1) || bytes.get(1) == Some(&b'-') && is_digit(2));
    let significant = are_digits(0, 4) && bytes.get(4) == Some(&b'S') && is_digit(5);
    if long || significant {
        return Err(piece.fault(DateProblem::LetterYear));
    }
    if bytes.first() == Some(&b'-') && are_digits(1, 5) && !is_digit(5) {
        return Err(piece.part(0, 5).fault(DateProblem::YearOutOfRange));
    }
    Ok(())
}

/// Takes the marks off a part: one before it is about this part alone, one after it also about all before.
fn without_marks<'a>(part: Piece<'a>, place: usize, marks: &mut Marks) -> Result<Piece<'a>, DateFault> {
    let is_mark = |character| matches!(character, '?' | '~' | '%');
    let bare = part.text.trim_matches(is_mark);
    let from = part.text.len() - part.text.trim_start_matches(is_mark).len();
    match part.text.len() - bare.len() {
        0 => return Ok(part),
        1 => {}
        _ => return Err(part.fault(DateProblem::DoubledMark)),
    }
    let mark = if from == 0 { part.text.as_bytes().last() } else { part.text.as_bytes().first() };
    let reached = if from == 0 { 0..=place } else { place..=place };
    marks.uncertain |= mark != Some(&b'~');
    if mark != Some(&b'?') {
        marks.approximate[reached].fill(true);
    }
    Ok(part.part(from, from + bare.len()))
}

/// Reads the year; the fault is nothing where it is not one at all.
fn year(piece: Piece<'_>) -> Result<Pattern<4>, Option<DateFault>> {
    let pattern = Pattern::parse(piece.text).ok_or(None)?;
    match pattern.number() {
        Some(0) => Err(Some(piece.fault(DateProblem::YearOutOfRange))),
        _ => Ok(pattern),
    }
}

fn within(piece: Piece<'_>, pattern: Pattern<2>, day: Option<Pattern<2>>) -> Result<Within, DateFault> {
    match pattern.number() {
        Some(code @ 21..=24) => Ok(Within::Season(code as u8 - 20)),
        Some(25..=41) => Err(piece.fault(DateProblem::SubYearGrouping)),
        _ if (1..=12).any(|month| pattern.fits(month)) => Ok(Within::Month(pattern, day)),
        _ => Err(piece.fault(DateProblem::ImpossibleMonth)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::parse;
    use crate::date::fault::DateProblem;

    #[test]
    fn each_mistake_is_named_where_it_stands() {
        let rows = [
            ("", "", DateProblem::Empty),
            ("circa 1977", "circa 1977", DateProblem::NotADate),
            ("197", "197", DateProblem::NotADate),
            ("19777", "19777", DateProblem::NotADate),
            ("1977 ", "1977 ", DateProblem::NotADate),
            ("1977-1", "1977-1", DateProblem::NotADate),
            ("1977-01-1", "1977-01-1", DateProblem::NotADate),
            ("1977-01-01-01", "1977-01-01-01", DateProblem::NotADate),
            ("1977/circa 1978", "circa 1978", DateProblem::NotADate),
            ("1977/1978/1979", "1978/1979", DateProblem::NotADate),
            ("[1977,,1978]", "", DateProblem::NotADate),
            ("[..]", "..", DateProblem::NotADate),
            ("[1977..1978..1979]", "1978..1979", DateProblem::NotADate),
            ("[1977", "[1977", DateProblem::NotADate),
            ("été 1977", "été 1977", DateProblem::NotADate),
            ("1977-00", "00", DateProblem::ImpossibleMonth),
            ("1977-13", "13", DateProblem::ImpossibleMonth),
            ("1977-20-05", "20", DateProblem::ImpossibleMonth),
            ("1977-42", "42", DateProblem::ImpossibleMonth),
            ("1977-2X", "2X", DateProblem::ImpossibleMonth),
            ("1977-01-00", "00", DateProblem::ImpossibleDay),
            ("1977/1984-02-30?", "30", DateProblem::ImpossibleDay),
            ("XXXX-02-30", "30", DateProblem::ImpossibleDay),
            ("XXX1-02-29", "29", DateProblem::ImpossibleDay),
            ("1977-23-05", "05", DateProblem::DayInSeason),
            ("1985/1984", "1985/1984", DateProblem::InvertedInterval),
            ("1985~/1984", "1985~/1984", DateProblem::InvertedInterval),
            ("[1977,1979..1978]", "1979..1978", DateProblem::InvertedInterval),
            ("0000", "0000", DateProblem::YearOutOfRange),
            ("-1977-03", "-1977", DateProblem::YearOutOfRange),
            ("1977-03-05T10:00", "T10:00", DateProblem::TimeOfDay),
            ("../1977-03-05T10:00Z", "T10:00Z", DateProblem::TimeOfDay),
            ("Y19770", "Y19770", DateProblem::LetterYear),
            ("Y-19770", "Y-19770", DateProblem::LetterYear),
            ("1977/1978S2", "1978S2", DateProblem::LetterYear),
            ("1977-25", "25", DateProblem::SubYearGrouping),
            ("1977-41", "41", DateProblem::SubYearGrouping),
            ("{1977,1978}", "{1977,1978}", DateProblem::AllMembers),
            ("1977?~", "1977?~", DateProblem::DoubledMark),
            ("1977-~06?", "~06?", DateProblem::DoubledMark),
        ];
        for (text, wrong, problem) in rows {
            let fault = parse(text).expect_err(text);
            assert_eq!((&text[fault.start..fault.end], fault.problem), (wrong, problem), "{text}");
        }
    }

    #[test]
    fn more_than_a_hundred_bytes_are_not_read() {
        assert_eq!(parse(&"é".repeat(51)).unwrap_err().problem, DateProblem::TooLong);
        assert_eq!(parse(&"é".repeat(50)).unwrap_err().problem, DateProblem::NotADate);
        let long = format!("[{}1977]", "1976,".repeat(19));
        assert_eq!(parse(&long).unwrap_err().problem, DateProblem::TooLong);
        assert!(parse(&long[5..]).is_err() && parse(&format!("[{}", &long[6..])).is_ok());
    }
}
