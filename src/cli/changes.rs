//! `bartack changes`: which state of a feature gave way to another in a variant, a model or a line, and when.
//!
//! The form for programs is `bartack-changes` version 1; its schema is `schema/changes.schema.json`.

use anyhow::bail;
use clap::{Args, ValueEnum};
use serde::Serialize;

use crate::analysis::Analysis;
use crate::changeover::{Change, History, Kind, Segment, Word};
use crate::cli::{Outcome, Session};
use crate::compile;
use crate::diagnostic::wording;
use crate::explain;
use crate::explain::changes as words;
use crate::knowledge::Knowledge;
use crate::record::id::{LineId, ModelId, VariantId, Whole};
use crate::resolve::Catalog;

/// The arguments of `changes`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// A variant, as `<maker>/<model>/<variant>`; a model, as `<maker>/<model>`; or a label line, as `<maker>/line:<line>`.
    #[arg(value_name = "THING")]
    thing: String,
    /// The form of the answer.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One JSON object, `bartack-changes`.
    Json,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let compilation = session.compile(&progress)?;
    let knowledge = &compilation.knowledge;
    let thing = thing(&knowledge.catalog, &options.thing)?;
    let histories = Analysis::new(knowledge).histories_of(&thing);
    drop(progress);
    session.terminal.answer([match options.format {
        Format::Text => text(knowledge, &thing, &histories),
        Format::Json => json(knowledge, &thing, &histories),
    }])?;
    Ok(Outcome::Clean)
}

/// Finds a variant, a model or a line by its name or the path of its record.
pub(super) fn thing(catalog: &Catalog, typed: &str) -> anyhow::Result<Whole> {
    let name = typed.strip_prefix("entries/").unwrap_or(typed);
    let name = name.strip_prefix("makers/").unwrap_or(name).trim_end_matches('/');
    let name = name.strip_suffix("/variant.md").or_else(|| name.strip_suffix("/model.md")).unwrap_or(name);
    let lines = catalog.variants.values().filter_map(|entry| entry.line.as_ref());
    let known: Vec<Whole> = lines
        .map(|line: &LineId| Whole::Line(line.clone()))
        .chain(catalog.models.keys().map(|model: &ModelId| Whole::Model(model.clone())))
        .chain(catalog.variants.keys().map(|variant: &VariantId| Whole::Variant(variant.clone())))
        .collect();
    if let Some(found) = known.iter().find(|whole| whole.as_str() == name) {
        return Ok(found.clone());
    }
    let names: Vec<&str> = known.iter().map(Whole::as_str).collect();
    let found = wording::quote(typed);
    match wording::nearest(name, &names, 3).as_slice() {
        [] => bail!("there is no variant, model or line {found}; a line is written `<maker>/line:<line>`"),
        near => bail!("there is no variant, model or line {found}; near it: {}", wording::join_quoted(near, "and")),
    }
}

fn text(knowledge: &Knowledge, thing: &Whole, histories: &[History]) -> String {
    let catalog = &knowledge.catalog;
    let mut lines = format!("What changed when in {}.\n\n", thing.as_str());
    let is_told = |history: &&History| !history.changes.is_empty() && history.word != Word::Unclear;
    let mut told: Vec<&History> = histories.iter().filter(is_told).collect();
    told.sort_by_key(|history| !history.word.is_change());
    for history in &told {
        let name = words::heading(catalog, &history.feature);
        lines.push_str(&format!("  {name}\n      {}\n", words::sentence(catalog, history)));
        for sentence in words::claims(knowledge, history) {
            lines.push_str(&format!("      {sentence}\n"));
        }
        lines.push('\n');
    }
    if told.is_empty() {
        lines.push_str("No detail is seen to change.\n\n");
    }
    for (word, heading) in
        [(Word::NoChangeSeen, "No change seen"), (Word::Unclear, "Unclear"), (Word::TooFew, "Too few dated garments")]
    {
        let own = histories.iter().filter(|history| history.word == word);
        let names: Vec<String> = own.map(|history| words::heading(catalog, &history.feature)).collect();
        if !names.is_empty() {
            lines.push_str(&format!("{heading}: {}.\n\n", names.join(", ")));
        }
    }
    format!("{lines}{}\n", explain::CAUTION)
}

#[derive(Serialize)]
struct Answer<'a> {
    format: &'static str,
    version: u32,
    knowledge_base: String,
    thing: &'a str,
    features: Vec<FeatureAnswer<'a>>,
    caution: &'static str,
}

#[derive(Serialize)]
struct FeatureAnswer<'a> {
    feature: &'a str,
    n: usize,
    blocks: usize,
    settings: usize,
    p_change: Option<f64>,
    word: String,
    covariate: Option<&'a str>,
    came_back: bool,
    factory_known: bool,
    sentence: String,
    claims: Vec<String>,
    covariates: Vec<String>,
    changes: Vec<ChangeAnswer<'a>>,
}

#[derive(Serialize)]
struct ChangeAnswer<'a> {
    kind: &'static str,
    earliest: Option<String>,
    latest: Option<String>,
    before: SegmentAnswer<'a>,
    after: SegmentAnswer<'a>,
}

#[derive(Serialize)]
struct SegmentAnswer<'a> {
    state: Option<&'a str>,
    n: u64,
    against: Option<u64>,
}

fn json(knowledge: &Knowledge, thing: &Whole, histories: &[History]) -> String {
    let catalog = &knowledge.catalog;
    let features = histories.iter().map(|history| FeatureAnswer {
        feature: history.feature.as_str(),
        n: history.items.len(),
        blocks: history.blocks,
        settings: history.settings,
        p_change: history.probability,
        word: history.word.words(),
        covariate: history.word.covariate(),
        came_back: history.came_back(),
        factory_known: !history.is_factory_unknown(),
        sentence: words::sentence(catalog, history),
        claims: words::claims(knowledge, history),
        covariates: words::covariates(catalog, history),
        changes: history.changes.iter().map(change).collect(),
    });
    let answer = Answer {
        format: "bartack-changes",
        version: 1,
        knowledge_base: compile::content_id(&catalog.sources),
        thing: thing.as_str(),
        features: features.collect(),
        caution: explain::CAUTION,
    };
    serde_json::to_string_pretty(&answer).expect("texts and numbers have a JSON form") + "\n"
}

fn change(change: &Change) -> ChangeAnswer<'_> {
    ChangeAnswer {
        kind: if change.kind == Kind::Real { "real" } else { "share" },
        earliest: change.span.first().map(|day| day.to_string()),
        latest: change.span.last().map(|day| day.to_string()),
        before: segment(&change.before),
        after: segment(&change.after),
    }
}

fn segment(segment: &Segment) -> SegmentAnswer<'_> {
    SegmentAnswer { state: segment.state.as_deref(), n: segment.n, against: segment.against }
}
