//! Sources that repeat one another in a circle.

use std::collections::BTreeSet;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::Content;
use crate::record::citation::Source;
use crate::resolve::{Catalog, CitedSource, SourceIndex};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "source-cycle",
    level: Level::Warning,
    title: "sources repeat one another in a circle",
    explanation: "\
`repeats` says that a source took its statement from another, so that ten copies of one statement count once. If the copies lead back to where they began, none of them can be the first. The whole circle counts as one source.

Find out which of them appeared first and remove its `repeats`. Allow it if that can no longer be known.",
    wrong: "\
--- entries/sources/mill-history.md
+++
citation = \"A history of the mill\"
kind = \"book\"
repeats = [\"mill-letters\"]
+++
--- entries/sources/mill-letters.md
+++
citation = \"Letters from the mill\"
kind = \"article\"
repeats = [\"mill-history\"]
+++
",
    right: "\
--- entries/sources/mill-history.md
+++
citation = \"A history of the mill\"
kind = \"book\"
repeats = [\"mill-letters\"]
+++
--- entries/sources/mill-letters.md
+++
citation = \"Letters from the mill\"
kind = \"article\"
+++
",
    check: Check::Knowledge(check),
};

/// How many sources of a circle are marked.
const MOST_MARKED: usize = 8;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let repeated_by = repeated_by(catalog);
    let mut seen = BTreeSet::new();
    let mut diagnostics = Vec::new();
    for (number, source) in catalog.cited.iter().enumerate() {
        let index = SourceIndex(number as u32);
        if source.in_cycle && !seen.contains(&index) {
            let circle = circle(catalog, &repeated_by, index);
            diagnostics.extend(diagnostic(catalog, &circle));
            seen.extend(circle);
        }
    }
    diagnostics
}

/// Turns `repeats` around.
fn repeated_by(catalog: &Catalog) -> Vec<Vec<SourceIndex>> {
    let mut turned = vec![Vec::new(); catalog.cited.len()];
    for (number, source) in catalog.cited.iter().enumerate() {
        for other in &source.repeats {
            turned[other.0 as usize].push(SourceIndex(number as u32));
        }
    }
    turned
}

/// The sources that this one goes back to and that go back to it.
fn circle(catalog: &Catalog, repeated_by: &[Vec<SourceIndex>], from: SourceIndex) -> BTreeSet<SourceIndex> {
    let back = reached(from, |index| catalog.cited(index).repeats.iter().copied().collect());
    let forth = reached(from, |index| repeated_by[index.0 as usize].clone());
    back.intersection(&forth).copied().collect()
}

fn reached(from: SourceIndex, next: impl Fn(SourceIndex) -> Vec<SourceIndex>) -> BTreeSet<SourceIndex> {
    let (mut reached, mut waiting) = (BTreeSet::from([from]), vec![from]);
    while let Some(index) = waiting.pop() {
        waiting.extend(next(index).into_iter().filter(|other| reached.insert(*other)));
    }
    reached
}

fn diagnostic(catalog: &Catalog, circle: &BTreeSet<SourceIndex>) -> Option<Diagnostic> {
    let members: Vec<&CitedSource> = circle.iter().map(|index| catalog.cited(*index)).collect();
    let (first, rest) = members.split_first()?;
    let message = match rest {
        [] => format!("the source {} repeats itself", wording::quote(&first.name)),
        _ => format!("{} repeat one another in a circle", wording::count(members.len(), "source")),
    };
    let diagnostic = LINT.at(repeats_of(catalog, first)?, message).saying(says(catalog, first, circle));
    let marked = rest.iter().take(MOST_MARKED - 1);
    let labelled = marked.fold(diagnostic, |diagnostic, source| match repeats_of(catalog, source) {
        Some(place) => diagnostic.label(place, says(catalog, source, circle)),
        None => diagnostic,
    });
    Some(labelled.help("remove `repeats` from the one that appeared first"))
}

fn says(catalog: &Catalog, source: &CitedSource, circle: &BTreeSet<SourceIndex>) -> String {
    let within: Vec<&str> =
        source.repeats.intersection(circle).map(|index| catalog.cited(*index).name.as_str()).collect();
    format!("{} took this from {}", wording::quote(&source.name), wording::join_quoted(&within, "and"))
}

/// Where the first `repeats` of a source is written, or else the source itself.
fn repeats_of(catalog: &Catalog, source: &CitedSource) -> Option<Place> {
    let place = *source.places.first()?;
    let record = catalog.records.iter().find(|record| record.file == place.file)?;
    let own = match &record.content {
        Content::Source(own) => Some(&**own),
        content => content.local_sources().iter().find(|local| local.span.start() == place.span.start()),
    };
    let written = own.and_then(|own: &Source| own.repeats.first());
    Some(written.map_or(place, |repeats| Place { file: place.file, span: repeats.span }))
}
