//! A measure in words: in the unit of the vocabulary, and in brackets in the one that other readers measure in.

use crate::typography::{MINUS, at_most_to_even};
use crate::vocabulary::Unit;

/// Millimetres in an inch (international yard and pound agreement, 1959).
const INCH: f64 = 25.4;

/// Grams for each square metre in an ounce for each square yard: an avoirdupois ounce is 28.349523125 g and a yard
/// 0.9144 m exactly (the same agreement).
const OUNCE_PER_YARD: f64 = 28.349_523_125 / (0.9144 * 0.9144);

/// A measure with its unit, then the same in the other unit as a tape or a mill would say it.
///
/// ```
/// use bartack::vocabulary::{Unit, measure};
/// assert_eq!(measure::words(21.0, Unit::Centimetre), "21 cm (8 1/4 in)");
/// assert_eq!(measure::words(8.25, Unit::Inch), "8.25 in (21 cm)");
/// assert_eq!(measure::words(13.5, Unit::OuncePerSquareYard), "13.5 oz/yd2 (458 g/m2)");
/// ```
pub fn words(value: f64, unit: Unit) -> String {
    let own = format!("{} {}", rounded(value), unit.word());
    match other(value, unit) {
        Some(other) => format!("{own} ({other})"),
        None => own,
    }
}

/// A range in its unit, then the same in the other unit; one measure where both ends are equal.
///
/// ```
/// use bartack::vocabulary::{Unit, measure};
/// assert_eq!(measure::range(20.5, 22.0, Unit::Centimetre), "20.5 to 22 cm (8 1/8 to 8 5/8 in)");
/// assert_eq!(measure::range(0.1, 1.0, Unit::Centimetre), "0.1 to 1 cm (up to 3/8 in)");
/// ```
pub fn range(least: f64, greatest: f64, unit: Unit) -> String {
    let (low, high) = (rounded(least), rounded(greatest));
    if low == high {
        return words(greatest, unit);
    }
    let own = format!("{low} to {high} {}", unit.word());
    match (other(least, unit), other(greatest, unit)) {
        (Some(low), Some(high)) if low == high => format!("{own} ({high})"),
        (Some(low), Some(high)) => {
            let number = low.rsplit_once(' ').map_or(low.as_str(), |(number, _)| number);
            format!("{own} ({number} to {high})")
        }
        (None, Some(high)) => format!("{own} (up to {high})"),
        _ => own,
    }
}

/// The same measure in the other unit; nothing where it would be said to be nothing.
pub fn other(value: f64, unit: Unit) -> Option<String> {
    let (number, word) = match unit {
        Unit::Inch => (at_most_to_even(value * INCH / 10.0, 1), "cm"),
        Unit::Centimetre => (fraction(value * 10.0 / INCH, 8)?, "in"),
        Unit::Millimetre => (fraction(value / INCH, 16)?, "in"),
        Unit::GramPerSquareMetre => (at_most_to_even(value / OUNCE_PER_YARD, 1), "oz/yd2"),
        Unit::OuncePerSquareYard => (at_most_to_even(value * OUNCE_PER_YARD, 0), "g/m2"),
        Unit::PerInch => (at_most_to_even(value * 10.0 / INCH, 1), "1/cm"),
        Unit::PerCentimetre => (at_most_to_even(value * INCH / 10.0, 1), "1/in"),
    };
    (number != "0").then(|| format!("{number} {word}"))
}

/// Writes a quantity with at most two decimals.
pub fn rounded(number: f64) -> String {
    at_most_to_even(number, 2)
}

/// The nearest fraction of an inch on a tape divided into `parts`; nothing where that is none.
fn fraction(inches: f64, parts: u32) -> Option<String> {
    let nearest = (inches.abs() * f64::from(parts)).round() as u32;
    if nearest == 0 {
        return None;
    }
    let sign = if inches < 0.0 { MINUS } else { "" };
    let (whole, rest) = (nearest / parts, nearest % parts);
    let common = 1 << rest.trailing_zeros().min(parts.trailing_zeros());
    Some(match (whole, rest) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, rest) => format!("{sign}{}/{}", rest / common, parts / common),
        (whole, rest) => format!("{sign}{whole} {}/{}", rest / common, parts / common),
    })
}

#[cfg(test)]
mod tests {
    use super::{Unit, range, rounded, words};

    #[test]
    fn measures_are_said_as_a_tape_shows_them() {
        // Worked out by hand from 25.4 mm to the inch.
        for (value, unit, said) in [
            (20.3, Unit::Centimetre, "20.3 cm (8 in)"),
            (1.0, Unit::Centimetre, "1 cm (3/8 in)"),
            (0.1, Unit::Centimetre, "0.1 cm"),
            (3.0, Unit::Millimetre, "3 mm (1/8 in)"),
            (1.5, Unit::Millimetre, "1.5 mm (1/16 in)"),
            (25.4, Unit::Millimetre, "25.4 mm (1 in)"),
            (34.0, Unit::Inch, "34 in (86.4 cm)"),
            (340.0, Unit::GramPerSquareMetre, "340 g/m2 (10 oz/yd2)"),
            (4.0, Unit::PerCentimetre, "4 1/cm (10.2 1/in)"),
            (8.0, Unit::PerInch, "8 1/in (3.1 1/cm)"),
            (-5.08, Unit::Centimetre, "-5.08 cm (−2 in)"),
        ] {
            assert_eq!(words(value, unit), said);
        }
    }

    #[test]
    fn ranges_say_both_units() {
        // Worked out by hand from 25.4 mm to the inch.
        for (least, greatest, unit, said) in [
            (7.5, 8.25, Unit::Inch, "7.5 to 8.25 in (19.1 to 21 cm)"),
            (3.0, 10.0, Unit::Millimetre, "3 to 10 mm (1/8 to 3/8 in)"),
            (3.0, 3.1, Unit::Millimetre, "3 to 3.1 mm (1/8 in)"),
            (0.1, 0.2, Unit::Millimetre, "0.1 to 0.2 mm"),
            (20.3, 20.3, Unit::Centimetre, "20.3 cm (8 in)"),
            (-5.08, 5.08, Unit::Centimetre, "-5.08 to 5.08 cm (−2 to 2 in)"),
        ] {
            assert_eq!(range(least, greatest, unit), said);
        }
    }

    #[test]
    fn no_bracket_is_further_off_than_half_of_what_its_tape_shows() {
        for tenths in 1..2000 {
            let value = f64::from(tenths) / 10.0;
            let said = words(value, Unit::Centimetre);
            let Some((_, bracket)) = said.split_once(" (") else { continue };
            let parts = bracket.trim_end_matches(" in)").split(' ');
            let inches: f64 = parts
                .map(|part| match part.split_once('/') {
                    Some((over, under)) => over.parse::<f64>().unwrap_or(f64::NAN) / under.parse().unwrap_or(f64::NAN),
                    None => part.parse().unwrap_or(f64::NAN),
                })
                .sum();
            assert!((inches * 2.54 - value).abs() <= 2.54 / 16.0 + 1e-9, "{said}");
        }
    }

    #[test]
    fn whole_numbers_keep_their_noughts() {
        assert_eq!((rounded(10.0), rounded(0.5), rounded(100.25)), ("10".into(), "0.5".into(), "100.25".into()));
    }
}
