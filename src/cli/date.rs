//! `bartack date`: bounds, likely variants and years of a garment in hand, or of a sheet of garments.
//!
//! Concludes nothing: numbers come from `dating`, words from `explain`.

mod batch;
pub(super) mod garment;
mod text;

use std::collections::BTreeSet;
use std::path::PathBuf;

use anyhow::bail;
use clap::{Args, ValueEnum};

use crate::analysis::Analysis;
use crate::cli::date::garment::Typed;
use crate::cli::{Outcome, Session};
use crate::compile;
use crate::dating::answer::Dating;
use crate::dating::answer::garment::Garment;
use crate::explain::codes::Detail;
use crate::explain::speaking;
use crate::knowledge::Knowledge;
use crate::record::id::ModelId;
use crate::report::answer::{self, Answered};

/// The arguments of `date`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// What the garment shows: `hem=chain-stitch`, `belt-loops=5`, `leg-opening=8.25in`, `care-label=absent`.
    #[arg(value_name = "FEATURE=STATE")]
    features: Vec<String>,
    /// Its maker, if you know it.
    #[arg(long, value_name = "M")]
    maker: Option<String>,
    /// Its model.
    #[arg(long, value_name = "M/X")]
    model: Option<String>,
    /// Its label line.
    #[arg(long, value_name = "M/L")]
    line: Option<String>,
    /// The wearer it was cut for: men, women, youth or unisex.
    #[arg(long, value_name = "W")]
    wearer: Option<String>,
    /// Its variant, if you only want the years.
    #[arg(long, value_name = "M/X/V")]
    variant: Option<String>,
    /// Where it was sold new, as two letters (ISO 3166-1): landmarks of that market then count in full.
    #[arg(long, value_name = "US")]
    market: Option<String>,
    /// A sheet (CSV) with one garment a row: optional columns id, maker, model, line, wearer, variant, market, then
    /// features.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["features", "maker", "model", "line", "wearer", "variant", "market"])]
    batch: Option<PathBuf>,
    /// Shows how each figure of its codes was read.
    #[arg(long, conflicts_with = "batch")]
    explain: bool,
    /// The format of the answer; a sheet gets one line for each garment.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// JSON objects, `bartack-date`.
    Json,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let compilation = session.compile(&progress)?;
    let knowledge = &compilation.knowledge;
    progress.tell("making the tables");
    match &options.batch {
        Some(path) => batch::run(session, knowledge, options.format, path),
        None => one(session, knowledge, options),
    }
}

fn one(session: &Session, knowledge: &Knowledge, options: &Options) -> anyhow::Result<Outcome> {
    let (garment, mut remarks) = garment(knowledge, options)?;
    let analysis = Analysis::new(knowledge);
    let tables = analysis.tables_of(models(knowledge, &garment));
    let found = Dating::new(knowledge, &tables).answer(&garment);
    let version = compile::content_id(&knowledge.catalog.sources);
    let answered = Answered { knowledge, version: &version, id: None, garment: &garment, answer: &found };
    let changes = speaking::of(knowledge, |thing| analysis.histories_of(thing), &garment, &found);
    if found.variants.is_empty() && !found.is_contradiction && garment.known.is_anything() {
        remarks.push("no recorded variant fits what was given, so the answer rests on landmarks only".to_string());
    }
    remarks.iter().for_each(|remark| session.terminal.summarize(remark));
    session.terminal.answer([match options.format {
        Format::Text => text::whole(&answered, &changes, if options.explain { Detail::Figures } else { Detail::Dates }),
        Format::Json => answer::line_with(&answered, &changes)? + "\n",
    }])?;
    Ok(Outcome::Clean)
}

/// The models in question: the named one, or all.
fn models(knowledge: &Knowledge, garment: &Garment) -> BTreeSet<ModelId> {
    let known = &garment.known;
    let of_variant = known.variant.as_ref().map(|variant| variant.model());
    match known.model.clone().or(of_variant) {
        Some(model) => BTreeSet::from([model]),
        None => knowledge.catalog.models.keys().cloned().collect(),
    }
}

/// The garment that was typed, with notes on how it was read.
fn garment(knowledge: &Knowledge, options: &Options) -> anyhow::Result<(Garment, Vec<String>)> {
    let mut typed = Typed::new();
    let known = [
        ("maker", &options.maker),
        ("model", &options.model),
        ("line", &options.line),
        ("wearer", &options.wearer),
        ("variant", &options.variant),
        ("market", &options.market),
    ];
    for (name, value) in known {
        if let Some(value) = value {
            typed.know(&knowledge.catalog, name, value)?;
        }
    }
    for pair in &options.features {
        let Some((feature, value)) = pair.split_once('=') else {
            bail!("`{pair}` has no state; a reading is written `feature=state`, such as `hem=absent`");
        };
        typed.see(&knowledge.catalog, feature.trim(), value)?;
    }
    let mut typed = typed.agreeing()?;
    typed.doubt(&knowledge.catalog);
    Ok((typed.garment, typed.remarks))
}
