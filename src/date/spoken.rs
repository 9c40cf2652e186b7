//! Says a date in everyday words: `1977~` is "about 1977".
//!
//! Says only what is written: nothing is widened here, and how far "about" reaches is decided elsewhere.

use crate::date::edtf::{DateEnd, Edtf};
use crate::date::{Day, DaySpan, days_in_month};

/// The names of the months, January first.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Says a date; `None` if it bounds nothing.
///
/// ```
/// use bartack::date::{edtf::Edtf, spoken};
/// let said = |text: &str| spoken::date(&Edtf::parse(text).unwrap()).unwrap();
/// assert_eq!(said("1967/1969"), "1967–69");
/// assert_eq!(said("1977~"), "about 1977");
/// assert_eq!(said("1967-09"), "September 1967");
/// ```
pub fn date(date: &Edtf) -> Option<String> {
    let doubt = if date.is_uncertain() { "perhaps " } else { "" };
    let said = match date.ends() {
        Some((begin, end)) => interval(date, begin, end)?,
        None => {
            let members: Option<Vec<String>> = date.members().into_iter().map(days).collect();
            format!("{}{}", about(date.is_approximate()), either(&members?))
        }
    };
    Some(format!("{doubt}{said}"))
}

fn interval(date: &Edtf, begin: DateEnd<'_>, end: DateEnd<'_>) -> Option<String> {
    let marks = (begin.is_approximate() || begin.is_open(), end.is_approximate() || end.is_open());
    if marks.0 == marks.1 {
        return Some(format!("{}{}", about(date.is_approximate()), days(date.unwidened())?));
    }
    match (days(begin.unwidened()), days(end.unwidened())) {
        (Some(first), Some(last)) => {
            Some(format!("{}{first} to {}{last}", about(begin.is_approximate()), about(end.is_approximate())))
        }
        _ => days(date.unwidened()),
    }
}

fn about(is_approximate: bool) -> &'static str {
    if is_approximate { "about " } else { "" }
}

fn either(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.clone(),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}

/// Says a span of days; `None` if it is open on both sides.
pub fn days(span: DaySpan) -> Option<String> {
    match (span.first(), span.last()) {
        (None, None) => None,
        (Some(first), None) => Some(format!("{} or later", begin(first))),
        (None, Some(last)) => Some(format!("{} or earlier", end(last))),
        (Some(first), Some(last)) => Some(between(first, last)),
    }
}

fn between(first: Day, last: Day) -> String {
    let ((year, month, _), (last_year, last_month, _)) = (first.ymd(), last.ymd());
    if first == last {
        day(first)
    } else if begins_year(first) && ends_year(last) {
        years(year, last_year)
    } else if !begins_month(first) || !ends_month(last) {
        format!("{} to {}", day(first), day(last))
    } else if (year, month) == (last_year, last_month) {
        self::month(first)
    } else if year == last_year {
        format!("{}–{}", name(month), self::month(last))
    } else {
        format!("{} to {}", self::month(first), self::month(last))
    }
}

fn years(first: i32, last: i32) -> String {
    if first == last {
        first.to_string()
    } else if first % 10 == 0 && first % 100 != 0 && last == first + 9 {
        format!("{first}s")
    } else if first.div_euclid(100) == last.div_euclid(100) {
        format!("{first}–{:02}", last.rem_euclid(100))
    } else {
        format!("{first}–{last}")
    }
}

/// Says that something happened within a span, as part of a sentence: `in 1977`, `from March to May 1971`.
pub fn within(span: DaySpan) -> String {
    match (span.first(), span.last()) {
        (None, None) => "at some time".to_string(),
        (Some(first), Some(last)) if first == last => format!("on {}", day(first)),
        (Some(first), Some(last)) => from_to(first, last),
        (Some(first), None) if begins_month(first) => format!("in or after {}", begin(first)),
        (Some(first), None) => format!("on or after {}", day(first)),
        (None, Some(last)) if ends_month(last) => format!("in or before {}", end(last)),
        (None, Some(last)) => format!("on or before {}", day(last)),
    }
}

fn from_to(first: Day, last: Day) -> String {
    let ((year, month, _), (last_year, last_month, _)) = (first.ymd(), last.ymd());
    let (are_years, are_months) = (begins_year(first) && ends_year(last), begins_month(first) && ends_month(last));
    if are_years && year == last_year {
        format!("in {year}")
    } else if are_years {
        format!("from {year} to {last_year}")
    } else if are_months && (year, month) == (last_year, last_month) {
        format!("in {}", self::month(first))
    } else if are_months && year == last_year {
        format!("from {} to {}", name(month), self::month(last))
    } else if are_months {
        format!("from {} to {}", self::month(first), self::month(last))
    } else {
        format!("from {} to {}", day(first), day(last))
    }
}

/// Says a day for use after `before`: `1962` means its first day.
pub fn before(day: Day) -> String {
    if begins_month(day) { begin(day) } else { by(day) }
}

/// Says a day for use after `by`: `the end of 1961`.
pub fn by(day: Day) -> String {
    if ends_month(day) {
        format!("the end of {}", end(day))
    } else if begins_month(day) {
        format!("the beginning of {}", begin(day))
    } else {
        self::day(day)
    }
}

/// Says the longest period that a day begins: a year, a month, or the day itself.
pub fn begin(first: Day) -> String {
    match (begins_year(first), begins_month(first)) {
        (true, _) => first.year().to_string(),
        (_, true) => month(first),
        _ => day(first),
    }
}

