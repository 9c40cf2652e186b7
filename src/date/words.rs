//! Reads a date in words: one certain date, or candidates from which a person has to choose.
//!
//! The one grammar behind the nearest spelling of a refused date string and behind imports. Knows English only.

use crate::date::fault::{DateFault, DateProblem};
use crate::date::numeral::{Century, DayOrder, Guesses, Manner};
use crate::date::{grammar, nearest, phrase};

/// The meaning of words, as date strings that the grammar accepts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// They can be read in one way only.
    Certain(String),
    /// Somebody has to choose.
    Ambiguous(Candidates),
    /// They name no date.
    Unreadable,
}

/// The choice that a person has to make.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Candidates {
    /// The century is missing.
    Centuries {
        /// In the earlier of the two likely centuries.
        earlier: String,
        /// In the later of the two likely centuries.
        later: String,
    },
    /// Day and month may change places.
    DayAndMonth {
        /// With the day first.
        day_first: String,
        /// With the month first.
        month_first: String,
    },
    /// Their likeliest meanings; none is certain.
    Likeliest(String),
}

/// Says what words mean.
///
/// ```
/// use bartack::date::numeral::DayOrder;
/// use bartack::date::words::{Candidates, Meaning, meaning};
/// assert_eq!(meaning("late 1970s", DayOrder::Unknown), Meaning::Certain("1976/1979".to_string()));
/// let guess = Candidates::Likeliest("1977/1978".to_string());
/// assert_eq!(meaning("1977-78", DayOrder::Unknown), Meaning::Ambiguous(guess));
/// ```
pub fn meaning(text: &str, order: DayOrder) -> Meaning {
    meaning_within(text, order, Century::Written)
}

/// Says what words mean, with years of two digits in the century that begins with a year.
///
/// ```
/// use bartack::date::numeral::DayOrder;
/// use bartack::date::words::{Meaning, meaning_in};
/// assert_eq!(meaning_in("late '70s", DayOrder::Unknown, 1900), Meaning::Certain("1976/1979".to_string()));
/// ```
pub fn meaning_in(text: &str, order: DayOrder, century: u16) -> Meaning {
    meaning_within(text, order, Century::Given(century))
}

fn meaning_within(text: &str, order: DayOrder, century: Century) -> Meaning {
    match grammar::parse(text.trim()) {
        Ok(_) => return Meaning::Certain(text.trim().to_string()),
        Err(fault) if fault.problem == DateProblem::TooLong => return Meaning::Unreadable,
        Err(_) => (),
    }
    let plain = plain(text);
    let sure = |words: &str, order| reading(words, Manner { century, order, guesses: Guesses::Refused });
    let certain = |order| sure(&plain, order).or_else(|| with_doubt(&plain, century, |words| sure(words, order)));
    if let Some(date) = certain(order) {
        return Meaning::Certain(date);
    }
    if let Some((day_first, month_first)) = certain(DayOrder::DayFirst).zip(certain(DayOrder::MonthFirst)) {
        return Meaning::Ambiguous(Candidates::DayAndMonth { day_first, month_first });
    }
    let guess = |century| reading(&plain, Manner { century, order, guesses: Guesses::Allowed });
    if let Some(likeliest) = guess(century) {
        return Meaning::Ambiguous(Candidates::Likeliest(likeliest));
    }
    match guess(Century::Earlier).zip(guess(Century::Later)) {
        Some((earlier, later)) => Meaning::Ambiguous(Candidates::Centuries { earlier, later }),
        None => Meaning::Unreadable,
    }
}

/// Adds the nearest valid spelling to a fault, or turns it into the question which century is meant.
///
/// What it suggests is never used in place of what was written.
pub(super) fn suggested(text: &str, fault: DateFault) -> DateFault {
    if fault.problem == DateProblem::TooLong {
        return fault;
    }
    let nearest = match meaning(text, DayOrder::Unknown) {
        Meaning::Certain(date) | Meaning::Ambiguous(Candidates::Likeliest(date)) => date,
        Meaning::Ambiguous(Candidates::DayAndMonth { day_first, month_first }) => match text.contains('.') {
            // Points between numbers are written where the day comes first.
            true => day_first,
            false => format!("[{month_first},{day_first}]"),
        },
        Meaning::Ambiguous(Candidates::Centuries { earlier, later }) => {
            return DateFault::new(0, text.len(), DateProblem::WhichCentury { earlier, later });
        }
        Meaning::Unreadable => return fault,
    };
    DateFault { nearest: Some(nearest), ..fault }
}

/// Reads `77?` if the century is known: one date with a mark behind it, as in the notation.
fn with_doubt(plain: &str, century: Century, read: impl Fn(&str) -> Option<String>) -> Option<String> {
    let bare = plain.strip_suffix('?').filter(|_| century != Century::Written)?;
    let date = read(bare.trim_end()).filter(|date| !date.contains(['/', '[', '.']))?;
    Some(format!("{date}?")).filter(|date| grammar::parse(date).is_ok())
}

fn reading(plain: &str, manner: Manner) -> Option<String> {
    let spelling = nearest::notation(plain).filter(|_| manner.guesses());
    let candidates = spelling.into_iter().chain(phrase::readings(plain, manner));
    candidates.into_iter().find(|candidate| grammar::parse(candidate).is_ok())
}

