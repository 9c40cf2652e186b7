//! One date in numbers and names (`3/1976`, Fall 1976, late 1970s) to a date string.
//!
//! Knows English only.

use crate::date::grammar;

/// Which of day and month is written first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum DayOrder {
    /// Not known.
    #[default]
    Unknown,
    /// 3/4/1975 is the third of April.
    DayFirst,
    /// 3/4/1975 is the fourth of March.
    MonthFirst,
}

/// How words are read: the assumptions, and whether guesses are allowed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Manner {
    pub(super) century: Century,
    pub(super) order: DayOrder,
    pub(super) guesses: Guesses,
}

/// Whether a text that is no date, or may be several, is read as its likeliest meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Guesses {
    Allowed,
    Refused,
}

impl Manner {
    pub(super) fn guesses(self) -> bool {
        self.guesses == Guesses::Allowed
    }

    /// Guesses that points between numbers put the day first.
    fn with_points(self, text: &str) -> Manner {
        let is_guess = self.guesses() && self.order == DayOrder::Unknown && text.contains('.');
        Manner { order: if is_guess { DayOrder::DayFirst } else { self.order }, ..self }
    }
}

/// Which century a year of two digits is read in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Century {
    /// Only years with their century written are read.
    Written,
    /// The earlier of the two likely ones.
    Earlier,
    /// The later of the two likely ones.
    Later,
    /// The one that begins with this year.
    Given(u16),
}

/// The months by their English names, in small letters.
pub const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

const DECADES: [&str; 8] =
    ["twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"];

/// Reads one date; a part of a decade gives an interval of years.
pub(super) fn read(text: &str, manner: Manner) -> Option<String> {
    let text = text.trim().trim_start_matches("the ").trim_start_matches("year ");
    part_of_decade(text, manner)
        .or_else(|| decade(text, manner).map(|decade| format!("{decade}X")))
        .or_else(|| whole_century(text).filter(|_| manner.guesses()))
        .or_else(|| letter_year(text).filter(|_| manner.guesses()))
        .or_else(|| tokens(text, manner))
}

fn part_of_decade(text: &str, manner: Manner) -> Option<String> {
    let parts = [("early", '0', '3'), ("mid", '3', '7'), ("middle", '3', '7'), ("late", '6', '9')];
    parts.into_iter().find_map(|(word, first, last)| {
        let rest = text.strip_prefix(word)?.strip_prefix([' ', '-'])?;
        let decade = decade(rest.trim_start_matches("of ").trim_start_matches("the "), manner)?;
        // "early 1900s" may speak of the century.
        (!decade.contains('X')).then(|| format!("{decade}{first}/{decade}{last}"))
    })
}

/// Reads "1970s", "70s", "seventies" to the first three digits; "1900s" may be the decade or the century.
fn decade(text: &str, manner: Manner) -> Option<String> {
    if let Some(place) = DECADES.iter().position(|name| *name == text) {
        return full_year(20 + 10 * place as u16, manner).map(|year| year[..3].to_owned());
    }
    let digits = text.trim_start_matches('\'').strip_suffix('s')?.trim_end_matches('\'').strip_suffix('0')?;
    match (digits.len(), digits.parse::<u16>().ok()?) {
        (3, whole) if whole % 10 == 0 => manner.guesses().then(|| format!("{}X", &digits[..2])),
        (3, _) => Some(digits.to_owned()),
        (1, tens) => full_year(tens * 10, manner).map(|year| year[..3].to_owned()),
        _ => None,
    }
}

fn whole_century(text: &str) -> Option<String> {
    let (ordinal, rest) = text.split_once(' ')?;
    let number: u16 = without_ordinal(ordinal).parse().ok()?;
    let is_century = ["century", "c", "cent"].contains(&rest);
    (is_century && (1..=99).contains(&number)).then(|| format!("{:02}XX", number - 1))
}

/// Reads the notation's own `Y1985` and `1950S2` where a year of four digits says the same.
fn letter_year(text: &str) -> Option<String> {
    if let Some(year) = text.strip_prefix('y') {
        return whole_year(year);
    }
    let (year, significant) = text.split_once('s')?;
    let count: usize = significant.parse().ok()?;
    let year = whole_year(year)?;
    (1..=4).contains(&count).then(|| format!("{}{}", &year[..count], &"XXXX"[count..]))
}

