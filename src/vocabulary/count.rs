//! Whole numbers in English words, as people write counts. Knows no other language and no number above twenty.

/// The numbers, from 0.
const NUMBERS: [&str; 21] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];

/// Reads a number in words, from `zero` to `twenty`.
///
/// ```
/// use bartack::vocabulary::count::in_words;
/// assert_eq!((in_words(" Seven "), in_words("7")), (Some(7), None));
/// ```
pub fn in_words(text: &str) -> Option<u8> {
    let word = text.trim().to_lowercase();
    NUMBERS.iter().position(|name| *name == word).and_then(|place| u8::try_from(place).ok())
}
