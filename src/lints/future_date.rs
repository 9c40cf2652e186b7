//! Dates that lie after today.
//!
//! It looks only at what records say; another lint reports a garment made after it was examined.

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::{Day, DaySpan};
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::citation::Source;
use crate::record::{Content, Record};
use crate::source::{Place, Span, Spanned};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "future-date",
    level: Level::Warning,
    title: "a date lies in the future",
    explanation: "\
Nobody has looked at a garment tomorrow, and no known event lies in next year. A date after today is nearly always a slip: the wrong century, a year typed twice, or day and month swapped. It would move eras, so readers would see impossible years.

Correct the date. `check` knows today's date and reports this; `build` does not, so that the same entries give the same site on any day. A date is reported only if all of it, including what `~` allows, lies after today; one day is allowed for time zones.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
observed = 2126-03-14
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
observed = 2026-03-14
+++
",
    check: Check::Dated(check),
};

fn check(knowledge: &Knowledge, today: Day) -> Vec<Diagnostic> {
    // Somewhere on earth it may be tomorrow already.
    let (latest, circa) = (today.plus_days(1), knowledge.catalog.circa());
    let of_record = |record: &Record| {
        let dates = dates(record, circa).into_iter().filter(|date| date.first.is_some_and(|first| first > latest));
        dates.map(|date| word(Place { file: record.file, span: date.span }, &date.written)).collect::<Vec<_>>()
    };
    knowledge.catalog.records.iter().flat_map(of_record).collect()
}

fn word(place: Place, written: &str) -> Diagnostic {
    LINT.at(place, format!("{} lies in the future", wording::quote(written))).help("correct the date")
}

/// A date as it was written, with the first day it allows.
struct Dated {
    written: String,
    first: Option<Day>,
    span: Span,
}

fn of_day(day: &Spanned<Day>) -> Dated {
    Dated { written: day.value.to_string(), first: Some(day.value), span: day.span }
}

fn of_edtf(date: &Spanned<Edtf>, circa: CircaYears) -> Dated {
    let span: DaySpan = date.value.span(circa);
    Dated { written: date.value.as_str().to_string(), first: span.first(), span: date.span }
}

/// Every date of a record that must be in the past.
fn dates(record: &Record, circa: CircaYears) -> Vec<Dated> {
    let mut days: Vec<&Spanned<Day>> = Vec::new();
    let mut spans: Vec<&Spanned<Edtf>> =
        record.content.claims().iter().filter_map(|claim| claim.event.value.when()).collect();
    let mut sources: Vec<&Source> = record.content.local_sources().iter().collect();
    match &record.content {
        Content::Observation(observation) => {
            days.extend(&observation.observed);
            spans.extend(&observation.made);
        }
        Content::Source(source) => sources.push(source),
        Content::Landmark(landmark) => spans.extend(landmark.not_before.iter().chain(&landmark.not_after)),
        Content::Key(key) => spans.extend(key.not_before.iter().chain(&key.not_after)),
        _ => {}
    }
    days.extend(sources.iter().filter_map(|source| source.checked.as_ref()));
    spans.extend(sources.iter().filter_map(|source| source.date.as_ref()));
    days.into_iter().map(of_day).chain(spans.into_iter().map(|date| of_edtf(date, circa))).collect()
}
