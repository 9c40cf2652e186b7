//! Records that stand where their kind does not belong.
//!
//! It turns faults about paths into diagnostics and does not look at contents.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, Misplaced};
use crate::knowledge::Knowledge;
use crate::record::id::LONGEST_NAME;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "misplaced-record",
    level: Level::Error,
    title: "a record is in the wrong place for its kind",
    explanation: "\
The path of a file is its identity: it says what kind of record it is and what it belongs to. `entries/makers/<maker>/<model>/<variant>/` holds `variant.md` and the observations of that variant; the folders above hold `model.md` and `maker.md`. Names are small letters, digits and hyphens, at most 100 of them, and not a device name of Windows, so that they are the same in every address and on every machine.

Move the file to where it belongs, or add the record that gives its folder a meaning. A garment whose variant is not known goes to `entries/unplaced/`.",
    wrong: "\
--- entries/makers/hollin/no-4/barn-find.md
+++
basis = \"specimen\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.faults.iter().filter_map(|fault| word(knowledge, fault)).collect()
}

fn word(knowledge: &Knowledge, fault: &Fault) -> Option<Diagnostic> {
    let FaultKind::Misplaced(kind) = &fault.kind else { return None };
    let path = wording::quote(knowledge.catalog.sources.file(fault.place.file).path().as_str());
    let (message, help) = match kind {
        Misplaced::NoSuchPlace => (
            format!("no kind of record belongs at {path}"),
            "move it into the folder of a variant, or to `entries/unplaced/`".to_string(),
        ),
        Misplaced::MissingParent { expected } => {
            let expected = wording::quote(expected);
            (
                format!("{path} belongs to {expected}, which does not exist"),
                format!("add {expected}, or move this file"),
            )
        }
        Misplaced::BadName { found } => (
            format!("the name {} is not made of small letters a to z, digits and `-`", wording::quote(found)),
            "rename the file or folder".to_string(),
        ),
        Misplaced::Device { found } => (
            format!("{} is a device name on Windows, where no file can have it", wording::quote(found)),
            "rename the file or folder".to_string(),
        ),
        Misplaced::LongName { letters } => (
            format!("a name in {path} has {letters} letters, expected at most {LONGEST_NAME}"),
            "give the file or folder a shorter name".to_string(),
        ),
    };
    Some(LINT.at(fault.place, message).help(help))
}
