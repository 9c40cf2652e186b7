//! `bartack diff`: how the conclusions change from a revision to the present files.

use clap::{Args, ValueEnum};

use crate::analysis::Analysis;
use crate::cli::{Outcome, Session};
use crate::compile::Compilation;
use crate::diagnostic::{Level, wording};
use crate::difference;
use crate::report::difference::{Told, json, markdown, text};

/// The arguments of `diff`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The Git revision to compare with, such as `main` or `HEAD~3` [default: HEAD, so changes not yet committed].
    #[arg(value_name = "REV", default_value = "HEAD", allow_hyphen_values = true)]
    revision: String,
    /// The format of the answer.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// For a comment on a pull request, or a job summary.
    Markdown,
    /// One JSON object, `bartack-difference`.
    Json,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let now = session.compile(&progress)?;
    let (commit, earlier) = session.compile_at(&progress, &options.revision, &now.knowledge.catalog.sources)?;
    progress.tell("comparing the two states");
    let difference = difference::of(&Analysis::new(&earlier.knowledge), &Analysis::new(&now.knowledge));
    let told = Told {
        earlier: &earlier.knowledge,
        now: &now.knowledge,
        difference: &difference,
        revision: &options.revision,
        commit: &commit,
    };
    let answer = match options.format {
        Format::Text => text::render(&told),
        Format::Markdown => markdown::render(&told),
        Format::Json => json::render(&told),
    };
    drop(progress);
    session.terminal.answer([answer])?;
    let states = [("here", &now), (options.revision.as_str(), &earlier)];
    states
        .into_iter()
        .filter_map(|(name, state)| broken(name, state))
        .for_each(|line| session.terminal.summarize(&line));
    Ok(Outcome::Clean)
}

/// Reports the entries with mistakes, which the comparison leaves out of this state.
fn broken(name: &str, state: &Compilation) -> Option<String> {
    let count = state.broken().len();
    let plural = if count == 1 { "it takes" } else { "they take" };
    (count > 0 && state.reaches(Level::Error))
        .then(|| format!("{} with errors in {}: {plural} no part", wording::count(count, "file"), wording::quote(name)))
}
