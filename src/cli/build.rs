//! `bartack build`: compiles everything, and writes the site and the exports.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::analysis::Analysis;
use crate::cli::terminal::Progress;
use crate::cli::{Outcome, Session};
use crate::compile::progress::Stage;
use crate::compile::{self, Broken, Compilation};
use crate::diagnostic::{Diagnostic, Level, wording};
use crate::difference;
use crate::disk;
use crate::lints;
use crate::page::Site;
use crate::publish;
use crate::publish::output::BUNDLE;
use crate::publish::output::Planned;
use crate::report::difference::{Told, json};
use crate::report::{self, text};
use crate::source::FilePath;
use crate::view::context::Context;
use crate::view::photographs::Photograph;

/// The arguments of `build`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The folder to write [default: `out` in the knowledge base].
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Builds despite errors and leaves broken entries out; the exit status still reports the errors.
    #[arg(long)]
    keep_going: bool,
    /// Also writes what changed since a Git revision, such as the tag of the last release, to `data/changes.json`.
    #[arg(long, value_name = "REV", allow_hyphen_values = true)]
    since: Option<String>,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let reading = session.read_watched(&progress)?;
    let site = Site::new(&reading.site)?;
    let observer = |stage| progress.stage(stage);
    let broken = if options.keep_going { Broken::LeftOut } else { Broken::Counted };
    let compiled = compile::Options { broken, ..compile::Options::watched(&observer) };
    let compilation = compile::compile(reading.sources, reading.faults, compiled);
    if compilation.reaches(Level::Error) && !options.keep_going {
        drop(progress);
        return refuse(session, &compilation);
    }
    let changes = match &options.since {
        Some(revision) => Some(changes(session, &progress, revision, &compilation)?),
        None => None,
    };
    let out = options.out.clone().unwrap_or_else(|| session.root.join("out"));
    let order = Order { compilation: &compilation, site: &site, changes, out: &out };
    let Written { count, unmade } = write(session, &progress, order)?;
    drop(progress);
    draw(session, &compilation, &unmade.iter().collect::<Vec<&Diagnostic>>())?;
    session.terminal.summarize(&format!("wrote {} to {}", wording::count(count, "file"), out.display()));
    conclude(session, &compilation)
}

/// The outputs written and the broken photographs found; `check` decodes no photographs and cannot
/// find these.
struct Written {
    count: usize,
    unmade: Vec<Diagnostic>,
}

/// The changes since a revision, as `diff` prints them in JSON.
fn changes(session: &Session, progress: &Progress, revision: &str, now: &Compilation) -> anyhow::Result<String> {
    let (now, sources) = (&now.knowledge, &now.knowledge.catalog.sources);
    let (commit, earlier) = session.compile_at(progress, revision, sources)?;
    let earlier = &earlier.knowledge;
    let states = [Analysis::new(earlier), Analysis::new(now)];
    let difference = difference::of(&states[0], &states[1]);
    Ok(json::render(&Told { earlier, now, difference: &difference, revision, commit: &commit }))
}

/// The site to write, and its destination.
struct Order<'o> {
    compilation: &'o Compilation,
    site: &'o Site,
    changes: Option<String>,
    out: &'o Path,
}

fn write(session: &Session, progress: &Progress, order: Order<'_>) -> anyhow::Result<Written> {
    let Order { compilation, site, changes, out } = order;
    progress.tell(Stage::Write.words());
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, site, &version).with_bundle();
    let context = context.with_changes(changes);
    publish::prepare(&context);
    let files = publish::files(&context)?;
    let photographs = context.photographs.all();
    let site = Planned { photographs, files: &files, bundle: Some(BUNDLE) };
    disk::write(&session.root, out, &site, &|step| progress.share(step))?;
    let faults = photographs.iter().filter_map(Photograph::fault);
    let unmade = lints::of_photographs(&compilation.knowledge, faults);
    Ok(Written { count: files.len() + 1 + context.photographs.made(), unmade })
}

/// Reports the errors that prevent the build.
fn refuse(session: &Session, compilation: &Compilation) -> anyhow::Result<Outcome> {
    let errors = errors(compilation);
    draw(session, compilation, &errors)?;
    let count = wording::count(errors.len(), "error");
    session
        .terminal
        .summarize(&format!("not built: {count}; repair them, or leave these entries out with --keep-going"));
    Ok(Outcome::Denied)
}

/// Lists the entries left out, and counts the findings about the rest.
fn conclude(session: &Session, compilation: &Compilation) -> anyhow::Result<Outcome> {
    let left_out = &compilation.left_out;
    let errors = errors(compilation);
    draw(session, compilation, &errors)?;
    let all: Vec<&Diagnostic> = compilation.diagnostics.iter().collect();
    session.terminal.summarize(&format!("{}; `bartack check` shows them", report::summary(&all)));
    if left_out.is_empty() {
        return Ok(Outcome::Clean);
    }
    let names: Vec<&str> = left_out.iter().map(FilePath::as_str).collect();
    let count = wording::count(names.len(), "broken file");
    session.terminal.summarize(&format!("left out {count}: {}", wording::join_quoted(&names, "and")));
    Ok(Outcome::Denied)
}

fn errors(compilation: &Compilation) -> Vec<&Diagnostic> {
    compilation.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error).collect()
}

fn draw(session: &Session, compilation: &Compilation, errors: &[&Diagnostic]) -> anyhow::Result<()> {
    let (sources, style) = (&compilation.knowledge.catalog.sources, session.terminal.style());
    session.terminal.answer(errors.iter().map(|error| format!("{}\n", text::render(sources, error, style))))?;
    Ok(())
}
