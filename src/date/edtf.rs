//! Reads a date as a contributor wrote it (EDTF) into the span of days in which its one unknown day lies.
//!
//! It reads only the notation; a fault carries facts and no words.

use ecow::EcoString;

use crate::date::fault::DateFault;
use crate::date::grammar::{self, End, Form};
use crate::date::written::Written;
use crate::date::{DaySpan, words};

/// How many years "about" means for a date that names a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CircaYears(pub u32);

impl Default for CircaYears {
    fn default() -> CircaYears {
        CircaYears(2)
    }
}

/// A valid date string with its meaning.
///
/// An interval in it is never inverted, and at least one existing day fits each date in it.
///
/// ```
/// use bartack::date::edtf::{CircaYears, Edtf};
/// let date = Edtf::parse("1977~").unwrap();
/// assert_eq!(date.describe(CircaYears(2)), "some day from 1975-01-01 to 1979-12-31");
/// let fault = Edtf::parse("circa 1977").unwrap_err();
/// assert_eq!(fault.nearest.as_deref(), Some("1977~"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edtf {
    text: EcoString,
    form: Box<Form>,
}

impl Edtf {
    /// Reads a date string, or gives what is wrong with it and the nearest valid spelling.
    pub fn parse(text: &str) -> Result<Edtf, DateFault> {
        match grammar::parse(text) {
            Ok(form) => Ok(Edtf { text: text.into(), form: Box::new(form) }),
            Err(fault) => Err(words::suggested(text, fault)),
        }
    }

    /// Gives the string as written.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Gives the first to the last day it may be, with approximate ends moved outward.
    pub fn span(&self, circa: CircaYears) -> DaySpan {
        self.hull(|date| date.span(circa.0))
    }

    /// Gives the first to the last day it may be as if no `~` were there.
    pub fn unwidened(&self) -> DaySpan {
        self.hull(Written::unwidened)
    }

    /// Gives the days of each date of a set, or of the one date or interval, as if no `~` were there.
    pub fn members(&self) -> Vec<DaySpan> {
        let Form::Set(pairs) = &*self.form else { return vec![self.unwidened()] };
        pairs.iter().map(|(begin, end)| between(begin, end, Written::unwidened)).collect()
    }

    /// Says whether any part is uncertain (`?` or `%`).
    pub fn is_uncertain(&self) -> bool {
        self.ends_within().iter().any(|end| end.is_uncertain())
    }

    /// Says whether any part is approximate (`~` or `%`).
    pub fn is_approximate(&self) -> bool {
        self.ends_within().iter().any(|end| end.is_approximate())
    }

    /// Gives the two ends of an interval; nothing for a single date or a set.
    pub fn ends(&self) -> Option<(DateEnd<'_>, DateEnd<'_>)> {
        match &*self.form {
            Form::Interval(begin, end) => Some((self.end(begin), self.end(end))),
            Form::One(_) | Form::Set(_) => None,
        }
    }

    /// Says in words which days it may be.
    pub fn describe(&self, circa: CircaYears) -> String {
        let span = self.span(circa);
        match (span.first(), span.last()) {
            (Some(first), Some(last)) if first == last => format!("one day: {first}"),
            (Some(first), Some(last)) => format!("some day from {first} to {last}"),
            (Some(first), None) => format!("some day on or after {first}"),
            (None, Some(last)) => format!("some day on or before {last}"),
            (None, None) => "no bound".to_owned(),
        }
    }

    /// Joins the dates: a `~` moves only the end of the whole on which its own date stands.
    fn hull(&self, days: impl Fn(&Written) -> DaySpan) -> DaySpan {
        let pairs: &[(End, End)] = match &*self.form {
            Form::One(date) => return days(date),
            Form::Interval(begin, end) => return between(begin, end, &days),
            Form::Set(pairs) => pairs,
        };
        let spans = || pairs.iter().map(|(begin, end)| between(begin, end, &days));
        // `None` sorts before every day, so the least first day is open if any is.
        let first = spans().map(DaySpan::first).min().flatten();
        let last = spans().map(DaySpan::last).try_fold(None, |latest, last| Some(latest.max(Some(last?))));
        DaySpan::new(first, last.flatten()).expect("the members of a set are not inverted")
    }

    fn ends_within(&self) -> Vec<&Written> {
        match &*self.form {
            Form::One(date) => vec![date],
            Form::Interval(begin, end) => [begin, end].into_iter().filter_map(|end| end.date.as_ref()).collect(),
            Form::Set(pairs) => {
                pairs.iter().flat_map(|(begin, end)| [begin, end]).filter_map(|end| end.date.as_ref()).collect()
            }
        }
    }

