//! One reported occurrence of a kind of mistake, and the descriptor of that kind.
//!
//! A diagnostic can be built only from a lint's descriptor, so nothing is reported that is not documented.
//! No lint lives here, and nothing is drawn.

pub mod wording;

use std::collections::BTreeSet;
use std::fmt;

use crate::analysis::Analysis;
use crate::date::Day;
use crate::fault::Fault;
use crate::fault::repair::Repair;
use crate::knowledge::Knowledge;
use crate::record::id::ModelId;
use crate::source::{FileId, Place};

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Usable, but doubtful or contradicted.
    Warning,
    /// The record cannot be used, or the site would be broken.
    Error,
}

impl Level {
    /// The word of the level.
    pub fn word(self) -> &'static str {
        match self {
            Level::Note => "note",
            Level::Warning => "warning",
            Level::Error => "error",
        }
    }
}

/// A kind of mistake, with all texts about it.
pub struct Lint {
    /// Its name in words, also the name of its file, its page and its tests.
    pub code: &'static str,
    /// How bad it is.
    pub level: Level,
    /// The mistake, in one line of at most 72 characters without a full stop.
    pub title: &'static str,
    /// The check, why the mistake harms readers, how to repair it, when to allow it; Markdown.
    pub explanation: &'static str,
    /// A tiny knowledge base that raises this lint and no other.
    pub wrong: &'static str,
    /// The same, repaired: it raises nothing.
    pub right: &'static str,
    /// How it is found.
    pub check: Check,
}

/// How a lint finds its occurrences.
pub enum Check {
    /// From the knowledge.
    Knowledge(fn(&Knowledge) -> Vec<Diagnostic>),
    /// From what all other lints raised, allowed or not.
    Raised(fn(&Knowledge, &Raised<'_>) -> Vec<Diagnostic>),
    /// From the knowledge and today's date, if given: `check` gives it, `build` does not.
    Dated(fn(&Knowledge, Day) -> Vec<Diagnostic>),
    /// By comparing the garments of some models with one another, which takes time: only for models under review.
    Reviewed(fn(&Analysis<'_>, &BTreeSet<ModelId>) -> Vec<Diagnostic>),
    /// From the present and an earlier knowledge: only if the two are compared.
    Compared(fn(&Knowledge, &Knowledge) -> Vec<Diagnostic>),
    /// Never: the lint is retired, and its explanation says what replaced it.
    Retired,
}

/// The input of a lint about other lints.
pub struct Raised<'a> {
    /// The diagnostics they raised, allowed or not.
    pub diagnostics: &'a [Diagnostic],
    /// The codes of all lints.
    pub codes: &'a [&'static str],
    /// The codes of those that run only for models under review, or only with today's date or an earlier state.
    pub reviewing: &'a [&'static str],
}

impl fmt::Debug for Lint {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.code)
    }
}

impl Lint {
    /// Begins a diagnostic of this lint; the message starts in lower case and has no full stop.
    pub fn at(&'static self, place: Place, message: impl Into<String>) -> Diagnostic {
        let primary = Label { place, text: String::new() };
        Diagnostic {
            lint: self,
            message: message.into(),
            primary,
            labels: Vec::new(),
            help: None,
            repair: None,
            is_measured: false,
        }
    }
}

/// One occurrence of a lint.
#[derive(Clone, Debug)]
pub struct Diagnostic {
    lint: &'static Lint,
    message: String,
    primary: Label,
    labels: Vec<Label>,
    help: Option<String>,
    repair: Option<Repair>,
    is_measured: bool,
}

/// A place with its part in a diagnostic.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub place: Place,
    /// The label of the place; may be empty.
    pub text: String,
}

impl Diagnostic {
    /// Labels the primary place.
    pub fn saying(mut self, text: impl Into<String>) -> Diagnostic {
        self.primary.text = text.into();
        self
    }

    /// Adds another place, in this file or another.
    pub fn label(mut self, place: Place, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label { place, text: text.into() });
        self
    }

    /// Adds an instruction for the contributor.
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help = Some(text.into());
        self
    }

    /// Marks a finding whose words follow from what other entries say: it is the same one whatever its message says.
    pub fn measured(mut self) -> Diagnostic {
        self.is_measured = true;
        self
    }

    /// Says whether its words follow from what other entries say.
    pub fn is_measured(&self) -> bool {
        self.is_measured
    }

    /// Adds a sentence to the instruction.
    pub fn advise(&mut self, text: &str) {
        let before = self.help.take().map_or(String::new(), |help| format!("{help}. "));
        self.help = Some(format!("{before}{text}"));
    }

    /// Adds the one repair of a fault at the primary place, if there is one, and describes it in place of other advice.
    pub fn repaired(mut self, fault: &Fault) -> Diagnostic {
        if let Some(repair) = &fault.repair {
            self.help = Some(wording::repair(repair));
            self.repair = Some(Repair::clone(repair));
        }
        self
    }

    /// The lint it is an occurrence of.
    pub fn lint(&self) -> &'static Lint {
        self.lint
    }

    /// How bad it is.
    pub fn level(&self) -> Level {
        self.lint.level
    }

    /// The message: the mistake, and the expected form.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The place it is reported at.
    pub fn primary(&self) -> &Label {
        &self.primary
    }

    /// The other places.
    pub fn labels(&self) -> &[Label] {
        &self.labels
    }

    /// The instruction for the contributor, if any.
    pub fn advice(&self) -> Option<&str> {
        self.help.as_deref()
    }

    /// The one repair in the file of the primary place, if there is one.
    pub fn repair(&self) -> Option<&Repair> {
        self.repair.as_ref()
    }

    /// Every place, the primary one first.
    pub fn places(&self) -> impl Iterator<Item = &Label> {
        std::iter::once(&self.primary).chain(&self.labels)
    }

    /// Says whether any of its places lies in the file.
    pub fn touches(&self, file: FileId) -> bool {
        self.places().any(|label| label.place.file == file)
    }
}
