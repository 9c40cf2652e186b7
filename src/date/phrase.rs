//! Turns words around dates (about, before, to, or) into date strings.
//!
//! Gives candidates, the likeliest first; the caller asks the grammar whether one is valid. If guesses are not allowed,
//! a rule gives only certain meanings.

use crate::date::grammar::{self, Form};
use crate::date::numeral::{self, Century, Manner};
use crate::date::{Day, DaySpan};

const ABOUT: [&str; 10] = ["circa ", "ca. ", "ca.", "ca ", "c. ", "c.", "c ", "about ", "around ", "roughly "];
const APPROXIMATELY: [&str; 5] = ["approximately ", "approx. ", "approx ", "some time around ", "near "];
const PERHAPS: [&str; 5] = ["probably ", "possibly ", "perhaps ", "maybe ", "likely "];

/// Gives date strings that the text may mean, the likeliest first; a set in brackets or an interval with its end first
/// is a guess.
pub(super) fn readings(plain: &str, manner: Manner) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    found.extend(set(plain, manner).filter(|_| manner.guesses()));
    found.extend(winter(plain, manner));
    found.extend(limit(plain, manner));
    found.extend(either(plain, manner));
    found.extend(intervals(plain, manner));
    found.extend(operand(plain, manner));
    found.extend(turned(plain, manner).filter(|_| manner.guesses()));
    found
}

/// Reads one date, decade or part of a decade, with words and marks of doubt.
fn operand(text: &str, manner: Manner) -> Option<String> {
    let written = text.replace('x', "X");
    if matches!(grammar::parse(&written), Ok(Form::One(_))) {
        return Some(written);
    }
    let (rest, mark) = if manner.guesses() { without_doubt(text) } else { without_about(text) };
    let date = numeral::read(rest, manner).filter(|date| manner.guesses() || mark.is_empty() || !date.contains('/'))?;
    let ends: Vec<String> = date.split('/').map(|end| format!("{end}{mark}")).collect();
    Some(ends.join("/"))
}

/// Reads a date within a phrase; if its ends or marks make the whole doubtful, it is a guess.
fn part(text: &str, manner: Manner) -> Option<String> {
    operand(text, manner).filter(|date| manner.guesses() || !date.contains(['/', '~', '?', '%']))
}

/// Takes off a word that says "about" and gives the mark that says the same.
fn without_about(text: &str) -> (&str, &'static str) {
    let text = text.trim();
    let rest = ABOUT.iter().chain(&APPROXIMATELY).find_map(|word| text.strip_prefix(word));
    rest.map_or((text, ""), |rest| (rest.trim(), "~"))
}

/// Takes off words and marks of doubt and gives the mark that says the same.
fn without_doubt(text: &str) -> (&str, &'static str) {
    let (mut rest, mut is_approximate, mut is_uncertain) = (text.trim(), false, false);
    loop {
        let before = rest;
        if let Some(shorter) = ABOUT.iter().chain(&APPROXIMATELY).find_map(|word| rest.strip_prefix(word)) {
            (rest, is_approximate) = (shorter.trim(), true);
        }
        if let Some(shorter) = PERHAPS.iter().find_map(|word| rest.strip_prefix(word)) {
            (rest, is_uncertain) = (shorter.trim(), true);
        }
        if let Some(shorter) = ["ish", " or so"].iter().find_map(|word| rest.strip_suffix(word)) {
            (rest, is_approximate) = (shorter.trim_end_matches('-').trim(), true);
        }
        for (mark, approximate, uncertain) in [('?', false, true), ('~', true, false), ('%', true, true)] {
            let shorter = rest.trim_matches(mark).trim();
            is_approximate |= approximate && shorter.len() < rest.len();
            is_uncertain |= uncertain && shorter.len() < rest.len();
            rest = shorter;
        }
        if rest == before {
            break;
        }
    }
    let mark = match (is_approximate, is_uncertain) {
        (false, false) => "",
        (true, false) => "~",
        (false, true) => "?",
        (true, true) => "%",
    };
    (rest, mark)
}

