//! Estimates that contradict kept voices, and estimates that exclude each other.

use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::explain;
use crate::knowledge::{Estimate, Knowledge};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "estimate-does-not-fit",
    level: Level::Note,
    title: "an estimate contradicts the other evidence",
    explanation: "\
An estimate is somebody's judgement of when a garment was made. It never counts against claims, dates or landmarks: eras are concluded without estimates, and one that does not fit is listed but not counted. Estimates that fit but contradict each other limit nothing either. A reader should not take an estimate for knowledge.

Judge the garment again with the era of its variant in view, or check that it is filed under the right variant. If the date was read from the garment or from a paper, say so in `made-by`. Allow it if the estimate is part of a historical record and should stay.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975\"
sources = [\"spring-list\"]
[[source]]
id = \"spring-list\"
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"196X\"
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
sources = [\"spring-list\"]
[[source]]
id = \"spring-list\"
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"197X\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.estimates.iter().filter(|estimate| !estimate.counts()).filter_map(|one| word(knowledge, one)).collect()
}

fn word(knowledge: &Knowledge, estimate: &Estimate) -> Option<Diagnostic> {
    // A garment that is not counted has no days to fit.
    let allowed = knowledge.made.get(&estimate.garment)?;
    if let Some(other) = estimate.excluded_by.and_then(|at| knowledge.estimates.get(at)) {
        return Some(excluded(estimate, other));
    }
    let (judged, allowed) = (explain::span(estimate.span), explain::span(*allowed));
    let message = format!("judged to be made {judged}, but the other evidence allows only {allowed}");
    Some(LINT.at(estimate.place, message).help(
        "judge the garment again, or check that it is of this variant; if the date is written on it, add `made-by`",
    ))
}

fn excluded(estimate: &Estimate, other: &Estimate) -> Diagnostic {
    let (judged, otherwise) = (explain::span(estimate.span), explain::span(other.span));
    let message =
        format!("judged to be made {judged}, but another estimate contradicts that, so neither limits anything");
    let diagnostic = LINT.at(estimate.place, message).label(other.place, format!("here it is {otherwise}"));
    diagnostic.help("judge both again, or check that the garments are filed under the right variant")
}
