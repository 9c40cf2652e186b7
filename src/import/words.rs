//! A date in a collector's words to a date string, or to the question that has to be asked.
//!
//! Only what can be read in one way is read: a year of two digits, a day and a month that may change places, and
//! whatever is not in the list below come back as a question. Knows English only.

use crate::date::Day;
mod numbers;

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::fault::DateProblem;
use crate::date::numeral::MONTHS;
use crate::diagnostic::wording;

/// Which of day and month is written first in this sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Order {
    /// Nobody has said.
    #[default]
    Unknown,
    /// 3/4/1975 is the third of April.
    DayFirst,
    /// 3/4/1975 is the fourth of March.
    MonthFirst,
}

/// A date that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Read {
    /// The date string.
    pub edtf: String,
    /// Whether it was written in words, which are worth keeping.
    pub is_in_words: bool,
}

const SEASONS: [(&str, u8); 5] = [("spring", 21), ("summer", 22), ("autumn", 23), ("fall", 23), ("winter", 24)];
const ABOUT: [&str; 8] = ["about ", "around ", "circa ", "ca. ", "ca ", "c. ", "c ", "approximately "];
const PARTS: [(&str, char, char); 3] = [("early", '0', '3'), ("mid", '3', '7'), ("late", '6', '9')];

/// Which side of a date a word leaves open.
#[derive(Clone, Copy)]
enum Limit {
    Before,
    UpTo,
    From,
    After,
}

const LIMITS: [(&str, Limit); 10] = [
    ("before ", Limit::Before),
    ("by ", Limit::UpTo),
    ("until ", Limit::UpTo),
    ("till ", Limit::UpTo),
    ("not after ", Limit::UpTo),
    ("no later than ", Limit::UpTo),
    ("since ", Limit::From),
    ("from ", Limit::From),
    ("not before ", Limit::From),
    ("after ", Limit::After),
];

/// Reads a date, or gives the question about it.
///
/// ```
/// use bartack::import::words::{Order, read};
/// use bartack::date::edtf::CircaYears;
/// let late = read("late 1970s", Order::Unknown, CircaYears(2)).unwrap();
/// assert_eq!(late.edtf, "1976/1979");
/// assert!(read("77", Order::Unknown, CircaYears(2)).unwrap_err().contains("which century"));
/// ```
pub fn read(text: &str, order: Order, circa: CircaYears) -> Result<Read, String> {
    let text = text.trim();
    if Edtf::parse(text).is_ok() {
        return Ok(Read { edtf: text.to_string(), is_in_words: false });
    }
    let plain = plain(text);
    if let Some(numbers) = numbers::day_and_month(&plain) {
        let edtf = numbers.in_order(order).map_err(|question| format!("{}: {question}", wording::quote(text)))?;
        return Ok(Read { edtf, is_in_words: true });
    }
    match phrase(&plain).filter(|edtf| Edtf::parse(edtf).is_ok()) {
        Some(edtf) => Ok(Read { edtf, is_in_words: true }),
        None => Err(question(text, circa)),
    }
}

/// The date string that words most likely mean, as a suggestion: nobody has said so.
pub fn likeliest(text: &str) -> Option<String> {
    let fault = Edtf::parse(text.trim()).err()?;
    match fault.problem {
        DateProblem::WhichCentury { later, .. } => Some(later),
        _ => fault.nearest,
    }
}

/// Says which days a date string means; empty for one that is none.
pub fn said_back(edtf: &str, circa: CircaYears) -> String {
    Edtf::parse(edtf).map(|date| date.describe(circa)).unwrap_or_default()
}

/// Brings different dashes, apostrophes, spaces and capitals to one.
fn plain(text: &str) -> String {
    let characters = text.chars().map(|character| match character {
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2018}' | '\u{2019}' => '\'',
        other => other,
    });
    let words: String = characters.flat_map(char::to_lowercase).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    words.join(" ").trim_end_matches(['.', ',', ';']).to_string()
}

fn phrase(plain: &str) -> Option<String> {
    about(plain)
        .or_else(|| limit(plain))
        .or_else(|| part_of_decade(plain))
        .or_else(|| pair(plain))
        .or_else(|| one(plain))
}

/// Reads one date: a year, a decade, a season, a month or a day with its month in words.
fn one(text: &str) -> Option<String> {
    let text = text.strip_prefix("the ").unwrap_or(text);
    let is_precise = matches!(text.len(), 4 | 7 | 10) && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
    if is_precise && Edtf::parse(text).is_ok() {
        return Some(text.to_string());
    }
    decade(text).map(|decade| format!("{decade}X")).or_else(|| named(text))
}

