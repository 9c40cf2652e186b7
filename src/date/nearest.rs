//! A date string that was refused to the nearest valid one, or to the two it may be where the century is missing.
//!
//! Suggests only what the grammar accepts. What it suggests is never used in place of what was written.

use crate::date::fault::{DateFault, DateProblem};
use crate::date::numeral::Century;
use crate::date::{grammar, phrase};

/// Adds the nearest valid spelling to a fault, or turns it into the question which century is meant.
pub(super) fn suggested(text: &str, fault: DateFault) -> DateFault {
    if fault.problem == DateProblem::TooLong {
        return fault;
    }
    let plain = plain(text);
    if let Some(nearest) = reading(&plain, Century::Written) {
        return DateFault { nearest: Some(nearest), ..fault };
    }
    let Some((earlier, later)) = reading(&plain, Century::Earlier).zip(reading(&plain, Century::Later)) else {
        return fault;
    };
    DateFault::new(0, text.len(), DateProblem::WhichCentury { earlier, later })
}

fn reading(plain: &str, century: Century) -> Option<String> {
    let candidates = notation(plain).into_iter().chain(phrase::readings(plain, century));
    candidates.into_iter().find(|candidate| grammar::parse(candidate).is_ok())
}

/// Brings different dashes, apostrophes, spaces and capitals to one.
fn plain(text: &str) -> String {
    let characters = text.chars().filter_map(|character| match character {
        '\u{2010}'..='\u{2015}' | '\u{2212}' => Some('-'),
        '\u{2018}' | '\u{2019}' | '`' | '´' => Some('\''),
        '(' | ')' | '"' => None,
        other if other.is_whitespace() => Some(' '),
        other => Some(other),
    });
    let words: String = characters.flat_map(char::to_lowercase).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    words.join(" ").trim_end_matches([' ', '.', ',', ';']).to_owned()
}

/// Repairs what is nearly in the notation: spaces, small letters, marks, brackets, and words of its older draft.
fn notation(plain: &str) -> Option<String> {
    if ["unknown", "undated", "no date", "n.d"].contains(&plain) {
        return Some("XXXX".to_owned());
    }
    // A mark after the date is the usual place for it.
    let mut text = if plain.contains("~ ") { return None } else { plain.replace(' ', "") };
    text = text.replace('{', "[").replace('}', "]");
    for (old, new) in [("open", ".."), ("unknown", ""), ("?~", "%"), ("~?", "%"), ("??", "?"), ("~~", "~")] {
        text = text.replace(old, new);
    }
    let text: String = text.chars().map(|character| if "xu".contains(character) { 'X' } else { character }).collect();
    let dates = text.split_inclusive(['/', '[', ']', ',']).map(|date| {
        let bare = date.trim_end_matches(['/', '[', ']', ',']);
        format!("{}{}", with_one_mark_a_part(bare), &date[bare.len()..])
    });
    Some(dates.collect())
}

/// Rewrites a date so that no part has marks on both sides: `1953-~07?` says of the year what `1953?-%07` says.
///
/// A mark after a part is also about all parts before it, so it moves to the part before.
fn with_one_mark_a_part(date: &str) -> String {
    let is_mark = |character| matches!(character, '?' | '~' | '%');
    let mut moved = String::new();
    let mut parts: Vec<String> = Vec::new();
    for (place, part) in date.split('-').enumerate().collect::<Vec<_>>().into_iter().rev() {
        let rest = part.trim_start_matches(is_mark);
        let bare = rest.trim_end_matches(is_mark);
        let before = &part[..part.len() - rest.len()];
        let after = format!("{}{moved}", &rest[bare.len()..]);
        moved.clear();
        parts.push(match (before.is_empty() || after.is_empty(), place) {
            (true, _) => format!("{}{bare}{}", one_mark(before), one_mark(&after)),
            (false, 0) => format!("{bare}{}", one_mark(&format!("{before}{after}"))),
            (false, _) => {
                let both = one_mark(&format!("{before}{after}"));
                moved = after;
                format!("{both}{bare}")
            }
        });
    }
    parts.reverse();
    parts.join("-")
}

