//! A date in a collector's words to a date string, or to the question that has to be asked about it.
//!
//! What words mean, `date::words` says; only what can be read in one way is read without asking.

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::numeral::DayOrder;
use crate::date::words::{self, Candidates, Meaning};
use crate::diagnostic::wording;

/// A date that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DateRead {
    /// The date string.
    pub edtf: String,
    /// Whether it was written in words, which are worth keeping.
    pub is_in_words: bool,
}

/// Reads a date, or gives the question about it.
///
/// ```
/// use bartack::date::edtf::CircaYears;
/// use bartack::date::numeral::DayOrder;
/// use bartack::import::date::read;
/// let late = read("late 1970s", DayOrder::Unknown, CircaYears(2)).unwrap();
/// assert_eq!(late.edtf, "1976/1979");
/// assert!(read("77", DayOrder::Unknown, CircaYears(2)).unwrap_err().contains("which century"));
/// ```
pub fn read(text: &str, order: DayOrder, circa: CircaYears) -> Result<DateRead, String> {
    let text = text.trim();
    match words::meaning(text, order) {
        Meaning::Certain(edtf) => Ok(DateRead { is_in_words: edtf != text, edtf }),
        Meaning::Ambiguous(candidates) => Err(question(text, order, &candidates, circa)),
        Meaning::Unreadable => Err(format!(
            "{} is no date: write a year such as `1978`, or words such as `late 1970s`",
            wording::quote(text)
        )),
    }
}

/// The date string that words most likely mean, as a suggestion: nobody has said so.
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

/// What to ask about a text that cannot be read in one way only.
fn question(text: &str, order: DayOrder, candidates: &Candidates, circa: CircaYears) -> String {
    let quoted = wording::quote(text);
    let with_days = |edtf: &str| format!("`{edtf}` ({})", said_back(edtf, circa));
    match (candidates, order) {
        (Candidates::Centuries { earlier, later }, _) => format!(
            "{quoted}: which century is meant, {} or {}? Write it in the cell, or under `[dates]` in the mapping",
            with_days(earlier),
            with_days(later)
        ),
        (Candidates::DayAndMonth { day_first, month_first }, _) => format!(
            "{quoted}: day first, it is {day_first}; month first, it is {month_first}. Say which for the whole sheet \
             in the mapping: `day-first = true` or `day-first = false`"
        ),
        (_, DayOrder::DayFirst) if is_certain_otherwise(text) => {
            format!("{quoted}: is no day with the day first, as the mapping says")
        }
        (_, DayOrder::MonthFirst) if is_certain_otherwise(text) => {
            format!("{quoted}: is no day with the month first, as the mapping says")
        }
        (Candidates::Likeliest(nearest), _) => format!(
            "{quoted} is not read by itself; is {} meant? Write it in the cell, or under `[dates]` in the mapping",
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

    use super::{read, said_back};
    use crate::date::edtf::CircaYears;
    use crate::date::numeral::DayOrder;

    fn asked(text: &str, order: DayOrder) -> String {
        read(text, order, CircaYears(2)).expect_err(text)
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
    fn an_answer_for_the_sheet_decides_day_and_month() {
        let day = |text, order| read(text, order, CircaYears(2)).map(|read| read.edtf);
        assert_eq!(day("03/04/1975", DayOrder::DayFirst).unwrap(), "1975-04-03");
        assert_eq!(day("03/04/1975", DayOrder::MonthFirst).unwrap(), "1975-03-04");
        assert!(asked("3/13/1975", DayOrder::DayFirst).contains("no day with the day first"));
    }

    #[test]
    fn dates_in_the_notation_keep_no_words() {
        assert!(!read("1976/1979", DayOrder::Unknown, CircaYears(2)).unwrap().is_in_words);
        assert!(read("late 1970s", DayOrder::Unknown, CircaYears(2)).unwrap().is_in_words);
        assert_eq!(said_back("1974~", CircaYears(2)), "some day from 1972-01-01 to 1976-12-31");
    }
}
