//! `bartack check`: compiles everything, and reports the findings in the given files; `--fix`
//! repairs first.

mod fix;

use std::collections::BTreeMap;
use std::mem::ManuallyDrop;
use std::path::{Component, Path, PathBuf};

use anyhow::bail;
use clap::{Args, ValueEnum};

use crate::analysis::Analysis;
use crate::cli::check::fix::Repairs;
use crate::cli::{Outcome, Session};
use crate::compile::progress::Stage;
use crate::compile::{self, Compilation, Review, Scrutiny};
use crate::diagnostic::{Level, wording};
use crate::disk::Reading;
use crate::fault::{Fault, FaultKind, Unreadable};
use crate::knowledge::Knowledge;
use crate::lints;
use crate::page::Site;
use crate::page::flaws::Flaw;
use crate::publish::trial;
use crate::report::{self, Selection, github, json, sarif, since, text};
use crate::source::{FilePath, Place, SourceFile, Sources};
use crate::view::context::Context;

/// The arguments of `check`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// Files or folders: report only findings that touch one of them [default: all].
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Reports only findings that a Git revision, such as `main`, did not have; only these decide the exit status.
    #[arg(long, value_name = "REV", allow_hyphen_values = true)]
    since: Option<String>,
    /// Writes the unambiguous repairs of the findings that would be reported; reports the rest.
    #[arg(long)]
    fix: bool,
    /// The format of the findings.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// The lowest level of finding that makes the command exit with 1.
    #[arg(long, value_enum, default_value_t = Deny::Error)]
    deny: Deny,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One JSON object, `bartack-findings`.
    Json,
    /// A SARIF 2.1.0 log, for tools that collect findings.
    Sarif,
    /// Workflow commands, which GitHub shows beside the lines of a pull request.
    Github,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Deny {
    /// Records that cannot be used.
    Error,
    /// Also doubtful or contradicted statements.
    Warning,
}

impl Deny {
    fn level(self) -> Level {
        match self {
            Deny::Error => Level::Error,
            Deny::Warning => Level::Warning,
        }
    }
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let mut reading = session.read_watched(&progress)?;
    let own = std::mem::take(&mut reading.site);
    let paths = within(&session.root, &reading.sources, &options.paths)?;
    let before = match &options.since {
        Some(revision) => Some(session.read_at(&progress, revision, &reading.sources)?.1),
        None => None,
    };
    let changed: Vec<String> = before.iter().flat_map(|before| reading.sources.changed_from(&before.sources)).collect();
    let review = Review::Touched(paths.iter().chain(&changed).cloned().collect());
    let scrutiny = Scrutiny { review, today: super::today() };
    let observer = |step| progress.stage(step);
    let compiled = |reading: Reading| {
        let watched = compile::Options::watched(&observer);
        compile::compile(reading.sources, reading.faults, compile::Options { scrutiny: Some(&scrutiny), ..watched })
    };
    let earlier = before.map(compiled);
    let mut repairs = Repairs::default();
    let compilation = match options.fix {
        false => compiled(reading),
        true => loop {
            let compilation = compiled(Reading { site: BTreeMap::new(), ..reading.clone() });
            let selection = selected(&compilation, earlier.as_ref(), &paths);
            let Some(sources) = repairs.make(&reading.sources, &selection.shown) else { break compilation };
            reading.sources = sources;
        },
    };
    repairs.write(&session.root, |line| session.terminal.summarize(line))?;
    // The process ends soon; dropping the knowledge piece by piece would take 5 % longer.
    let mut compilation = ManuallyDrop::new(compilation);
    if !compilation.reaches(Level::Error) {
        progress.tell(Stage::Plan.words());
        add_flaws(&mut compilation, own)?;
    }
    if let Some(earlier) = &earlier {
        compilation.compare_with(&earlier.knowledge);
        since::tell_moved(&mut compilation, earlier, &changed);
    }
    let sources = &compilation.knowledge.catalog.sources;
    let selection = selected(&compilation, earlier.as_ref(), &paths);
    drop(progress);
    report(session, options, sources, &selection)
}

/// Adds findings about the knowledge base's own templates and other files that would stop a build.
fn add_flaws(compilation: &mut Compilation, mut own: BTreeMap<String, Vec<u8>>) -> anyhow::Result<()> {
    let mut flaws = Vec::new();
    while let Some(flaw) = flaw(&compilation.knowledge, &own)? {
        let content = own.remove(&flaw.path).unwrap_or_default();
        flaws.push((flaw, String::from_utf8_lossy(&content).into_owned()));
    }
    flaws.sort_by(|(one, _), (other, _)| one.path.cmp(&other.path));
    for (flaw, text) in flaws {
        let path = FilePath::new(format!("site/{}", flaw.path));
        let file = compilation.knowledge.catalog.sources.add(SourceFile::new(path, text));
        let place = Place { file, span: flaw.span };
        let fault = Fault::new(place, FaultKind::Unreadable(Unreadable::Unusable(flaw.problem)));
        compilation.diagnostics.extend(lints::of_unreadable(&compilation.knowledge, &fault));
    }
    Ok(())
}

fn flaw(knowledge: &Knowledge, own: &BTreeMap<String, Vec<u8>>) -> anyhow::Result<Option<Flaw>> {
    let site = Site::new(own)?;
    let (analysis, version) = (Analysis::new(knowledge), compile::content_id(&knowledge.catalog.sources));
    Ok(trial::run(&Context::new(&analysis, &site, &version).with_bundle())?)
}