/// The one mark that says what several say.
fn one_mark(marks: &str) -> &'static str {
    let (is_approximate, is_uncertain) = (marks.contains(['~', '%']), marks.contains(['?', '%']));
    match (is_approximate, is_uncertain) {
        (false, false) => "",
        (true, false) => "~",
        (false, true) => "?",
        (true, true) => "%",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::date::edtf::Edtf;
    use crate::date::fault::DateProblem;

    fn nearest(text: &str) -> Option<String> {
        Edtf::parse(text).expect_err(text).nearest
    }

    #[test]
    fn nearest_spellings_are_these() {
        let rows = include_str!("nearest.txt").lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
        let rows: Vec<(&str, &str)> = rows.map(|row| row.split_once(" => ").unwrap()).collect();
        let given = |text| nearest(text).unwrap_or("nothing".to_owned());
        let wrong: Vec<String> = rows
            .iter()
            .filter(|(text, expected)| given(text) != *expected)
            .map(|(text, expected)| format!("{text} => {} instead of {expected}", given(text)))
            .collect();
        assert!(wrong.is_empty(), "{wrong:#?}");
        assert!(rows.len() > 100 && rows.iter().all(|(_, expected)| Edtf::parse(expected).is_ok()));
    }

    #[test]
    fn year_of_two_digits_asks_which_century() {
        let rows = [
            ("77", "1877", "1977"),
            ("'77", "1877", "1977"),
            ("’77", "1877", "1977"),
            ("ca. '77", "1877~", "1977~"),
            ("77?", "1877?", "1977?"),
            ("77-78", "1877/1878", "1977/1978"),
            ("77 or 78", "[1877,1878]", "[1977,1978]"),
            ("77/78", "1877/1878", "1977/1978"),
            ("70s", "187X", "197X"),
            ("late '70s", "1876/1879", "1976/1979"),
            ("late seventies", "1876/1879", "1976/1979"),
            ("fall 77", "1877-23", "1977-23"),
            ("12/77", "1877-12", "1977-12"),
            ("before 77", "../1876", "../1976"),
            ("05", "1905", "2005"),
            ("85", "1885", "1985"),
        ];
        for (text, earlier, later) in rows {
            let fault = Edtf::parse(text).expect_err(text);
            let (earlier, later) = (earlier.to_owned(), later.to_owned());
            assert_eq!(fault.problem, DateProblem::WhichCentury { earlier, later }, "{text}");
            assert_eq!((fault.start, fault.end, fault.nearest), (0, text.len(), None), "{text}");
        }
    }

    /// `1953-~07?` was taken for two years and answered with the question which century is meant.
    #[test]
    fn marks_on_both_sides_of_a_part_do_not_ask_which_century() {
        let marks = ["", "?", "~", "%"];
        let all = || marks.into_iter().flat_map(|one| marks.map(|other| (one, other)));
        for (year, month) in all().flat_map(|year| all().map(move |month| (year, month))) {
            let text = format!("{}1953{}-{}07{}", year.0, year.1, month.0, month.1);
            let Err(fault) = Edtf::parse(&text) else { continue };
            let spelling = fault.nearest.expect(&text);
            let (is_approximate, is_uncertain) = (text.contains(['~', '%']), text.contains(['?', '%']));
            assert_eq!(fault.problem, DateProblem::DoubledMark, "{text}");
            assert!(Edtf::parse(&spelling).unwrap().is_uncertain() == is_uncertain, "{text}: {spelling}");
            assert_eq!(spelling.contains(['~', '%']), is_approximate, "{text}: {spelling}");
        }
    }

    #[test]
    fn text_without_any_year_has_no_nearest_spelling() {
        for text in ["", "?", "spring", "March", "..", "[]", "{}", "-", "long ago", "Y170000002", "12:30", "été"] {
            assert_eq!(nearest(text), None, "{text}");
        }
    }
}
