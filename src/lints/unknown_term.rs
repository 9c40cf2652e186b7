//! Words of features and states that the vocabulary does not have.
//!
//! It turns faults about terms into diagnostics; it does not judge the vocabulary itself.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Family, Fault, FaultKind, TermFault};
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unknown-term",
    level: Level::Error,
    title: "a feature or state is not in the vocabulary",
    explanation: "\
Entries describe garments in the words of `schema/vocabulary.toml`, so that two people who see the same thing write the same thing. A word that is not there could not be counted, or a difference of spelling would look like a difference between variants.

Use the word the message suggests. If there is really no word for what you saw, write `{ other = \"what you saw\" }`: it is kept and listed for the maintainers, who may add a state. This cannot be allowed in the entry, because the entry is not used.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = \"chain-stich\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = \"chain-stitch\"
+++
",
    check: Check::Knowledge(check),
};

/// Where the features are written down.
const HOME: &str = "`schema/vocabulary.toml`";

/// How many words are compared, in one run, to find the nearest: each mistake is compared with the whole vocabulary.
const MOST_COMPARED: usize = 2_000_000;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let mut compared = 0;
    let mut word = |fault: &Fault| {
        if let FaultKind::Unlisted { family: Family::Term, count } = fault.kind {
            return Some(LINT.at(fault.place, wording::unlisted(count)).help(wording::REPAIR_LISTED));
        }
        let FaultKind::Term(kind) = &fault.kind else { return None };
        if let TermFault::UnknownFeature { known, .. } = kind {
            compared += known.len();
        }
        Some(word(fault, kind, compared).repaired(fault))
    };
    knowledge.faults.iter().filter_map(&mut word).collect()
}

fn word(fault: &Fault, kind: &TermFault, compared: usize) -> Diagnostic {
    let quote = wording::quote;
    match kind {
        TermFault::UnknownFeature { found, known } if compared > MOST_COMPARED && !known.is_empty() => {
            let message = format!("unknown feature {}, expected one of the {} in {HOME}", quote(found), known.len());
            LINT.at(fault.place, message).help(format!("use a feature of {HOME}"))
        }
        TermFault::UnknownFeature { found, known } => {
            let message = format!("unknown feature {}, {}", quote(found), wording::expected(found, known, HOME));
            let add = || format!("use a feature of {HOME}; describe the rest in the prose below the fields");
            LINT.at(fault.place, message).help(wording::write_nearest(found, known).unwrap_or_else(add))
        }
        TermFault::KeyOfEntry { key, is_given } => {
            let found = format!("{} is a key of the entry and no feature, but it is below `[features]`", quote(key));
            let (rest, help) = match is_given {
                true => ("; above them the entry has it too", "keep one of the two, above `[features]`"),
                false => ("", "move it above `[features]`"),
            };
            LINT.at(fault.place, found + rest).help(help)
        }
        TermFault::UnknownState { feature, found, allowed } => {
            let expected = wording::expected(found, allowed, HOME);
            let message = format!("{} has no state {}, {expected}", quote(feature), quote(found));
            let other = || format!("if no word fits, write `{{ other = \"{}\" }}`", quote(found).trim_matches('`'));
            LINT.at(fault.place, message).help(wording::write_nearest(found, allowed).unwrap_or_else(other))
        }
        TermFault::WrongGarment { feature, garment, allowed } => {
            let allowed = wording::join_quoted(allowed, "or");
            let message = format!("{} is not a feature of {}, expected {allowed}", quote(feature), quote(garment));
            LINT.at(fault.place, message).help("remove the feature, or check which model this is filed under")
        }
    }
}
