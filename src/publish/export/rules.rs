//! Writes `rules/`: what a program in any language needs to date a garment, with its JSON Schema.
//!
//! The export has its own types in `format`, which the model does not know. Everything is checked against the schema
//! first.

mod cells;
mod compact;
mod condition;
mod format;
pub mod keys;
mod landmarks;
mod names;
mod reader;
mod schema;
mod sql;
mod variants;
mod vectors;
mod vocabulary;

use std::collections::BTreeMap;

use serde_json::Value;

use crate::dating::likelihood::years;
use crate::publish::export::rules::format::{Ids, Rules, Years};
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::MakerId;
use crate::view::context::Context;

/// Writes the rules, their schema, and the same as tables with a query.
pub const PUBLISHER: Publisher = Publisher {
    name: "rules",
    description: "what a program in another language needs to date a garment",
    owns: &[
        "rules/rules.json",
        "rules/rules.schema.json",
        "rules/date.schema.json",
        "rules/reader.mjs",
        "rules/reader.d.mts",
        "rules/answer.mjs",
        "rules/conform.mjs",
        "rules/mutants.json",
        "rules/vectors.json",
        "rules/makers/*.json",
        "rules/README.md",
        "rules/date.sql",
        "rules/sql/*",
    ],
    publish,
};

/// The files that are there once, with what each is for.
const DOWNLOADS: [(&str, &str); 11] = [
    ("rules/rules.json", "landmarks, variants with their eras, and the vocabulary, for programs that date garments"),
    ("rules/rules.schema.json", "the JSON Schema of rules.json"),
    ("rules/date.schema.json", "the JSON Schema of an answer, of `bartack date --format json` and of any reader"),
    ("rules/rules.js", "rules.json as a script, for pages that are opened from a folder"),
    ("rules/reader.mjs", "a reader of rules.json as a JavaScript module without dependencies"),
    ("rules/reader.d.mts", "the types of reader.mjs, for TypeScript and editors"),
    ("rules/answer.mjs", "a command that answers one garment a line by reader.mjs"),
    ("rules/conform.mjs", "a command that holds a reader in any language to vectors.json"),
    ("rules/mutants.json", "mistakes that readers make, each of which fails a vector"),
    ("rules/README.md", "how to read rules.json, with an example by hand"),
    ("rules/vectors.json", "garments with the answers that every reader of rules.json must give"),
];

/// How to read the rules, for people who write a reader.
const GUIDE: &str = include_str!("rules/guide.md");

/// Names the files with what each is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    let own = DOWNLOADS.map(|(path, description)| (path.to_string(), description));
    own.into_iter().chain(sql::downloads()).collect()
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let once = [
        OutputFile::new("rules/rules.json", move || whole(context).map(<[u8]>::to_vec)),
        OutputFile::new("rules/rules.schema.json", || Ok::<_, String>(schema::TEXT.as_bytes().to_vec())),
        OutputFile::new("rules/date.schema.json", || Ok::<_, String>(schema::ANSWER.as_bytes().to_vec())),
        OutputFile::new("rules/reader.mjs", move || reader::module(context)),
        OutputFile::new("rules/reader.d.mts", || Ok::<_, String>(reader::TYPES.as_bytes().to_vec())),
        OutputFile::new("rules/README.md", || Ok::<_, String>(GUIDE.as_bytes().to_vec())),
        OutputFile::new("rules/vectors.json", move || vectors::json(context, &|world| value(world, None))),
    ];
    let makers = context.knowledge.catalog.makers.keys();
    let makers =
        makers.map(|maker| OutputFile::new(format!("rules/makers/{maker}.json"), move || json(context, Some(maker))));
    let kit = reader::KIT.map(|(path, text)| OutputFile::new(path, move || Ok::<_, String>(text.as_bytes().to_vec())));
    once.into_iter().chain(kit).chain(makers).chain(sql::files(context)).collect()
}

/// The rules of all makers, made once however many files hold them.
pub fn whole<'c>(context: &'c Context<'c>) -> Result<&'c [u8], String> {
    let made = context.rules.get_or_init(|| json(context, None));
    made.as_deref().map_err(Clone::clone)
}

/// The rules of all makers as the phone page carries them and expands them.
///
/// # Errors
///
/// Says why they cannot be JSON.
pub fn compact<'a>(context: &'a Context<'a>) -> Result<Value, String> {
    let mut exported = serde_json::to_value(rules(context, None)).map_err(|error| error.to_string())?;
    let models = exported["models"].as_array_mut().into_iter().flatten();
    // Both are in the order of ids.
    for (model, tables) in models.zip(context.analysis.tables().models.values()) {
        compact::put_readings(model, tables);
    }
    Ok(exported)
}

/// The rules of all makers, or of one, as compact JSON: with a line for each number they would be ten times as long.
fn json<'a>(context: &'a Context<'a>, maker: Option<&MakerId>) -> Result<Vec<u8>, String> {
    // A `Value` keeps its keys sorted, so the same rules are always the same bytes.
    let mut bytes = serde_json::to_vec(&value(context, maker)?).map_err(|error| error.to_string())?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The rules of all makers, or of one, as their schema accepts them.
fn value<'a>(context: &'a Context<'a>, maker: Option<&MakerId>) -> Result<Value, String> {
    let rules = serde_json::to_value(rules(context, maker)).map_err(|error| error.to_string())?;
    schema::check(&rules)?;
    Ok(rules)
}

fn rules<'a>(context: &'a Context<'a>, maker: Option<&MakerId>) -> Rules<'a> {
    let catalog = &context.knowledge.catalog;
    let tables = context.analysis.tables();
    let models = tables.models.iter().filter(|(id, _)| maker.is_none_or(|maker| *maker == id.maker())).collect();
    Rules {
        format: "bartack-rules",
        version: 1,
        requires: [],
        knowledge_base: context.version,
        title: &catalog.about.title,
        licence: &catalog.about.licence,
        language: &catalog.about.language,
        address: catalog.about.address.as_deref(),
        years: Years { first: years::FIRST, last: years::LAST },
        landmarks: landmarks::all(catalog),
        keys: keys::all(context.knowledge, maker),
        makers: names::makers(catalog, maker),
        lines: names::lines(catalog, maker),
        models: names::models(catalog, &models),
        variants: variants::all(context.knowledge, &models),
        vocabulary: vocabulary::export(&catalog.vocabulary, &tables.pool),
        ids: Ids { aliases: aliases(&catalog.moved) },
    }
}

fn aliases(moved: &BTreeMap<String, String>) -> BTreeMap<&str, &str> {
    moved.iter().map(|(earlier, now)| (names::id_of(earlier), names::id_of(now))).collect()
}
