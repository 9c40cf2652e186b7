//! One file on its way to a typed record: its path, the words it may use, and its faults so far.
//!
//! It says nothing about a value that the schema has already refused, so that one mistake gives one
//! fault.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use crate::date::edtf::{CircaYears, Edtf};
use crate::fault::{Fault, FaultKind, RuleBroken, SchemaFault, TermFault};
use crate::schema::Features;
use crate::source::tree::Table;
use crate::source::{FileId, FilePath, Place, Span, Spanned};
use crate::validate::address::RESERVED;
use crate::vocabulary::{Feature, Vocabulary};

/// The words that records may use.
#[derive(Debug, Default)]
pub(super) struct Terms {
    /// The features that could be read.
    pub(super) vocabulary: Vocabulary,
    /// The ids of features that are there and could not be read, sorted.
    pub(super) unclear: Vec<String>,
    /// Whether the whole vocabulary was read; if not, unknown words are not faults.
    pub(super) is_read: bool,
    /// How far `~` widens a year.
    pub(super) circa: CircaYears,
    /// The ids of all of these features, once somebody has asked.
    pub(super) known: OnceLock<Arc<[String]>>,
}

impl Terms {
    /// The features as the schema of observations needs them.
    pub(super) fn features(&self) -> Features<'_> {
        if self.is_read { Features::Known(&self.vocabulary, &self.unclear) } else { Features::Unread }
    }

    /// Says whether a word that is not in the vocabulary is to be let through.
    fn lets_through(&self, word: &str) -> bool {
        !self.is_read || self.unclear.binary_search_by(|id| id.as_str().cmp(word)).is_ok()
    }

    /// All that is known, listed once: a stranger's file may name ten thousand features that are not.
    fn known(&self) -> Arc<[String]> {
        let read = self.vocabulary.iter().map(|feature| feature.id.to_string());
        Arc::clone(self.known.get_or_init(|| read.chain(self.unclear.iter().cloned()).collect()))
    }
}

/// The vocabulary's knowledge of a feature that a record names.
pub(super) enum Named<'a> {
    /// The vocabulary has it.
    Known(&'a Feature),
    /// The vocabulary may have it, but could not be read.
    Unclear,
    /// The vocabulary does not have it; that is reported.
    Unknown,
}

/// One file on its way to a typed record.
pub(super) struct Reader<'a> {
    pub(super) file: FileId,
    pub(super) path: &'a FilePath,
    /// The words it may use.
    pub(super) terms: &'a Terms,
    refused: BTreeSet<Span>,
    faults: Vec<Fault>,
    gaps: Vec<Fault>,
}

impl<'a> Reader<'a> {
    /// Begins with what the schema holds against the file.
    pub(super) fn new(file: FileId, path: &'a FilePath, terms: &'a Terms, faults: Vec<Fault>) -> Reader<'a> {
        let refused = faults.iter().filter(|fault| is_of_value(fault)).map(Fault::span).collect();
        Reader { file, path, terms, refused, faults, gaps: Vec::new() }
    }

    /// Reports a fault, unless the schema has refused that very value.
    pub(super) fn report(&mut self, span: Span, kind: FaultKind) {
        if self.refused.contains(&span) {
            return;
        }
        self.faults.push(Fault::new(Place { file: self.file, span }, kind));
    }

    /// Reports a rule between keys that is broken.
    pub(super) fn rule(&mut self, span: Span, rule: RuleBroken) {
        self.report(span, FaultKind::Schema(SchemaFault::Rule(rule)));
    }

    /// Reports a rule that has no name of its own.
    pub(super) fn other(&mut self, span: Span, found: impl Into<String>, expected: &str) {
        self.rule(span, RuleBroken::Other { found: found.into(), expected: expected.to_string() });
    }

    /// Reports a key that is needed because of another.
    pub(super) fn missing(&mut self, span: Span, key: &str, because: &str) {
        let (key, because) = (key.to_string(), Some(because.to_string()));
        self.report(span, FaultKind::Schema(SchemaFault::MissingKey { key, because, allowed: Vec::new() }));
    }

    /// Passes a value on; one that is missing is reported if a changed schema let the gap pass.
    pub(super) fn need<T>(&mut self, table: &Table, key: &str, value: Option<T>) -> Option<T> {
        if value.is_none() {
            let fault = SchemaFault::MissingKey { key: key.to_string(), because: None, allowed: Vec::new() };
            let kind = FaultKind::Schema(fault);
            let span = table.get(key).map_or(table.span(), |node| node.span);
            self.gaps.push(Fault::new(Place { file: self.file, span }, kind));
        }
        value
    }

    /// Reads a text that must be there.
    pub(super) fn text(&mut self, table: &Table, key: &str) -> Option<Spanned<String>> {
        self.need(table, key, table.text(key))
    }

    /// Reads a word that must be there and must be one of a list's.
    pub(super) fn word<T: Copy>(&mut self, table: &Table, key: &str, words: &[(T, &str)]) -> Option<Spanned<T>> {
        self.need(table, key, word(table, key, words))
    }

    /// Reads a date, if the key is there.
    pub(super) fn date(&mut self, table: &Table, key: &str) -> Option<Spanned<Edtf>> {
        let node = table.get(key)?;
        let text = node.text()?;
        match Edtf::parse(text) {
            Ok(date) => Some(Spanned::new(date, node.span)),
            Err(fault) => {
                let kind = FaultKind::Schema(SchemaFault::Date { found: text.to_string(), fault });
                self.gaps.push(Fault::new(Place { file: self.file, span: node.span }, kind));
                None
            }
        }
    }

    /// Finds a feature that the record names, and reports a word that names none.
    pub(super) fn feature(&mut self, found: &str, span: Span) -> Named<'a> {
        match self.terms.vocabulary.feature(found) {
            Some(feature) => Named::Known(feature),
            None if self.terms.lets_through(found) => Named::Unclear,
            None => {
                let fault = TermFault::UnknownFeature { found: found.to_string(), known: self.terms.known() };
                self.report(span, FaultKind::Term(fault));
                Named::Unknown
            }
        }
    }

    /// Reports an id that is a short word or occurs twice.
    pub(super) fn check_ids(&mut self, ids: &[Spanned<String>]) {
        let mut earlier = BTreeSet::new();
        for id in ids {
            let is_repeated = !earlier.insert(id.value.as_str());
            let found = id.value.clone();
            if RESERVED.contains(&found.as_str()) {
                self.rule(id.span, RuleBroken::ReservedId { found });
            } else if is_repeated {
                self.rule(id.span, RuleBroken::RepeatedId { found });
            }
        }
    }

    /// Gives the faults, in order of place.
    pub(super) fn finish(self) -> Vec<Fault> {
        let mut faults = if self.faults.is_empty() { self.gaps } else { self.faults };
        faults.sort_by_key(Fault::span);
        faults
    }
}

/// Says whether a fault blames a value, and not a key or the want of one.
fn is_of_value(fault: &Fault) -> bool {
    let is_of_key = matches!(
        fault.kind,
        FaultKind::Schema(SchemaFault::UnknownKey { .. } | SchemaFault::MissingKey { .. })
            | FaultKind::Term(TermFault::UnknownFeature { .. } | TermFault::KeyOfEntry { .. })
    );
    !is_of_key
}

/// Reads a word of a list, if the key holds one.
pub(super) fn word<T: Copy>(table: &Table, key: &str, words: &[(T, &str)]) -> Option<Spanned<T>> {
    let node = table.get(key)?;
    let found = node.text()?;
    let (value, _) = words.iter().find(|(_, word)| *word == found)?;
    Some(Spanned::new(*value, node.span))
}
