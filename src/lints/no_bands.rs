//! Features that others vary with but that have no bands to group garments by.

use std::collections::BTreeMap;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::source::{FileId, Place};
use crate::vocabulary::{Feature, Kind};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "no-bands",
    level: Level::Warning,
    title: "a feature named in `varies-with` has no bands",
    explanation: "\
`varies-with` names what could explain a difference: a wider hem may only mean a bigger size. To compare garments of similar size, sizes must be sorted into bands. A measure without `bands` cannot do this: it is left out, and a mere difference of size looks like a sign of the variant.

Give the feature `bands`, the values at which one size begins to differ from the next, or take it out of `varies-with`.",
    wrong: "\
--- schema/vocabulary.toml
[leg-opening]
name = \"Leg opening\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.25
range = [4, 16]
look = \"Lay the leg flat and measure across the hem.\"
varies-with = [\"waist\"]
[waist]
name = \"Waist\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.5
range = [20, 60]
look = \"Lay the waistband flat and double the width.\"
",
    right: "\
--- schema/vocabulary.toml
[leg-opening]
name = \"Leg opening\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.25
range = [4, 16]
look = \"Lay the leg flat and measure across the hem.\"
varies-with = [\"waist\"]
[waist]
name = \"Waist\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.5
range = [20, 60]
look = \"Lay the waistband flat and double the width.\"
bands = [30, 34]
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let Some(file) = knowledge.catalog.sources.find("schema/vocabulary.toml") else { return Vec::new() };
    let vocabulary = &knowledge.catalog.vocabulary;
    let mut explains: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for feature in vocabulary.iter() {
        for other in &feature.varies_with {
            explains.entry(other.as_str()).or_default().push(feature.id.as_str());
        }
    }
    let known = explains.iter().filter_map(|(id, explained)| Some((vocabulary.feature(id)?, explained)));
    known.filter_map(|(feature, explained)| word(feature, explained, file)).collect()
}

/// Numbers without bands and codes are refused with the vocabulary itself; a measure can still be compared by itself.
fn word(feature: &Feature, explained: &[&str], file: FileId) -> Option<Diagnostic> {
    if !matches!(feature.kind, Kind::Measure(_)) || !feature.bands.is_empty() {
        return None;
    }
    let (id, explained) = (wording::quote(feature.id.as_str()), wording::join_quoted(explained, "and"));
    let message = format!("{id} is to explain differences in {explained}, but has no `bands`");
    let help = "add `bands`, such as `bands = [30, 34]`, or take it out of `varies-with`";
    Some(LINT.at(Place { file, span: feature.span }, message).help(help))
}
