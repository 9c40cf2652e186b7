//! Sources that give one event of one thing two different dates.

use std::collections::BTreeMap;

use crate::date::DaySpan;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::claim::{Claim, Event};
use crate::record::id::Thing;
use crate::resolve::{Catalog, SourceIndex};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "self-contradicting-source",
    level: Level::Warning,
    title: "one source gives one event two different dates",
    explanation: "\
A thing begins once and ends once. If two claims cite the same source for two different dates of one beginning or end, then either a date was copied wrongly or the source is unreliable. Readers of the site should know which.

Look the dates up again. If the source really says both, write one claim with an interval that covers both and say so in `as-written`. A date that only narrows the other is not reported.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975/1977\"
sources = [\"history p. 3\"]
[[claims]]
event = \"introduced\"
when = \"1976/1978\"
sources = [\"history p. 90\"]
[[source]]
id = \"history\"
citation = \"A history of the mill\"
kind = \"book\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975/1977\"
sources = [\"history p. 3\"]
[[claims]]
event = \"introduced\"
when = \"1976\"
sources = [\"history p. 90\"]
[[source]]
id = \"history\"
citation = \"A history of the mill\"
kind = \"book\"
+++
",
    check: Check::Knowledge(check),
};

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    Begin,
    End,
}

/// A date that a source gives, and where.
struct Dated {
    span: DaySpan,
    written: String,
    place: Place,
}

type Dates<'a> = BTreeMap<(SourceIndex, &'a Thing, End), Vec<Dated>>;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let mut dates = Dates::new();
    for record in &catalog.records {
        for claim in record.content.claims() {
            collect(catalog, record, claim, &mut dates);
        }
    }
    dates
        .iter()
        .filter_map(|((source, thing, end), dated)| contradiction(catalog, (*source, thing, *end), dated))
        .collect()
}

fn collect<'a>(catalog: &Catalog, record: &Record, claim: &'a Claim, dates: &mut Dates<'a>) {
    for source in claim.sources.iter().filter_map(|source| catalog.source_named(record.file, &source.value.id)) {
        for (end, span) in ends(catalog, claim) {
            let written = claim.event.value.when().map(|when| when.value.as_str().to_string()).unwrap_or_default();
            let span_of = claim.event.value.when().map_or(claim.span, |when| when.span);
            let dated = Dated { span, written, place: Place { file: record.file, span: span_of } };
            dates.entry((source, &claim.about.value, end)).or_default().push(dated);
        }
    }
}

/// The ends that a claim dates: something made or offered on some day may have many dates.
fn ends(catalog: &Catalog, claim: &Claim) -> Vec<(End, DaySpan)> {
    let circa = catalog.circa();
    match &claim.event.value {
        Event::Introduced(when) => vec![(End::Begin, when.value.span(circa))],
        Event::Discontinued(when) => vec![(End::End, when.value.span(circa))],
        Event::Produced(when) => match when.value.ends() {
            Some((begin, end)) => vec![(End::Begin, begin.span(circa)), (End::End, end.span(circa))],
            None => Vec::new(),
        },
        Event::Attested(_) | Event::NotOffered(_) | Event::Before(_) => Vec::new(),
    }
}

fn contradiction(catalog: &Catalog, about: (SourceIndex, &Thing, End), dated: &[Dated]) -> Option<Diagnostic> {
    let (source, thing, end) = about;
    let first = dated.first()?;
    let other = dated.iter().find(|other| !is_within(first.span, other.span) && !is_within(other.span, first.span))?;
    let event = match end {
        End::Begin => "beginning",
        End::End => "end",
    };
    let name = &catalog.cited(source).name;
    // A source of one file is called by its id there; the file is shown.
    let name = wording::quote(name.rsplit_once('#').map_or(name.as_str(), |(_, id)| id));
    let message = format!("{name} gives the {event} of `{thing}` two different dates");
    let says =
        |dated: &Dated| format!("here {}, which is {}", wording::quote(&dated.written), explain::span(dated.span));
    let diagnostic = LINT.at(other.place, message).saying(says(other)).label(first.place, says(first));
    Some(diagnostic.help("look both up again; if the source says both, write one claim whose interval covers both"))
}

fn is_within(inner: DaySpan, outer: DaySpan) -> bool {
    inner.intersection(outer) == Some(inner)
}
