//! `bartack explain`: a lint by its code, or why an era, a conflict, the date of a garment or a verdict is what it is.

use anyhow::{Context, bail};
use clap::Args;

use crate::analysis::Analysis;
use crate::chronology::without::Without;
use crate::cli::{Outcome, Session, changes, compare};
use crate::comparison::{self, PairEvidence};
use crate::compile::Compilation;
use crate::diagnostic::{Lint, wording};
use crate::evidence;
use crate::explain::verdict::Case;
use crate::explain::{self, Sentence};
use crate::knowledge::{Knowledge, Standing, Voice, VoiceIndex};
use crate::lints;
use crate::record::id::{KeyId, VariantId};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::Sources;
use crate::vocabulary::Feature;

/// The arguments of `explain`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The code of a finding such as `era-conflict`; a thing such as `<maker>/<model>/<variant>`; the id of a conflict;
    /// the path of an observation; a key such as `keys/<key>`; or a claim such as `entries/…/variant.md#1`.
    #[arg(value_name = "CODE|THING|CONFLICT|ENTRY|CLAIM")]
    subject: String,
    /// A second variant, line or wearer and a feature: explains the verdict on the two. A feature alone, after a variant,
    /// a model or a line: explains how it changed through time.
    #[arg(num_args = 1..=2, value_names = ["OTHER", "FEATURE"])]
    versus: Vec<String>,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    if let Some(lint) = lints::find(&options.subject).filter(|_| options.versus.is_empty()) {
        session.terminal.answer([describe(lint)])?;
        return Ok(Outcome::Clean);
    }
    let progress = session.terminal.progress();
    let Ok(compilation) = session.compile(&progress) else { return unknown(&options.subject, Vec::new()) };
    drop(progress);
    let sentences = match options.versus.as_slice() {
        [other, feature] if compare::lines::is_named(&options.subject) => {
            Some(of_lines(&compilation.knowledge, [&options.subject, other], feature)?)
        }
        [other, feature] => Some(verdict(&compilation.knowledge, &options.subject, other, feature)?),
        [feature] => Some(changeover(&compilation.knowledge, &options.subject, feature)?),
        _ => subject(&compilation, &options.subject),
    };
    let Some(sentences) = sentences else { return unknown(&options.subject, things(&compilation.knowledge)) };
    let sources = &compilation.knowledge.catalog.sources;
    let lines = sentences.iter().map(|sentence| written(sentence, sources));
    session.terminal.answer(lines.chain([format!("\n{}\n", explain::CAUTION)]))?;
    Ok(Outcome::Clean)
}

/// Writes a sentence and, below it, the places it refers to.
fn written(sentence: &Sentence, sources: &Sources) -> String {
    let indent = "  ".repeat(sentence.depth);
    let mut text = format!("{indent}{}\n", sentence.words);
    for place in &sentence.places {
        let file = sources.file(place.file);
        text.push_str(&format!("{indent}    {}:{}\n", file.path(), file.line_of(place.span.start())));
    }
    text
}

/// Explains an era, a conflict or the date of a garment.
fn subject(compilation: &Compilation, subject: &str) -> Option<Vec<Sentence>> {
    let knowledge = &compilation.knowledge;
    let analysis = Analysis::new(knowledge);
    let without = analysis.without();
    if let Some(conflict) = knowledge.conflicts.iter().chain(&knowledge.strains).find(|found| found.id == subject) {
        return Some(explain::conflict::sentences(&without, conflict));
    }
    let name = thing_named(subject);
    if let Some((thing, era)) = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == name) {
        return Some(explain::era::sentences(&without, thing, era));
    }
    if let Some(place) = knowledge.voices.iter().position(|voice| is_named(voice, subject)) {
        return Some(statement(&without, VoiceIndex(place as u32)));
    }
    if let Some(id) = name.strip_prefix("keys/") {
        return explain::coded::of_key(knowledge, &KeyId::new(id.trim_end_matches(".md")));
    }
    let garment = explain::garment::of_observation(&without, observation(knowledge, subject)?)?;
    let codes = explain::coded::of_garment(&without, garment);
    Some(explain::garment::sentences(&without, garment).into_iter().chain(codes).collect())
}

