//! Garments that are filed under two variants.

use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::observation::Placement;
use crate::resolve::{Catalog, Garment};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "filed-twice",
    level: Level::Warning,
    title: "one garment is filed under two variants",
    explanation: "\
Entries joined by `same-as` describe one garment, and a garment is of one variant. A garment filed under two variants counts in neither, so what was seen on it is lost.

Move the entries under the right variant. If nobody can say which that is, move them to `entries/unplaced/` and name both variants in `perhaps`. If they are two garments after all, remove `same-as`.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
+++
--- entries/makers/hollin/no-4/no-4-plain/barn-find.md
+++
basis = \"specimen\"
same-as = \"makers/hollin/no-4/no-4-best/barn-find\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
+++
--- entries/makers/hollin/no-4/no-4-plain/attic-find.md
+++
basis = \"specimen\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let twice = knowledge.catalog.garments.iter().filter(|garment| garment.variants.len() > 1);
    twice.filter_map(|garment| diagnostic(&knowledge.catalog, garment)).collect()
}

fn diagnostic(catalog: &Catalog, garment: &Garment) -> Option<Diagnostic> {
    let records: Vec<&Record> = garment.observations.iter().map(|index| catalog.record(*index)).collect();
    let joining = records.iter().rev().find(|record| same_as(record).is_some())?;
    let message = format!("this garment is filed under {} variants, expected one", garment.variants.len());
    let diagnostic = LINT.at(same_as(joining)?, message).saying(says(joining));
    let others = records.iter().filter(|record| record.file != joining.file);
    let labelled = others.fold(diagnostic, |diagnostic, record| match start(record) {
        Some(place) => diagnostic.label(place, says(record)),
        None => diagnostic,
    });
    Some(labelled.help("move the entries under one variant, or remove `same-as` if these are two garments"))
}

fn says(record: &Record) -> String {
    match record.content.observation().map(|observation| &observation.placement) {
        Some(Placement::Variant(variant)) => format!("filed under `{variant}`"),
        _ => "filed under no variant".to_string(),
    }
}

fn same_as(record: &Record) -> Option<Place> {
    let same_as = record.content.observation()?.same_as.as_ref()?;
    Some(Place { file: record.file, span: same_as.span })
}

fn start(record: &Record) -> Option<Place> {
    record.content.observation().map(|observation| Place { file: record.file, span: observation.basis.span })
}
