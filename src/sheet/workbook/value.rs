//! Numbers and dates of a workbook as text: no noise of floating point, and a date only as exact as it is shown.
//!
//! What somebody typed as `Mar 1978` a spreadsheet keeps as 1 March 1978 and shows as `Mar-78`: the day is not known.

use crate::date::Day;
use crate::vocabulary::Unit;

/// From which day a workbook counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Epoch {
    /// 1 is 1900-01-01, and 60 is 1900-02-29, a day that never was.
    Year1900,
    /// 0 is 1904-01-01.
    Year1904,
}

/// How much of a date is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Precision {
    Day,
    /// Month and year.
    Month,
    /// The year alone.
    Year,
    /// Day or month, and no year.
    Yearless,
    /// A time of day.
    Time,
}

/// How a number is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Form {
    /// As a date.
    pub date: Option<Precision>,
    /// With this unit behind it.
    pub unit: String,
    /// With at least so many digits, zeros before the others.
    pub digits: usize,
}

/// A number with the fifteen digits that spreadsheets show.
///
/// ```
/// use bartack::sheet::workbook::value::number;
/// assert_eq!((number(0.1 + 0.2), number(8.0), number(-0.0)), ("0.3".into(), "8".into(), "0".into()));
/// ```
pub fn number(value: f64) -> String {
    let rounded: f64 = format!("{value:.14e}").parse().unwrap_or(value);
    if rounded == 0.0 { "0".to_string() } else { rounded.to_string() }
}

/// A number as its form shows it.
pub fn shown(value: f64, epoch: Epoch, form: &Form) -> String {
    if let Some(precision) = form.date {
        return date(value, epoch, precision).unwrap_or_else(|| number(value));
    }
    let plain = number(value);
    let is_whole = !plain.is_empty() && plain.bytes().all(|byte| byte.is_ascii_digit());
    let padded = if is_whole { format!("{plain:0>0$}", form.digits) } else { plain };
    if form.unit.is_empty() { padded } else { format!("{padded} {}", form.unit) }
}

/// The date of a day number, as exact as the cell shows it; `None` for a number that means no date.
pub fn date(value: f64, epoch: Epoch, precision: Precision) -> Option<String> {
    if precision == Precision::Time {
        let minutes = (value.fract() * 1440.0).round() as u32;
        return (0.0..1.0).contains(&value).then(|| format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60));
    }
    let serial = value.floor();
    // The bounds are those of ECMA-376 for both systems.
    let (first, last) = match epoch {
        Epoch::Year1900 => (1.0, 2_958_465.0),
        Epoch::Year1904 => (0.0, 2_957_003.0),
    };
    if !(first..=last).contains(&serial) {
        return None;
    }
    let serial = serial as i32;
    let begin = match epoch {
        Epoch::Year1900 if serial == 60 => return Some("1900-02-29".to_string()),
        Epoch::Year1900 if serial < 60 => Day::from_ymd(1899, 12, 31)?,
        Epoch::Year1900 => Day::from_ymd(1899, 12, 30)?,
        Epoch::Year1904 => Day::from_ymd(1904, 1, 1)?,
    };
    Some(exact(begin.plus_days(serial), precision))
}

/// A day, as exact as it is shown.
pub fn exact(day: Day, precision: Precision) -> String {
    let (year, month, _) = day.ymd();
    match precision {
        Precision::Day | Precision::Time => day.to_string(),
        Precision::Month => format!("{year:04}-{month:02}"),
        Precision::Year => format!("{year:04}"),
        Precision::Yearless => format!("{day}, shown without its year"),
    }
}

/// The form that the code of a number format describes (ECMA-376 Part 1, 18.8.31).
pub fn form(code: &str) -> Form {
    let section = first_section(code);
    if section.letters.contains("general") {
        return Form::default();
    }
    let has = |letters: &[char]| section.letters.contains(letters);
    let (year, day, time) = (has(&['y']), has(&['d']), has(&['h', 's']));
    let date = match (year, has(&['m']), day, time) {
        _ if section.is_elapsed => None,
        (false, false, false, false) => None,
        (true, _, true, _) => Some(Precision::Day),
        (true, true, false, _) => Some(Precision::Month),
        (true, false, false, _) => Some(Precision::Year),
        (false, _, false, true) => Some(Precision::Time),
        (false, ..) => Some(Precision::Yearless),
    };
    let ending = section.ending.trim();
    let unit = if Unit::named(ending).is_some() { ending.to_string() } else { String::new() };
    let is_zeros = section.signs.len() > 1 && section.signs.bytes().all(|sign| sign == b'0');
    Form { date, unit, digits: if is_zeros { section.signs.len() } else { 0 } }
}

