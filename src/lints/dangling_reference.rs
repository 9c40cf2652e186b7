//! Ids that lead nowhere, or to the wrong kind of thing.
//!
//! It turns faults of resolving into diagnostics and looks nothing up.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Family, Fault, FaultKind};
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "dangling-reference",
    level: Level::Error,
    title: "a reference leads nowhere",
    explanation: "\
Entries refer to sources, variants, lines and each other by id. A reference that leads nowhere would be a broken link on the site, and a claim whose source cannot be found is worth no more than hearsay.

Correct the id, or add the record it names. If a record was renamed, write its old address into `formerly` of the new one. A record that exists but has mistakes of its own is not reported here.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975\"
sources = [\"spring-list-1976\"]
+++
--- entries/sources/spring-list-1975.md
+++
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
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
sources = [\"spring-list-1975\"]
+++
--- entries/sources/spring-list-1975.md
+++
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.faults.iter().filter_map(word).collect()
}

fn word(fault: &Fault) -> Option<Diagnostic> {
    if let FaultKind::Unlisted { family: Family::Reference, count } = fault.kind {
        return Some(LINT.at(fault.place, wording::unlisted(count)).help(wording::REPAIR_LISTED));
    }
    let FaultKind::Reference(fault_of) = &fault.kind else { return None };
    let found = wording::quote(&fault_of.found);
    let wanted = fault_of.wanted;
    if let Some(problem) = &fault_of.problem {
        let message = format!("the {wanted} {found} cannot be used here: {problem}");
        return Some(LINT.at(fault.place, message).help(format!("name another {wanted}, or correct that entry")));
    }
    let help = match wording::nearest(&fault_of.found, &fault_of.nearest, 3).as_slice() {
        [] => format!("correct the id, or add the {wanted}"),
        near => format!("write {}", wording::join_quoted(near, "or")),
    };
    Some(LINT.at(fault.place, format!("there is no {wanted} {found}")).help(help))
}
