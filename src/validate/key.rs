//! Keys to codes: forms whose every part can match, each with a year.

use std::collections::BTreeMap;

use crate::code::calendar::Window;
use crate::code::{Alphabet, Field, Form, Meaning, Notation, Part, PartValue};
use crate::date::Day;
use crate::date::edtf::Edtf;
use crate::fault::RuleBroken;
use crate::record::id::{FeatureId, MakerId};
use crate::record::key::{CodeKey, KeyExample};
use crate::source::tree::{Entry, Item, Node, Table};
use crate::source::{Span, Spanned};
use crate::validate::address::is_name;
use crate::validate::citation;
use crate::validate::reader::{Named, Reader};
use crate::vocabulary::Kind;

/// Reads a record of `entries/keys/`.
pub(super) fn read(reader: &mut Reader<'_>, table: &Table) -> Option<CodeKey> {
    let reads = feature(reader, table);
    let (not_before, not_after) = (reader.date(table, "not-before"), reader.date(table, "not-after"));
    let window = window(reader, table, [not_before.as_ref(), not_after.as_ref()]);
    let forms = forms(reader, table);
    let examples: Vec<KeyExample> =
        table.tables("examples").filter_map(|example| self::example(reader, example)).collect();
    let local_sources = citation::local(reader, table);
    let makers = table.texts("makers").into_iter();
    Some(CodeKey {
        title: reader.text(table, "title")?,
        reads: reads?,
        makers: makers.map(|id| Spanned::new(MakerId::new(id.value), id.span)).collect(),
        not_before,
        not_after,
        notation: Notation { forms: forms?, window: window? },
        examples,
        sources: citation::references(table, "sources"),
        local_sources,
    })
}

fn feature(reader: &mut Reader<'_>, table: &Table) -> Option<Spanned<FeatureId>> {
    let found = reader.text(table, "reads")?;
    match reader.feature(&found.value, found.span) {
        Named::Unknown => return None,
        Named::Known(feature) if feature.kind != Kind::Code => {
            reader.other(found.span, format!("`{}`", found.value), "a feature of kind `code`");
            return None;
        }
        Named::Known(_) | Named::Unclear => {}
    }
    Some(Spanned::new(FeatureId::new(found.value), found.span))
}

/// The days of the key's years; together both ends must leave one.
fn window(reader: &mut Reader<'_>, table: &Table, ends: [Option<&Spanned<Edtf>>; 2]) -> Option<Window> {
    let circa = reader.terms.circa;
    let first: Option<Day> = ends[0].and_then(|date| date.value.span(circa).first());
    let last: Option<Day> = ends[1].and_then(|date| date.value.span(circa).last());
    let window = Window::new(first, last);
    if window.first > window.last {
        let blamed = ends[1].or(ends[0]).map_or(table.span(), |date| date.span);
        reader.other(blamed, "`not-before` after `not-after`, or years outside 1850 to 2030", "years in order");
        return None;
    }
    Some(window)
}

fn forms(reader: &mut Reader<'_>, table: &Table) -> Option<Vec<Form>> {
    let lists: Vec<(&[Node], Span)> = match (table.entry("parts"), table.entry("forms")) {
        (Some(_), Some(forms)) => {
            reader.other(forms.key.span, "`parts` and `forms`", "one of the two");
            return None;
        }
        (Some(parts), None) => vec![(table.list("parts"), parts.key.span)],
        (None, Some(_)) => table.list("forms").iter().map(form_list).collect(),
        (None, None) => {
            reader.missing(table.span(), "parts", "because a key says how a code is read (or `forms`, for several)");
            return None;
        }
    };
    let forms: Vec<Option<Form>> = lists.into_iter().map(|(parts, span)| form(reader, parts, span)).collect();
    forms.into_iter().collect()
}

/// The parts of one form, which is a list of them or a table that holds the list.
fn form_list(node: &Node) -> (&[Node], Span) {
    match &node.item {
        Item::List(parts) => (parts, node.span),
        Item::Table(table) => (table.list("parts"), node.span),
        _ => (&[], node.span),
    }
}

fn form(reader: &mut Reader<'_>, nodes: &[Node], span: Span) -> Option<Form> {
    let tables: Option<Vec<&Table>> = nodes.iter().map(Node::table).collect();
    let tables = tables?;
    let mut meanings: BTreeMap<Meaning, Span> = BTreeMap::new();
    let mut parts: Vec<Option<Part>> = Vec::new();
    for table in tables {
        let part = part(reader, table);
        if let (Some(Part::Field(field)), Some(is)) = (&part, table.get("is"))
            && meanings.insert(field.meaning, is.span).is_some()
            && field.meaning != Meaning::Serial
        {
            reader.other(is.span, format!("a second part that is `{}`", field.meaning.word()), "one in each form");
        }
        parts.push(part);
    }
    let parts: Vec<Part> = parts.into_iter().collect::<Option<_>>()?;
    check_meanings(reader, &meanings, span);
    Some(Form { parts })
}

