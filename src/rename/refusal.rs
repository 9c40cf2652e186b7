//! The reasons for refusing to rename, in words for the user.

use std::fmt;

use crate::diagnostic::wording::{join_quoted, quote};

/// How many garments are named.
const MOST_NAMED: usize = 5;

/// Why a renaming is not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Files that cannot be read, and so may name anything.
    Unsearchable(Vec<String>),
    /// The settings have no other name.
    Settings,
    /// There is nothing of the old name.
    Unknown {
        /// The typed text.
        found: String,
        /// Similar names.
        near: Vec<String>,
    },
    /// Several things have the old name.
    Ambiguous {
        /// The typed text.
        found: String,
        /// The whole name of each.
        forms: Vec<String>,
    },
    /// It was renamed before.
    Moved {
        /// The typed text.
        found: String,
        /// The address of now.
        now: String,
    },
    /// The new name would take it to another place.
    Elsewhere {
        /// The typed text.
        found: String,
        /// How a new name is written.
        form: String,
    },
    /// No name.
    BadName {
        /// The typed text.
        found: String,
    },
    /// A word that means something else.
    Reserved {
        /// The word.
        found: String,
    },
    /// It is called so already.
    Same {
        /// The name.
        found: String,
    },
    /// Something else is called so, or differs only in capital letters.
    Taken {
        /// The new name.
        name: String,
        /// The thing with that name.
        taken: String,
    },
    /// An earlier address of another record.
    Forwarded {
        address: String,
        /// The record that had it.
        now: String,
    },
    /// Errors that it would bring.
    Errors(Vec<String>),
    /// Conclusions that it would change.
    Conclusions(Vec<String>),
    /// Neither a state nor a feature, so nothing that is merged.
    NotMerged {
        /// The typed text.
        found: String,
    },
    /// No state, so nothing that is split.
    NotSplit {
        /// The typed text.
        found: String,
    },
    /// Garments that have recorded both of the two things to merge.
    Distinguished(Vec<String>),
    /// Verdicts that merging would change, or conflicts that it would open.
    Verdicts(Vec<String>),
    /// A vocabulary whose text is not written in a way that can be changed.
    Unchangeable(String),
}

impl std::error::Error for Refusal {}

impl fmt::Display for Refusal {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = match self {
            Refusal::Unsearchable(paths) => {
                format!("{} cannot be read, so it may refer to anything; repair it first", join_quoted(paths, "and"))
            }
            Refusal::Settings => "`entries/about.md` is found by its name, so it cannot be renamed".to_string(),
            Refusal::Unknown { found, near } if near.is_empty() => format!(
                "there is nothing called {}; write `maker/model`, `maker/line:id`, `sources/name` or `feature:id`",
                quote(found)
            ),
            Refusal::Unknown { found, near } => {
                format!("there is nothing called {}; near it: {}", quote(found), join_quoted(near, "and"))
            }
            Refusal::Ambiguous { found, forms } => {
                format!("{} may be {}; write the full path", quote(found), join_quoted(forms, "or"))
            }
            Refusal::Moved { found, now } => format!("{} is called {} now", quote(found), quote(now)),
            Refusal::Elsewhere { found, form } => format!(
                "{} is another place: a renaming changes only the last name, as in {}; \
                 moving a record changes its meaning, so move it by hand, with `formerly`",
                quote(found),
                quote(form)
            ),
            Refusal::BadName { found } => {
                format!("a name is written in small letters, digits and hyphens, not {}", quote(found))
            }
            Refusal::Reserved { found } => {
                format!("{} cannot be used as a name, because it means something else", quote(found))
            }
            Refusal::Same { found } => format!("it is already called {}", quote(found)),
            Refusal::Taken { name, taken } => format!("{} is taken, by {}", quote(name), quote(taken)),
            Refusal::Forwarded { address, now } => format!(
                "{} is an earlier address of {}, and references to it mean that; remove it from `formerly` there first",
                quote(address),
                quote(now)
            ),
            Refusal::Errors(errors) => format!("it would cause errors:\n  {}", errors.join("\n  ")),
            Refusal::Conclusions(changed) => {
                format!("it would change more than names:\n  {}", changed.join("\n  "))
            }
            merging => merging.of_merging(),
        };
        formatter.write_str(&words)
    }
}

impl Refusal {
    /// Why two things do not become one, or one several; of other refusals nothing.
    fn of_merging(&self) -> String {
        match self {
            Refusal::NotMerged { found } => {
                format!("{} is neither a state nor a feature: only these can be merged", quote(found))
            }
            Refusal::NotSplit { found } => format!("{} is not a state: only a state can be split", quote(found)),
            Refusal::Distinguished(paths) => format!(
                "both are recorded for one garment, and could no longer be told apart:\n  {}",
                paths.iter().take(MOST_NAMED).cloned().collect::<Vec<String>>().join("\n  ")
            ),
            Refusal::Verdicts(changed) => format!("it would change conclusions:\n  {}", changed.join("\n  ")),
            Refusal::Unchangeable(feature) => {
                format!("the vocabulary lists {} in a way that cannot be changed here; edit it by hand", quote(feature))
            }
            _ => String::new(),
        }
    }
}