fn tokens(text: &str, manner: Manner) -> Option<String> {
    let whole = text.trim_matches(['-', '+', '/']);
    if !manner.guesses() && whole.len() < text.len() {
        return None;
    }
    let text = text.trim_start_matches(['-', '+']);
    let tokens: Vec<&str> = text.split([' ', '.', ',', '/', '-', ':']).filter(is_telling).collect();
    let year = |token: &str| year_token(token, manner);
    match tokens.as_slice() {
        [one] => year(one).or_else(|| run_together(one, manner).filter(|_| manner.guesses())),
        [one, two] => {
            let forward = year(two).and_then(|year| within_year(&year, one, manner));
            forward.or_else(|| year(one).and_then(|year| within_year(&year, two, manner)))
        }
        [one, two, three] => {
            let forward = || year(one).and_then(|year| forward(&year, two, three, manner));
            let backward = || backward(&year(three)?, one, two, manner.with_points(text));
            // A number that may be a day is one if a year follows: `12 March 77`.
            let is_day = small(one).is_some_and(|day| day <= 31);
            if is_day { backward().or_else(forward) } else { forward().or_else(backward) }
        }
        [one, two, three, ..] if manner.guesses() && (three.contains('t') || text.contains(':')) => {
            nearest_day(&year(one)?, small(two)?, small(without_time(three))?, manner)
        }
        _ => None,
    }
}

/// Reads month and day behind a year.
fn forward(year: &str, two: &str, three: &str, manner: Manner) -> Option<String> {
    if manner.guesses() && season(year, two).is_some() {
        return season(year, two);
    }
    let number = small(two).filter(|_| manner.guesses());
    nearest_day(year, month(two).or(number)?, small(without_time(three))?, manner)
}

fn is_telling(token: &&str) -> bool {
    !["", "of", "in", "the", "year"].contains(token)
}

/// Reads day and month in front of a year; gives both orders if either fits and guesses are allowed.
fn backward(year: &str, one: &str, two: &str, manner: Manner) -> Option<String> {
    if let Some((month, day)) = month(one).zip(small(two)).or_else(|| month(two).zip(small(one))) {
        return nearest_day(year, month, day, manner);
    }
    let (one, two) = (small(one)?, small(two)?);
    let day_first = || nearest_day(year, two, one, manner);
    let month_first = || nearest_day(year, one, two, manner);
    match manner.order {
        DayOrder::DayFirst => day_first(),
        DayOrder::MonthFirst => month_first(),
        DayOrder::Unknown if one <= 12 && two <= 12 && one != two => {
            manner.guesses().then(|| Some(format!("[{},{}]", month_first()?, day_first()?))).flatten()
        }
        DayOrder::Unknown if two <= 12 => day_first(),
        DayOrder::Unknown => month_first(),
    }
}

/// Reads a season, a month or the notation's codes for other parts of a year.
///
/// A number alone may also be a year that leaves out its century.
fn within_year(year: &str, token: &str, manner: Manner) -> Option<String> {
    let is_name = token.bytes().all(|byte| byte.is_ascii_alphabetic()) && small(token).is_none();
    if !is_name && !manner.guesses() {
        return None;
    }
    if let Some(season) = season(year, token) {
        return Some(season);
    }
    match month(token).or_else(|| small(token))? {
        0 => Some(format!("{year}-XX")),
        code @ 25..=41 => Some(grouping(year, code)),
        number @ ..=12 => Some(format!("{year}-{number:02}")),
        // There is no such month, and nothing says which was meant.
        _ => Some(year.to_owned()),
    }
}

fn season(year: &str, token: &str) -> Option<String> {
    let code = match token {
        "spring" | "21" => 21,
        "summer" | "22" => 22,
        "fall" | "autumn" | "23" => 23,
        "winter" | "24" => 24,
        _ => return None,
    };
    Some(format!("{year}-{code}"))
}

