//! Reads a folder into sources, and writes planned files into a folder, whole or not at all.
//!
//! Only this module touches the file system. It reads nothing outside the knowledge base, follows no link, and deletes
//! only what it wrote.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::compile::progress::Observer;
use crate::fault::Fault;
use crate::photograph::making::Unmade;
use crate::publish::output::Planned;
use crate::publish::output::PublishError;
use crate::rename::Plan;
use crate::source::Sources;
use crate::source::edit::Change;

mod begin;
pub mod bring;
mod bundle;
mod destination;
mod filling;
mod folders;
pub mod found;
mod lock;
mod manifest;
mod mending;
mod names;
mod photographs;
pub mod preview;
mod renaming;
mod run;
mod walk;

use destination::Destination;
use folders::Folders;
use run::Run;

/// The content of a knowledge base's folder.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// Records, schemas, vocabulary and the other files among the entries; a file with a fault is
    /// empty here.
    pub sources: Sources,
    /// The files that could not be read, sorted by path.
    pub faults: Vec<Fault>,
    /// The knowledge base's own templates, assets and drawings, by path below `site/`.
    pub site: BTreeMap<String, Vec<u8>>,
}

/// Why the disk could not be used: always with the path.
#[derive(Debug, thiserror::Error)]
#[error("{}: {problem}", path.display())]
pub struct DiskError {
    /// The file or folder.
    pub path: PathBuf,
    pub problem: DiskProblem,
}

/// A problem with a file or folder.
#[derive(Debug, thiserror::Error)]
pub enum DiskProblem {
    /// The system refused.
    #[error("{0}")]
    System(#[from] io::Error),
    /// No folder to read.
    #[error("is not a folder; a knowledge base is a folder with `entries/` and `schema/`")]
    NotAFolder,
    /// No entries in it.
    #[error("has no folder `entries/`, so it is not a knowledge base; name one with --root")]
    NoEntries,
    /// Nothing in the folder of entries.
    #[error("holds no entries: start with `entries/about.md` and `schema/vocabulary.toml`")]
    NoRecords,
    /// The output would lie among the sources, or the sources in the output.
    #[error("is in the way of the knowledge base {}; choose a folder next to it or a new one inside it", .0.display())]
    AmongSources(PathBuf),
    /// Files that bartack did not write, or that were changed since.
    #[error("holds {}, which bartack did not write or which changed since; move it away or choose another folder", .0.join(", "))]
    Foreign(Vec<String>),
    /// A folder to begin in that holds something.
    #[error("is not empty: it holds {}; a new knowledge base needs an empty folder", .0.join(", "))]
    NotEmpty(Vec<String>),
    /// A folder that is a link, which could lead out of the knowledge base.
    #[error("is a symbolic link, and bartack does not write through links; remove it, or choose another place")]
    Link,
    /// Something with the lock's name that is no lock.
    #[error("is where bartack keeps its lock, but bartack did not make it; move it away")]
    NotALock,
    /// A pipe, device or socket where a file is expected; reading one may wait for ever.
    #[error("is a pipe, a device or a socket; write what it gives into a file, and name that file")]
    NotRegular,
    /// A file that already exists.
    #[error("already exists, and bartack replaces nothing; choose another name")]
    Taken,
    /// Another build writes there.
    #[error("another run of bartack holds this lock and writes the output; wait for it to end")]
    Busy,
    /// A file that changed since the renaming was prepared, or is no plain file.
    #[error("has changed since it was read, or is not a plain file in plain folders; nothing was renamed")]
    Changed,
    /// A file that changed since its repairs or a correction were prepared, or is no plain file.
    #[error("has changed since it was read, or is not a plain file in plain folders; it was left as it is")]
    NotAsRead,
    /// A renaming that is running, or was interrupted.
    #[error(
        "belongs to another renaming; if none is running, that one was interrupted: `old/` in the folder holds the earlier text of each file, and `list.txt` names the files; copy back what you need, then remove the folder"
    )]
    Unfinished,
    /// Something with the name of a renaming's folder that no renaming here made.
    #[error(
        "is where a renaming keeps its texts, but no renaming in this folder made it: it came with a commit or a copy; it is not needed, so remove it (with `git rm -r` if Git tracks it) and try again"
    )]
    Stray,
    /// A renaming that failed and could not be undone.
    #[error(
        "holds the earlier texts in `old/`, and `list.txt` names their files: the renaming failed ({failed}), and so did undoing it ({undone})"
    )]
    NotUndone {
        /// Why the renaming failed.
        failed: Box<DiskError>,
        /// Why it could not be undone.
        undone: Box<DiskError>,
    },
    /// A planned path that leads out of the folder.
    #[error("the planned path `{0}` is not a plain relative path")]
    BadPath(String),
    /// A file could not be made; its path comes first.
    #[error("could not be made: {}", .0.problem)]
    NotMade(#[from] PublishError),
}

