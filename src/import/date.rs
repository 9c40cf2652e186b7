//! A date in a collector's words to a date string, or to the question that has to be asked about it.
//!
//! What words mean, `date::words` says; only what can be read in one way is read without asking.

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::numeral::DayOrder;
use crate::date::words::{self, Candidates, Meaning};
use crate::diagnostic::wording;
use crate::sheet::workbook::value::{self, Epoch, Precision};

/// A date that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DateRead {
    /// The date string.
    pub edtf: String,
    /// Whether it was written in words, which are worth keeping.
    pub is_in_words: bool,
}

/// The fact that a date lacks to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// In which century it is.
    Century,
    /// Whether the day comes first.
    Order,
    /// From which day its number counts.
    Epoch,
    /// The meaning of the words.
    Meaning,
}

/// A date that was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// The missing fact.
    pub missing: Missing,
    /// The mistake, and the correct form.
    pub message: String,
}

/// The habits of a whole sheet in writing dates.
#[derive(Clone, Copy, Debug)]
pub struct Habits {
    /// Which of day and month comes first.
    pub order: DayOrder,
    /// From which day numbers of days count.
    pub epoch: Option<Epoch>,
    /// The first year of the century that years of two digits are in.
    pub century: Option<u16>,
    /// How many years `about` allows.
    pub circa: CircaYears,
}

/// Reads a date, or gives all questions about it.
///
/// ```
/// use bartack::date::edtf::CircaYears;
/// use bartack::date::numeral::DayOrder;
/// use bartack::import::date::{Habits, read};
/// let habits = Habits { order: DayOrder::Unknown, epoch: None, century: None, circa: CircaYears(2) };
/// assert_eq!(read("late 1970s", habits).unwrap().edtf, "1976/1979");
/// assert!(read("77", habits).unwrap_err()[0].message.contains("which century"));
/// assert_eq!(read("77", Habits { century: Some(1900), ..habits }).unwrap().edtf, "1977");
/// ```
pub fn read(text: &str, habits: Habits) -> Result<DateRead, Vec<Doubt>> {
    let text = text.trim();
    if let Some(number) = day_number(text) {
        return match habits.epoch.and_then(|epoch| value::date(number, epoch, Precision::Day)) {
            Some(edtf) => Ok(DateRead { edtf, is_in_words: false }),
            None => Err(vec![Doubt { missing: Missing::Epoch, message: counted(text, number) }]),
        };
    }
    match habits.meaning(text) {
        Meaning::Certain(edtf) => Ok(DateRead { is_in_words: edtf != text, edtf }),
        Meaning::Ambiguous(candidates) => Err(doubts(text, habits, &candidates)),
        Meaning::Unreadable => {
            let quoted = wording::quote(text);
            let message = format!("{quoted} is not a date: write a year such as `1978`, or words such as `late 1970s`");
            Err(vec![Doubt { missing: Missing::Meaning, message }])
        }
    }
}

impl Habits {
    fn meaning(self, text: &str) -> Meaning {
        match self.century {
            Some(century) => words::meaning_in(text, self.order, century),
            None => words::meaning(text, self.order),
        }
    }
}

/// The question about a date with several meanings: the century and, if it is open too, the order.
fn doubts(text: &str, habits: Habits, candidates: &Candidates) -> Vec<Doubt> {
    let missing = match candidates {
        Candidates::Centuries { .. } => Missing::Century,
        Candidates::DayAndMonth { .. } => Missing::Order,
        Candidates::Likeliest(_) => Missing::Meaning,
    };
    let mut doubts = vec![Doubt { missing, message: question(text, habits, candidates) }];
    if missing == Missing::Century {
        let habits = Habits { century: Some(1900), ..habits };
        if let Meaning::Ambiguous(candidates @ Candidates::DayAndMonth { .. }) = habits.meaning(text) {
            doubts.push(Doubt { missing: Missing::Order, message: question(text, habits, &candidates) });
        }
    }
    doubts
}

