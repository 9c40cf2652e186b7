//! `bartack compare`: the differences between two variants, or their counts side by side if their
//! models differ.
//!
//! `lines` compares two label lines or two wearers. Concludes nothing: numbers come from
//! `comparison`, words from `explain`.

mod json;
pub(super) mod lines;

use std::collections::BTreeMap;

use anyhow::bail;
use clap::{Args, ValueEnum};

use crate::analysis::Analysis;
use crate::cli::{Outcome, Session};
use crate::comparison::{self, Compared, Comparison};
use crate::compile;
use crate::diagnostic::wording;
use crate::evidence::{self, Evidence};
use crate::explain;
use crate::explain::comparison as words;
use crate::record::id::VariantId;
use crate::resolve::Catalog;
use crate::vocabulary::Feature;

/// The arguments of `compare`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// A variant, as `<maker>/<model>/<variant>`; a label line, as `<maker>/line:<line>`; or `<maker>/wearer:<wearer>`.
    #[arg(value_name = "A")]
    a: String,
    /// Another of the same kind, to compare with the first.
    #[arg(value_name = "B")]
    b: String,
    /// The format of the answer.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One JSON object, `bartack-comparison`.
    Json,
}

/// Two variants with their counts.
struct Pair<'a> {
    catalog: &'a Catalog,
    a: Evidence<'a>,
    b: Evidence<'a>,
    /// `None` for variants of different models, which get no verdict.
    comparison: Option<Comparison>,
}

impl<'a> Pair<'a> {
    /// The features counted in either variant, in the vocabulary's order, each with its verdict.
    fn features(&self) -> impl Iterator<Item = (&'a Feature, Option<&Compared>)> {
        let compared = self.comparison.iter().flat_map(|comparison| &comparison.features);
        let compared: BTreeMap<_, _> = compared.map(|compared| (&compared.feature, compared)).collect();
        let counted =
            self.catalog.vocabulary.iter().filter(|feature| {
                self.a.features.contains_key(&feature.id) || self.b.features.contains_key(&feature.id)
            });
        counted.map(move |feature| (feature, compared.get(&feature.id).copied()))
    }
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let compilation = session.compile(&progress)?;
    let knowledge = &compilation.knowledge;
    if lines::is_named(&options.a) || lines::is_named(&options.b) {
        drop(progress);
        session.terminal.answer([lines::answer(&Analysis::new(knowledge), options)?])?;
        return Ok(Outcome::Clean);
    }
    let (a, b) = (variant(&knowledge.catalog, &options.a)?, variant(&knowledge.catalog, &options.b)?);
    if a == b {
        bail!("{} is named twice; name two different variants", wording::quote(a.as_str()));
    }
    let (a, b) = (evidence::of(knowledge, a), evidence::of(knowledge, b));
    let catalog = &knowledge.catalog;
    let are_of_one_model = a.variant.model() == b.variant.model();
    let comparison = are_of_one_model.then(|| comparison::of(catalog, &a, &b));
    let pair = Pair { catalog, a, b, comparison };
    drop(progress);
    session.terminal.answer([match options.format {
        Format::Text => text(&pair),
        Format::Json => json::render(&pair, &compile::content_id(&catalog.sources)),
    }])?;
    Ok(Outcome::Clean)
}

/// Finds a variant by its id or by the path of its record.
fn variant<'a>(catalog: &'a Catalog, typed: &str) -> anyhow::Result<&'a VariantId> {
    let name = typed.strip_prefix("entries/").unwrap_or(typed);
    let name = name.strip_prefix("makers/").unwrap_or(name).trim_end_matches('/');
    let name = name.strip_suffix("/variant.md").unwrap_or(name);
    if let Some((known, _)) = catalog.variants.get_key_value(name) {
        return Ok(known);
    }
    let known: Vec<&str> = catalog.variants.keys().map(VariantId::as_str).collect();
    let found = wording::quote(typed);
    match wording::nearest(name, &known, 3).as_slice() {
        [] => bail!("there is no variant {found}; a variant is written `<maker>/<model>/<variant>`"),
        near => bail!("there is no variant {found}; near it: {}", wording::join_quoted(near, "and")),
    }
}

fn text(pair: &Pair<'_>) -> String {
    let (a, b) = (&pair.a.variant, &pair.b.variant);
    let (lead, body) = match &pair.comparison {
        Some(comparison) => (words::advice(comparison, pair.catalog), grouped(pair)),
        None => {
            let each = pair.features().map(|(feature, _)| format!("{}\n", sides(pair, feature)));
            (words::SIDE_BY_SIDE.to_string(), each.collect())
        }
    };
    format!("{lead}\n\n  A  {a}\n  B  {b}\n\n{body}{}\n", explain::CAUTION)
}

/// The features under the headings of their groups; those counted in one variant only come last.
fn grouped(pair: &Pair<'_>) -> String {
    let mut groups: BTreeMap<&str, String> = BTreeMap::new();
    for (feature, compared) in pair.features() {
        let (group, sentence) = match compared {
            Some(compared) => (words::group(&compared.verdict), words::sentence(compared, pair.catalog)),
            None => (words::TOO_FEW, words::ONE_ONLY.to_string()),
        };
        let lines = format!("{}      {sentence}\n\n", sides(pair, feature));
        groups.entry(group).or_default().push_str(&lines);
    }
    let filled = words::GROUPS.iter().filter_map(|name| Some(format!("{name}\n\n{}", groups.get(name)?)));
    filled.collect()
}

fn sides(pair: &Pair<'_>, feature: &Feature) -> String {
    let (a, b) = (words::seen(&pair.a, feature), words::seen(&pair.b, feature));
    format!("  {}\n      A: {a}\n      B: {b}\n", feature.name)
}
