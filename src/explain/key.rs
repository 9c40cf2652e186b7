//! Explains how a key reads a code: each figure, and every date.

use crate::code::calendar::CodeDate;
use crate::code::{Alphabet, CodeReading, FigureRead, Form, FormRead, Meaning, Part, PartValue, Unread};
use crate::date::days_in_month;
use crate::date::spoken::{self, MONTHS};
use crate::evidence::key::{self, CodeSeen, StandingKey};
use crate::explain::dating;
use crate::knowledge::Knowledge;
use crate::record::id::KeyId;
use crate::record::key::CodeKey;

/// The most dates that are written out; a one-figure year without limits has more than anybody reads.
const MOST_DATES: usize = 24;

/// How many forms of a key, and parts of a form, are written out.
const MOST_FORMS: usize = 4;
const MOST_PARTS: usize = 12;

/// The longest text of a code that is repeated, in characters.
const LONGEST: usize = 80;

/// Says which dates a code can mean: `April 1968 or April 1978`.
pub fn dates(dates: &[CodeDate]) -> String {
    let mut words: Vec<String> = dates.iter().take(MOST_DATES).map(|date| self::date(*date)).collect();
    if dates.len() > MOST_DATES {
        words.push(format!("one of {} more", dates.len() - MOST_DATES));
    }
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, first)) => format!("{} or {last}", first.join(", ")),
        None => String::new(),
    }
}

/// A code in backticks, cut if it is longer than any real code.
pub fn quoted(text: &str) -> String {
    format!("`{}`", cut(&text.replace('`', "'")))
}

/// The first characters of a code, with dots if more follow.
pub fn cut(text: &str) -> String {
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_string(),
    }
}

/// A date in words: a day, a week, a month, a quarter or a year.
pub fn date(date: CodeDate) -> String {
    let ((year, month, day), (last_year, last_month, last_day)) = (date.first.ymd(), date.last.ymd());
    let named = |month: u8| MONTHS[usize::from(month) - 1];
    let are_months = day == 1 && last_day == days_in_month(last_year, last_month);
    match () {
        () if date.first == date.last => spoken::day(date.first),
        () if are_months && (month, last_month) == (1, 12) => year.to_string(),
        () if are_months && month == last_month => format!("{} {year}", named(month)),
        () if are_months => format!("{} to {} {year}", named(month), named(last_month)),
        () => format!("the week from {} to {}", spoken::day(date.first), spoken::day(date.last)),
    }
}

/// A reading in words, with the factory it names.
pub fn reading(reading: &CodeReading) -> String {
    let dates = dates(&reading.dates);
    match reading.factory() {
        Some(factory) => format!("{dates}, factory {}", quoted(factory)),
        None => dates,
    }
}

/// Says how each part of a code was read: "`04` is the month: April".
pub fn figures(form: &FormRead) -> Vec<String> {
    form.figures.iter().map(figure).collect()
}

fn figure(figure: &FigureRead) -> String {
    let text = quoted(&figure.text);
    let Some(meaning) = figure.meaning else { return format!("{text} must be there") };
    match (meaning, &figure.value) {
        (Meaning::Serial, _) | (_, None) => format!("{text} is a number that gives no date"),
        (Meaning::Factory, Some(PartValue::Name(name))) => format!("{text} is the factory {}", quoted(name)),
        (_, Some(PartValue::Name(name))) => format!("{text} is {}", quoted(name)),
        (_, Some(PartValue::Number(number))) => format!("{text} is {}", number_of(meaning, *number)),
    }
}

/// The meaning of a number in a code, such as "the month April".
pub fn number_of(meaning: Meaning, number: u32) -> String {
    match meaning {
        Meaning::Year => format!("the year {number}"),
        Meaning::YearOfCentury => format!("a year that ends in {number:02}"),
        Meaning::YearOfDecade => format!("a year that ends in {number}"),
        Meaning::Month => format!("the month {}", MONTHS[(number as usize).clamp(1, 12) - 1]),
        Meaning::Quarter => format!("quarter {number} of the year"),
        Meaning::Week => format!("week {number} of the year (ISO 8601: Monday to Sunday)"),
        Meaning::Day => format!("day {number} of the month"),
        Meaning::Factory | Meaning::Serial => number.to_string(),
    }
}

