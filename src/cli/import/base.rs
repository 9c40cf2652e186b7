//! `bartack import DIR`: the entries of another knowledge base.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context, bail};

use crate::cli::import::base_text::Answer;
use crate::cli::import::leftover;
use crate::cli::import::text::Mode;
use crate::cli::{Outcome, Session};
use crate::compile::{self, Compilation};
use crate::diagnostic::{Diagnostic, Level};
use crate::disk::{self, bring};
use crate::import::Candidate;
use crate::import::base::answers::Answers;
use crate::import::base::{self, Plan, VOCABULARY};
use crate::import::proof::{self, Present};
use crate::sheet::encoding;
use crate::source::edit::Change;

/// The request on the command line.
pub(super) struct Request<'a> {
    /// The folder of the other knowledge base.
    pub(super) folder: &'a Path,
    /// The file of answers.
    pub(super) map: Option<&'a Path>,
    /// Whether entries are written.
    pub(super) mode: Mode,
}

/// Runs the command for the folder of another knowledge base.
pub(super) fn run(session: &Session, request: &Request<'_>) -> anyhow::Result<Outcome> {
    let answers = answers(request.map)?;
    let progress = session.terminal.progress();
    let reading = session.read_watched(&progress)?;
    let other = bring::base(request.folder, &session.root, &|_| {})?;
    let present = (reading.sources.clone(), reading.faults.clone());
    let observer = |step| progress.stage(step);
    let ours = compile::compile(reading.sources, reading.faults, compile::Options::watched(&observer));
    refuse_broken_vocabulary(&ours)?;
    let theirs = compile::compile(other.sources, other.faults, compile::Options::watched(&observer));
    let plan = Plan::new(&ours.knowledge.catalog, &theirs, &answers);
    let plan = plan.map_err(|problem| anyhow::anyhow!("{}: {problem}", request.folder.display()))?;
    let proved = proof::prove(
        &Present { sources: &present.0, unread: &present.1 },
        |wrong| plan.gather(wrong),
        |candidates| plan.photographs(candidates),
        &observer,
    );
    drop(progress);
    refuse_new_errors(&ours, &proved.compilation)?;
    let answer = Answer { plan: &plan, answers: &answers, gathered: &proved.gathered, mode: request.mode };
    session.terminal.answer(answer.lines(&request.folder.display().to_string()))?;
    leftover::report(session, &present.0, &proved.gathered.candidates);
    if request.mode == Mode::Write {
        write(session, request.folder, &plan, &proved.gathered.candidates)?;
    }
    session.terminal.summarize(&answer.summary());
    let is_settled = proved.gathered.troubles.iter().all(base::is_left_out);
    Ok(if is_settled { Outcome::Clean } else { Outcome::Denied })
}

/// Refuses to import while this vocabulary has errors, since its words have no certain meaning.
fn refuse_broken_vocabulary(ours: &Compilation) -> anyhow::Result<()> {
    let sources = &ours.knowledge.catalog.sources;
    let errors = ours.diagnostics.iter().filter(|one| one.level() == Level::Error);
    let path = |one: &Diagnostic| sources.file(one.primary().place.file).path().as_str() == VOCABULARY;
    match errors.into_iter().find(|one| path(one)) {
        Some(error) => bail!("`{VOCABULARY}` here has an error; repair it first: {}", proof::words(error)),
        None => Ok(()),
    }
}

fn answers(map: Option<&Path>) -> anyhow::Result<Answers> {
    let Some(path) = map else { return Ok(Answers::default()) };
    let text = encoding::strict(&bring::whole(path)?);
    let answers = text.and_then(|text| Answers::parse(&text));
    answers.map_err(|problem| anyhow::anyhow!("{}: {problem}", path.display()))
}

/// Refuses the whole import if it would add an error to an existing entry.
///
/// Errors are compared by place: imported names can change their words, such as the nearest
/// spelling.
fn refuse_new_errors(before: &Compilation, after: &Compilation) -> anyhow::Result<()> {
    let known = errors(before);
    let new = errors(after).into_iter().filter(|(place, _)| !known.contains_key(place));
    let new: Vec<String> = new.map(|(place, words)| format!("{}: {words}", place.path)).collect();
    if new.is_empty() {
        return Ok(());
    }
    bail!("what is here would have errors, so nothing is brought:\n  {}", new.join("\n  "))
}

/// The place and kind of an error.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct ErrorPlace {
    path: String,
    start: usize,
    code: &'static str,
}

/// The errors of a knowledge base, each with its words.
fn errors(compilation: &Compilation) -> BTreeMap<ErrorPlace, String> {
    let errors = compilation.diagnostics.iter().filter(|one| one.level() == Level::Error);
    let placed = errors.map(|one| {
        let place = one.primary().place;
        let path = compilation.knowledge.catalog.sources.file(place.file).path().to_string();
        (ErrorPlace { path, start: place.span.start(), code: one.lint().code }, proof::words(one))
    });
    placed.collect()
}

/// Writes the settings first, so that no withheld entry counts even for a moment. Makers, models
/// and variants follow, then the records that refer to them: an interrupted run leaves whole files
/// that the next run can build on.
fn write(session: &Session, folder: &Path, plan: &Plan<'_>, candidates: &[Candidate]) -> anyhow::Result<()> {
    let mut ordered: Vec<&Candidate> = candidates.iter().collect();
    ordered.sort_by_key(|candidate| turn(candidate));
    for (number, candidate) in ordered.iter().enumerate() {
        let written = one(session, folder, plan, candidate);
        written.with_context(|| {
            let all = ordered.len();
            format!("stopped after {number} of {all} files, which are whole; the same command brings the rest")
        })?;
    }
    Ok(())
}

/// The position of an entry in the order of writing; entries that others refer to come first.
fn turn(candidate: &Candidate) -> u8 {
    let folders: Vec<&str> = candidate.path.split('/').collect();
    match folders.as_slice() {
        _ if candidate.corrects.is_some() => 0,
        ["entries", "sources", ..] => 1,
        ["entries", "makers", _, "maker.md"] => 2,
        ["entries", "makers", _, _, "model.md"] => 3,
        ["entries", "makers", _, _, _, "variant.md"] => 4,
        ["entries", "disputes", ..] => 6,
        _ => 5,
    }
}

fn one(session: &Session, folder: &Path, plan: &Plan<'_>, candidate: &Candidate) -> anyhow::Result<()> {
    if let Some(corrects) = &candidate.corrects {
        let change = Change { before: corrects.before.clone(), after: candidate.text.clone() };
        return Ok(disk::mend(&session.root, &candidate.path, &change)?);
    }
    for photograph in plan.photographs_of(candidate) {
        bring::copy_from(folder, photograph.there.path.as_str(), &session.root, &photograph.to)?;
    }
    Ok(bring::entry(&session.root, &candidate.path, &candidate.text)?)
}
