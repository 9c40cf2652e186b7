//! A number that somebody wrote as a text to the number, with its unit where that is not the feature's.
//!
//! Thousands and decimals are not told apart by guessing: a comma before three figures is left alone.

use crate::vocabulary::{Feature, Kind, Measure, Unit, count};

/// Writes the reading as the file should have it; `beside` is the unit in the same table.
pub(super) fn as_number(feature: &Feature, text: &str, beside: Option<&str>) -> Option<String> {
    if feature.kind == Kind::Count
        && beside.is_none()
        && let Some(number) = count::in_words(text)
    {
        return (number > 0).then(|| number.to_string());
    }
    let (number, unit) = parts(text)?;
    match &feature.kind {
        Kind::Count | Kind::Number if unit.is_none() && beside.is_none() => {
            let is_fit = feature.kind == Kind::Number || !number.contains('.') && number.parse::<u32>().ok()? > 0;
            is_fit.then_some(number)
        }
        Kind::Measure(measure) => measured(measure, &number, unit, beside),
        _ => None,
    }
}

fn measured(measure: &Measure, number: &str, unit: Option<Unit>, beside: Option<&str>) -> Option<String> {
    let stated = match beside {
        Some(word) => Some(Unit::named(word)?),
        None => None,
    };
    if unit.zip(stated).is_some_and(|(unit, stated)| unit != stated) {
        return None;
    }
    let own = unit.or(stated).unwrap_or(measure.unit);
    let value = own.convert(number.parse().ok()?, measure.unit)?;
    // An impossible value is a slip of another kind.
    let is_possible = (measure.range.0..=measure.range.1).contains(&value);
    let is_plain = own == measure.unit || stated.is_some();
    let written =
        if is_plain { number.to_string() } else { format!("{{ value = {number}, unit = \"{}\" }}", own.word()) };
    is_possible.then_some(written)
}

/// Splits a text into a decimal with a point, and a unit.
fn parts(text: &str) -> Option<(String, Option<Unit>)> {
    let text = text.trim();
    let end =
        text.find(|letter: char| !letter.is_ascii_digit() && letter != '.' && letter != ',').unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let unit = match unit.trim() {
        "" => None,
        word => Some(Unit::named(word)?),
    };
    decimal(number).map(|number| (number, unit))
}

/// A decimal with a point, from one with a point or a comma.
pub(super) fn decimal(text: &str) -> Option<String> {
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_thousands = text.contains(',') && fraction.len() > 2;
    let has_zeros = whole.len() > 1 && whole.starts_with('0');
    (is_number(whole) && is_number(fraction) && !is_thousands && !has_zeros).then(|| text.replace(',', "."))
}

#[cfg(test)]
mod tests {
    use super::decimal;

    #[test]
    fn a_comma_is_a_point_unless_it_may_part_thousands() {
        for (text, number) in [("8,25", "8.25"), ("8.250", "8.250"), ("30", "30"), ("0,5", "0.5")] {
            assert_eq!(decimal(text).as_deref(), Some(number), "{text}");
        }
        for text in ["", "1,250", "8,", ",5", "1,2,3", "08,5", "8.2.5", "x"] {
            assert_eq!(decimal(text), None, "{text}");
        }
    }
}