/// Makes dashes, apostrophes, spaces and capitals uniform.
fn plain(text: &str) -> String {
    let characters = text.chars().filter_map(|character| match character {
        '\u{2010}'..='\u{2015}' | '\u{2212}' => Some('-'),
        '\u{2018}' | '\u{2019}' | '`' | '´' => Some('\''),
        '(' | ')' | '"' => None,
        other if other.is_whitespace() => Some(' '),
        other => Some(other),
    });
    let words: String = characters.flat_map(char::to_lowercase).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    words.join(" ").trim_end_matches([' ', '.', ',', ';']).to_owned()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Candidates, Meaning, meaning};
    use crate::date::edtf::Edtf;
    use crate::date::fault::DateProblem;
    use crate::date::numeral::DayOrder;

    fn nearest(text: &str) -> Option<String> {
        Edtf::parse(text).expect_err(text).nearest
    }

    /// The message about words that are no date: the nearest spelling, and whether it is certain.
    fn told(text: &str) -> String {
        let how = match meaning(text, DayOrder::Unknown) {
            Meaning::Certain(date) => format!("certain {date}"),
            Meaning::Ambiguous(Candidates::Likeliest(date)) => format!("likely {date}"),
            Meaning::Ambiguous(Candidates::DayAndMonth { day_first, month_first }) => {
                format!("day or month: {day_first} or {month_first}")
            }
            Meaning::Ambiguous(Candidates::Centuries { earlier, later }) => {
                format!("which century: {earlier} or {later}")
            }
            Meaning::Unreadable => "unreadable".to_owned(),
        };
        let nearest = nearest(text).unwrap_or("nothing".to_owned());
        // The text that an import reads or proposes is the nearest spelling of a refused date.
        let how = how.strip_suffix(&nearest).map_or(how.as_str(), str::trim_end);
        format!("{text} => {nearest} | {how}")
    }

    #[test]
    fn words_mean_these_dates_as_nearest_spelling_and_in_an_import() {
        let rows: Vec<&str> = include_str!("words.txt").lines().filter(|line| !line.starts_with('#')).collect();
        let given = rows.iter().map(|row| told(row.split_once(" => ").unwrap().0));
        let wrong: Vec<String> =
            given.zip(&rows).filter(|(given, row)| given != *row).map(|(given, _)| given).collect();
        assert!(wrong.is_empty(), "{wrong:#?}");
        let date = |row: &str| row.split([' ', '|']).next().unwrap().to_owned();
        let dates = || rows.iter().map(|row| date(row.split_once(" => ").unwrap().1)).filter(|date| date != "nothing");
        assert!(dates().count() > 190 && dates().all(|date| Edtf::parse(&date).is_ok()));
        assert!(rows.len() > dates().count() + 50, "and many that name no date, or one of two");
    }

    #[test]
    fn an_order_that_is_said_decides_day_and_month() {
        let rows = [
            ("03/04/1975", DayOrder::DayFirst, "1975-04-03"),
            ("03/04/1975", DayOrder::MonthFirst, "1975-03-04"),
            ("3.4.1975", DayOrder::MonthFirst, "1975-03-04"),
            ("13/3/1975", DayOrder::DayFirst, "1975-03-13"),
        ];
        for (text, order, expected) in rows {
            assert_eq!(meaning(text, order), Meaning::Certain(expected.to_owned()), "{text}");
        }
        let guess = Candidates::Likeliest("1975-03-13".to_owned());
        assert_eq!(meaning("3/13/1975", DayOrder::DayFirst), Meaning::Ambiguous(guess));
    }

    #[test]
    fn year_of_two_digits_asks_which_century() {
        let rows = [
            ("77", "1877", "1977"),
            ("'77", "1877", "1977"),
            ("’77", "1877", "1977"),
            ("ca. '77", "1877~", "1977~"),
            ("77?", "1877?", "1977?"),
            ("77-78", "1877/1878", "1977/1978"),
            ("77 or 78", "[1877,1878]", "[1977,1978]"),
            ("77/78", "1877/1878", "1977/1978"),
            ("70s", "187X", "197X"),
            ("late '70s", "1876/1879", "1976/1979"),
            ("late seventies", "1876/1879", "1976/1979"),
            ("fall 77", "1877-23", "1977-23"),
            ("12/77", "1877-12", "1977-12"),
            ("before 77", "../1876", "../1976"),
            ("05", "1905", "2005"),
            ("85", "1885", "1985"),
        ];
        for (text, earlier, later) in rows {
            let fault = Edtf::parse(text).expect_err(text);
            let (earlier, later) = (earlier.to_owned(), later.to_owned());
            assert_eq!(fault.problem, DateProblem::WhichCentury { earlier, later }, "{text}");
            assert_eq!((fault.start, fault.end, fault.nearest), (0, text.len(), None), "{text}");
        }
    }

    /// `1953-~07?` was taken for two years and answered with the question which century is meant.
    #[test]
    fn marks_on_both_sides_of_a_part_do_not_ask_which_century() {
        let marks = ["", "?", "~", "%"];
        let all = || marks.into_iter().flat_map(|one| marks.map(|other| (one, other)));
        for (year, month) in all().flat_map(|year| all().map(move |month| (year, month))) {
            let text = format!("{}1953{}-{}07{}", year.0, year.1, month.0, month.1);
            let Err(fault) = Edtf::parse(&text) else { continue };
            let spelling = fault.nearest.expect(&text);
            let (is_approximate, is_uncertain) = (text.contains(['~', '%']), text.contains(['?', '%']));
            assert_eq!(fault.problem, DateProblem::DoubledMark, "{text}");
            assert!(Edtf::parse(&spelling).unwrap().is_uncertain() == is_uncertain, "{text}: {spelling}");
            assert_eq!(spelling.contains(['~', '%']), is_approximate, "{text}: {spelling}");
        }
    }

    #[test]
    fn text_without_any_year_has_no_nearest_spelling() {
        for text in ["", "?", "spring", "March", "..", "[]", "{}", "-", "long ago", "Y170000002", "12:30", "été"] {
            assert_eq!(nearest(text), None, "{text}");
        }
    }
}
