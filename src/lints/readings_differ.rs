//! Garments that several entries describe differently.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::reading::{self, Shown};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::id::FeatureId;
use crate::record::observation::{Reading, Value};
use crate::resolve::{Catalog, Garment, RecordIndex};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "readings-differ",
    level: Level::Warning,
    title: "two entries of one garment read a feature differently",
    explanation: "\
Entries joined by `same-as` describe one garment, so a feature of it can show only one thing. If the readings differ, both are shown and neither is counted, because nobody can say which is right. Two measurements may differ by up to twice the tolerance in the vocabulary; then their mean is used.

Look again, and correct one of them or mark it `unsure`. If the part was changed between the two looks, mark it `altered`. If the entries are of two garments after all, remove `same-as`.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = \"folded\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find-again.md
+++
basis = \"specimen\"
same-as = \"barn-find\"
[features]
hem = \"chain-stitch\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = { state = \"folded\", unsure = true }
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find-again.md
+++
basis = \"specimen\"
same-as = \"barn-find\"
[features]
hem = \"chain-stitch\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let joined = catalog.garments.iter().filter(|garment| garment.observations.len() > 1);
    joined.flat_map(|garment| of_garment(catalog, garment)).collect()
}

fn of_garment(catalog: &Catalog, garment: &Garment) -> Vec<Diagnostic> {
    let readings = reading::of_garment(catalog, garment);
    readings
        .iter()
        .filter(|(_, shown)| shown.differs())
        .filter_map(|(id, shown)| differing(catalog, id, shown))
        .collect()
}

fn differing(catalog: &Catalog, feature: &FeatureId, shown: &Shown<'_>) -> Option<Diagnostic> {
    let usable: Vec<(RecordIndex, &Reading)> =
        shown.readings.iter().filter(|(_, reading)| reading::is_usable(reading)).copied().collect();
    let (first, rest) = usable.split_first()?;
    let (other_index, other) = rest.iter().max_by(|one, two| {
        let (one, two) = (apart(&first.1.value, &one.1.value), apart(&first.1.value, &two.1.value));
        one.total_cmp(&two)
    })?;
    let place = |index: RecordIndex, reading: &Reading| Place { file: catalog.record(index).file, span: reading.span };
    let says = |reading: &Reading| format!("here it is {}", explain::value(&reading.value));
    let message = format!("{} of one garment is recorded in two ways", wording::quote(feature.as_str()));
    let diagnostic = LINT.at(place(*other_index, other), message).saying(says(other));
    let diagnostic = diagnostic.label(place(first.0, first.1), says(first.1));
    Some(
        diagnostic
            .help("look again and correct one, or mark one of them `unsure = true`; until then neither is counted"),
    )
}

/// How far apart two readings are: only measurements have a distance; others are equal or not.
fn apart(one: &Value, other: &Value) -> f64 {
    match (one, other) {
        (Value::Measure(one), Value::Measure(other)) => (one - other).abs(),
        (one, other) if one == other => 0.0,
        _ => 1.0,
    }
}
