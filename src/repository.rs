//! The records of a knowledge base at a Git revision, read with the `git` program, to sources with faults.
//!
//! The only place that runs Git. Writes nothing, asks nothing, reaches no network, runs no shell, and takes what is
//! in the repository for a stranger's: the same names and limits hold as on disk.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::disk::Reading;
use crate::disk::found::{self, Found};
use crate::photograph::{Facts, Flaw};
use crate::source::{Attachment, FilePath};

mod objects;
mod program;
mod tree;

use program::Git;

/// The content of a knowledge base at a revision.
#[derive(Debug)]
pub struct Snapshot {
    /// The id of the commit.
    pub commit: String,
    /// Its `entries/` and `schema/`; nothing of `site/` is read.
    pub reading: Reading,
}

/// Why a revision could not be read: always with the knowledge base.
#[derive(Debug, thiserror::Error)]
#[error("{}: {problem}", root.display())]
pub struct RepositoryError {
    /// The knowledge base.
    pub root: PathBuf,
    pub problem: Problem,
}

/// A problem with a repository or a revision.
#[derive(Debug, thiserror::Error)]
pub enum Problem {
    /// There is no Git.
    #[error("reading an earlier state needs the program `git`, which is not installed")]
    NoProgram,
    /// Nothing to read a revision from.
    #[error("is not in a Git repository, so there is no earlier state to read")]
    NotARepository,
    /// A name of nothing.
    #[error("has no revision {0}; `git log` lists what there is")]
    NoRevision(String),
    /// A name of nothing in a clone that holds only the latest commits.
    #[error(
        "has no revision {0} in this shallow clone; fetch more of its history, for example with `git fetch --unshallow`"
    )]
    Shallow(String),
    /// A name of something that holds no files.
    #[error("{0} is not a commit")]
    NoCommit(String),
    /// Objects that were never fetched, or are lost.
    #[error("lacks files of that revision in this clone; fetch them first")]
    Incomplete,
    /// More than a knowledge base holds.
    #[error("holds too much at that revision: at most {0}")]
    TooMuch(&'static str),
    /// Git refused, in its own words.
    #[error("git could not read it: {0}")]
    Refused(String),
    /// The system refused.
    #[error("git could not be run: {0}")]
    System(#[from] std::io::Error),
}

/// Reads `entries/` and `schema/` of the knowledge base in a folder, which may lie within a repository, at a revision.
///
/// `beside` is what lies beside the entries today: a picture of the same path and size is taken for the same one, so
/// that photographs are not read a second time.
pub fn read(root: &Path, revision: &str, beside: &[Attachment]) -> Result<Snapshot, RepositoryError> {
    snapshot(&Git::new(root), revision, beside).map_err(|problem| RepositoryError { root: root.to_path_buf(), problem })
}

fn snapshot(git: &Git<'_>, revision: &str, beside: &[Attachment]) -> Result<Snapshot, Problem> {
    let commit = git.commit(revision)?;
    let known: BTreeMap<(&str, u64), Result<Facts, Flaw>> =
        beside.iter().map(|one| ((one.path.as_str(), one.bytes), one.picture)).collect();
    let (mut found, mut wanted) = (BTreeMap::new(), Vec::new());
    for entry in tree::entries(git, &commit)? {
        let Some((path, what)) = tree::judged(&entry) else { continue };
        let what = match (what, known.get(&(path.as_str(), entry.size))) {
            (tree::Judged::Picture, Some(picture)) => Found::Beside { bytes: entry.size, picture: *picture },
            (tree::Judged::Found(found), _) => found,
            (judged, _) => {
                wanted.push((path, entry, judged));
                continue;
            }
        };
        found.insert(path, what);
    }
    for (path, what) in objects::read(git, wanted)? {
        found.insert(path, what);
    }
    let found: Vec<(FilePath, Found)> = found.into_iter().collect();
    Ok(Snapshot { commit, reading: found::sorted_out(found) })
}