fn selected<'a>(now: &'a Compilation, earlier: Option<&Compilation>, paths: &[String]) -> Selection<'a> {
    let sources = &now.knowledge.catalog.sources;
    let Some(earlier) = earlier else { return report::select(sources, &now.diagnostics, paths) };
    let (new, old) = since::new(now, earlier);
    Selection { before: Some(old), ..report::select(sources, new, paths) }
}

fn report(
    session: &Session,
    options: &Options,
    sources: &Sources,
    selection: &Selection<'_>,
) -> anyhow::Result<Outcome> {
    let (style, base) = (session.terminal.style(), way_to(&session.root)?);
    let shown = selection.shown.iter();
    match options.format {
        Format::Json => session.terminal.answer([json::render(sources, selection)])?,
        Format::Sarif => session.terminal.answer([sarif::render(sources, selection, &base)])?,
        Format::Github => session.terminal.answer(shown.map(|one| github::render(sources, one, &base)))?,
        Format::Text => {
            session.terminal.answer(shown.map(|one| format!("{}\n", text::render(sources, one, style))))?;
        }
    }
    session.terminal.summarize(&summary(selection, options));
    let is_denied = selection.shown.iter().any(|diagnostic| diagnostic.level() >= options.deny.level());
    Ok(if is_denied { Outcome::Denied } else { Outcome::Clean })
}

fn summary(selection: &Selection<'_>, options: &Options) -> String {
    let mut line = report::summary(&selection.shown);
    if let Some(revision) = &options.since {
        line = format!("{line} since {}", wording::quote(revision));
    }
    match (options.paths.is_empty(), selection.elsewhere.as_slice()) {
        (true, _) => {}
        (false, []) => line.push_str(" here, none elsewhere"),
        (false, elsewhere) => line.push_str(&format!(" here; {} elsewhere", report::summary(elsewhere))),
    }
    let line = match selection.before {
        None => line,
        Some(0) => format!("{line}; none that it had too"),
        Some(before) => format!("{line}; {before} that it had too"),
    };
    match selection.shown.iter().filter(|diagnostic| diagnostic.repair().is_some()).count() {
        0 => line,
        repairable => format!("{line}; `--fix` repairs {repairable}"),
    }
}

/// Turns typed paths into paths of the knowledge base; a path that matches nothing is an error.
fn within(root: &Path, sources: &Sources, typed: &[PathBuf]) -> anyhow::Result<Vec<String>> {
    typed
        .iter()
        .map(|path| {
            let from_here = relative(root, path)?;
            let as_typed = slashes(path.components());
            let found = [from_here, Some(as_typed)].into_iter().flatten().find(|path| exists(sources, path));
            match found {
                Some(path) => Ok(path),
                None => {
                    bail!("there is no file or folder {} in the knowledge base {}", quoted_path(path), root.display())
                }
            }
        })
        .collect()
}

fn quoted_path(path: &Path) -> String {
    wording::quote(&path.to_string_lossy())
}

/// The path below the root; `None` if it lies outside. Works on the text alone and opens nothing.
fn relative(root: &Path, path: &Path) -> anyhow::Result<Option<String>> {
    let (root, path) = (plain(&std::path::absolute(root)?), plain(&std::path::absolute(path)?));
    Ok(path.strip_prefix(&root).ok().map(|below| slashes(below.components())))
}

/// The path from the working folder to the knowledge base, for tools that know only the working
/// folder; empty if the knowledge base lies outside it.
fn way_to(root: &Path) -> anyhow::Result<String> {
    Ok(relative(Path::new("."), root)?.unwrap_or_default())
}

/// Resolves `.` and `..` in a path.
fn plain(path: &Path) -> PathBuf {
    path.components().fold(PathBuf::new(), |mut plain, component| {
        match component {
            Component::CurDir => {}
            Component::ParentDir => {
                plain.pop();
            }
            other => plain.push(other),
        }
        plain
    })
}

fn slashes<'a>(components: impl Iterator<Item = Component<'a>>) -> String {
    let names = components.filter(|component| *component != Component::CurDir);
    names.map(|component| component.as_os_str().to_string_lossy().into_owned()).collect::<Vec<String>>().join("/")
}

/// Says whether the knowledge base has a file at this path or below it.
fn exists(sources: &Sources, path: &str) -> bool {
    let files = sources.iter().map(|(_, file)| file.path().as_str());
    let beside = sources.attachments().iter().map(|attachment| attachment.path.as_str());
    files.chain(beside).any(|file| report::is_at_or_below(file, path))
}

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    use super::within;
    use crate::source::{FilePath, SourceFile, Sources};

    fn found(root: &str, path: &str) -> Option<Vec<String>> {
        let file = SourceFile::new(FilePath::new("entries/sources/a.md"), String::new());
        within(Path::new(root), &Sources::new(vec![file]), &[PathBuf::from(path)]).ok()
    }

    #[test]
    fn paths_are_taken_from_here_or_from_the_root() {
        let whole = Some(vec!["entries/sources/a.md".to_string()]);
        assert_eq!(found(".", "entries/sources/a.md"), whole);
        assert_eq!(found(".", "./entries/makers/../sources/a.md"), whole);
        assert_eq!(found("/far/base", "/far/base/entries/sources/a.md"), whole);
        assert_eq!(found("/far/base", "entries/sources/a.md"), whole);
        assert_eq!(found(".", "entries/sources/"), Some(vec!["entries/sources".to_string()]));
        assert_eq!(found(".", "."), Some(vec![String::new()]));
    }

    #[test]
    fn a_path_that_leads_to_nothing_is_refused() {
        assert_eq!(found(".", "entries/sources/b.md"), None);
        assert_eq!(found("/far/base", "/elsewhere"), None);
    }
}
