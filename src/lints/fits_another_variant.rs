//! Garments whose features fit another variant of their model.

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::dating::likelihood::misplaced::Misplaced;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::id::{FeatureId, ModelId};
use crate::source::{Place, Span};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "fits-another-variant",
    level: Level::Warning,
    title: "a garment fits another variant of its model much better",
    explanation: "\
A garment with at least three counted features is judged by all other garments of its model; the garment itself and its find are left out of the counts. Its features are at least ten times as likely in another variant as in the one it is filed under. If it is filed wrongly, its features and its date blur both variants.

Look again at the marked features and at the evidence for the variant. If the garment is of the other variant, move the file. Mark a replaced part with `altered = true`. If everything is right on a second look, allow it: variants overlap, and there may be few other garments. Fewer than one in twenty correctly placed garments is reported; how many wrong placings are noticed depends on how much the variants differ. It is reported only for models under review, with `check PATH` or `check --since`, and on the page of the garment.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8, inseam = 30 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8.25, inseam = 30.5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8.5, inseam = 31 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12, inseam = 33 }
+++
--- entries/makers/hollin/no-4/no-4-plain/e.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12.25, inseam = 33.5 }
+++
--- entries/makers/hollin/no-4/no-4-plain/f.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12.5, inseam = 34 }
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8.75, inseam = 30 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8, inseam = 30.5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8.25, inseam = 31 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5, leg-opening = 8.5, inseam = 31.5 }
+++
--- entries/makers/hollin/no-4/no-4-plain/e.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12, inseam = 33.5 }
+++
--- entries/makers/hollin/no-4/no-4-plain/f.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12.25, inseam = 34 }
+++
",
    check: Check::Reviewed(check),
};

/// How many of the features that speak for the other variant are marked.
const MARKED: usize = 3;

fn check(analysis: &Analysis<'_>, models: &BTreeSet<ModelId>) -> Vec<Diagnostic> {
    analysis.misplaced(models).into_iter().filter_map(|found| word(analysis.knowledge, found)).collect()
}

fn word(knowledge: &Knowledge, found: &Misplaced) -> Option<Diagnostic> {
    let garment = knowledge.catalog.garment(found.garment);
    let own = garment.variant.as_ref()?;
    let first = knowledge.catalog.record(*garment.observations.first()?);
    let place = first.content.observation().map_or(Span::default(), |observation| observation.basis.span);
    let message = format!(
        "fits {} better than {}, by odds of {}",
        wording::quote(found.better.as_str()),
        wording::quote(own.as_str()),
        explain::odds(found.ratio)
    );
    let help =
        "look again at the marked features and at the evidence for the variant; move the file if it is of the other";
    let drawn = LINT.at(Place { file: first.file, span: place }, message).help(help).measured();
    let marked = found.speaking.iter().take(MARKED).filter_map(|feature| speaking(knowledge, found, feature));
    Some(marked.fold(drawn, |diagnostic, (place, text)| diagnostic.label(place, text)))
}

/// Where a reading that speaks for the other variant stands, with what it shows.
fn speaking(knowledge: &Knowledge, found: &Misplaced, feature: &FeatureId) -> Option<(Place, String)> {
    let observations = &knowledge.catalog.garment(found.garment).observations;
    let name = knowledge.catalog.vocabulary.feature(feature.as_str()).map_or(feature.as_str(), |found| &found.name);
    observations.iter().find_map(|index| {
        let record = knowledge.catalog.record(*index);
        let reading = record.content.observation()?.features.get(feature)?;
        let text = format!("{} {} is commoner there", name.to_lowercase(), explain::value(&reading.value));
        Some((Place { file: record.file, span: reading.span }, text))
    })
}