/// A number of five or six digits, which is no year: spreadsheets keep dates as the number of a day.
fn day_number(text: &str) -> Option<f64> {
    let whole = text.split_once('.').map_or(text, |(whole, _)| whole);
    let is_number = (5..=6).contains(&whole.len()) && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    text.parse().ok().filter(|_| is_number)
}

fn counted(text: &str, number: f64) -> String {
    let day = |epoch| value::date(number, epoch, Precision::Day).unwrap_or_else(|| "no day".to_string());
    format!(
        "{} looks like a spreadsheet day number: counted from 1900 it is {}, counted from 1904 {}. Say which for the whole \
         sheet in the mapping, `day-numbers = 1900` or `day-numbers = 1904`, or write the date",
        wording::quote(text),
        day(Epoch::Year1900),
        day(Epoch::Year1904)
    )
}

/// The likeliest date string for some words, only as a suggestion.
pub fn likeliest(text: &str) -> Option<String> {
    match words::meaning(text, DayOrder::Unknown) {
        Meaning::Ambiguous(Candidates::Centuries { later: date, .. } | Candidates::Likeliest(date)) => Some(date),
        Meaning::Certain(date) => Some(date),
        // Day and month have an answer of their own, for the whole sheet.
        Meaning::Ambiguous(Candidates::DayAndMonth { .. }) | Meaning::Unreadable => None,
    }
}

/// Says which days a date string means; empty for one that is none.
pub fn said_back(edtf: &str, circa: CircaYears) -> String {
    Edtf::parse(edtf).map(|date| date.describe(circa)).unwrap_or_default()
}

/// The question about a text with no single reading.
fn question(text: &str, habits: Habits, candidates: &Candidates) -> String {
    let quoted = wording::quote(text);
    let with_days = |edtf: &str| format!("`{edtf}` ({})", said_back(edtf, habits.circa));
    match (candidates, habits.order) {
        (Candidates::Centuries { earlier, later }, _) => format!(
            "{quoted}: which century is meant, {} or {}? Write it in the cell, under `[dates]` in the mapping, or for the whole \
             sheet, such as `century = 1900`",
            with_days(earlier),
            with_days(later)
        ),
        (Candidates::DayAndMonth { day_first, month_first }, _) => format!(
            "{quoted}: day first, it is {day_first}; month first, it is {month_first}. Say which for the whole sheet \
             in the mapping: `day-first = true` or `day-first = false`"
        ),
        (_, DayOrder::DayFirst) if is_certain_otherwise(text) => {
            format!("{quoted}: is not a date with the day first, as the mapping says")
        }
        (_, DayOrder::MonthFirst) if is_certain_otherwise(text) => {
            format!("{quoted}: is not a date with the month first, as the mapping says")
        }
        (Candidates::Likeliest(nearest), _) => format!(
            "{quoted} is ambiguous; is {} meant? Write it in the cell, or under `[dates]` in the mapping",
            with_days(nearest)
        ),
    }
}

