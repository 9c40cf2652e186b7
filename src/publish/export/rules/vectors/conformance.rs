//! Garments of a small invented world that shows every rule of dating, as vectors with a patch.
//!
//! The patch (JSON Patch, RFC 6902) replaces the knowledge base's rules by the world's, member by member. It may add
//! what only a later version knows, or cells of a feature that the garment cannot have. The answers are the engine's,
//! from the world's entries.

use serde::Deserialize;
use serde_json::{Map, Value as Json, json};

use crate::analysis::Analysis;
use crate::compile::{self, example};
use crate::date::edtf::Edtf;
use crate::dating::answer::Dating;
use crate::dating::answer::garment::{Garment, Known};
use crate::knowledge::Knowledge;
use crate::page::Site;
use crate::publish::export::rules::names;
use crate::record::id::{LineId, MakerId, ModelId, StateId, VariantId};
use crate::record::observation::{Value, Wearer};
use crate::report::answer::{self, Answered};
use crate::resolve::Catalog;
use crate::view::context::Context;
use crate::vocabulary::{Feature, Kind};

/// The entries of the world.
const WORLD: &str = include_str!("world.txt");

/// A garment a line.
const GARMENTS: &str = include_str!("garments.jsonl");

/// A garment as its line has it.
#[derive(Deserialize)]
struct Asked {
    name: String,
    garment: Json,
    /// Additions to the world's rules.
    #[serde(default)]
    patch: Vec<Json>,
    /// Requirements of the additions that no reader understands.
    #[serde(default)]
    cannot_tell: Vec<String>,
}

/// Gives the vectors of the world; `rules` makes the rules of a knowledge base.
pub fn cases(
    site: &Site,
    rules: impl for<'c> Fn(&'c Context<'c>) -> Result<Json, String>,
) -> Result<Vec<Json>, String> {
    let knowledge = example::compile(WORLD).knowledge;
    let version = compile::content_id(&knowledge.catalog.sources);
    let analysis = Analysis::new(&knowledge);
    let context = Context::new(&analysis, site, &version);
    let patch = replacing(&rules(&context)?);
    let dating = Dating::new(&knowledge, analysis.tables());
    let case = |line: &str| {
        let asked: Asked = serde_json::from_str(line).map_err(|error| format!("{error} in {line}"))?;
        let answer = answer(&context, &dating, &asked)?;
        let patch = [patch.as_slice(), &asked.patch].concat();
        Ok(json!({ "name": asked.name, "patch": patch, "garment": asked.garment, "answer": answer }))
    };
    GARMENTS.lines().map(case).collect()
}

/// The operations that put rules in place of others.
fn replacing(rules: &Json) -> Vec<Json> {
    let members = rules.as_object().into_iter().flatten();
    members.map(|(name, value)| json!({ "op": "add", "path": format!("/{name}"), "value": value })).collect()
}

fn answer<'a>(context: &'a Context<'a>, dating: &Dating<'_>, asked: &Asked) -> Result<Json, String> {
    let id = asked.garment["id"].as_str();
    if !asked.cannot_tell.is_empty() {
        return Ok(json!({ "format": "bartack-date", "version": 1, "id": id, "cannot_tell": asked.cannot_tell }));
    }
    let (garment, ignored) = read(context.knowledge, &asked.garment);
    let answer = dating.answer(&garment);
    let answered =
        Answered { knowledge: context.knowledge, version: context.version, id, garment: &garment, answer: &answer };
    let mut answer = answer::json(&answered).map_err(|error| error.to_string())?;
    answer["ignored"] = json!(ignored);
    Ok(answer)
}

/// The garment of an object, with the features unknown to the vocabulary.
fn read(knowledge: &Knowledge, object: &Json) -> (Garment, Vec<String>) {
    let catalog = &knowledge.catalog;
    let text = |key: &str| object[key].as_str();
    let known = Known {
        maker: text("maker").map(|id| MakerId::new(current(catalog, id))),
        model: text("model").map(|id| ModelId::new(current(catalog, id))),
        line: text("line").map(|id| line(catalog, id)),
        wearer: text("wearer").and_then(Wearer::parse),
        variant: text("variant").map(|id| VariantId::new(current(catalog, id))),
    };
    let in_hand = text("in_hand").and_then(|day| Edtf::parse(day).ok()?.span(catalog.circa()).first());
    let mut garment = Garment { known, market: text("market").map(String::from), in_hand, ..Garment::default() };
    let mut ignored = Vec::new();
    for (id, reading) in object["features"].as_object().unwrap_or(&Map::new()) {
        match catalog.vocabulary.feature(id) {
            Some(feature) => drop(garment.features.insert(feature.id.clone(), value(feature, reading))),
            None => ignored.push(id.clone()),
        }
    }
    (garment, ignored)
}

/// The id of now for an earlier one, or the same.
fn current<'c>(catalog: &'c Catalog, id: &'c str) -> &'c str {
    let moved = catalog.moved.iter().find(|(earlier, _)| names::id_of(earlier) == id);
    moved.map_or(id, |(_, now)| names::id_of(now))
}

/// A label line, whose maker may be called by an earlier id.
fn line(catalog: &Catalog, id: &str) -> LineId {
    let (maker, own) = id.split_once('/').unwrap_or((id, ""));
    LineId::new(format!("{}/{own}", current(catalog, maker)))
}

fn value(feature: &Feature, reading: &Json) -> Value {
    let text = reading.as_str().map_or_else(|| reading.to_string(), String::from);
    match (&feature.kind, text.as_str()) {
        (_, "absent") => Value::Absent,
        (_, "lost") => Value::Lost,
        (Kind::State { states }, text) if states.iter().any(|state| state.as_str() == text) => {
            Value::State(StateId::new(text))
        }
        (Kind::Count, text) => text.parse().map_or_else(|_| Value::Other(text.to_string()), Value::Count),
        (Kind::Measure(_), _) => Value::Measure(reading.as_f64().unwrap_or_default()),
        (Kind::Number, _) => Value::Number(reading.as_f64().unwrap_or_default()),
        (Kind::Code, text) => Value::Code(text.to_string()),
        (Kind::State { .. }, text) => Value::Other(text.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value as Json;

    use super::{GARMENTS, WORLD};
    use crate::compile::example;
    use crate::diagnostic::Level;

    #[test]
    fn world_has_no_errors() {
        let compilation = example::compile(WORLD);
        assert!(!compilation.reaches(Level::Error), "{:#?}", compilation.diagnostics);
    }

    #[test]
    fn every_garment_has_a_name_of_its_own() {
        let names =
            GARMENTS.lines().map(|line| serde_json::from_str::<Json>(line).expect("a line is JSON")["name"].clone());
        let names: Vec<String> = names.map(|name| name.to_string()).collect();
        assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len());
    }
}
