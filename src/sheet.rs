//! Cells that a spreadsheet shows and never runs, and the way back.
//!
//! How a reading of a feature is written in one cell is in `notation`; the bytes of a workbook become cells in
//! `workbook`, and those of a text file text in `encoding`. Nothing here reads or writes files.

pub mod encoding;
pub mod notation;
pub mod workbook;

use std::borrow::Cow;

/// The characters that could make a spreadsheet read a cell as a formula, and the mark itself.
const GUARDED: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// Puts one `'` before a cell that a spreadsheet could take for a formula, unless the whole cell is a number.
///
/// A cell that already begins with `'` gets one too, so that [`unprotect`] always gives back what was there.
///
/// ```
/// use bartack::sheet::{protect, unprotect};
/// assert_eq!(protect("=1+1"), "'=1+1");
/// assert_eq!(protect("-8.25"), "-8.25");
/// assert_eq!(unprotect(&protect("'79, maybe")), "'79, maybe");
/// ```
pub fn protect(cell: &str) -> Cow<'_, str> {
    if cell.starts_with(GUARDED) && !is_number(cell) { Cow::Owned(format!("'{cell}")) } else { Cow::Borrowed(cell) }
}

/// Takes exactly one `'` from the beginning of a cell, if there is one.
pub fn unprotect(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
}

/// Says whether the whole cell is a decimal number: a sign, digits with one point, an exponent.
fn is_number(cell: &str) -> bool {
    let (mantissa, exponent) = match cell.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent)),
        None => (cell, None),
    };
    let (whole, fraction) = unsigned(mantissa).split_once('.').unwrap_or((unsigned(mantissa), ""));
    let is_mantissa = !(whole.is_empty() && fraction.is_empty()) && is_digits(whole) && is_digits(fraction);
    is_mantissa && exponent.is_none_or(|digits| !unsigned(digits).is_empty() && is_digits(unsigned(digits)))
}

fn unsigned(text: &str) -> &str {
    text.strip_prefix(['+', '-']).unwrap_or(text)
}

fn is_digits(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert_eq, proptest};

    use super::{is_number, protect, unprotect};

    #[test]
    fn cells_that_a_spreadsheet_could_run_get_one_apostrophe() {
        // The characters are those that spreadsheets take for the beginning of a formula; the formulas are the usual ones:
        // OWASP, "CSV Injection" (https://owasp.org/www-community/attacks/CSV_Injection).
        let dangerous =
            ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "'=1", "=cmd|' /C calc'!A0", "-", "+-1", "'5"];
        for cell in dangerous {
            assert_eq!(protect(cell), format!("'{cell}"));
        }
        for cell in ["", "1978~", "a=b", " =1", "-1", "+1.5", "-1e5", "-.5", "\"=1\"", "5'"] {
            assert_eq!(protect(cell), cell);
        }
    }

    #[test]
    fn only_whole_decimal_numbers_are_numbers() {
        for cell in ["-1", "+2.50", "-1.", "-.5", "-1e5", "-1E-5", "7"] {
            assert!(is_number(cell), "{cell}");
        }
        for cell in ["", "-", "-.", "-1e", "-1-2", "--1", "-1,5", "-inf", "- 1", "-1 ", "-0x1", "-1e5e5", "-١"] {
            assert!(!is_number(cell), "{cell}");
        }
    }

    proptest! {
        #[test]
        fn unprotecting_gives_back_every_cell(cell in any::<String>(), start in "[=+@'\t\r-]{0,3}") {
            let cell = format!("{start}{cell}");
            let protected = protect(&cell);
            prop_assert_eq!(unprotect(&protected), cell.as_str());
        }
    }
}
