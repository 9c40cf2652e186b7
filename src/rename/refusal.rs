//! Why a renaming is not done, in words for whoever asked for it.

use std::fmt;

use crate::diagnostic::wording::{join_quoted, quote};

/// Why a renaming is not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Files that cannot be read, and so may name anything.
    Unsearchable(Vec<String>),
    /// The settings have no other name.
    Settings,
    /// There is nothing of the old name.
    Unknown {
        /// What was typed.
        found: String,
        /// What is near it.
        near: Vec<String>,
    },
    /// Several things have the old name.
    Ambiguous {
        /// What was typed.
        found: String,
        /// The whole name of each.
        forms: Vec<String>,
    },
    /// It was renamed before.
    Moved {
        /// What was typed.
        found: String,
        /// The address of now.
        now: String,
    },
    /// The new name would take it to another place.
    Elsewhere {
        /// What was typed.
        found: String,
        /// How a new name is written.
        form: String,
    },
    /// No name.
    BadName {
        /// What was typed.
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
        /// What has it.
        taken: String,
    },
    /// An earlier address of another record.
    Forwarded {
        /// The address.
        address: String,
        /// The record that had it.
        now: String,
    },
    /// Errors that it would bring.
    Errors(Vec<String>),
    /// Conclusions that it would change.
    Conclusions(Vec<String>),
}

impl std::error::Error for Refusal {}

impl fmt::Display for Refusal {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = match self {
            Refusal::Unsearchable(paths) => {
                format!(
                    "{} cannot be read, so nobody knows what stands there; repair it first",
                    join_quoted(paths, "and")
                )
            }
            Refusal::Settings => "`entries/about.md` is found by its name, which stays".to_string(),
            Refusal::Unknown { found, near } if near.is_empty() => format!(
                "there is nothing called {}; write `maker/model`, `maker/line:id`, `sources/name` or `feature:id`",
                quote(found)
            ),
            Refusal::Unknown { found, near } => {
                format!("there is nothing called {}; near it: {}", quote(found), join_quoted(near, "and"))
            }
            Refusal::Ambiguous { found, forms } => {
                format!("{} may be {}; write which", quote(found), join_quoted(forms, "or"))
            }
            Refusal::Moved { found, now } => format!("{} is called {} now", quote(found), quote(now)),
            Refusal::Elsewhere { found, form } => format!(
                "{} is another place: a renaming changes the last name alone, as in {}; \
                 what is moved says something else, so it is moved by hand, with `formerly`",
                quote(found),
                quote(form)
            ),
            Refusal::BadName { found } => {
                format!("a name is written in small letters, digits and hyphens, not {}", quote(found))
            }
            Refusal::Reserved { found } => format!("{} is no name, since it means something else", quote(found)),
            Refusal::Same { found } => format!("it is called {} already", quote(found)),
            Refusal::Taken { name, taken } => format!("{} is taken, by {}", quote(name), quote(taken)),
            Refusal::Forwarded { address, now } => format!(
                "{} is an earlier address of {}, and what refers to it means that; take it out of `formerly` there first",
                quote(address),
                quote(now)
            ),
            Refusal::Errors(errors) => format!("it would bring errors:\n  {}", errors.join("\n  ")),
            Refusal::Conclusions(changed) => {
                format!("it would change more than names:\n  {}", changed.join("\n  "))
            }
        };
        formatter.write_str(&words)
    }
}