/// Reads "1970s" to its first three digits; "1900s" may be a century, so it is none.
fn decade(text: &str) -> Option<&str> {
    let digits = text.strip_suffix('s')?.trim_end_matches('\'');
    let is_decade = digits.len() == 4 && digits.bytes().all(|byte| byte.is_ascii_digit()) && digits.ends_with('0');
    (is_decade && !digits.ends_with("00")).then(|| &digits[..3])
}

/// Reads "Fall 1976", "March 1976", "12 March 1976" and "March 12, 1976".
fn named(text: &str) -> Option<String> {
    let tokens: Vec<&str> = text.split([' ', ',']).filter(|token| !["", "of", "in"].contains(token)).collect();
    let year = tokens.last().copied().and_then(year)?;
    let day = |token: &str| {
        let digits = token.trim_end_matches(|letter: char| letter.is_ascii_lowercase());
        let ending = &token[digits.len()..];
        digits.parse::<u8>().ok().filter(|_| ["", "st", "nd", "rd", "th"].contains(&ending))
    };
    match tokens.as_slice() {
        [word, _] => {
            let season = SEASONS.iter().find(|(name, _)| name == word).map(|(_, code)| *code);
            season.or_else(|| month(word)).map(|part| format!("{year}-{part:02}"))
        }
        [one, two, _] => {
            let (month, day) = month(one).zip(day(two)).or_else(|| month(two).zip(day(one)))?;
            Some(format!("{year}-{month:02}-{day:02}"))
        }
        _ => None,
    }
}

fn year(text: &str) -> Option<&str> {
    (text.len() == 4 && text.bytes().all(|byte| byte.is_ascii_digit())).then_some(text)
}

fn month(word: &str) -> Option<u8> {
    let word = word.trim_end_matches('.');
    let is_short = word.len() >= 3;
    let place = MONTHS.iter().position(|name| is_short && name.starts_with(word))?;
    u8::try_from(place + 1).ok()
}

fn about(plain: &str) -> Option<String> {
    let rest = ABOUT.iter().find_map(|word| plain.strip_prefix(word))?;
    one(rest).map(|date| format!("{date}~"))
}

fn part_of_decade(plain: &str) -> Option<String> {
    let plain = plain.strip_prefix("the ").unwrap_or(plain);
    PARTS.iter().find_map(|(word, first, last)| {
        let decade = decade(plain.strip_prefix(word)?.strip_prefix([' ', '-'])?)?;
        Some(format!("{decade}{first}/{decade}{last}"))
    })
}

fn limit(plain: &str) -> Option<String> {
    let (rest, limit) = LIMITS.iter().find_map(|(word, limit)| Some((plain.strip_prefix(word)?, *limit)))?;
    let date = one(rest)?;
    let days = Edtf::parse(&date).ok()?.unwidened();
    match limit {
        Limit::Before => neighbour(&date, days.first(), -1).map(|date| format!("../{date}")),
        Limit::UpTo => Some(format!("../{date}")),
        Limit::From => Some(format!("{date}/..")),
        Limit::After => neighbour(&date, days.last(), 1).map(|date| format!("{date}/..")),
    }
}

/// The day, month or year next to a date, written as finely as it is; for a decade, a year.
fn neighbour(date: &str, edge: Option<Day>, step: i32) -> Option<String> {
    let shown = edge?.plus_days(step).to_string();
    Some(shown[..date.len().min(shown.len())].to_string())
}

/// Reads "1974 or 1978", "1974 to 1978", "between 1974 and 1978" and "1974-1978".
fn pair(plain: &str) -> Option<String> {
    if let Some((one_date, other)) = plain.strip_prefix("either ").unwrap_or(plain).split_once(" or ") {
        return Some(format!("[{},{}]", one(one_date)?, one(other)?));
    }
    let (first, last) = match plain.strip_prefix("between ") {
        Some(rest) => rest.split_once(" and ")?,
        None => plain.split_once(" to ").or_else(|| years_with_dash(plain))?,
    };
    Some(format!("{}/{}", one(first)?, one(last)?))
}

fn years_with_dash(plain: &str) -> Option<(&str, &str)> {
    let (first, last) = plain.split_once('-')?;
    Some((year(first.trim())?, year(last.trim())?))
}

