//! Exports keys: every form part by part, the days of the key, and how far it is trusted.

use crate::code::{Alphabet, Field, Form, Meaning, Part, PartValue};
use crate::evidence::key::{self, StandingKey};
use crate::knowledge::Knowledge;
use crate::publish::export::rules::format::{Key, KeyPart, TableValue};
use crate::publish::export::rules::landmarks;
use crate::record::id::MakerId;

/// Exports the keys that stand, sorted by id: all, or those that speak of one maker.
pub fn all<'a>(knowledge: &'a Knowledge, only: Option<&MakerId>) -> Vec<Key<'a>> {
    used(knowledge)
        .into_iter()
        .filter(|key| only.is_none_or(|maker| key.key.is_of(maker)))
        .map(|key| export(knowledge, key))
        .collect()
}

/// The keys that readers use: not withheld, and not set aside by a conflict.
pub fn used(knowledge: &Knowledge) -> Vec<StandingKey<'_>> {
    let mut standing = key::standing(&knowledge.catalog);
    standing.retain(|key| !knowledge.doubted_keys.contains(&key.index));
    standing
}

/// Exports one key, whether it stands or not.
pub fn export<'a>(knowledge: &'a Knowledge, standing: StandingKey<'a>) -> Key<'a> {
    let (catalog, key) = (&knowledge.catalog, standing.key);
    let record = catalog.record(standing.index);
    Key {
        id: standing.id.as_str(),
        title: &key.title.value,
        feature: key.reads.value.as_str(),
        makers: key.makers.iter().map(|maker| maker.value.as_str()).collect(),
        not_before: key.notation.window.first.to_string(),
        not_after: key.notation.window.last.to_string(),
        odds: key::odds(catalog, standing),
        forms: key.notation.forms.iter().map(form).collect(),
        sources: key.sources.iter().map(|source| landmarks::source(catalog, record, &source.value)).collect(),
    }
}

fn form(form: &Form) -> Vec<KeyPart<'_>> {
    form.parts.iter().map(part).collect()
}

fn part(part: &Part) -> KeyPart<'_> {
    match part {
        Part::Text(text) => KeyPart { text: Some(text), ..KeyPart::default() },
        Part::Field(field) => KeyPart {
            digits: (field.alphabet == Alphabet::Digits).then_some(field.width),
            letters: (field.alphabet == Alphabet::Letters).then_some(field.width),
            is: Some(field.meaning.word()),
            table: field
                .table
                .as_ref()
                .map(|rows| rows.iter().map(|(text, value)| table_row(field, text, value)).collect()),
            ..KeyPart::default()
        },
    }
}

fn table_row<'a>(field: &Field, text: &'a str, value: &'a PartValue) -> (&'a str, TableValue<'a>) {
    let value = match value {
        PartValue::Name(name) => TableValue::Name(name),
        PartValue::Number(_) if field.meaning == Meaning::Serial => TableValue::Name(""),
        PartValue::Number(number) => TableValue::Number(*number),
    };
    (text, value)
}