/// Says whether a name refers to a claim of this voice; both ends of a run are one claim.
fn is_named(voice: &Voice, name: &str) -> bool {
    let is_end = |rest: &str| matches!(rest, "" | ":begin" | ":end");
    voice.claims.iter().any(|part| part.name.as_str().strip_prefix(name).is_some_and(is_end))
}

/// Lists the conflicts that involve a statement.
fn statement(without: &Without<'_>, index: VoiceIndex) -> Vec<Sentence> {
    let knowledge = without.knowledge();
    let standing = match knowledge.voice(index).standing {
        Standing::Kept => "It counts: ",
        Standing::Contested => "It is contested and does not count: ",
        Standing::SetAside => "It is set aside and does not count: ",
    };
    let own = knowledge.conflicts.iter().chain(&knowledge.strains).filter(|found| found.members.contains(&index));
    let conflicts = own.flat_map(|conflict| explain::conflict::sentences(without, conflict));
    [explain::era::reason(knowledge, 0, standing, index)].into_iter().chain(conflicts).collect()
}

/// Explains a verdict.
fn verdict(knowledge: &Knowledge, one: &str, other: &str, feature: &str) -> anyhow::Result<Vec<Sentence>> {
    let catalog = &knowledge.catalog;
    let variant = |name: &str| {
        let id = VariantId::new(thing_named(name));
        let known = || catalog.variants.keys().map(ToString::to_string).collect::<Vec<String>>();
        if catalog.variants.contains_key(&id) { Ok(id) } else { Err(nothing("variant", name, &known())) }
    };
    let (a, b) = (variant(one)?, variant(other)?);
    let (a, b) = if a <= b { (a, b) } else { (b, a) };
    if a.model() != b.model() || a == b {
        bail!(
            "{} and {} are not two variants of one model, so they have no verdict",
            wording::quote(one),
            wording::quote(other)
        );
    }
    let feature = feature_named(catalog, feature)?;
    let (a, b) = (evidence::of(knowledge, &a), evidence::of(knowledge, &b));
    let comparison = comparison::of(catalog, &a, &b);
    let case = Case { catalog, comparison: &comparison, sides: PairEvidence { a: &a, b: &b } };
    let name = wording::quote(feature.id.as_str());
    explain::verdict::sentences(&case, feature).with_context(|| format!("{name} was not counted on both of them"))
}

fn feature_named<'c>(catalog: &'c Catalog, name: &str) -> anyhow::Result<&'c Feature> {
    let known = || catalog.vocabulary.iter().map(|feature| feature.id.to_string()).collect::<Vec<String>>();
    let is_called = |known: &&Feature| known.name.eq_ignore_ascii_case(name);
    let found = catalog.vocabulary.feature(name).or_else(|| catalog.vocabulary.iter().find(is_called));
    found.ok_or_else(|| nothing("feature", name, &known()))
}

/// Explains the verdict on a feature of two lines or two wearers.
fn of_lines(knowledge: &Knowledge, pair: [&str; 2], feature: &str) -> anyhow::Result<Vec<Sentence>> {
    let (analysis, catalog) = (Analysis::new(knowledge), &knowledge.catalog);
    let comparison = compare::lines::comparison(&analysis, pair)?;
    let feature = feature_named(catalog, feature)?;
    let name = wording::quote(feature.id.as_str());
    let found = comparison.feature(feature.id.as_str());
    let found = found.with_context(|| format!("{name} was not counted on both of them in any one model"))?;
    Ok(explain::lines::sentences(found, feature, catalog))
}