    fn end<'a>(&'a self, end: &'a End) -> DateEnd<'a> {
        DateEnd { text: &self.text[end.start..end.end], date: end.date.as_ref() }
    }
}

fn between(begin: &End, end: &End, days: impl Fn(&Written) -> DaySpan) -> DaySpan {
    let first = begin.date.as_ref().and_then(|date| days(date).first());
    let last = end.date.as_ref().and_then(|date| days(date).last());
    DaySpan::new(first, last).expect("an interval is not inverted")
}

/// One end of an interval: itself one unknown day in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DateEnd<'a> {
    text: &'a str,
    date: Option<&'a Written>,
}

impl<'a> DateEnd<'a> {
    /// Gives the end as written: empty where it is unknown, `..` where it is open.
    pub fn text(self) -> &'a str {
        self.text
    }

    /// Gives the days this end may be, both sides moved out where it is approximate.
    pub fn span(self, circa: CircaYears) -> DaySpan {
        self.date.map_or(DaySpan::OPEN, |date| date.span(circa.0))
    }

    /// Gives the days this end may be as if no `~` were there.
    pub fn unwidened(self) -> DaySpan {
        self.date.map_or(DaySpan::OPEN, Written::unwidened)
    }

    /// Says whether any part of it is uncertain (`?` or `%`).
    pub fn is_uncertain(self) -> bool {
        self.date.is_some_and(Written::is_uncertain)
    }

    /// Says whether any part of it is approximate (`~` or `%`).
    pub fn is_approximate(self) -> bool {
        self.date.is_some_and(Written::is_approximate)
    }

    /// Says whether it bounds nothing: open, unknown, or without a single digit of the year.
    pub fn is_open(self) -> bool {
        self.unwidened().is_open()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeSet;

    use proptest::prelude::{any, prop, proptest};

    use super::{CircaYears, Edtf};
    use crate::date::fault::DateProblem;
    use crate::date::{Day, DaySpan};

    fn years(first: i32, last: i32) -> DaySpan {
        DaySpan::new(Day::from_ymd(first, 1, 1), Day::from_ymd(last, 12, 31)).unwrap()
    }

    fn date(text: &str) -> Edtf {
        Edtf::parse(text).expect(text)
    }

    #[test]
    fn every_interval_and_set_of_years_is_the_plain_set_of_them() {
        for first in 1900..=1912 {
            for last in 1900..=1912 {
                let set: BTreeSet<i32> = (first..=last).collect();
                let interval = Edtf::parse(&format!("{first}/{last}"));
                let range = Edtf::parse(&format!("[{first}..{last}]"));
                assert_eq!(interval.is_err(), set.is_empty());
                assert_eq!(range.is_err(), set.is_empty());
                for span in [interval, range].into_iter().flatten().map(|date| date.span(CircaYears(2))) {
                    for day in (1899..=1913).filter_map(|year| Day::from_ymd(year, 7, 1)) {
                        assert_eq!(span.contains(day), set.contains(&day.year()));
                    }
                }
                let either = date(&format!("[{first},{last}]"));
                assert_eq!(either.unwidened(), years(first.min(last), first.max(last)));
            }
        }
    }

    #[test]
    fn every_approximate_interval_moves_only_the_end_with_the_mark() {
        for first in 1900..=1912 {
            for last in first..=1912 {
                for (one, begin) in [("", 0), ("~", 2), ("%", 2), ("?", 0)] {
                    for (two, end) in [("", 0), ("~", 2), ("%", 2), ("?", 0)] {
                        let date = date(&format!("{first}{one}/{last}{two}"));
                        assert_eq!(date.span(CircaYears(2)), years(first - begin, last + end));
                        assert_eq!(date.unwidened(), years(first, last));
                        assert_eq!(date.is_approximate(), begin + end > 0);
                        let marks = [one, two].concat();
                        assert_eq!(date.is_uncertain(), marks.contains(['?', '%']));
                        let (left, right) = date.ends().unwrap();
                        assert_eq!(left.span(CircaYears(2)), years(first - begin, first + begin));
                        assert_eq!(right.span(CircaYears(2)), years(last - end, last + end));
                        assert_eq!(left.is_uncertain(), one.contains(['?', '%']));
                        assert_eq!(right.is_approximate(), end > 0);
                    }
                }
            }
        }
    }

    #[test]
    fn interval_is_inverted_only_if_it_could_not_hold_even_unwidened() {
        let rows = [
            ("1985/1985", true),
            ("1985/1985-03", true),
            ("1985-03/1985", true),
            ("1985-06-30/1985-06", true),
            ("1985-12/1985-06", false),
            ("1985-06-02/1985-06-01", false),
            ("198X/1981", true),
            ("198X/1979", false),
            ("1984-24/1985-02", true),
            ("1985~/1984~", false),
            ("../1900", true),
            ("XXXX/1900", true),
        ];
        for (text, is_valid) in rows {
            let problem = Edtf::parse(text).err().map(|fault| fault.problem);
            assert_eq!(problem, (!is_valid).then_some(DateProblem::InvertedInterval), "{text}");
        }
    }

    #[test]
    fn members_of_a_set_widen_themselves() {
        let rows = [
            ("[1977]", 1977, 1977),
            ("[1977~,1980]", 1975, 1980),
            ("[1977,1978~]", 1976, 1980),
            ("[1977~..1980]", 1975, 1980),
            ("[1980,1977..1978]", 1977, 1980),
            ("[1977,197X~]", 1965, 1984),
        ];
        for (text, first, last) in rows {
            assert_eq!(date(text).span(CircaYears(2)), years(first, last), "{text}");
            assert!(date(text).ends().is_none());
        }
        assert_eq!(date("[..1977,1978~]").span(CircaYears(2)).last(), years(1980, 1980).last());
        assert_eq!(date("[..1977,1978..]").span(CircaYears(2)), DaySpan::OPEN);
        assert_eq!(date("[1970,1978..]").unwidened().first(), years(1970, 1970).first());
    }

    #[test]
    fn open_and_unknown_ends_bound_nothing() {
        for (text, left, right) in [("/", "", ""), ("../..", "..", ".."), ("../", "..", ""), ("XXXX/..", "XXXX", "..")]
        {
            let date = date(text);
            let (begin, end) = date.ends().unwrap();
            assert_eq!((begin.text(), end.text()), (left, right));
            assert!(begin.is_open() && end.is_open() && date.span(CircaYears(2)).is_open());
        }
        assert!(!date("../1977").ends().unwrap().1.is_open());
    }

    #[test]
    fn a_date_describes_itself() {
        let rows = [
            ("1977~", "some day from 1975-01-01 to 1979-12-31"),
            ("1977-03-05?", "one day: 1977-03-05"),
            ("1977/..", "some day on or after 1977-01-01"),
            ("/1977-02", "some day on or before 1977-02-28"),
            ("XXXX", "no bound"),
        ];
        for (text, words) in rows {
            assert_eq!(date(text).describe(CircaYears(2)), words);
            assert_eq!(date(text).as_str(), text);
        }
    }

    fn assert_sound(text: &str) {
        match Edtf::parse(text) {
            Ok(date) => {
                let (span, unwidened) = (date.span(CircaYears(2)), date.unwidened());
                assert_eq!(span.intersection(unwidened), Some(unwidened), "{text}");
                assert!(!date.describe(CircaYears(u32::MAX)).is_empty());
                assert_eq!(date.as_str(), text);
            }
            Err(fault) => {
                assert!(text.get(fault.start..fault.end).is_some(), "{text}");
                if let Some(nearest) = fault.nearest {
                    assert!(Edtf::parse(&nearest).is_ok() && nearest != text, "{text} => {nearest}");
                }
                if let DateProblem::WhichCentury { earlier, later } = fault.problem {
                    assert!(Edtf::parse(&earlier).is_ok() && Edtf::parse(&later).is_ok(), "{text}");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn no_text_stops_the_reader(text in any::<String>()) {
            assert_sound(&text);
        }

        #[test]
        fn no_nearly_valid_text_stops_the_reader(text in "[0-9X?~%./,\\-\\[\\]{}TYSuxé–' ]{0,40}") {
            assert_sound(&text);
        }

        #[test]
        fn no_broken_date_stops_the_reader(
            parts in prop::collection::vec(
                prop::sample::select(vec![
                    "1977", "197X", "-", "/", "..", "03", "02", "29", "30", "24", "77", "'77", "~", "?", "%", "[", "]", ",",
                    "circa ", "before ", "after ", " to ", " or ", "late ", "1970s", "March ", "fall ", "é", "–", "T10",
                    "from ", "between ", " and ", "00", "3", " ", "th", "s", "'", "Y",
                ]),
                0..10,
            ),
        ) {
            assert_sound(&parts.concat());
        }
    }
}
