//! Placings by judgement that name nothing they were judged from.

use std::collections::BTreeSet;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::id::FeatureId;
use crate::record::observation::{JudgedFrom, PlacedBy};
use crate::source::{Place, Span};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "judged-from-nothing",
    level: Level::Warning,
    title: "a placing by judgement does not say what it is based on",
    explanation: "\
A garment placed by its hem says nothing about the hems of its variant: that would be circular. So the feature it was judged from does not count there. If `placed-from` is missing, no feature of the garment counts, since it could have been any of them. If it names a feature that the entry does not record, the feature that was really used may still count.

Name the features the garment was placed by, and record them. If nobody remembers, write `placed-from = [\"unsaid\"]`.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"judged\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"judged\"
placed-from = [\"unsaid\"]
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let garments = catalog.garments.iter().flat_map(|garment| {
        let entries = || garment.observations.iter().map(|index| catalog.record(*index));
        // Another entry of the same garment may record what this one was judged from.
        let seen = entries().filter_map(|record| record.content.observation());
        let recorded: BTreeSet<&FeatureId> = seen.flat_map(|observation| observation.features.keys()).collect();
        entries().flat_map(move |record| of_record(record, &recorded))
    });
    garments.collect()
}

fn of_record(record: &Record, recorded: &BTreeSet<&FeatureId>) -> Vec<Diagnostic> {
    let Some(observation) = record.content.observation() else { return Vec::new() };
    let Some(by) = observation.placed_by.as_ref().filter(|by| by.value == PlacedBy::Judged) else { return Vec::new() };
    let at = |span: Span, message: String| LINT.at(Place { file: record.file, span }, message);
    // The default for a missing list has the place of the word.
    if observation.placed_from.iter().any(|from| from.span == by.span) {
        let message = "placed by judgement, without saying from which features".to_string();
        let help =
            "add the features, such as `placed-from = [\"hem\"]`, or `placed-from = [\"unsaid\"]` if nobody remembers";
        return vec![at(by.span, message).help(help)];
    }
    let told = observation.placed_from.iter().filter_map(|from| {
        let JudgedFrom::Feature(feature) = &from.value else { return None };
        let message = format!("placed by {}, which is not recorded for this garment", wording::quote(feature.as_str()));
        let help = "record that feature, or name the feature that was used";
        (!recorded.contains(feature)).then(|| at(from.span, message).help(help))
    });
    told.collect()
}
