//! Claims that name no source.

use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unsourced-claim",
    level: Level::Warning,
    title: "a claim names no source",
    explanation: "\
A claim says when something began or ended. Without a source nobody can look it up, and several entries that copied it from one another would look like several witnesses. Such a claim counts as a statement by its observer, with the weight of a statement.

Name where you read or heard it in `sources`. A recollection is a source too: add a `[[source]]` with `kind = \"recollection\"` that says whose it is. Allow it if the entry itself is the only record there will ever be.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975\"
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
when = \"1975\"
sources = [\"cutter\"]
[[source]]
id = \"cutter\"
citation = \"A cutter of the Hollin works, in conversation\"
kind = \"recollection\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.catalog.records.iter().flat_map(unsourced).collect()
}

fn unsourced(record: &Record) -> impl Iterator<Item = Diagnostic> {
    let claims = record.content.claims().iter().filter(|claim| claim.sources.is_empty());
    claims.map(|claim| {
        let place = Place { file: record.file, span: claim.event.span };
        LINT.at(place, "this claim names no source, expected at least one")
            .help("add `sources = [\"…\"]`, and a `[[source]]` if it is used only here")
    })
}
