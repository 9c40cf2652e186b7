//! Matches a form with a code: the characters that each part takes.

use crate::code::{Field, FigureRead, Form, Meaning, Part, PartValue};

/// Characters that do not matter in a code unless a text of the form holds them.
const SEPARATORS: [char; 4] = [' ', '.', '-', '/'];

/// A code with every kind of space and dash as one, and letters A to Z as capitals.
///
/// Its text without separators is computed once for each set of separators.
pub struct Folded<'a> {
    code: &'a str,
    without: [Option<Vec<char>>; 1 << SEPARATORS.len()],
}

impl<'a> Folded<'a> {
    /// Takes a code as it is written.
    pub fn new(code: &'a str) -> Folded<'a> {
        Folded { code, without: std::array::from_fn(|_| None) }
    }

    /// The characters without those separators whose bit is not set in `kept`.
    fn keeping(&mut self, kept: usize) -> &[char] {
        let code = self.code;
        self.without[kept].get_or_insert_with(|| {
            let folded = code.chars().map(fold);
            folded.filter(|character| separator(*character).is_none_or(|bit| kept & bit != 0)).collect()
        })
    }
}

/// Folds a character: spaces to a space, dashes to `-`, a to z to capitals.
pub fn fold(character: char) -> char {
    match character {
        '\t' | '\u{a0}' | '\u{2002}'..='\u{200a}' | '\u{202f}' | '\u{3000}' => ' ',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        other => other.to_ascii_uppercase(),
    }
}

fn separator(character: char) -> Option<usize> {
    SEPARATORS.iter().position(|separator| *separator == character).map(|at| 1 << at)
}

/// The separators that texts of a form hold.
fn kept(form: &Form) -> usize {
    let texts = form.parts.iter().filter_map(|part| match part {
        Part::Text(text) => Some(text),
        Part::Field(_) => None,
    });
    texts.flat_map(|text| text.chars()).filter_map(|character| separator(fold(character))).fold(0, |all, bit| all | bit)
}

/// The parts of a code as a form takes them, if they use up the whole code.
pub fn figures(form: &Form, folded: &mut Folded<'_>) -> Option<Vec<FigureRead>> {
    let mut rest = folded.keeping(kept(form));
    let mut figures = Vec::new();
    for part in &form.parts {
        let width = match part {
            Part::Text(text) => text.chars().count(),
            Part::Field(field) => field.width,
        };
        let (taken, left) = rest.split_at_checked(width)?;
        figures.push(figure(part, taken)?);
        rest = left;
    }
    rest.is_empty().then_some(figures)
}

fn figure(part: &Part, taken: &[char]) -> Option<FigureRead> {
    match part {
        Part::Text(text) => {
            let is_there = text.chars().map(fold).eq(taken.iter().copied());
            is_there.then(|| FigureRead { text: taken.iter().collect(), meaning: None, value: None })
        }
        Part::Field(field) => {
            let is_held = taken.iter().all(|character| field.alphabet.holds(*character));
            let text: String = is_held.then(|| taken.iter().collect())?;
            let value = value(field, &text)?;
            Some(FigureRead { text, meaning: Some(field.meaning), value })
        }
    }
}

/// What the text of a field stands for; `None` if the field does not take it.
fn value(field: &Field, text: &str) -> Option<Option<PartValue>> {
    let found = match &field.table {
        Some(table) => Some(table.get(text)?.clone()),
        None if field.meaning == Meaning::Factory => Some(PartValue::Name(text.to_ascii_lowercase())),
        None if field.meaning == Meaning::Serial => None,
        None => Some(PartValue::Number(text.parse().ok()?)),
    };
    match (field.meaning.limits(), &found) {
        _ if field.meaning == Meaning::Serial => Some(None),
        (Some((least, greatest)), Some(PartValue::Number(number))) => {
            (least..=greatest).contains(number).then_some(found)
        }
        (None, Some(PartValue::Name(_))) => Some(found),
        _ => None,
    }
}