/// Writes a code from 25 to 41 with seasons and months: seasons by hemisphere, quarters, thirds and halves.
fn grouping(year: &str, code: u16) -> String {
    let months = match code {
        25..=28 => return format!("{year}-{}", code - 4),
        // A southern spring is in the northern autumn.
        29..=32 => return format!("{year}-{}", 21 + (code - 29 + 2) % 4),
        33..=36 => (3 * (code - 33) + 1, 3),
        37..=39 => (4 * (code - 37) + 1, 4),
        _ => (6 * (code - 40) + 1, 6),
    };
    format!("{year}-{:02}/{year}-{:02}", months.0, months.0 + months.1 - 1)
}

/// Gives the day if it exists. If guesses are allowed, gives the date without the part that cannot exist, and reads 0
/// as unspecified. Another day or month is never made up.
fn nearest_day(year: &str, month: u16, day: u16, manner: Manner) -> Option<String> {
    if !manner.guesses() {
        let written = format!("{year}-{month:02}-{day:02}");
        return grammar::parse(&written).is_ok().then_some(written);
    }
    let (month, day) = if month > 12 && (1..=12).contains(&day) { (day, month) } else { (month, day) };
    if month > 12 {
        return Some(year.to_owned());
    }
    let part = |number: u16| if number == 0 { "XX".to_owned() } else { format!("{number:02}") };
    let whole = format!("{year}-{}-{}", part(month), part(day));
    let exists = grammar::parse(&whole).is_ok();
    Some(if exists { whole } else { format!("{year}-{}", part(month)) })
}

fn run_together(token: &str, manner: Manner) -> Option<String> {
    let digits = without_time(token);
    let is_number = digits.bytes().all(|byte| byte.is_ascii_digit());
    match digits.len() {
        8 if is_number => nearest_day(&digits[..4], small(&digits[4..6])?, small(&digits[6..])?, manner),
        6 if is_number => within_year(&digits[..4], &digits[4..], manner),
        _ => None,
    }
}

fn without_time(token: &str) -> &str {
    match token.split_once('t') {
        Some((day, time)) if time.starts_with(|first: char| first.is_ascii_digit()) => day,
        _ => token,
    }
}

fn whole_year(token: &str) -> Option<String> {
    year_token(token, Manner { century: Century::Written, order: DayOrder::Unknown, guesses: Guesses::Allowed })
}

fn year_token(token: &str, manner: Manner) -> Option<String> {
    let is_given = matches!(manner.century, Century::Given(_));
    let written = if is_given { token.trim_start_matches('\'') } else { token };
    if !manner.guesses() && !written.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let digits = token.trim_start_matches('\'').replace(['x', 'u'], "X");
    let is_year = digits.bytes().all(|byte| byte.is_ascii_digit() || byte == b'X');
    match digits.len() {
        4 if digits == "0000" => manner.guesses().then(|| "XXXX".to_owned()),
        4 if is_year => Some(digits),
        2 => full_year(digits.parse().ok()?, manner),
        _ => None,
    }
}

/// Adds a century to two digits. What is dated here is from 1830 to 2029.
fn full_year(two_digits: u16, manner: Manner) -> Option<String> {
    let earlier = if two_digits < 30 { 1900 } else { 1800 };
    match manner.century {
        Century::Written => None,
        Century::Earlier => Some((earlier + two_digits).to_string()),
        Century::Later => Some((earlier + 100 + two_digits).to_string()),
        Century::Given(first) => Some(first.saturating_add(two_digits).to_string()),
    }
}

/// Reads a month's name or its first three or more letters.
fn month(token: &str) -> Option<u16> {
    if token.len() < 3 {
        return None;
    }
    MONTHS.iter().position(|name| name.starts_with(token)).map(|place| place as u16 + 1)
}

/// Reads a number of one or two digits; if one of them is unspecified, the number counts as 0.
fn small(token: &str) -> Option<u16> {
    let token = without_ordinal(token);
    match token.len() {
        1 | 2 if token.bytes().all(|byte| byte.is_ascii_digit()) => token.parse().ok(),
        2 if token.bytes().all(|byte| byte.is_ascii_digit() || b"xu".contains(&byte)) => Some(0),
        _ => None,
    }
}

fn without_ordinal(token: &str) -> &str {
    ["th", "st", "nd", "rd"].iter().find_map(|suffix| token.strip_suffix(suffix)).unwrap_or(token)
}
