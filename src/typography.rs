//! Sets numbers and words in text: a few decimals, a true minus sign, a capital letter.
//!
//! It knows no unit and no garment, and joins no sentences.

/// The minus sign, U+2212. A hyphen in its place is shorter than a plus sign, and a line may break after it.
pub const MINUS: &str = "−";

/// Rounds to at most 9 decimals, halves away from zero; a zero keeps no sign.
fn rounded(number: f64, places: u32) -> f64 {
    let scale = f64::from(10_u32.pow(places));
    (number * scale).round() / scale + 0.0
}

/// Writes a number with exactly so many decimals; halves go away from zero.
///
/// ```
/// use bartack::typography::fixed;
/// assert_eq!([fixed(0.125, 2), fixed(2.0, 2), fixed(-0.001, 2)], ["0.13", "2.00", "0.00"]);
/// ```
pub fn fixed(number: f64, places: u32) -> String {
    format!("{:.*}", places as usize, rounded(number, places))
}

/// Writes a number with at most so many decimals, and no zero at the end; halves go away from zero.
///
/// ```
/// use bartack::typography::at_most;
/// assert_eq!([at_most(8.125, 2), at_most(2.0, 2), at_most(-0.001, 2)], ["8.13", "2", "0"]);
/// ```
pub fn at_most(number: f64, places: u32) -> String {
    rounded(number, places).to_string()
}

/// Like [`at_most`], but halves go to the even digit, so that many rounded measures are not too large on average.
///
/// ```
/// use bartack::typography::at_most_to_even;
/// assert_eq!([at_most_to_even(8.125, 2), at_most_to_even(8.375, 2)], ["8.12", "8.38"]);
/// ```
pub fn at_most_to_even(number: f64, places: u32) -> String {
    let text = format!("{number:.*}", places as usize);
    let text = if places > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

/// Writes a number in full, for programs: one below a millionth with an exponent, zero without a sign.
pub fn in_full(number: f64) -> String {
    match number {
        0.0 => "0".to_string(),
        small if small.abs() < 1e-6 => format!("{small:e}"),
        other => other.to_string(),
    }
}

/// Puts the minus sign in place of the hyphen of a written number.
pub fn with_minus(number: &str) -> String {
    number.replace('-', MINUS)
}

/// Writes a text for the beginning of a sentence.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::{at_most, at_most_to_even, capital, fixed, in_full, with_minus};

    /// Numbers at the borders: a signed zero, halves above and below in binary, one without decimals, small negatives.
    const BORDERS: [f64; 7] = [-0.0, 0.005, 8.125, -8.125, 1e15, -0.04, -0.004];

    #[test]
    fn fixed_decimals_are_always_there_and_zero_has_no_sign() {
        let expected = ["0.00", "0.01", "8.13", "-8.13", "1000000000000000.00", "-0.04", "0.00"];
        assert_eq!(BORDERS.map(|number| fixed(number, 2)), expected);
        assert_eq!([fixed(-0.04, 1), fixed(-0.5, 0), fixed(0.4, 0)], ["0.0", "-1", "0"]);
    }

    #[test]
    fn at_most_so_many_decimals_end_in_no_zero() {
        let expected = ["0", "0.01", "8.13", "-8.13", "1000000000000000", "-0.04", "0"];
        assert_eq!(BORDERS.map(|number| at_most(number, 2)), expected);
        assert_eq!([at_most(-0.04, 1), at_most(10.0, 1), at_most(100.0, 0)], ["0", "10", "100"]);
    }

    #[test]
    fn halves_to_even_differ_from_halves_away_from_zero_only_at_a_half() {
        let expected = ["0", "0.01", "8.12", "-8.12", "1000000000000000", "-0.04", "0"];
        assert_eq!(BORDERS.map(|number| at_most_to_even(number, 2)), expected);
        assert_eq!(
            [at_most_to_even(-0.04, 1), at_most_to_even(10.0, 1), at_most_to_even(100.0, 0)],
            ["0", "10", "100"]
        );
    }

    #[test]
    fn numbers_in_full_can_be_read_back() {
        let expected = ["0", "0.005", "8.125", "-8.125", "1000000000000000", "-0.04", "-0.004"];
        assert_eq!(BORDERS.map(in_full), expected);
        assert_eq!([in_full(2.5e-300), in_full(0.1 + 0.2)], ["2.5e-300", "0.30000000000000004"]);
        for number in BORDERS {
            assert_eq!(in_full(number).parse::<f64>(), Ok(number));
        }
    }

    #[test]
    fn a_minus_is_a_minus_and_only_the_first_letter_a_capital() {
        assert_eq!([with_minus("-0.04"), with_minus("0.04")], ["−0.04", "0.04"]);
        assert_eq!([capital(""), capital("éa b"), capital("ßa"), capital("7 rivets")], ["", "Éa b", "SSa", "7 rivets"]);
    }
}