/// Explains the change of a feature in a variant, a model or a line.
fn changeover(knowledge: &Knowledge, thing: &str, feature: &str) -> anyhow::Result<Vec<Sentence>> {
    let catalog = &knowledge.catalog;
    let (thing, feature) = (changes::thing(catalog, thing)?, feature_named(catalog, feature)?);
    let histories = Analysis::new(knowledge).histories_of(&thing);
    let history = histories.iter().find(|history| history.feature == feature.id).with_context(|| {
        let name = wording::quote(feature.id.as_str());
        format!("no dated garment of {} shows {name}", wording::quote(thing.as_str()))
    })?;
    let first = format!("{}: {}", feature.name, explain::changes::sentence(catalog, history));
    let reasons = explain::changes::reasons(catalog, history).into_iter();
    let claims = explain::changes::claims(knowledge, history).into_iter();
    let words = [first].into_iter().chain(reasons).chain(claims).map(|words| Sentence::new(0, words));
    Ok(words.chain(explain::changes::garments(catalog, history)).collect())
}

fn nothing(sort: &str, name: &str, known: &[String]) -> anyhow::Error {
    let found = wording::quote(name);
    match wording::nearest(name, known, 3).as_slice() {
        [] => anyhow::anyhow!("there is no {sort} {found}"),
        near => anyhow::anyhow!("there is no {sort} {found}; near it: {}", wording::join_quoted(near, "and")),
    }
}

/// Finds an observation by its path, with or without `entries/`, `makers/` and the ending.
fn observation(knowledge: &Knowledge, subject: &str) -> Option<RecordIndex> {
    let wanted = thing_named(subject).trim_end_matches(".md");
    let records = (0_u32..).map(RecordIndex).zip(&knowledge.catalog.records);
    let mut observations = records.filter(|(_, record)| record.content.observation().is_some());
    let found = observations.find(|(_, record)| thing_named(record.path.as_str()).trim_end_matches(".md") == wanted);
    found.map(|(index, _)| index)
}

/// Writes a lint's full explanation.
fn describe(lint: &Lint) -> String {
    let Lint { code, title, explanation, wrong, right, .. } = lint;
    let level = lint.level.word();
    format!(
        "{code} ({level}): {title}\n\n{explanation}\n\nWrong:\n\n{}\n\nRight:\n\n{}\n",
        indented(wrong),
        indented(right)
    )
}

fn indented(text: &str) -> String {
    text.trim_end().lines().map(|line| format!("    {line}")).collect::<Vec<String>>().join("\n")
}

/// The name of a thing, from its name or the path of its record.
fn thing_named(subject: &str) -> &str {
    let name = subject.strip_prefix("entries/").unwrap_or(subject);
    let name = name.strip_prefix("makers/").unwrap_or(name).trim_end_matches('/');
    let endings = ["/variant.md", "/model.md", "/maker.md"];
    endings.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(name)
}

/// Everything that can be explained by name, except lints.
fn things(knowledge: &Knowledge) -> Vec<String> {
    let eras = knowledge.eras.keys().map(ToString::to_string);
    let keys = knowledge.catalog.keys.keys().map(|key| format!("keys/{key}"));
    let conflicts = knowledge.conflicts.iter().chain(&knowledge.strains).map(|conflict| conflict.id.clone());
    let observations = knowledge.catalog.records.iter().filter(|record| record.content.observation().is_some());
    eras.chain(conflicts).chain(observations.map(|record| record.path.to_string())).chain(keys).collect()
}

fn unknown(subject: &str, mut known: Vec<String>) -> anyhow::Result<Outcome> {
    known.extend(lints::LINTS.iter().map(|lint| lint.code.to_string()));
    let found = wording::quote(subject);
    match wording::nearest(subject, &known, 3).as_slice() {
        [] => bail!("there is nothing to explain under {found}; a thing is written `<maker>/<model>/<variant>`"),
        near => bail!("there is nothing to explain under {found}; near it: {}", wording::join_quoted(near, "and")),
    }
}