/// The part of a code for positive numbers, sorted by what its characters do.
#[derive(Default)]
struct Section {
    /// The letters that stand for parts of a date.
    letters: String,
    /// The characters that stand for digits, with what is between them.
    signs: String,
    /// The words behind the last digit.
    ending: String,
    is_elapsed: bool,
}

fn first_section(code: &str) -> Section {
    let mut section = Section::default();
    let lower = code.to_lowercase().replace("am/pm", "h").replace("a/p", "h");
    let mut characters = lower.chars();
    while let Some(character) = characters.next() {
        match character {
            '"' => section.ending.extend(characters.by_ref().take_while(|inner| *inner != '"')),
            '\\' => section.ending.extend(characters.next()),
            // The width of a character, or a character that fills the cell.
            '_' | '*' => drop(characters.next()),
            '[' => {
                let inner: String = characters.by_ref().take_while(|inner| *inner != ']').collect();
                let is_elapsed = !inner.is_empty() && inner.chars().all(|inner| "hms".contains(inner));
                section.is_elapsed |= is_elapsed;
            }
            ';' => break,
            '0' | '#' | '?' | '.' | ',' => {
                section.signs.push(character);
                section.ending.clear();
            }
            letter if letter.is_alphabetic() => section.letters.push(letter),
            ' ' => section.ending.push(' '),
            '%' | '/' => section.signs.push(character),
            _ => {}
        }
    }
    section
}

#[cfg(test)]
mod tests {
    use super::{Epoch, Form, Precision, date, form, number, shown};

    #[test]
    fn codes_say_how_exact_a_date_is() {
        // The codes of the formats 14 to 22 and 45 to 47 are those of ECMA-376 Part 1, 18.8.30.
        for (code, precision) in [
            ("mm-dd-yy", Some(Precision::Day)),
            ("d-mmm-yy", Some(Precision::Day)),
            ("d-mmm", Some(Precision::Yearless)),
            ("mmm-yy", Some(Precision::Month)),
            ("h:mm AM/PM", Some(Precision::Time)),
            ("m/d/yy h:mm", Some(Precision::Day)),
            ("mm:ss", Some(Precision::Time)),
            ("[h]:mm:ss", None),
            ("yyyy", Some(Precision::Year)),
            ("[$-407]mmmm\\ yyyy;@", Some(Precision::Month)),
            ("dddd\", the \"d\\.mmmm\\ yyyy", Some(Precision::Day)),
            ("General", None),
            ("#,##0.00 [$€-407]", None),
            ("0\" days\"", None),
            ("@", None),
        ] {
            assert_eq!(form(code).date, precision, "{code}");
        }
    }

    #[test]
    fn what_a_format_adds_to_a_number_is_kept_where_it_counts() {
        let with = |code: &str, value: f64| shown(value, Epoch::Year1900, &form(code));
        assert_eq!(with("0.0\" cm\"", 21.5), "21.5 cm");
        assert_eq!(with("0.0\\ \\c\\m", 21.5), "21.5 cm");
        assert_eq!(with("0.00\\\"", 8.25), "8.25 \"");
        assert_eq!(with("0\" pairs\"", 3.0), "3", "only a unit is kept");
        assert_eq!(with("0000", 48.0), "0048");
        assert_eq!((with("0", 48.0), with("0.00", 48.0), with("0000", 4.5)), ("48".into(), "48".into(), "4.5".into()));
        assert_eq!(form("General"), Form::default());
    }

    #[test]
    fn numbers_have_no_noise() {
        for (value, text) in
            [(8.1, "8.1"), (21.499999999999996, "21.5"), (1978.0, "1978"), (1e21, "1000000000000000000000")]
        {
            assert_eq!(number(value), text);
        }
        assert_eq!(number(1.0 / 3.0), "0.333333333333333");
    }

    #[test]
    fn numbers_that_stand_for_no_day_stay_numbers() {
        for value in [-1.0, 0.5, 2_958_466.0, f64::NAN] {
            assert_eq!(date(value, Epoch::Year1900, Precision::Day), None, "{value}");
        }
        assert_eq!(date(60.0, Epoch::Year1900, Precision::Day).as_deref(), Some("1900-02-29"));
        assert_eq!(date(0.5, Epoch::Year1900, Precision::Time).as_deref(), Some("12:00"));
    }
}
