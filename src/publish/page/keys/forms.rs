//! The forms of a key as its page shows them: each part, and what each text of a table stands for.

use serde::Serialize;

use crate::code::{Alphabet, Field, Form, Meaning, Part, PartValue};
use crate::explain::key::{meaning, number_of};
use crate::record::key::CodeKey;

/// The most forms of a key, parts of a form and rows of a table that are written out: a key may have thousands.
const MOST_FORMS: usize = 12;
const MOST_PARTS: usize = 24;
const MOST_ROWS: usize = 120;

/// One form.
#[derive(Debug, Serialize)]
pub struct FormView {
    parts: Vec<PartView>,
    more: usize,
}

#[derive(Debug, Serialize)]
struct PartView {
    /// The number and kind of characters, or the required text.
    characters: String,
    is_text: bool,
    /// Their meaning.
    meaning: String,
    rows: Vec<Row>,
    more: usize,
}

#[derive(Debug, Serialize)]
struct Row {
    text: String,
    value: String,
}

/// Puts the forms of a key into words, with how many more there are.
pub fn of(key: &CodeKey) -> (Vec<FormView>, usize) {
    let forms = &key.notation.forms;
    let shown = forms.iter().take(MOST_FORMS).map(view).collect();
    (shown, forms.len().saturating_sub(MOST_FORMS))
}

fn view(form: &Form) -> FormView {
    let parts = form.parts.iter().take(MOST_PARTS).map(self::part).collect();
    FormView { parts, more: form.parts.len().saturating_sub(MOST_PARTS) }
}

fn part(part: &Part) -> PartView {
    match part {
        Part::Text(text) => PartView {
            characters: text.clone(),
            is_text: true,
            meaning: "must be there".to_string(),
            rows: Vec::new(),
            more: 0,
        },
        Part::Field(field) => of_field(field),
    }
}

fn of_field(field: &Field) -> PartView {
    let characters = match (field.alphabet, field.width) {
        (Alphabet::Digits, 1) => "1 figure".to_string(),
        (Alphabet::Digits, width) => format!("{width} figures"),
        (Alphabet::Letters, 1) => "1 letter".to_string(),
        (Alphabet::Letters, width) => format!("{width} letters"),
    };
    let table = field.table.as_ref();
    let rows = table.into_iter().flatten().take(MOST_ROWS);
    PartView {
        characters,
        is_text: false,
        meaning: format!("the {}", meaning(field.meaning)),
        rows: rows.map(|(text, value)| Row { text: text.clone(), value: self::value(field, value) }).collect(),
        more: table.map_or(0, |table| table.len().saturating_sub(MOST_ROWS)),
    }
}

fn value(field: &Field, value: &PartValue) -> String {
    match value {
        PartValue::Name(name) => name.clone(),
        PartValue::Number(_) if field.meaning == Meaning::Serial => "a number that gives no date".to_string(),
        PartValue::Number(number) => number_of(field.meaning, *number),
    }
}
