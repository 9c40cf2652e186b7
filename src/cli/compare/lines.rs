//! Two label lines, or the garments of two wearers, side by side over all models, for people and
//! for programs.
//!
//! The form for programs is `bartack-lines` version 1; its schema is `schema/lines.schema.json`.

use std::collections::BTreeMap;

use anyhow::{bail, ensure};
use serde::Serialize;

use crate::analysis::Analysis;
use crate::cli::compare::json::{Numbers, numbers};
use crate::cli::compare::{Format, Options};
use crate::comparison::lines::{LineComparison, LineFeature, Subject, group};
use crate::compile;
use crate::diagnostic::wording;
use crate::explain;
use crate::explain::comparison as words;
use crate::explain::lines as line_words;
use crate::record::id::{LineId, MakerId};
use crate::record::observation::Wearer;
use crate::resolve::Catalog;

/// Says whether a name refers to a line or a wearer.
pub(in crate::cli) fn is_named(typed: &str) -> bool {
    typed.contains("/line:") || typed.contains("/wearer:")
}

/// Compares two lines or two wearers of one maker.
pub(super) fn answer(analysis: &Analysis<'_>, options: &Options) -> anyhow::Result<String> {
    let catalog = &analysis.knowledge.catalog;
    let comparison = comparison(analysis, [&options.a, &options.b])?;
    Ok(match options.format {
        Format::Text => text(catalog, comparison),
        Format::Json => json(catalog, comparison),
    })
}

/// Finds the comparison of two lines or two wearers by their names, in either order.
pub(in crate::cli) fn comparison<'a>(
    analysis: &'a Analysis<'_>,
    names: [&str; 2],
) -> anyhow::Result<&'a LineComparison> {
    let [a, b] = pair(analysis, names[0], names[1])?;
    let found = analysis.lines().iter().find(|comparison| comparison.a == a && comparison.b == b);
    Ok(found.expect("every two lines and every two wearers of a maker are compared"))
}

/// Reads both names, and puts them in the order of their ids.
fn pair(analysis: &Analysis<'_>, a: &str, b: &str) -> anyhow::Result<[Subject; 2]> {
    let known: Vec<Subject> = group::subjects(&analysis.knowledge.catalog);
    let mut pair = [subject(&known, a)?, subject(&known, b)?];
    ensure!(pair[0] != pair[1], "{} is named twice; name two different lines or wearers", wording::quote(a));
    let are_alike = std::mem::discriminant(&pair[0]) == std::mem::discriminant(&pair[1]);
    if !are_alike || pair[0].maker() != pair[1].maker() {
        bail!(
            "{} and {} are not two lines, or two wearers, of one maker, so they have no verdict",
            wording::quote(a),
            wording::quote(b)
        );
    }
    pair.sort_by_key(ToString::to_string);
    Ok(pair)
}

fn subject(known: &[Subject], typed: &str) -> anyhow::Result<Subject> {
    let name = typed.strip_prefix("entries/").unwrap_or(typed);
    let name = name.strip_prefix("makers/").unwrap_or(name);
    let line = name.split_once("/line:").map(|(maker, line)| Subject::Line(LineId::of(&MakerId::new(maker), line)));
    let wearer = || {
        let (maker, wearer) = name.split_once("/wearer:")?;
        Some(Subject::Wearer(MakerId::new(maker), Wearer::parse(wearer)?))
    };
    let found = line.or_else(wearer).filter(|subject| known.contains(subject));
    let names = || known.iter().map(ToString::to_string).collect::<Vec<String>>();
    found.ok_or_else(|| {
        let quoted = wording::quote(typed);
        match wording::nearest(name, &names(), 3).as_slice() {
            [] => anyhow::anyhow!(
                "no variant is recorded of {quoted}; a line is written `<maker>/line:<line>`, a wearer `<maker>/wearer:<wearer>`"
            ),
            near => anyhow::anyhow!("no variant is recorded of {quoted}; near it: {}", wording::join_quoted(near, "and")),
        }
    })
}

fn text(catalog: &Catalog, comparison: &LineComparison) -> String {
    let mut groups: BTreeMap<&str, String> = BTreeMap::new();
    for found in &comparison.features {
        groups.entry(words::group(&found.compared.verdict)).or_default().push_str(&feature(catalog, found));
    }
    let filled = words::GROUPS.iter().filter_map(|name| Some(format!("{name}\n\n{}", groups.get(name)?)));
    let body: String = filled.collect();
    format!(
        "{}\n\n  A  {}\n  B  {}\n\n{body}{}\n\n{}\n",
        line_words::advice(comparison, catalog),
        comparison.a,
        comparison.b,
        line_words::OTHER_MODELS,
        explain::CAUTION
    )
}

fn feature(catalog: &Catalog, found: &LineFeature) -> String {
    let name = catalog.vocabulary.feature(found.compared.feature.as_str()).map_or("", |feature| &feature.name);
    let mut lines = format!("  {name}\n      {}\n", line_words::sentence(found, catalog));
    for voice in &found.models.0 {
        lines.push_str(&format!("      {}\n", line_words::model(voice, catalog)));
    }
    lines + "\n"
}

#[derive(Serialize)]
struct Answer<'a> {
    format: &'static str,
    version: u32,
    knowledge_base: String,
    a: String,
    b: String,
    advice: String,
    features: Vec<FeatureAnswer<'a>>,
    other_models: &'static str,
    caution: &'static str,
}

#[derive(Serialize)]
struct FeatureAnswer<'a> {
    feature: &'a str,
    n_a: u64,
    n_b: u64,
    /// The states that suggest A.
    group: Vec<&'a str>,
    settings: &'a [String],
    models: Vec<ModelAnswer<'a>>,
    /// The verdict in words, with the models.
    in_words: String,
    comparison: Numbers<'a>,
}

#[derive(Serialize)]
struct ModelAnswer<'a> {
    model: &'a str,
    n_a: u64,
    n_b: u64,
    difference: f64,
    low: f64,
    high: f64,
    stance: &'static str,
}

fn json(catalog: &Catalog, comparison: &LineComparison) -> String {
    let answer = Answer {
        format: "bartack-lines",
        version: 1,
        knowledge_base: compile::content_id(&catalog.sources),
        a: comparison.a.to_string(),
        b: comparison.b.to_string(),
        advice: line_words::advice(comparison, catalog),
        features: comparison.features.iter().map(|found| feature_answer(catalog, found)).collect(),
        other_models: line_words::OTHER_MODELS,
        caution: explain::CAUTION,
    };
    serde_json::to_string_pretty(&answer).expect("texts and numbers have a JSON form") + "\n"
}

fn feature_answer<'a>(catalog: &Catalog, found: &'a LineFeature) -> FeatureAnswer<'a> {
    let models = found.models.0.iter().map(|voice| ModelAnswer {
        model: voice.model.as_str(),
        n_a: voice.n_a,
        n_b: voice.n_b,
        difference: voice.difference,
        low: voice.interval.low,
        high: voice.interval.high,
        stance: voice.stance.word(),
    });
    let crude = &found.compared.crude;
    FeatureAnswer {
        feature: found.compared.feature.as_str(),
        n_a: crude.n_a,
        n_b: crude.n_b,
        group: crude.group.iter().map(String::as_str).collect(),
        settings: &found.settings,
        models: models.collect(),
        in_words: line_words::sentence(found, catalog),
        comparison: numbers(catalog, &found.compared),
    }
}
