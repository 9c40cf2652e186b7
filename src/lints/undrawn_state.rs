//! States of the vocabulary that no drawing of the garment can show.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::source::{DrawnMark, FileId, Place};
use crate::vocabulary::{Feature, Kind};

/// States that are drawn by drawing nothing.
const ABSENT: &str = "absent";

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "undrawn-state",
    level: Level::Note,
    title: "a state has no mark in any drawing of the garment",
    explanation: "\
The drawings of a garment are filled in from what was seen: an element with `data-feature` and `data-state` is drawn if that state was seen most. If no element names a state, a garment that shows it looks unexamined, and on a comparison the difference has a number but no picture.

Draw the state in one of the files `site/figures/<garment>-<side>.svg`, or in `any-<side>.svg` for all garments. Only kinds of garment that the knowledge base draws itself are checked. `absent` needs no mark: nothing is drawn for it.",
    wrong: "\
--- site/figures/trousers-front.svg (marks hem hem=raw zip=brass zip=steel)
--- schema/vocabulary.toml
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"raw\", \"felled\"]
look = \"Turn the hem up and look at the inside.\"
garments = [\"trousers\"]
",
    right: "\
--- site/figures/trousers-front.svg (marks hem hem=raw hem=felled)
--- schema/vocabulary.toml
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"raw\", \"felled\"]
look = \"Turn the hem up and look at the inside.\"
garments = [\"trousers\"]
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let sources = &knowledge.catalog.sources;
    let Some(file) = sources.find("schema/vocabulary.toml") else { return Vec::new() };
    let mut drawn = Drawn::new();
    for DrawnMark { garment, feature, state } in sources.marks() {
        let states = drawn.entry(garment).or_default();
        states.extend(state.as_deref().map(|state| (feature.as_str(), state)));
    }
    let vocabulary = knowledge.catalog.vocabulary.current();
    vocabulary.flat_map(|feature| diagnostics(feature, &drawn, file)).collect()
}

/// The states that each sort of garment's drawings have marks of, by feature.
type Drawn<'a> = BTreeMap<&'a str, BTreeSet<(&'a str, &'a str)>>;

/// One diagnostic for all garments that lack the same states.
fn diagnostics(feature: &Feature, drawn: &Drawn<'_>, file: FileId) -> Vec<Diagnostic> {
    let Kind::State { states } = &feature.kind else { return Vec::new() };
    let mut missing: BTreeMap<Vec<&str>, Vec<&str>> = BTreeMap::new();
    for (garment, marks) in drawn.iter().filter(|(garment, _)| feature.is_of(garment)) {
        let undrawn = states.iter().map(|state| state.as_str()).filter(|state| *state != ABSENT);
        let undrawn = undrawn.filter(|state| !marks.contains(&(feature.id.as_str(), *state)));
        missing.entry(undrawn.collect()).or_default().push(garment);
    }
    missing.iter().filter_map(|(states, garments)| diagnostic(feature, states, garments, file)).collect()
}

fn diagnostic(feature: &Feature, states: &[&str], garments: &[&str], file: FileId) -> Option<Diagnostic> {
    let (state, garment) = (states.first()?, garments.first()?);
    let noun = if states.len() == 1 { "state" } else { "states" };
    let message = format!(
        "no drawing of {} has a mark for the {noun} {} of {}",
        wording::join_quoted(garments, "or"),
        wording::join_quoted(states, "and"),
        wording::quote(feature.id.as_str())
    );
    let help = format!(
        "draw it in `site/figures/{garment}-detail.svg`: an element with `data-feature=\"{}\"` and `data-state=\"{state}\"`",
        feature.id
    );
    Some(LINT.at(Place { file, span: feature.span }, message).help(help))
}
