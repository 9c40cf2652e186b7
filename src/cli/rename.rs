//! `bartack rename`: renames a record, label line, feature or state, and every reference to it;
//! merges a state or feature into another; splits a state.

use clap::Args;

use crate::cli::{Outcome, Session};
use crate::compile;
use crate::diagnostic::wording;
use crate::disk;
use crate::rename::{self, Plan};

/// The arguments of `rename`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// What to rename: `maker/model/variant`, `maker/line:id`, `sources/name`, `feature:id`, `feature:id=state`, or a path.
    #[arg(value_name = "OLD")]
    old: String,
    /// Its new name, alone or as a full path; with --split, the new states with commas between them.
    #[arg(value_name = "NEW")]
    new: String,
    /// Merges a state or feature into NEW, which already exists; the old word is still read.
    #[arg(long)]
    into: bool,
    /// Adds states to replace one state, and lists each place that names it, to look at again.
    #[arg(long, conflicts_with = "into")]
    split: bool,
    /// Lists what it would do and writes nothing.
    #[arg(long)]
    dry_run: bool,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let progress = session.terminal.progress();
    let reading = session.read_watched(&progress)?;
    let before =
        compile::compile(reading.sources, reading.faults, compile::Options::watched(&|step| progress.stage(step)));
    let names = (options.old.as_str(), options.new.as_str());
    let observer = |step| progress.stage(step);
    let (plan, again) = match (options.into, options.split) {
        (true, _) => (rename::merge(&before, &reading.site, names, &observer)?, Vec::new()),
        (_, true) => rename::split(&before, names, &observer)?,
        _ => (rename::plan(&before, &reading.site, names, &observer)?, Vec::new()),
    };
    if !options.dry_run {
        progress.tell("writing the files");
        disk::rename(&session.root, &plan)?;
    }
    drop(progress);
    session.terminal.answer(lines(&plan))?;
    session.terminal.answer(again.iter().map(|again| format!("{}:{}: {}\n", again.path, again.line, again.text)))?;
    session.terminal.summarize(&summary(&plan, options, again.len()));
    Ok(Outcome::Clean)
}

/// Lists the moves, then the number of changed references in each file, then any remarks.
fn lines(plan: &Plan) -> Vec<String> {
    let files = wording::count(plan.moved, "file");
    let moved = plan.relocation.iter().map(|(from, to)| format!("{from} becomes {to} ({files})\n"));
    let references = plan.references.iter();
    let references = references.map(|(path, count)| format!("{path}: {}\n", wording::count(*count, "reference")));
    let forgotten = (plan.forgotten > 0).then(|| {
        let addresses = match plan.forgotten {
            1 => "1 address".to_string(),
            count => format!("{count} addresses"),
        };
        format!("forgotten: {addresses}, because this undoes that renaming; links to them no longer work\n")
    });
    let turned = plan.turned.iter().map(|words| format!("verdict: {words}\n"));
    let changed = plan.changed.iter().map(|words| format!("changes: {words}\n"));
    moved.chain(references).chain(forgotten).chain(turned).chain(changed).collect()
}

fn summary(plan: &Plan, options: &Options, again: usize) -> String {
    let (old, new) = (wording::quote(&plan.old), wording::quote(&plan.new));
    let rest = if options.dry_run { "; nothing is written" } else { "" };
    if options.split {
        let verb = if options.dry_run { "would add" } else { "added" };
        return format!("{verb} {new} beside {old}: {} to look at again{rest}", wording::count(again, "place"));
    }
    if options.into {
        let verb = if options.dry_run { "would merge" } else { "merged" };
        return format!("{verb} {old} into {new}; {old} is still read{rest}");
    }
    renamed(plan, options.dry_run)
}

fn renamed(plan: &Plan, is_dry: bool) -> String {
    let references = match plan.references.values().sum() {
        0 => "nothing refers to it".to_string(),
        count => format!("{} in {}", wording::count(count, "reference"), wording::count(plan.references.len(), "file")),
    };
    let verb = if is_dry { "would rename" } else { "renamed" };
    let rest = if is_dry { "; nothing is written" } else { "" };
    format!("{verb} {} to {}: {references}{rest}", wording::quote(&plan.old), wording::quote(&plan.new))
}
