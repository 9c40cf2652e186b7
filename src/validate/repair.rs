//! Repairs a mistake in a file if it has only one possible meaning.
//!
//! Words of the record format may be misspelt; words for readings must have the same meaning in the
//! vocabulary. It never adds or removes a fault.

mod quantity;
pub(super) mod slip;
mod spot;

use serde_json::Value;

use crate::date::Day;
use crate::date::edtf::Edtf;
use crate::date::numeral::DayOrder;
use crate::date::words::{self, Meaning};
use crate::fault::listed::MOST;
use crate::fault::repair::{Deed, Repair};
use crate::fault::{Fault, FaultKind, RuleBroken, SchemaFault, TermFault};
use crate::source::edit::{self, Edit};
use crate::source::tree::{Item, Node, Table};
use crate::source::{SourceFile, Span};
use crate::validate::repair::spot::Spot;
use crate::vocabulary::{Feature, Kind, Unit, Vocabulary};

/// A file that was read, and what its words are held to.
pub(super) struct Bench<'a> {
    pub(super) file: &'a SourceFile,
    /// Its keys.
    pub(super) table: &'a Table,
    /// The schema of its kind of record.
    pub(super) schema: &'a Value,
    /// The features.
    pub(super) vocabulary: &'a Vocabulary,
}

/// The keys that hold a date in quotation marks, in every kind of record.
pub(super) const DATES: [&str; 5] = ["made", "when", "date", "not-before", "not-after"];

/// The keys that hold a day without quotation marks.
const DAYS: [&str; 2] = ["observed", "checked"];

/// Words of a date that say more than the notation can.
const VAGUE: [&str; 4] = ["early", "mid", "late", "end"];

/// Adds what repairs them to the faults of a file that anybody is shown.
pub(super) fn add(faults: &mut [Fault], bench: &Bench<'_>) {
    for fault in faults.iter_mut().take(MOST) {
        let spot = spot::find(bench.table, fault.span());
        fault.repair = spot.and_then(|spot| bench.repair(&fault.kind, &spot)).map(Box::new);
    }
}

