//! Knowledge to `rules/`: what a program in any language needs to date a garment, with its JSON Schema.
//!
//! The export has its own types in `format`, which the model does not know; nothing leaves before its schema accepts it.

mod condition;
mod format;
mod landmarks;
mod names;
mod schema;
mod variants;
mod vocabulary;

use std::collections::BTreeMap;

use crate::publish::rules::format::{Ids, Rules};
use crate::publish::{Context, OutputFile, Publisher};

/// Writes the rules and their schema.
pub const PUBLISHER: Publisher = Publisher {
    name: "rules",
    description: "what a program in another language needs to date a garment",
    owns: &["rules/rules.json", "rules/rules.schema.json"],
    publish,
};

/// The files with what each is for.
pub const DOWNLOADS: [(&str, &str); 2] = [
    ("rules/rules.json", "landmarks, variants with their eras, and the vocabulary, for programs that date garments"),
    ("rules/rules.schema.json", "the JSON Schema of rules.json"),
];

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![
        OutputFile::new("rules/rules.json", move || json(context)),
        OutputFile::new("rules/rules.schema.json", || Ok::<_, String>(schema::TEXT.as_bytes().to_vec())),
    ]
}

fn json(context: &Context<'_>) -> Result<Vec<u8>, String> {
    let rules = serde_json::to_value(rules(context)).map_err(|error| error.to_string())?;
    schema::check(&rules)?;
    // A `Value` keeps its keys sorted, so the same rules are always the same bytes.
    let mut bytes = serde_json::to_vec_pretty(&rules).map_err(|error| error.to_string())?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn rules<'a>(context: &Context<'a>) -> Rules<'a> {
    let catalog = &context.knowledge.catalog;
    Rules {
        format: "bartack-rules",
        version: 1,
        requires: [],
        knowledge_base: context.version,
        title: &catalog.about.title,
        licence: &catalog.about.licence,
        language: &catalog.about.language,
        address: catalog.about.address.as_deref(),
        landmarks: landmarks::all(catalog),
        makers: names::makers(catalog),
        lines: names::lines(catalog),
        models: names::models(catalog),
        variants: variants::all(context.knowledge),
        vocabulary: vocabulary::export(&catalog.vocabulary),
        ids: Ids { aliases: aliases(&catalog.moved) },
    }
}

fn aliases(moved: &BTreeMap<String, String>) -> BTreeMap<&str, &str> {
    moved.iter().map(|(earlier, now)| (names::id_of(earlier), names::id_of(now))).collect()
}
