//! Words of features and states that the vocabulary does not have.
//!
//! Words the faults about terms; the vocabulary itself is not judged here.

use std::collections::BTreeMap;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, TermFault};
use crate::knowledge::Knowledge;
use crate::source::FileId;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "unknown-term",
    level: Level::Error,
    title: "a feature or state is not in the vocabulary",
    explanation: "\
What is seen on garments is written in the words of `schema/vocabulary.toml`, so that two people who saw the same thing wrote the same thing. A word that is not there would count for nothing, or look like a difference between variants that is only one of spelling.

Use the word the message suggests. Where there is truly no word for what you saw, write `{ other = \"what you saw\" }`: it is kept and listed for the maintainers, who may add a state. This cannot be allowed in the entry, because the entry is not used.",
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

/// For how many mistakes of one file the nearest words are looked up: each look takes time by the length of the vocabulary.
const MOST_LOOKS: usize = 200;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let mut looks: BTreeMap<FileId, usize> = BTreeMap::new();
    let mut word = |fault: &Fault| {
        let FaultKind::Term(kind) = &fault.kind else { return None };
        let look = looks.entry(fault.place.file).or_default();
        *look += 1;
        Some(word(fault, kind, *look))
    };
    knowledge.faults.iter().filter_map(&mut word).collect()
}

fn word(fault: &Fault, kind: &TermFault, look: usize) -> Diagnostic {
    let quote = wording::quote;
    match kind {
        TermFault::UnknownFeature { found, known } if look > MOST_LOOKS && !known.is_empty() => {
            let message = format!("unknown feature {}, expected one of the {} in {HOME}", quote(found), known.len());
            LINT.at(fault.place, message).help(format!("use a feature of {HOME}"))
        }
        TermFault::UnknownFeature { found, known } => {
            let message = format!("unknown feature {}, {}", quote(found), wording::expected(found, known, HOME));
            let add = || format!("use a feature of {HOME}; describe the rest in the prose below the fields");
            LINT.at(fault.place, message).help(wording::write_nearest(found, known).unwrap_or_else(add))
        }
        TermFault::UnknownState { feature, found, allowed } => {
            let expected = wording::expected(found, allowed, HOME);
            let message = format!("{} has no state {}, {expected}", quote(feature), quote(found));
            let other = || format!("where no word fits, write `{{ other = \"{}\" }}`", quote(found).trim_matches('`'));
            LINT.at(fault.place, message).help(wording::write_nearest(found, allowed).unwrap_or_else(other))
        }
        TermFault::WrongGarment { feature, garment, allowed } => {
            let allowed = wording::join_quoted(allowed, "or");
            let message = format!("{} is not a feature of {}, expected {allowed}", quote(feature), quote(garment));
            LINT.at(fault.place, message).help("leave the feature out, or check which model this is filed under")
        }
    }
}