/// Reads `[…]`, mending its members.
fn set(plain: &str, manner: Manner) -> Option<String> {
    let inside = plain.strip_prefix(['[', '{'])?.strip_suffix([']', '}'])?;
    let members = inside.split(',').map(|member| match member.split_once("..") {
        None => operand(member, manner),
        Some((begin, "")) => operand(begin, manner).map(|begin| format!("{begin}..")),
        Some(("", end)) => operand(end, manner).map(|end| format!("..{end}")),
        Some((begin, end)) => {
            let (begin, end) = in_order(operand(begin, manner)?, operand(end, manner)?);
            Some(format!("{begin}..{end}"))
        }
    });
    Some(format!("[{}]", members.collect::<Option<Vec<String>>>()?.join(",")))
}

/// Reads "1977 or 1978".
fn either(plain: &str, manner: Manner) -> Option<String> {
    let (one, two) = plain.strip_prefix("either ").unwrap_or(plain).split_once(" or ")?;
    let one = part(one, manner)?;
    let two = second(&one, two, manner)?;
    Some(format!("[{one},{two}]"))
}

/// Reads "winter 1971/72", which is one winter, not a run of years.
fn winter(plain: &str, manner: Manner) -> Option<String> {
    let years = plain.strip_prefix("winter ")?.trim_start_matches("of ");
    sides(years).into_iter().find_map(|(begin, end)| {
        let first = part(begin, manner)?;
        let last: u16 = second(&first, end, manner)?.parse().ok()?;
        let is_next = last.checked_sub(1) == first.parse().ok();
        is_next.then(|| format!("{first}-24"))
    })
}

#[derive(Clone, Copy)]
enum Limit {
    Before,
    UpTo,
    From,
    After,
}

const PREFIXES: [(&str, Limit); 15] = [
    ("before ", Limit::Before),
    ("prior to ", Limit::Before),
    ("earlier than ", Limit::Before),
    ("by ", Limit::UpTo),
    ("until ", Limit::UpTo),
    ("till ", Limit::UpTo),
    ("up to ", Limit::UpTo),
    ("not after ", Limit::UpTo),
    ("no later than ", Limit::UpTo),
    ("since ", Limit::From),
    ("from ", Limit::From),
    ("not before ", Limit::From),
    ("no earlier than ", Limit::From),
    ("after ", Limit::After),
    ("later than ", Limit::After),
];

/// Short forms that also stand for other things.
const SHORT_PREFIXES: [(&str, Limit); 7] = [
    ("pre-", Limit::Before),
    ("pre ", Limit::Before),
    ("<", Limit::Before),
    ("to ", Limit::UpTo),
    ("post-", Limit::After),
    ("post ", Limit::After),
    (">", Limit::After),
];

const SUFFIXES: [(&str, Limit); 10] = [
    (" or earlier", Limit::UpTo),
    (" or before", Limit::UpTo),
    (" and earlier", Limit::UpTo),
    (" and before", Limit::UpTo),
    (" or later", Limit::From),
    (" or after", Limit::From),
    (" and later", Limit::From),
    (" and after", Limit::From),
    (" onwards", Limit::From),
    (" onward", Limit::From),
];

/// Reads "before 1975", "1975 or later" and the like.
fn limit(plain: &str, manner: Manner) -> Option<String> {
    let short = if manner.guesses() { SHORT_PREFIXES.as_slice() } else { &[] };
    let prefixed = PREFIXES.iter().chain(short).find_map(|(word, limit)| Some((plain.strip_prefix(word)?, *limit)));
    let suffixed = || SUFFIXES.iter().find_map(|(word, limit)| Some((plain.strip_suffix(word)?, *limit)));
    let since = || plain.strip_suffix('+').filter(|_| manner.guesses()).map(|date| (date, Limit::From));
    let (date, limit) = prefixed.or_else(suffixed).or_else(since)?;
    let date = part(date, manner)?;
    let (first, last) = date.split_once('/').unwrap_or((&date, &date));
    match limit {
        Limit::Before => neighbour(first, |days| days.first(), -1).map(|day| format!("../{day}")),
        Limit::UpTo => Some(format!("../{last}")),
        Limit::From => Some(format!("{first}/..")),
        Limit::After => neighbour(last, |days| days.last(), 1).map(|day| format!("{day}/..")),
    }
}

