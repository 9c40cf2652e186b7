//! Digits, some of them perhaps unspecified (`X`), and the numbers that fit them.
//!
//! Knows nothing of calendars.

use std::ops::RangeInclusive;

/// A number of N digits, some of them unspecified.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pattern<const N: usize>([Option<u8>; N]);

impl<const N: usize> Pattern<N> {
    /// Reads exactly N characters, each a digit or `X`.
    pub(super) fn parse(text: &str) -> Option<Pattern<N>> {
        let bytes: [u8; N] = text.as_bytes().try_into().ok()?;
        let mut digits = [None; N];
        for (digit, byte) in digits.iter_mut().zip(bytes) {
            match byte {
                b'0'..=b'9' => *digit = Some(byte - b'0'),
                b'X' => {}
                _ => return None,
            }
        }
        Some(Pattern(digits))
    }

    /// Says whether the number agrees with every specified digit.
    pub(super) fn fits(&self, number: u16) -> bool {
        let mut rest = number;
        let fits = self.0.iter().rev().all(|digit| {
            let last = (rest % 10) as u8;
            rest /= 10;
            digit.is_none_or(|digit| digit == last)
        });
        fits && rest == 0
    }

    /// Gives the least and the greatest number that fit.
    pub(super) fn range(&self) -> RangeInclusive<u16> {
        let with = |unknown| self.0.iter().fold(0, |number, digit| number * 10 + u16::from(digit.unwrap_or(unknown)));
        with(0)..=with(9)
    }

    /// Gives the number where every digit is specified.
    pub(super) fn number(&self) -> Option<u16> {
        self.0.iter().try_fold(0, |number, digit| digit.map(|digit| number * 10 + u16::from(digit)))
    }

    /// Gives the place of the last specified digit, counted from the left; nothing where all are unspecified.
    pub(super) fn finest_digit(&self) -> Option<usize> {
        self.0.iter().rposition(Option::is_some)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::Pattern;

    #[test]
    fn only_the_right_count_of_digits_and_capital_x_is_read() {
        for text in ["", "1", "123", "1x", "1u", " 1", "-1", "é", "1é"] {
            assert_eq!(Pattern::<2>::parse(text), None, "{text}");
        }
        assert!(Pattern::<2>::parse("X7").is_some());
    }

    #[test]
    fn every_pattern_of_two_characters_fits_what_a_comparison_of_characters_fits() {
        let characters: Vec<char> = "0123456789X".chars().collect();
        for first in &characters {
            for second in &characters {
                let pattern = Pattern::<2>::parse(&format!("{first}{second}")).unwrap();
                let mut fitting = (0..=99).filter(|number| pattern.fits(*number));
                let least = fitting.next().unwrap();
                assert_eq!(pattern.range(), least..=fitting.next_back().unwrap_or(least));
                for number in 0..=120_u16 {
                    let written: Vec<char> = format!("{number:02}").chars().collect();
                    let fits = written.len() == 2
                        && (*first == 'X' || *first == written[0])
                        && (*second == 'X' || *second == written[1]);
                    assert_eq!(pattern.fits(number), fits, "{first}{second} {number}");
                }
            }
        }
    }

    #[test]
    fn number_and_finest_digit_are_those_written() {
        let rows = [("1977", Some(1977), Some(3)), ("197X", None, Some(2)), ("19XX", None, Some(1))];
        let rows = rows.into_iter().chain([("19X7", None, Some(3)), ("XXXX", None, None), ("0000", Some(0), Some(3))]);
        for (text, number, finest) in rows {
            let pattern = Pattern::<4>::parse(text).unwrap();
            assert_eq!((pattern.number(), pattern.finest_digit()), (number, finest), "{text}");
        }
    }
}
