//! The command line: chooses a command, and alone decides the exit code.
//!
//! Each command is a file of its own and knows nothing of the others; only `terminal` writes.

mod build;
mod changes;
mod check;
mod compare;
mod completions;
mod date;
mod diff;
mod explain;
mod import;
mod init;
mod new;
mod rename;
mod serve;
mod terminal;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::SystemTime;

use clap::{CommandFactory, Parser, Subcommand};

use crate::cli::terminal::{Progress, Terminal};
use crate::compile::progress::Stage;
use crate::compile::{self, Compilation};
use crate::date::Day;
use crate::disk;
use crate::repository::{self, Snapshot};
use crate::source::Sources;

/// Compiles a folder of observations about vintage garments into eras, comparisons, a site and exports.
#[derive(Debug, Parser)]
#[command(name = "bartack", version, arg_required_else_help = true)]
struct Arguments {
    /// The folder of the knowledge base: the one that holds `entries/` and `schema/`.
    #[arg(long, global = true, value_name = "DIR", default_value = ".")]
    root: PathBuf,
    /// Prints on stderr how long each stage took.
    #[arg(long, global = true)]
    timings: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Checks the entries and reports mistakes, doubts and contradictions.
    Check(check::Options),
    /// Writes the site and the exports.
    Build(build::Options),
    /// Shows what changed when: which state of a feature gave way to another in a variant, a model or a line.
    Changes(changes::Options),
    /// Shows what tells two variants, label lines or wearers apart, and what size, age or too few garments explain.
    Compare(compare::Options),
    /// Writes the completion script of a shell.
    Completions(completions::Options),
    /// Dates a garment in hand: years, likeliest variants, reasons, and what to look at next.
    Date(Box<date::Options>),
    /// Lists the conclusions that changed since a Git revision, and the entries that changed them.
    Diff(diff::Options),
    /// Explains a finding by its code, or the reasons for a conclusion and what would change it.
    Explain(explain::Options),
    /// Turns a sheet of garments, drafts from the site, or another knowledge base into entries; writes only with --write.
    Import(import::Options),
    /// Starts a knowledge base in a new or empty folder, with an example of each record.
    Init(init::Options),
    /// Writes the manual page, for `man` to read.
    Man,
    /// Starts an entry: asks feature by feature in a terminal, otherwise writes a file that explains each.
    New(new::Options),
    /// Renames a record, label line, feature or state, and every reference to it.
    Rename(rename::Options),
    /// Serves the site on this machine only, and updates it on each save.
    Serve(serve::Options),
}

/// The outcome of a command that ran.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// No finding at the denied level or above.
    Clean,
    /// Findings at the level that is denied, or above.
    Denied,
}

/// The knowledge base to read and the terminal to answer on.
struct Session {
    root: PathBuf,
    terminal: Terminal,
}

impl Session {
    /// Reads the knowledge base.
    fn read(&self) -> anyhow::Result<disk::Reading> {
        Ok(disk::read(&self.root, &|_| {})?)
    }

    /// Reads the knowledge base and reports progress.
    fn read_watched(&self, progress: &Progress) -> anyhow::Result<disk::Reading> {
        progress.tell(Stage::Read.words());
        Ok(disk::read(&self.root, &|step| progress.share(step))?)
    }

    /// Reads and compiles the knowledge base and reports each stage.
    fn compile(&self, progress: &Progress) -> anyhow::Result<Compilation> {
        let reading = self.read_watched(progress)?;
        Ok(compile::compile(reading.sources, reading.faults, compile::Options::watched(&|step| progress.stage(step))))
    }

    /// Reads and compiles the knowledge base at a Git revision, and returns it with the id of the
    /// commit.
    ///
    /// Drawings are not records, so they are not read again: both states use the present ones in
    /// `now`.
    fn compile_at(&self, progress: &Progress, revision: &str, now: &Sources) -> anyhow::Result<(String, Compilation)> {
        let (commit, reading) = self.read_at(progress, revision, now)?;
        Ok((
            commit,
            compile::compile(reading.sources, reading.faults, compile::Options::watched(&|step| progress.stage(step))),
        ))
    }

    /// Reads the knowledge base at a Git revision.
    fn read_at(&self, progress: &Progress, revision: &str, now: &Sources) -> anyhow::Result<(String, disk::Reading)> {
        progress.tell("reading the revision");
        let Snapshot { commit, reading } = repository::read(&self.root, revision, now.attachments())?;
        let sources = reading.sources.with_marks(now.marks().to_vec());
        Ok((commit, disk::Reading { sources, ..reading }))
    }
}

/// Runs the program with its arguments, the program's own name first.
///
/// The code is 0 if nothing is denied, 1 if something is, and 2 if the command could not run.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        // `clap` returns answers such as `--help` and complaints alike as errors; it knows which is
        // which.
        Err(error) => {
            let code = if error.use_stderr() { 2 } else { 0 };
            terminal::refuse(&error);
            return ExitCode::from(code);
        }
    };
    let session = Session { root: arguments.root, terminal: Terminal::new(arguments.timings) };
    match execute(&session, &arguments.command) {
        Ok(Outcome::Clean) => ExitCode::SUCCESS,
        Ok(Outcome::Denied) => ExitCode::from(1),
        // The reader of the output may stop reading: `bartack check | head`.
        Err(error) if terminal::is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            session.terminal.complain(&format!("{error:#}"));
            ExitCode::from(2)
        }
    }
}

fn execute(session: &Session, command: &Command) -> anyhow::Result<Outcome> {
    match command {
        Command::Check(options) => check::run(session, options),
        Command::Build(options) => build::run(session, options),
        Command::Changes(options) => changes::run(session, options),
        Command::Compare(options) => compare::run(session, options),
        Command::Completions(options) => completions::run(session, options, Arguments::command()),
        Command::Man => completions::manual(session, Arguments::command()),
        Command::Date(options) => date::run(session, options),
        Command::Diff(options) => diff::run(session, options),
        Command::Explain(options) => explain::run(session, options),
        Command::Import(options) => import::run(session, options),
        Command::Init(options) => init::run(session, options),
        Command::New(options) => new::run(session, options),
        Command::Rename(options) => rename::run(session, options),
        Command::Serve(options) => serve::run(session, options),
    }
}

/// Today's date in universal time, by this machine's clock.
fn today() -> Day {
    const SECONDS: u64 = 24 * 60 * 60;
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    let epoch = Day::from_ymd(1970, 1, 1).expect("the epoch is a day");
    epoch.plus_days(i32::try_from(since.as_secs() / SECONDS).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Arguments;

    #[test]
    fn every_command_and_option_is_described() {
        Arguments::command().debug_assert();
        for command in Arguments::command().get_subcommands() {
            assert!(command.get_about().is_some(), "{}", command.get_name());
            let options = command.get_arguments();
            assert!(options.into_iter().all(|option| option.get_help().is_some()), "{}", command.get_name());
        }
    }
}
