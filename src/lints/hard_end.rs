//! Landmarks that rule out every year after a wording, mark or code ended.

use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::knowledge::Knowledge;
use crate::record::landmark::Force;
use crate::record::{Content, Record};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "hard-end",
    level: Level::Warning,
    title: "a hard landmark has a last day",
    explanation: "\
A hard landmark rules out all years outside its days. That can be right for a first day: nobody printed a code before it was announced. It is not right for a last day. Marks are copied, makers use up old labels, and a label can be sewn to a later garment. A garment made after the last day would be reported as a contradiction, or dated too early.

Write `force = \"soft\"` with `odds`, and `stock-years` for old labels. If the first day is hard, give it a landmark of its own. Allow the finding only if no garment, copy or old label can exist after the last day.",
    wrong: "\
--- entries/landmarks/ringed-star.md
+++
title = \"Ringed star\"
when = { feature = \"star\", state = \"ringed\" }
not-before = \"1951\"
not-after = \"1958\"
force = \"hard\"
sources = [\"order\"]
[[source]]
id = \"order\"
citation = \"Order on the ringed star\"
kind = \"law\"
+++
--- schema/vocabulary.toml
[star]
name = \"Star\"
kind = \"state\"
states = [\"ringed\"]
look = \"Look at the back of the label.\"
",
    right: "\
--- entries/landmarks/ringed-star.md
+++
title = \"Ringed star\"
when = { feature = \"star\", state = \"ringed\" }
not-before = \"1951\"
not-after = \"1958\"
force = \"soft\"
odds = 20
stock-years = 2
sources = [\"order\"]
[[source]]
id = \"order\"
citation = \"Order on the ringed star\"
kind = \"law\"
+++
--- schema/vocabulary.toml
[star]
name = \"Star\"
kind = \"state\"
states = [\"ringed\"]
look = \"Look at the back of the label.\"
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.catalog.records.iter().filter_map(hard_end).collect()
}

fn hard_end(record: &Record) -> Option<Diagnostic> {
    let Content::Landmark(landmark) = &record.content else { return None };
    if !matches!(landmark.force, Force::Hard { .. }) {
        return None;
    }
    let end = landmark.not_after.as_ref()?;
    let place = Place { file: record.file, span: end.span };
    let diagnostic = LINT.at(place, "a hard landmark has a last day, but marks are copied and old labels used up");
    Some(diagnostic.help("write `force = \"soft\"` with `odds`; give a hard first day a landmark of its own"))
}
