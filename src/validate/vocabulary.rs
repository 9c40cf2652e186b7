//! Turns `schema/vocabulary.toml` into the vocabulary, with its faults.
//!
//! The id of an unreadable feature stays known, so that entries that record it get no fault.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::date::edtf::CircaYears;
use crate::fault::{Fault, RuleBroken};
use crate::parse::{self, Parsed};
use crate::record::id::{FeatureId, StateId};
use crate::schema::{Schema, Subject};
use crate::source::tree::{Entry, Table};
use crate::source::{FileId, SourceFile, Sources, Spanned};
use crate::validate::reader::{Named, Reader, Terms, word};
use crate::validate::repair::{self, Bench};
use crate::validate::wording::{self, Wording};
use crate::vocabulary::{Feature, Kind, Measure, Replaceable, Retired, Unit, Vocabulary};

/// The path of the vocabulary.
pub(super) const PATH: &str = "schema/vocabulary.toml";

const REPLACEABLE: [(Replaceable, &str); 3] =
    [(Replaceable::No, "no"), (Replaceable::Sometimes, "sometimes"), (Replaceable::Often, "often")];
/// Ids that mean something else where features are named.
const OTHER_WORDS: [&str; 3] = ["unsaid", "line", "wear"];

/// Reads the vocabulary, if there is one.
pub(super) fn read(sources: &Sources, circa: CircaYears) -> (Terms, Vec<Fault>) {
    let Some(file) = sources.find(PATH) else {
        return (Terms { circa, ..Terms::default() }, Vec::new());
    };
    let Parsed { value: table, faults: mut malformed } = parse::toml(file, sources.file(file));
    if !malformed.is_empty() {
        let again = |text: &SourceFile| parse::toml(file, text).faults.len();
        repair::slip::add(&mut malformed, sources.file(file), &Vocabulary::default(), again);
        return (Terms { circa, ..Terms::default() }, malformed);
    }
    let (schema, mut faults) = Schema::load(sources, Subject::Vocabulary);
    let refused = schema.faults(file, &table);
    let none = Terms::default();
    let mut reader = Reader::new(file, sources.file(file).path(), &none, refused.clone());
    let (features, mut unclear) = features(&mut reader, &table, &refused);
    let mut found = reader.finish();
    unclear.sort();
    let terms = Terms { vocabulary: Vocabulary::new(features), unclear, is_read: true, circa, ..Terms::default() };
    let terms = link(file, sources, &table, terms, &mut found);
    let nothing = Vocabulary::default();
    let bench = Bench { file: sources.file(file), table: &table, schema: schema.json(), vocabulary: &nothing };
    repair::add(&mut found, &bench);
    faults.extend(found);
    (terms, faults)
}

fn features(reader: &mut Reader<'_>, table: &Table, refused: &[Fault]) -> (Vec<Feature>, Vec<String>) {
    let (mut features, mut unclear) = (Vec::new(), Vec::new());
    let refused: BTreeSet<usize> = refused.iter().map(|fault| fault.span().start()).collect();
    for entry in table.entries() {
        let is_refused = refused.range(extent(entry)).next().is_some();
        match entry.value.table().filter(|_| !is_refused).and_then(|table| one(reader, entry, table)) {
            Some(feature) => features.push(feature),
            None => unclear.push(entry.key.value.to_string()),
        }
    }
    (features, unclear)
}

/// The bytes of a key and all that belongs to it.
fn extent(entry: &Entry) -> Range<usize> {
    let whole = entry.value.table().map_or(entry.value.span, Table::whole);
    let start = whole.start().min(entry.key.span.start());
    start..whole.end().max(start)
}

fn one(reader: &mut Reader<'_>, entry: &Entry, table: &Table) -> Option<Feature> {
    check_id(reader, &Spanned::new(entry.key.value.to_string(), entry.key.span));
    let kind = kind(reader, table);
    let bands = bands(reader, table);
    let Wording { synonyms, state_synonyms, labels, replaced } = wording::read(reader, table, kind.as_ref());
    let (name, look) = (reader.text(table, "name"), reader.text(table, "look"));
    Some(Feature {
        id: FeatureId::new(entry.key.value.as_str()),
        name: name?.value,
        synonyms,
        kind: kind?,
        state_synonyms,
        labels,
        replaced,
        retired: None,
        zone: table.words("zone"),
        look: look?.value,
        garments: table.texts("garments").into_iter().map(|garment| garment.value).collect(),
        varies_with: Vec::new(),
        defining: table.is_set("defining"),
        replaceable: word(table, "replaceable", &REPLACEABLE).map(|found| found.value).unwrap_or_default(),
        bands,
        span: entry.key.span,
    })
}

fn check_id(reader: &mut Reader<'_>, key: &Spanned<String>) {
    reader.check_ids(std::slice::from_ref(key));
    if OTHER_WORDS.contains(&key.value.as_str()) {
        let expected =
            "another id, since `unsaid`, `line` and `wear` mean something else in `placed-from` and `made-from`";
        reader.other(key.span, format!("`{}`", key.value), expected);
    }
}

fn kind(reader: &mut Reader<'_>, table: &Table) -> Option<Kind> {
    let word = reader.text(table, "kind")?;
    check_keys(reader, table, &word.value);
    match word.value.as_str() {
        "state" => states(reader, table).map(|states| Kind::State { states }),
        "count" => Some(Kind::Count),
        "measure" => measure(reader, table).map(Kind::Measure),
        "number" => Some(Kind::Number),
        "code" => Some(Kind::Code),
        _ => reader.need(table, "kind", None),
    }
}

