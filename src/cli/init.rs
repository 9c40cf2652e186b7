//! `bartack init`: the first files of a knowledge base, each with remarks that say what to write where.
//!
//! The files are ordinary entries in `site/start/`, compiled in; nothing here knows what they say.

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::Args;
use include_dir::{Dir, include_dir};

use crate::cli::{Outcome, Session};
use crate::diagnostic::wording;
use crate::disk;

static START: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/site/start");

/// What `init` is told.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The folder to begin in: one that is new or empty.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let files = files(&START);
    disk::begin(&options.folder, &files)?;
    let (count, folder) = (wording::count(files.len(), "file"), options.folder.display());
    session.terminal.summarize(&format!("wrote {count} to {folder}; everything in them is an invented example"));
    session
        .terminal
        .summarize("read `entries/about.md` first; `bartack check` reports mistakes, `bartack build` makes the site");
    Ok(Outcome::Clean)
}

/// All files in a folder and in those below it, by path.
fn files(folder: &'static Dir<'static>) -> BTreeMap<String, &'static [u8]> {
    let here = folder.files().map(|file| (file.path().to_string_lossy().replace('\\', "/"), file.contents()));
    here.chain(folder.dirs().flat_map(files)).collect()
}