/// What to ask about a text that cannot be read in one way only.
fn question(text: &str, circa: CircaYears) -> String {
    let quoted = wording::quote(text);
    let with_days = |edtf: &str| format!("`{edtf}` ({})", said_back(edtf, circa));
    let Err(fault) = Edtf::parse(text) else { return quoted };
    if let DateProblem::WhichCentury { earlier, later } = &fault.problem {
        return format!(
            "{quoted}: which century is meant, {} or {}? Write it in the cell, or under `[dates]` in the mapping",
            with_days(earlier),
            with_days(later)
        );
    }
    match &fault.nearest {
        Some(nearest) => format!(
            "{quoted} is not read by itself; is {} meant? Write it in the cell, or under `[dates]` in the mapping",
            with_days(nearest)
        ),
        None => format!("{quoted} is no date: write a year such as `1978`, or words such as `late 1970s`"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Order, read, said_back};
    use crate::date::edtf::CircaYears;

    fn edtf(text: &str) -> String {
        read(text, Order::Unknown, CircaYears(2)).expect(text).edtf
    }

    fn asked(text: &str, order: Order) -> String {
        read(text, order, CircaYears(2)).expect_err(text)
    }

    #[test]
    fn words_are_read_as_these_dates() {
        let rows = [
            ("1978", "1978"),
            ("1978~", "1978~"),
            ("197X", "197X"),
            ("early 1970s", "1970/1973"),
            ("Mid-1970s", "1973/1977"),
            ("the late 1970s", "1976/1979"),
            ("1970s", "197X"),
            ("1970's", "197X"),
            ("about 1975", "1975~"),
            ("ca. 1975", "1975~"),
            ("c. 1970s", "197X~"),
            ("before 1975", "../1974"),
            ("before March 1975", "../1975-02"),
            ("before 1970s", "../1969"),
            ("by 1975", "../1975"),
            ("until 1975", "../1975"),
            ("not after 1975", "../1975"),
            ("since 1975", "1975/.."),
            ("from 1975", "1975/.."),
            ("after 1976", "1977/.."),
            ("after December 1976", "1977-01/.."),
            ("1974 or 1978", "[1974,1978]"),
            ("Fall 1976", "1976-23"),
            ("autumn of 1976", "1976-23"),
            ("Spring 1976", "1976-21"),
            ("summer, 1976", "1976-22"),
            ("winter 1976", "1976-24"),
            ("March 1976", "1976-03"),
            ("12 Sept. 1976", "1976-09-12"),
            ("March 12th, 1976", "1976-03-12"),
            ("1974 to 1978", "1974/1978"),
            ("between 1974 and 1978", "1974/1978"),
            ("1974–1978", "1974/1978"),
            ("13/3/1977", "1977-03-13"),
            ("3/13/1977", "1977-03-13"),
            ("4.4.1977", "1977-04-04"),
        ];
        for (words, expected) in rows {
            assert_eq!(edtf(words), expected, "{words}");
        }
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_asked_about() {
        assert_eq!(
            asked("03/04/1975", Order::Unknown),
            "`03/04/1975`: day first, it is 1975-04-03; month first, it is 1975-03-04. Say which for the whole sheet \
             in the mapping: `day-first = true` or `day-first = false`"
        );
        let seventy_seven = asked("'77", Order::Unknown);
        assert!(seventy_seven.contains("`1977` (some day from 1977-01-01 to 1977-12-31)"), "{seventy_seven}");
        assert!(asked("late seventies", Order::Unknown).contains("which century"));
        assert!(asked("1977-78", Order::Unknown).contains("is `1977/1978` (some day from 1977-01-01"));
        for text in ["1900s", "long ago", "3/4/77", "1975ish", "about late 1970s", "ma 1975", "31/31/1975"] {
            asked(text, Order::Unknown);
        }
    }

    #[test]
    fn an_answer_for_the_sheet_decides_day_and_month() {
        let day = |text, order| read(text, order, CircaYears(2)).map(|read| read.edtf);
        assert_eq!(day("03/04/1975", Order::DayFirst).unwrap(), "1975-04-03");
        assert_eq!(day("03/04/1975", Order::MonthFirst).unwrap(), "1975-03-04");
        assert!(asked("3/13/1975", Order::DayFirst).contains("no day with the day first"));
    }

    #[test]
    fn dates_in_the_notation_keep_no_words() {
        assert!(!read("1976/1979", Order::Unknown, CircaYears(2)).unwrap().is_in_words);
        assert!(read("late 1970s", Order::Unknown, CircaYears(2)).unwrap().is_in_words);
        assert_eq!(said_back("1974~", CircaYears(2)), "some day from 1972-01-01 to 1976-12-31");
    }
}