/// Says the end of the longest period that a day ends: a year, a month, or the day itself.
pub fn end(last: Day) -> String {
    match (ends_year(last), ends_month(last)) {
        (true, _) => last.year().to_string(),
        (_, true) => month(last),
        _ => day(last),
    }
}

/// Says a day: `17 September 1967`.
pub fn day(day: Day) -> String {
    format!("{} {}", day.ymd().2, month(day))
}

/// Says the month of a day: `September 1967`.
pub fn month(day: Day) -> String {
    let (year, month, _) = day.ymd();
    format!("{} {year}", name(month))
}

fn name(month: u8) -> &'static str {
    MONTHS[usize::from(month) - 1]
}

fn begins_year(day: Day) -> bool {
    let (_, month, number) = day.ymd();
    (month, number) == (1, 1)
}

fn ends_year(day: Day) -> bool {
    let (_, month, number) = day.ymd();
    (month, number) == (12, 31)
}

fn begins_month(day: Day) -> bool {
    day.ymd().2 == 1
}

fn ends_month(day: Day) -> bool {
    let (year, month, number) = day.ymd();
    number == days_in_month(year, month)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{MONTHS, before, by, date, day, within};
    use crate::date::edtf::Edtf;
    use crate::date::{Day, DaySpan};

    #[test]
    fn dates_are_said_as_people_say_them() {
        let rows = [
            ("1967", "1967"),
            ("1967~", "about 1967"),
            ("1967?", "perhaps 1967"),
            ("1967%", "perhaps about 1967"),
            ("197X", "1970s"),
            ("190X", "1900–09"),
            ("1967-09", "September 1967"),
            ("1967-09~", "about September 1967"),
            ("1967-09-17", "17 September 1967"),
            ("1967-XX", "1967"),
            ("1967-21", "March–May 1967"),
            ("1967-24", "December 1967 to February 1968"),
            ("1967/1969", "1967–69"),
            ("1970/1979", "1970s"),
            ("1998/2003", "1998–2003"),
            ("1905/1909", "1905–09"),
            ("1984~/1987~", "about 1984–87"),
            ("1984~/1987", "about 1984 to 1987"),
            ("1984/1987~", "1984 to about 1987"),
            ("1971-03/1971-05", "March–May 1971"),
            ("1971-03/1972-05", "March 1971 to May 1972"),
            ("1971-03-02/1971-03-09", "2 March 1971 to 9 March 1971"),
            ("1977/..", "1977 or later"),
            ("1977~/..", "about 1977 or later"),
            ("/1977-02", "February 1977 or earlier"),
            ("1977-03-05/", "5 March 1977 or later"),
            ("[1964,1974]", "1964 or 1974"),
            ("[1964,1974,1984]", "1964, 1974 or 1984"),
            ("[1971..1976]", "1971–76"),
        ];
        for (text, said) in rows {
            assert_eq!(date(&Edtf::parse(text).unwrap()).as_deref(), Some(said), "{text}");
        }
        for text in ["XXXX", "../..", "/"] {
            assert_eq!(date(&Edtf::parse(text).unwrap()), None, "{text}");
        }
    }

    fn between(first: Option<(i32, u8, u8)>, last: Option<(i32, u8, u8)>) -> String {
        let day = |date: (i32, u8, u8)| Day::from_ymd(date.0, date.1, date.2).unwrap();
        within(DaySpan::new(first.map(day), last.map(day)).unwrap())
    }

    #[test]
    fn a_span_is_said_in_the_widest_units_that_it_fills() {
        let rows = [
            (Some((1977, 1, 1)), Some((1977, 12, 31)), "in 1977"),
            (Some((1975, 1, 1)), Some((1979, 12, 31)), "from 1975 to 1979"),
            (Some((1971, 4, 1)), Some((1971, 4, 30)), "in April 1971"),
            (Some((1971, 3, 1)), Some((1971, 5, 31)), "from March to May 1971"),
            (Some((1971, 3, 1)), Some((1972, 12, 31)), "from March 1971 to December 1972"),
            (Some((1971, 3, 2)), Some((1972, 12, 31)), "from 2 March 1971 to 31 December 1972"),
            (Some((1971, 3, 2)), Some((1971, 3, 2)), "on 2 March 1971"),
            (Some((1971, 1, 1)), None, "in or after 1971"),
            (Some((1971, 3, 1)), None, "in or after March 1971"),
            (Some((1971, 3, 2)), None, "on or after 2 March 1971"),
            (None, Some((1904, 2, 29)), "in or before February 1904"),
            (None, Some((1904, 2, 28)), "on or before 28 February 1904"),
            (None, None, "at some time"),
        ];
        for (first, last, said) in rows {
            assert_eq!(between(first, last), said);
        }
    }

    #[test]
    fn a_bound_is_said_by_the_year_or_month_that_it_opens_or_closes() {
        let rows = [
            ((1962, 1, 1), "1962", "the beginning of 1962"),
            ((1962, 4, 1), "April 1962", "the beginning of April 1962"),
            ((1962, 4, 30), "the end of April 1962", "the end of April 1962"),
            ((1962, 12, 31), "the end of 1962", "the end of 1962"),
            ((1962, 4, 17), "17 April 1962", "17 April 1962"),
        ];
        for ((year, month, number), said_before, said_by) in rows {
            let day = Day::from_ymd(year, month, number).unwrap();
            assert_eq!((before(day), by(day)), (said_before.to_string(), said_by.to_string()));
        }
    }

    #[test]
    fn every_day_of_a_year_is_said_with_the_name_of_its_month() {
        for (month, name) in (1..).zip(MONTHS) {
            assert_eq!(day(Day::from_ymd(1904, month, 9).unwrap()), format!("9 {name} 1904"));
        }
    }
}
