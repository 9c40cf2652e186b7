//! Garments that are unlike the others of the variant they are filed under.

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::dating::likelihood::unlikely::Unlikely;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::id::{FeatureId, ModelId};
use crate::record::observation::Reading;
use crate::resolve::GarmentIndex;
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unlike-its-variant",
    level: Level::Note,
    title: "a garment is unlike the others of its variant",
    explanation: "\
A garment is judged by the others of its variant; the garment itself and its find are left out of the counts. Its features together are more surprising than those of one garment in a hundred. It may be filed under the wrong variant, have replaced parts, be misread, or be rare. The three strangest features are marked; if another variant of the model fits better, that one is named. If another variant fits it ten times better, `fits-another-variant` says so instead.

Look again at the marked features. Mark a replaced part with `altered = true`; for a wrong placing, move the file. If everything is right on a second look, allow it: rare garments are worth recording. It is reported only for models under review, with `check PATH` or `check --since`, because judging every garment by all others takes time. With few garments recorded, no finding proves little.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/f.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9 }
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/f.md
+++
basis = \"specimen\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5 }
+++
",
    check: Check::Reviewed(check),
};

/// How many of the strangest features are marked.
const MARKED: usize = 3;

fn check(analysis: &Analysis<'_>, models: &BTreeSet<ModelId>) -> Vec<Diagnostic> {
    // A garment that fits another variant gets only that finding.
    let misplaced: BTreeSet<GarmentIndex> = analysis.misplaced(models).iter().map(|found| found.garment).collect();
    let unlikely = analysis.unlikely(models).into_iter().filter(|found| !misplaced.contains(&found.garment));
    unlikely.filter_map(|found| word(analysis.knowledge, found)).collect()
}

fn word(knowledge: &Knowledge, found: &Unlikely) -> Option<Diagnostic> {
    let marked: Vec<(&FeatureId, Place, &Reading)> =
        found.strangest.iter().take(MARKED).filter_map(|feature| reading(knowledge, found, feature)).collect();
    let shown: Vec<String> = marked.iter().map(|(feature, _, reading)| shown(knowledge, feature, reading)).collect();
    let (_, first, _) = marked.first()?;
    let message = format!(
        "unlike the others of its variant, by {:.1} standard deviations: {}",
        found.deviations,
        explain::comparison::join(&shown)
    );
    let help = match &found.better {
        Some(better) => format!(
            "check for replaced parts, or whether it is of {}, which fits better",
            wording::quote(better.as_str())
        ),
        None => "check for replaced or misread parts; no other variant of the model fits better".to_string(),
    };
    let others = marked.iter().zip(&shown).skip(1);
    let drawn = LINT.at(*first, message).help(help).measured();
    Some(others.fold(drawn, |diagnostic, ((_, place, _), shown)| diagnostic.label(*place, format!("{shown}, too"))))
}

/// Where a garment's reading of a feature stands: in the first of its entries that has one.
fn reading<'k>(
    knowledge: &'k Knowledge,
    found: &Unlikely,
    feature: &'k FeatureId,
) -> Option<(&'k FeatureId, Place, &'k Reading)> {
    let observations = &knowledge.catalog.garment(found.garment).observations;
    observations.iter().find_map(|index| {
        let record = knowledge.catalog.record(*index);
        let reading = record.content.observation()?.features.get(feature)?;
        Some((feature, Place { file: record.file, span: reading.span }, reading))
    })
}

fn shown(knowledge: &Knowledge, feature: &FeatureId, reading: &Reading) -> String {
    let name = knowledge.catalog.vocabulary.feature(feature.as_str()).map_or(feature.as_str(), |found| &found.name);
    format!("{} {}", name.to_lowercase(), explain::value(&reading.value))
}
