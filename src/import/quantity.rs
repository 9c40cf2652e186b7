//! Numbers as people write them, with their units: `8,25`, `8 1/4"`, `seven`.
//!
//! In which unit a number without one is, is not asked here.

use crate::diagnostic::wording;
use crate::vocabulary::{Unit, count};

/// Splits a unit from the end of a quantity.
pub fn with_unit(text: &str) -> (&str, Option<Unit>) {
    let text = text.trim();
    // A unit may itself end in a digit, so every place to split at is tried, the longest unit first.
    let places = text.char_indices().map(|(at, _)| at).skip(1);
    let split = places.filter(|at| !text[*at..].starts_with([' ', '.'])).find_map(|at| {
        let before = &text[..at];
        let ends_in_number = before.trim_end().ends_with(|letter: char| letter.is_numeric());
        Some((before, Unit::named(&text[at..]).filter(|_| ends_in_number)?))
    });
    split.map_or((text, None), |(digits, unit)| (digits.trim(), Some(unit)))
}

/// A number, also one in words.
pub fn counted(text: &str) -> Result<f64, String> {
    count::in_words(text).map_or_else(|| number(text), |number| Ok(f64::from(number)))
}

/// Reads `8.25`, `8,25`, `8 1/4`, `8-1/4`, `8¼` and `1/4`.
pub fn number(text: &str) -> Result<f64, String> {
    let refused = || format!("{} is not a number; write it like `8.25`, `8,25` or `8 1/4`", wording::quote(text));
    let mut plain = text.trim().to_string();
    for (sign, fraction) in FRACTIONS {
        plain = plain.replace(sign, fraction);
    }
    let plain = plain.trim().replace('\u{2044}', "/");
    let (whole, fraction) = match plain.rsplit_once([' ', '-']) {
        Some((whole, fraction)) if fraction.contains('/') => (whole.trim(), Some(fraction)),
        _ if plain.contains('/') => ("0", Some(plain.as_str())),
        _ => (plain.as_str(), None),
    };
    let part = fraction.map_or(Some(0.0), ratio).ok_or_else(refused)?;
    let whole = decimal(whole).map_err(|doubt| doubt.unwrap_or_else(refused))?;
    // A fraction belongs to a whole number: `8.5 1/4` is a slip.
    if fraction.is_some() && whole.fract() != 0.0 { Err(refused()) } else { Ok(whole + part) }
}

const FRACTIONS: [(&str, &str); 9] = [
    ("¼", " 1/4"),
    ("½", " 1/2"),
    ("¾", " 3/4"),
    ("⅛", " 1/8"),
    ("⅜", " 3/8"),
    ("⅝", " 5/8"),
    ("⅞", " 7/8"),
    ("⅓", " 1/3"),
    ("⅔", " 2/3"),
];

fn ratio(text: &str) -> Option<f64> {
    let (above, below) = text.split_once('/')?;
    let (above, below): (u32, u32) = (above.trim().parse().ok()?, below.trim().parse().ok()?);
    (above < below).then(|| f64::from(above) / f64::from(below))
}

/// Reads a number with a point or a comma; one that may be thousands is doubted aloud.
fn decimal(text: &str) -> Result<f64, Option<String>> {
    let is_plain = |text: &str| {
        let digits = text.strip_prefix('-').unwrap_or(text);
        !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
    };
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    if !is_plain(whole) || !fraction.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(None);
    }
    if text.contains(',') && fraction.len() == 3 {
        let quoted = wording::quote(text);
        return Err(Some(format!(
            "{quoted} may be {whole}.{fraction} or {whole}{fraction}; write it without the comma"
        )));
    }
    format!("{whole}.{fraction}").trim_end_matches('.').parse().map_err(|_| None)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::number;

    #[test]
    fn numbers_are_read_as_they_are_written_by_hand() {
        for (text, value) in
            [("8.25", 8.25), ("8,5", 8.5), ("30 1/2", 30.5), ("30-1/2", 30.5), ("½", 0.5), ("12", 12.0)]
        {
            assert_eq!(number(text).unwrap(), value, "{text}");
        }
        for text in ["", "x", "8..2", "1,2,3", "8.5 1/4", "1/0", "inf", "1e3"] {
            number(text).unwrap_err();
        }
    }
}