impl Bench<'_> {
    fn repair(&self, kind: &FaultKind, spot: &Spot<'_>) -> Option<Repair> {
        match kind {
            FaultKind::Schema(SchemaFault::UnknownKey { key, allowed }) => {
                // A key of the entry that a letter parts from one of this table is more likely misspelt than misplaced.
                spelt(spot, key, allowed).or_else(|| self.moved(spot, key))
            }
            FaultKind::Term(TermFault::KeyOfEntry { key, .. }) => self.moved(spot, key),
            FaultKind::Term(TermFault::UnknownFeature { found, .. }) => self.feature_named(spot, found),
            FaultKind::Term(TermFault::UnknownState { found, allowed, .. }) => self.state(spot, found, allowed),
            FaultKind::Schema(SchemaFault::Date { found, .. }) => self.date(spot.node, found),
            FaultKind::Schema(SchemaFault::NotOneOf { found, .. }) if spot.key() == Some("unit") => {
                Unit::named(found).map(|unit| self.written(spot.node, unit.word()))
            }
            FaultKind::Schema(SchemaFault::WrongType { expected, .. }) => {
                self.of_type(spot, expected).or_else(|| self.quantity(spot))
            }
            FaultKind::Schema(SchemaFault::OutOfLimits { .. }) => self.quantity(spot),
            FaultKind::Schema(SchemaFault::Rule(RuleBroken::CountOfZero)) => {
                self.reading(spot).filter(|_| spot.is_bare_reading()).map(|_| replaced(spot.node, "\"absent\""))
            }
            _ => None,
        }
    }

    /// The feature whose reading it is.
    fn reading(&self, spot: &Spot<'_>) -> Option<&Feature> {
        self.vocabulary.feature(spot.reading()?)
    }

    /// A text in the quotes of the old one.
    fn written(&self, node: &Node, text: &str) -> Repair {
        let old = node.text().unwrap_or_default();
        Repair::write(edit::requoted(self.file.text(), node.span, old, text), text)
    }

    /// A key of the record that comes after the header of a table.
    fn moved(&self, spot: &Spot<'_>, key: &str) -> Option<Repair> {
        let is_of_record = self.schema.pointer("/properties")?.get(key).is_some();
        if spot.keys.len() < 2 || !is_of_record || self.table.has(key) {
            return None;
        }
        let text = self.file.text();
        let header = self.headers().min()?;
        let lines = spot::lines(text, spot.span(), &self.headers().collect::<Vec<Span>>())?;
        let place = spot::above(text, header.start(), self.table.span().end());
        let line = text[lines.start()..lines.end()].trim_end_matches(['\r', '\n']);
        let end = if text[..lines.end()].ends_with("\r\n") { "\r\n" } else { "\n" };
        let edits = vec![
            Edit { span: Span::new(place, place), text: format!("{line}{end}") },
            Edit { span: lines, text: String::new() },
        ];
        Some(Repair { edits, deed: Deed::MoveAbove(self.file.slice(header).to_string()) })
    }

    /// The headers of the tables that are no part of others.
    fn headers(&self) -> impl Iterator<Item = Span> {
        let values = self.table.entries().iter().map(|entry| &entry.value);
        let tables = values.flat_map(|value| match &value.item {
            Item::List(nodes) => nodes.iter().collect(),
            _ => vec![value],
        });
        tables.map(|table| table.span).filter(|span| self.file.slice(*span).starts_with('[') && self.begins_line(*span))
    }

    fn begins_line(&self, span: Span) -> bool {
        let before = &self.file.text()[..span.start()];
        before.rsplit('\n').next().is_some_and(|start| start.trim().is_empty())
    }

    /// A feature by the name that the vocabulary gives it.
    fn feature_named(&self, spot: &Spot<'_>, found: &str) -> Option<Repair> {
        let is_named = |feature: &&Feature| {
            let names = std::iter::once(&feature.name).chain(&feature.synonyms);
            is_same(found, feature.id.as_str()) || names.into_iter().any(|name| is_same(found, name))
        };
        let id = only(self.vocabulary.current().filter(is_named).map(|feature| feature.id.as_str()))?;
        (!spot.table.has(id)).then(|| replaced_key(spot, id))
    }

    /// A state by another word that the vocabulary gives it; `none`, where it is no state, says that it is absent.
    fn state(&self, spot: &Spot<'_>, found: &str, allowed: &[String]) -> Option<Repair> {
        let feature = self.reading(spot)?;
        let Kind::State { states } = &feature.kind else { return None };
        let is_named = |state: &&str| {
            let synonyms = feature.state_synonyms.get(*state).into_iter().flatten();
            is_same(found, state)
                || is_same(found, &feature.label(state))
                || synonyms.into_iter().any(|word| is_same(found, word))
        };
        let states = states.iter().map(|state| state.as_str()).chain(["absent", "lost"]);
        let mut named: Vec<&str> = states.filter(is_named).collect();
        named.sort_unstable();
        named.dedup();
        let absent =
            || (named.is_empty() && is_none(found) && !allowed.contains(&found.to_string())).then_some("absent");
        let state = only(named.iter().copied()).or_else(absent)?;
        Some(self.written(spot.node, state))
    }

    /// A date in words that mean one date, and lose nothing in the notation.
    fn date(&self, node: &Node, found: &str) -> Option<Repair> {
        let is_vague =
            found.to_lowercase().split(|letter: char| !letter.is_alphabetic()).any(|word| VAGUE.contains(&word));
        match words::meaning(found, DayOrder::Unknown) {
            Meaning::Certain(date) if !is_vague => Some(self.written(node, &date)),
            _ => None,
        }
    }

    /// A value that lacks quotation marks or brackets, or has too many.
    fn of_type(&self, spot: &Spot<'_>, expected: &str) -> Option<Repair> {
        let (node, written) = (spot.node, self.file.slice(spot.node.span));
        match &node.item {
            Item::Integer(_) | Item::Day(_) if spot.key().is_some_and(|key| DATES.contains(&key)) => {
                Edtf::parse(written).ok().map(|_| replaced(node, &format!("\"{written}\"")))
            }
            Item::Text(text) if spot.key().is_some_and(|key| DAYS.contains(&key)) => {
                day(text).map(|day| replaced(node, &day.to_string()))
            }
            Item::Text(_) if expected.starts_with("a list") => Some(replaced(node, &format!("[{written}]"))),
            _ => None,
        }
    }

    /// A number that was written as a text, with its unit or without.
    fn quantity(&self, spot: &Spot<'_>) -> Option<Repair> {
        let (feature, text) = (self.reading(spot)?, spot.node.text()?);
        if spot.is_bare_reading() && is_none(text) && feature.kind != Kind::Code {
            return Some(self.written(spot.node, "absent"));
        }
        let is_value = spot.is_bare_reading() || spot.key() == Some("value");
        let unit = spot.table.text("unit").filter(|_| !spot.is_bare_reading()).map(|unit| unit.value);
        let written = quantity::as_number(feature, text, unit.as_deref()).filter(|_| is_value)?;
        let is_alone = spot.is_bare_reading() || !written.starts_with('{');
        is_alone.then(|| replaced(spot.node, &written))
    }
}

/// A key of the record format with one letter wrong, where only one other is near.
fn spelt(spot: &Spot<'_>, key: &str, allowed: &[String]) -> Option<Repair> {
    let distance = |other: &&String| strsim::damerau_levenshtein(&plain(key), other);
    let near = only(allowed.iter().filter(|other| distance(other) <= 2))?;
    (distance(&near) <= 1 && key.len() > 2 && !spot.table.has(near)).then(|| replaced_key(spot, near))
}

fn replaced_key(spot: &Spot<'_>, key: &str) -> Repair {
    Repair::write(Edit { span: spot.key_span, text: key.to_string() }, key)
}

fn replaced(node: &Node, text: &str) -> Repair {
    Repair::write(Edit { span: node.span, text: text.to_string() }, text)
}

fn day(text: &str) -> Option<Day> {
    let Meaning::Certain(date) = words::meaning(text, DayOrder::Unknown) else { return None };
    let span = Edtf::parse(&date).ok().filter(|_| date.len() == 10)?.unwidened();
    span.first().filter(|first| span.last() == Some(*first))
}

fn is_none(text: &str) -> bool {
    text.trim().eq_ignore_ascii_case("none")
}

/// Says whether two words differ only in capitals and in the characters between their parts.
fn is_same(one: &str, other: &str) -> bool {
    plain(one) == plain(other)
}

fn plain(word: &str) -> String {
    word.trim().to_lowercase().replace(['_', ' '], "-")
}

/// The only one of them, if there is only one.
fn only<T>(mut all: impl Iterator<Item = T>) -> Option<T> {
    let first = all.next()?;
    all.next().is_none().then_some(first)
}