/// A form must give a year; a day needs a month, and a week goes with the year alone.
fn check_meanings(reader: &mut Reader<'_>, meanings: &BTreeMap<Meaning, Span>, form: Span) {
    if !meanings.keys().any(|meaning| meaning.is_year()) {
        let years = "a part that is `year`, `year-of-century` or `year-of-decade`";
        reader.other(form, "a form without a year", years);
    }
    let has = |meaning| meanings.contains_key(&meaning);
    if let Some(day) = meanings.get(&Meaning::Day).filter(|_| !has(Meaning::Month)) {
        reader.other(*day, "a day without a month", "a part that is `month` in the same form");
    }
    if let Some(week) = meanings.get(&Meaning::Week)
        && let Some(other) = [Meaning::Day, Meaning::Month, Meaning::Quarter].into_iter().find(|other| has(*other))
    {
        let found = format!("a week with a {}", other.word());
        reader.other(*week, found, "a week with a year alone: weeks of ISO 8601 do not end with the month");
    }
}

fn part(reader: &mut Reader<'_>, table: &Table) -> Option<Part> {
    if let Some(text) = table.text("text") {
        return Some(Part::Text(text.value));
    }
    let (alphabet, width) = match (table.count("digits"), table.count("letters")) {
        (Some(digits), _) => (Alphabet::Digits, digits),
        (None, letters) => (Alphabet::Letters, letters?),
    };
    let meaning = reader.word(table, "is", &Meaning::ALL)?;
    let mut field = Field { alphabet, width: width as usize, meaning: meaning.value, table: None };
    field.table = match table.table("table") {
        Some(rows) => Some(self::table(reader, rows, &field)?),
        None if table.has("table") => return None,
        None => None,
    };
    let is_right = field.table.is_some() || has_right_width(reader, &field, meaning.span);
    is_right.then_some(Part::Field(field))
}

/// Without a table only figures stand for numbers, and a year needs as many as it is written with.
fn has_right_width(reader: &mut Reader<'_>, field: &Field, span: Span) -> bool {
    let widths = match field.meaning {
        Meaning::Year => 4..=4,
        Meaning::YearOfCentury => 2..=2,
        Meaning::YearOfDecade => 1..=1,
        Meaning::Month | Meaning::Quarter | Meaning::Week | Meaning::Day => 1..=2,
        Meaning::Factory | Meaning::Serial => return true,
    };
    if field.alphabet == Alphabet::Letters {
        let found = format!("letters that are `{}`", field.meaning.word());
        reader.other(span, found, "a `table` that says which number each stands for");
        return false;
    }
    let fits = widths.contains(&field.width);
    if !fits {
        let found = format!("`{}` with `digits = {}`", field.meaning.word(), field.width);
        reader.other(span, found, &format!("`digits = {}`, or a `table`", widths.end()));
    }
    fits
}

fn table(reader: &mut Reader<'_>, rows: &Table, field: &Field) -> Option<BTreeMap<String, PartValue>> {
    let mut read: BTreeMap<String, PartValue> = BTreeMap::new();
    let mut is_whole = true;
    for row in rows.entries() {
        let (text, value) = (row.key.value.to_ascii_uppercase(), row_value(reader, row, field));
        let is_right = is_row_text(reader, row, field, &text);
        let Some(value) = value.filter(|_| is_right) else {
            is_whole = false;
            continue;
        };
        if read.insert(text.into(), value).is_some() {
            reader.rule(row.key.span, RuleBroken::RepeatedId { found: row.key.value.to_string() });
            is_whole = false;
        }
    }
    is_whole.then_some(read)
}

/// The text of a row has the part's characters, as many as the part takes.
fn is_row_text(reader: &mut Reader<'_>, row: &Entry, field: &Field, text: &str) -> bool {
    let fits = text.chars().count() == field.width && text.chars().all(|character| field.alphabet.holds(character));
    if !fits {
        let characters = match field.alphabet {
            Alphabet::Digits => "figures",
            Alphabet::Letters => "letters A to Z",
        };
        let expected = format!("as many {characters} as the part takes: {}", field.width);
        reader.other(row.key.span, format!("`{}`", row.key.value), &expected);
    }
    fits
}

fn row_value(reader: &mut Reader<'_>, row: &Entry, field: &Field) -> Option<PartValue> {
    let node = &row.value;
    let number = node.count().or_else(|| node.text().and_then(|text| text.parse().ok()));
    let expected = match (field.meaning, field.meaning.limits()) {
        (Meaning::Serial, _) => return Some(PartValue::Number(0)),
        (_, Some((least, greatest))) => {
            if let Some(number) = number.filter(|number| (least..=greatest).contains(number)) {
                return Some(PartValue::Number(number));
            }
            format!("a whole number from {least} to {greatest}, as `{}` is", field.meaning.word())
        }
        (_, None) => {
            if let Some(name) = node.text().filter(|text| is_name(text)) {
                return Some(PartValue::Name(name.to_string()));
            }
            "the id of a factory, in small letters, digits and hyphens".to_string()
        }
    };
    let found = node.text().map_or_else(|| node.kind().to_string(), |text| format!("`{text}`"));
    let found = node.number().map_or(found, |number| format!("`{number}`"));
    reader.other(node.span, found, &expected);
    None
}

fn example(reader: &mut Reader<'_>, table: &Table) -> Option<KeyExample> {
    let code = reader.text(table, "code");
    let reads = reader.date(table, "reads");
    let reads = reader.need(table, "reads", reads);
    Some(KeyExample { code: code?, reads: reads?, factory: table.text("factory") })
}
