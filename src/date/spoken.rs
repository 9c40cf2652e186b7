//! A date to the words that people use for it: `1977~` is "about 1977".
//!
//! Says what is written and no more: nothing is widened here, and what "about" comes to is left to others.

use crate::date::edtf::{DateEnd, Edtf};
use crate::date::{Day, DaySpan, days_in_month};

const MONTHS: [&str; 12] = [
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

/// Says a date; nothing where it bounds nothing.
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

/// Says a span of days; nothing where it is open on both sides.
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

/// Says the beginning of what a day begins: a year, a month, or the day itself.
fn begin(first: Day) -> String {
    match (begins_year(first), begins_month(first)) {
        (true, _) => first.year().to_string(),
        (_, true) => month(first),
        _ => day(first),
    }
}

/// Says the end of what a day ends: a year, a month, or the day itself.
fn end(last: Day) -> String {
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

    use super::{MONTHS, date, day};
    use crate::date::Day;
    use crate::date::edtf::Edtf;

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

    #[test]
    fn every_day_of_a_year_is_said_with_the_name_of_its_month() {
        for (month, name) in (1..).zip(MONTHS) {
            assert_eq!(day(Day::from_ymd(1904, month, 9).unwrap()), format!("9 {name} 1904"));
        }
    }
}