/// Gives the day, month or year next to a date, written as finely and marked as it is.
fn neighbour(date: &str, edge: impl Fn(DaySpan) -> Option<Day>, step: i32) -> Option<String> {
    let Ok(Form::One(written)) = grammar::parse(date) else { return None };
    let day = edge(written.unwidened())?.plus_days(step);
    let bare = date.trim_end_matches(['?', '~', '%']);
    let shown = day.to_string();
    (1..=9999).contains(&day.year()).then(|| format!("{}{}", &shown[..bare.len().min(10)], &date[bare.len()..]))
}

const SEPARATORS: [&str; 9] = [" to ", " until ", " till ", " through ", " thru ", " - ", "/", "..", "-"];

/// Reads "1977-78", "from 1977 to 1981", "between May and July 1977" (with a year on both sides) and the like.
fn intervals(plain: &str, manner: Manner) -> Vec<String> {
    let pairs = sides(plain).into_iter().filter_map(|(begin, end)| {
        let open = |side| open(side).filter(|_| manner.guesses());
        let first = part(begin, manner).or_else(|| open(begin).filter(|_| !begin.is_empty()))?;
        let last = second(&first, end, manner).or_else(|| open(end))?;
        Some(format!("{}/{}", first.split('/').next()?, last.split('/').next_back()?))
    });
    if is_month_and_short_year(plain, manner) {
        Vec::new()
    } else {
        pairs.filter(|pair| !is_code(plain, pair)).collect()
    }
}

/// Reads an interval written with its end first.
fn turned(plain: &str, manner: Manner) -> Option<String> {
    let dates = sides(plain).into_iter().find_map(|(begin, end)| operand(begin, manner).zip(operand(end, manner)));
    dates.map(|(begin, end)| format!("{end}/{begin}"))
}

fn sides(plain: &str) -> Vec<(&str, &str)> {
    if let Some(rest) = plain.strip_prefix("between ") {
        return rest.split_once(" and ").into_iter().collect();
    }
    let rest = plain.strip_prefix("from ").unwrap_or(plain);
    let places = SEPARATORS.iter().flat_map(|separator| rest.match_indices(separator));
    places.map(|(at, separator)| (&rest[..at], &rest[at + separator.len()..])).collect()
}

fn open(side: &str) -> Option<String> {
    match side.trim() {
        "" | "open" | "present" | "now" | "today" | ".." => Some("..".to_owned()),
        _ => None,
    }
}

/// Reads the second date of two, which may leave out the century that the first has.
fn second(first: &str, text: &str, manner: Manner) -> Option<String> {
    let bare = text.trim().trim_start_matches('\'');
    let digits = bare.trim_end_matches(['?', '~', '%']);
    let year = first.trim_end_matches(['?', '~', '%']);
    let is_short = manner.guesses() && digits.len() == 2;
    if is_short && digits.bytes().all(|byte| byte.is_ascii_digit()) && year.len() == 4 {
        return Some(format!("{}{bare}", &year[..2]));
    }
    part(text, manner)
}

/// Says whether `1934-40` is more likely the notation's code for a part of a year than a run of years.
///
/// A run of more than 15 years from a code is unlikely; which of the two was meant is a guess.
fn is_code(plain: &str, pair: &str) -> bool {
    let is_written_so = plain.len() == 7 && plain.as_bytes()[4] == b'-';
    let years = pair.split_once('/').and_then(|(one, two)| one.parse().ok().zip(two.parse::<i32>().ok()));
    is_written_so && years.is_some_and(|(one, two): (i32, i32)| (25..=41).contains(&(two % 100)) && two - one > 15)
}

/// Says whether `12/77` is more likely a month and a year than two years.
fn is_month_and_short_year(plain: &str, manner: Manner) -> bool {
    let month = plain.split(['/', '-']).next().and_then(|first| first.trim_start_matches('\'').parse::<u8>().ok());
    manner.century != Century::Written && month.is_some_and(|month| month <= 12)
}

fn in_order(one: String, two: String) -> (String, String) {
    let interval = format!("{one}/{two}");
    if grammar::parse(&interval).is_ok() { (one, two) } else { (two, one) }
}