/// Refuses keys that say nothing about a feature of this kind.
fn check_keys(reader: &mut Reader<'_>, table: &Table, kind: &str) {
    let keys: [(&str, &[&str]); 8] = [
        ("states", &["state"]),
        ("replaced", &["state"]),
        ("labels", &["state", "count"]),
        ("unit", &["measure", "number"]),
        ("tolerance", &["measure"]),
        ("range", &["measure"]),
        ("shrinks", &["measure"]),
        ("bands", &["measure", "number"]),
    ];
    for (key, kinds) in keys {
        if let Some(entry) = table.entry(key).filter(|_| !kinds.contains(&kind)) {
            let expected = format!("`{key}` only where the kind is `{}`", kinds.join("` or `"));
            reader.other(entry.key.span, format!("`{key}` in a feature of kind `{kind}`"), &expected);
        }
    }
}

fn states(reader: &mut Reader<'_>, table: &Table) -> Option<Vec<StateId>> {
    let mut states = Vec::new();
    for state in table.texts("states") {
        if ["other", "lost"].contains(&state.value.as_str()) {
            let expected = "states without `other` and `lost`, which every feature has and which never count as states";
            reader.other(state.span, format!("`{}`", state.value), expected);
        } else {
            states.push(StateId::new(state.value));
        }
    }
    reader.need(table, "states", Some(states).filter(|states| !states.is_empty()))
}

fn measure(reader: &mut Reader<'_>, table: &Table) -> Option<Measure> {
    let unit = table.text("unit").and_then(|unit| Unit::parse(&unit.value));
    let unit = reader.need(table, "unit", unit);
    let tolerance = reader.need(table, "tolerance", table.number("tolerance"));
    let range = reader.need(table, "range", pair(table));
    if let Some(node) = table.get("range").filter(|_| range.is_some_and(|(low, high)| low >= high)) {
        reader.other(node.span, "a range that does not rise", "the least value, then the greatest");
        return None;
    }
    Some(Measure { unit: unit?, tolerance: tolerance?, range: range?, shrinks: table.is_set("shrinks") })
}

fn pair(table: &Table) -> Option<(f64, f64)> {
    match table.list("range") {
        [low, high] => Some((low.number()?, high.number()?)),
        _ => None,
    }
}

fn bands(reader: &mut Reader<'_>, table: &Table) -> Vec<f64> {
    let bands: Vec<f64> = table.list("bands").iter().filter_map(|node| node.number()).collect();
    let Some(node) = table.get("bands") else { return bands };
    if !bands.windows(2).all(|pair| pair[0] < pair[1]) {
        reader.other(node.span, "cut points that do not rise", "cut points in rising order, each once");
        return Vec::new();
    }
    let is_outside = |cut: &f64| pair(table).is_some_and(|(low, high)| *cut <= low || *cut >= high);
    if let Some(cut) = bands.iter().find(|cut| is_outside(cut)) {
        reader.other(node.span, format!("the cut point {cut}"), "cut points within `range`");
    }
    bands
}

/// Adds the other features that each one names, now that all are known.
fn link(file: FileId, sources: &Sources, table: &Table, terms: Terms, faults: &mut Vec<Fault>) -> Terms {
    let mut reader = Reader::new(file, sources.file(file).path(), &terms, Vec::new());
    let mut features = Vec::new();
    for feature in terms.vocabulary.iter() {
        let table = table.table(feature.id.as_str());
        let names = table.map(|table| table.texts("varies-with")).unwrap_or_default();
        let varies_with = covariates(&mut reader, feature, names);
        let retired = table.and_then(|table| retired(&mut reader, feature, table.table("retired")?));
        features.push(Feature { varies_with, retired, ..feature.clone() });
    }
    faults.extend(reader.finish());
    Terms { vocabulary: Vocabulary::new(features), ..terms }
}

fn covariates(reader: &mut Reader<'_>, feature: &Feature, names: Vec<Spanned<String>>) -> Vec<FeatureId> {
    let (mut covariates, mut taken) = (Vec::new(), BTreeSet::new());
    for Spanned { value: name, span } in names {
        let id = FeatureId::new(name.as_str());
        match reader.feature(&name, span) {
            Named::Unknown | Named::Unclear => {}
            Named::Known(other) if other.id == feature.id => {
                reader.other(span, format!("`{name}`"), "a feature other than this one");
            }
            Named::Known(other) if other.kind == Kind::Code => {
                reader.other(span, format!("`{name}` of kind `code`"), "a feature that garments can share");
            }
            Named::Known(other) if other.kind == Kind::Number && other.bands.is_empty() => {
                reader.other(span, format!("`{name}` without `bands`"), "a printed number with `bands`");
            }
            Named::Known(_) if !taken.insert(id.clone()) => reader.rule(span, RuleBroken::RepeatedId { found: name }),
            Named::Known(_) => covariates.push(id),
        }
    }
    covariates
}

/// Reads why a feature is retired; what is recorded in its place must be another feature.
fn retired(reader: &mut Reader<'_>, feature: &Feature, table: &Table) -> Option<Retired> {
    let reason = reader.text(table, "reason")?.value;
    let instead = table.text("use").and_then(|Spanned { value: name, span }| match reader.feature(&name, span) {
        Named::Known(other) if other.id == feature.id => {
            reader.other(span, format!("`{name}`"), "a feature other than this one");
            None
        }
        Named::Known(other) => Some(other.id.clone()),
        Named::Unknown | Named::Unclear => None,
    });
    Some(Retired { reason, instead })
}