/// Says why a key reads nothing.
pub fn unread(catalog_key: &CodeKey, why: &Unread) -> String {
    match why {
        Unread::NoForm => "it matches no form of the key".to_string(),
        Unread::OutsideYears(_) => format!("its dates lie outside the years of the key, {}", years(catalog_key)),
    }
}

/// The days in which codes of a key were used.
pub fn years(key: &CodeKey) -> String {
    let window = CodeDate { first: key.notation.window.first, last: key.notation.window.last };
    format!("{} to {}", spoken::begin(window.first), spoken::end(window.last))
}

/// A key with its source: "the key `pocket-stamp` (Talk with a stockroom keeper, 1999)".
pub fn named(knowledge: &Knowledge, id: &KeyId) -> String {
    let Some(index) = knowledge.catalog.keys.get(id) else { return format!("the key `{id}`") };
    let cited = key::of(&knowledge.catalog, *index).map(|key| &key.sources[..]).unwrap_or_default();
    let cited = dating::citations(knowledge, knowledge.catalog.record(*index), cited);
    match cited.as_slice() {
        [] => format!("the key `{id}`"),
        cited => format!("the key `{id}` ({})", cited.join("; ")),
    }
}

/// The reading of a code by each key, one sentence a key, with each figure.
pub fn explained(knowledge: &Knowledge, seen: &CodeSeen<'_>) -> Vec<String> {
    let code = quoted(seen.code);
    let read = seen.reads.iter().flat_map(|read| {
        let forms = read.reading.forms.iter();
        let by_form = forms.map(|form| {
            let key = named(knowledge, read.key.id);
            format!("{code} through {key}: {}. It reads {}.", figures(form).join("; "), dates(&form.dates))
        });
        by_form.collect::<Vec<String>>()
    });
    let unread = seen.unread.iter().map(|(key, why): &(StandingKey<'_>, Unread)| {
        format!("{code} through {}: {}.", named(knowledge, key.id), self::unread(key.key, why))
    });
    read.chain(unread).collect()
}

/// Says what codes of a key look like: "codes look like MMYY, …".
pub fn forms(key: &CodeKey) -> String {
    let forms: Vec<String> = key.notation.forms.iter().take(MOST_FORMS).map(form).collect();
    let more = key.notation.forms.len().saturating_sub(MOST_FORMS);
    let more = if more > 0 { format!(", or one of {more} more forms") } else { String::new() };
    format!("a code is {}{more}", forms.join(", or "))
}

fn form(form: &Form) -> String {
    let parts: Vec<String> = form.parts.iter().take(MOST_PARTS).map(part).collect();
    let more = if form.parts.len() > MOST_PARTS { " …" } else { "" };
    format!("{}{more}", parts.join(", "))
}

fn part(part: &Part) -> String {
    match part {
        Part::Text(text) => quoted(text),
        Part::Field(field) => {
            let characters = match (field.alphabet, field.width) {
                (Alphabet::Digits, 1) => "1 figure".to_string(),
                (Alphabet::Digits, width) => format!("{width} figures"),
                (Alphabet::Letters, 1) => "1 letter".to_string(),
                (Alphabet::Letters, width) => format!("{width} letters"),
            };
            format!("{characters} for the {}", meaning(field.meaning))
        }
    }
}

/// The meaning of a part, in words.
pub fn meaning(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::Year => "year",
        Meaning::YearOfCentury => "year of the century",
        Meaning::YearOfDecade => "year of the decade",
        Meaning::Month => "month",
        Meaning::Quarter => "quarter",
        Meaning::Week => "week",
        Meaning::Day => "day",
        Meaning::Factory => "factory",
        Meaning::Serial => "serial number",
    }
}