/// Says whether the order that the mapping gives is all that keeps a text from being read.
fn is_certain_otherwise(text: &str) -> bool {
    matches!(words::meaning(text, DayOrder::Unknown), Meaning::Certain(_))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Habits, Missing, read, said_back};
    use crate::date::edtf::CircaYears;
    use crate::date::numeral::DayOrder;
    use crate::sheet::workbook::value::Epoch;

    fn habits(order: DayOrder) -> Habits {
        Habits { order, epoch: None, century: None, circa: CircaYears(2) }
    }

    fn asked(text: &str, order: DayOrder) -> String {
        read(text, habits(order)).expect_err(text)[0].message.clone()
    }

    #[test]
    fn numbers_of_days_are_asked_about_once_for_the_sheet() {
        // ECMA-376 Part 1, 18.17.4.1: 2006-02-01 is 38749 counted from 1900, and 37287 counted from 1904.
        let doubt = read("38749", habits(DayOrder::Unknown)).unwrap_err().remove(0);
        assert_eq!(doubt.missing, Missing::Epoch);
        assert!(doubt.message.contains("counted from 1900 it is 2006-02-01"), "{}", doubt.message);
        for (text, epoch) in [("38749", Epoch::Year1900), ("37287", Epoch::Year1904), ("38749.5", Epoch::Year1900)] {
            let known = Habits { epoch: Some(epoch), ..habits(DayOrder::Unknown) };
            assert_eq!(read(text, known).unwrap().edtf, "2006-02-01", "{text}");
        }
        let known = Habits { epoch: Some(Epoch::Year1900), ..habits(DayOrder::Unknown) };
        assert_eq!(read("1978", known).unwrap().edtf, "1978", "four digits are a year");
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_asked_about() {
        assert_eq!(
            asked("03/04/1975", DayOrder::Unknown),
            "`03/04/1975`: day first, it is 1975-04-03; month first, it is 1975-03-04. Say which for the whole sheet \
             in the mapping: `day-first = true` or `day-first = false`"
        );
        let seventy_seven = asked("'77", DayOrder::Unknown);
        assert!(seventy_seven.contains("`1977` (some day from 1977-01-01 to 1977-12-31)"), "{seventy_seven}");
        assert!(asked("late seventies", DayOrder::Unknown).contains("which century"));
        assert!(asked("1977-78", DayOrder::Unknown).contains("is `1977/1978` (some day from 1977-01-01"));
        for text in ["1900s", "long ago", "3/4/77", "1975ish", "about late 1970s", "ma 1975", "31/31/1975"] {
            asked(text, DayOrder::Unknown);
        }
    }

    #[test]
    fn an_answer_for_the_sheet_decides_the_century() {
        let known = Habits { century: Some(1900), ..habits(DayOrder::Unknown) };
        for (text, edtf) in [
            ("77", "1977"),
            ("'05", "1905"),
            ("77?", "1977?"),
            ("late '70s", "1976/1979"),
            ("mid-seventies", "1973/1977"),
            ("ca. 77", "1977~"),
            ("77 or 78", "[1977,1978]"),
            ("before '77", "../1976"),
            ("fall 77", "1977-23"),
            ("13/4/77", "1977-04-13"),
            ("late 1890s", "1896/1899"),
            ("1977-78", "1977/1978"),
        ] {
            assert_eq!(read(text, known).map(|read| read.edtf), Ok(edtf.to_string()), "{text}");
        }
        // A date that is a guess for another reason stays a guess.
        assert_eq!(read("about late '70s", known).unwrap_err()[0].missing, Missing::Meaning);
        let both: Vec<Missing> =
            read("3/4/77", habits(DayOrder::Unknown)).unwrap_err().iter().map(|doubt| doubt.missing).collect();
        assert_eq!(both, [Missing::Century, Missing::Order], "both are asked in one round");
        let known = Habits { order: DayOrder::DayFirst, ..known };
        assert_eq!(read("3/4/77", known).unwrap().edtf, "1977-04-03");
    }

    #[test]
    fn an_answer_for_the_sheet_decides_day_and_month() {
        let day = |text, order| read(text, habits(order)).map(|read| read.edtf);
        assert_eq!(day("03/04/1975", DayOrder::DayFirst).unwrap(), "1975-04-03");
        assert_eq!(day("03/04/1975", DayOrder::MonthFirst).unwrap(), "1975-03-04");
        assert!(asked("3/13/1975", DayOrder::DayFirst).contains("not a date with the day first"));
    }

    #[test]
    fn dates_in_the_notation_keep_no_words() {
        assert!(!read("1976/1979", habits(DayOrder::Unknown)).unwrap().is_in_words);
        assert!(read("late 1970s", habits(DayOrder::Unknown)).unwrap().is_in_words);
        assert_eq!(said_back("1974~", CircaYears(2)), "some day from 1972-01-01 to 1976-12-31");
    }
}
