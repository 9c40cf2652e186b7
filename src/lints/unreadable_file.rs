//! Reports files among the entries that could not be read as records.
//!
//! It turns faults of the disk into diagnostics and opens nothing.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, Unreadable};
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unreadable-file",
    level: Level::Error,
    title: "a file cannot be read",
    explanation: "\
Entries are plain UTF-8 text files of at most 1 MiB. A file that is a symbolic link, a device, too large, or not UTF-8 is not read, so nobody sees its content. Nothing outside the folder of the knowledge base is ever read, which is why links are refused.

The same is reported for templates and drawings in `site/` that cannot be used to build the site.

Save the file as UTF-8 text, replace the link with the file itself, or move anything that is not an entry out of `entries/`. This cannot be allowed in the entry, because the entry is not read.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md (not UTF-8 from byte 20)
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

pub(super) fn word(knowledge: &Knowledge, fault: &Fault) -> Option<Diagnostic> {
    let FaultKind::Unreadable(kind) = &fault.kind else { return None };
    let path = wording::quote(knowledge.catalog.sources.file(fault.place.file).path().as_str());
    let (problem, help) = match kind {
        Unreadable::SymbolicLink => ("is a symbolic link, expected a file".to_string(), "put the file itself here"),
        Unreadable::NotAFile => {
            ("is a device or pipe, expected a file".to_string(), "move it out of the knowledge base")
        }
        Unreadable::TooLarge { limit } => (
            format!("is too large, expected at most {limit} bytes"),
            "split the entry, or keep long texts elsewhere and cite them",
        ),
        Unreadable::NotUtf8 { offset } => {
            (format!("is not UTF-8 from byte {offset} on"), "save it again as UTF-8 text")
        }
        Unreadable::Refused(reason) => (
            format!("cannot be read: {}", wording::quote(reason)),
            "let your user read it, or move it out of the knowledge base",
        ),
        Unreadable::Unusable(problem) => (
            format!("cannot be used: {}", wording::quote(problem)),
            "correct it, or remove it so that the built-in one is used",
        ),
        Unreadable::BadName => {
            ("has a name that a record cannot have".to_string(), "use small letters a to z, digits and `-` in names")
        }
    };
    Some(LINT.at(fault.place, format!("{path} {problem}")).help(help))
}