/// Reads a knowledge base: `entries/`, `schema/` and `site/`, and nothing else.
///
/// The observer hears only of the entries, which are nearly all files.
pub fn read(root: &Path, observer: Observer<'_>) -> Result<Reading, DiskError> {
    if !fs::metadata(root).map_err(|error| failure(root, error))?.is_dir() {
        return Err(DiskError { path: root.to_path_buf(), problem: DiskProblem::NotAFolder });
    }
    if fs::symlink_metadata(root.join("entries")).is_err() {
        return Err(DiskError { path: root.to_path_buf(), problem: DiskProblem::NoEntries });
    }
    let mut found = Vec::new();
    for folder in ["entries", "schema", "site"] {
        let watched: Observer<'_> = if folder == "entries" { observer } else { &|_| {} };
        found.extend(walk::folder(root, folder, watched)?);
    }
    let reading = found::sorted_out(found);
    if !reading.sources.iter().any(|(_, file)| file.path().as_str().starts_with("entries/")) {
        return Err(DiskError { path: root.to_path_buf(), problem: DiskProblem::NoRecords });
    }
    Ok(reading)
}

/// Opens a file that the caller names, such as a sheet of garments; it need not be in a knowledge base.
pub fn open(path: &Path) -> Result<fs::File, DiskError> {
    let file = fs::File::open(path).map_err(|error| failure(path, error))?;
    // A folder opens like a file and fails only on reading.
    if file.metadata().map_err(|error| failure(path, error))?.is_dir() {
        return Err(failure(path, io::Error::from(io::ErrorKind::IsADirectory)));
    }
    Ok(file)
}

/// Writes the files into the folder `out`, whole or not at all, and replaces what bartack wrote there before.
///
/// `root` is the knowledge base, which `out` may not cover; photographs are read from it. Files are made on all
/// threads, a few at a time. Photographs come first, so that pages know which could be made.
pub fn write(root: &Path, out: &Path, site: &Planned<'_>, observer: Observer<'_>) -> Result<(), DiskError> {
    let destination = Destination::new(root, out)?;
    let run = Run::begin(&destination)?;
    let folders = Folders { root, old: &destination.out, fresh: &run.fresh };
    match filling::fill(&folders, site, observer) {
        Ok(()) => run.finish(),
        Err(error) => {
            run.give_up();
            Err(error)
        }
    }
}

/// Looks at the state of a knowledge base's files, by their names, sizes and times alone.
pub fn stamp(root: &Path) -> preview::Stamp {
    preview::stamp(root)
}

/// Calls back whenever something in a knowledge base may have changed, as long as the result is kept; `None` if the
/// system cannot tell.
pub fn watch(root: &Path, changed: impl Fn() + Send + 'static) -> Option<preview::Watching> {
    preview::watch(root, changed)
}

/// Reads a photograph of a knowledge base by its path in it.
pub fn photograph(root: &Path, path: &str) -> Result<Vec<u8>, Unmade> {
    photographs::read(root, path)
}

/// Begins a knowledge base in a folder that is new or empty, with files by their paths in it; replaces nothing.
pub fn begin(folder: &Path, files: &BTreeMap<String, &[u8]>) -> Result<(), DiskError> {
    begin::begin(folder, files)
}

/// Writes a new file of a knowledge base; an existing file is left alone and is an error.
pub fn add(root: &Path, path: &str, text: &str) -> Result<(), DiskError> {
    begin::add(root, path, text.as_bytes())
}

/// Writes a new file at a place that the user names, in a knowledge base or not; replaces nothing.
pub fn keep(path: &Path, text: &str) -> Result<(), DiskError> {
    begin::keep(path, text.as_bytes())
}

/// Does a prepared renaming, whole or not at all, and only if no file has changed since it was read.
pub fn rename(root: &Path, plan: &Plan) -> Result<(), DiskError> {
    renaming::rename(root, plan)
}

/// Replaces the text of a file in one step, only if the file has not changed since it was read.
pub fn mend(root: &Path, path: &str, change: &Change) -> Result<(), DiskError> {
    mending::mend(root, path, change)
}

/// Refuses a name that already exists.
pub fn refuse_taken(path: &Path) -> Result<(), DiskError> {
    match fs::symlink_metadata(path) {
        Ok(_) => Err(DiskError { path: path.to_path_buf(), problem: DiskProblem::Taken }),
        Err(_) => Ok(()),
    }
}

fn failure(path: &Path, error: io::Error) -> DiskError {
    DiskError { path: path.to_path_buf(), problem: DiskProblem::System(error) }
}
