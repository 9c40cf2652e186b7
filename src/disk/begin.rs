//! Writes new files of a knowledge base: the first ones, into a folder that is new or empty, and later ones.
//!
//! It replaces nothing, and removes what a failed start left. A file gets its name when it is whole: a killed run
//! leaves no half of an entry, at most a hidden file that readers skip.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::disk::{DiskError, DiskProblem, failure, names};

/// The one name that a folder for a new knowledge base may contain: Git's folder is often there
/// first.
const WELCOME: &str = ".git";

/// The beginning of the name of an unfinished file; the token of its run follows.
pub(super) const HIDDEN: &str = ".bartack-";

/// Gives the hidden files that killed runs left in the folders of these paths, by path below the root.
///
/// They are named and not removed: another run may be writing one, and a commit may hold one of that name.
pub fn left_over(root: &Path, paths: &[&str]) -> Vec<String> {
    let folders: BTreeSet<&str> = paths.iter().filter_map(|path| Some(path.rsplit_once('/')?.0)).collect();
    let is_left = |name: &str| {
        let token = name.strip_prefix(HIDDEN);
        token.is_some_and(|token| token.len() == 16 && token.bytes().all(|byte| byte.is_ascii_hexdigit()))
    };
    let mut left = Vec::new();
    for folder in folders {
        let entries = fs::read_dir(root.join(folder)).into_iter().flatten().flatten();
        let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
        left.extend(names.filter(|name| is_left(name)).map(|name| format!("{folder}/{name}")));
    }
    left.sort();
    left
}

/// Writes files by their paths below the folder, and makes the folder if needed.
pub fn begin(folder: &Path, files: &BTreeMap<String, &[u8]>) -> Result<(), DiskError> {
    refuse_full(folder)?;
    let mut made = Vec::new();
    let written = files.iter().try_for_each(|(path, content)| write(&folder.join(path), *content, &mut made));
    if written.is_err() {
        take_away(&made);
    }
    written
}

/// Writes a new file of a knowledge base; an existing file is left alone and is an error.
///
/// A folder on its way that is a link is refused: it could lead out of the knowledge base.
pub fn add(root: &Path, path: &str, content: impl Read) -> Result<(), DiskError> {
    names::refuse_links(root, path)?;
    keep(&root.join(path), content)
}

/// Writes a new file at a place that the user names.
pub fn keep(path: &Path, content: impl Read) -> Result<(), DiskError> {
    let mut made = Vec::new();
    let written = write(path, content, &mut made);
    if written.is_err() {
        take_away(&made);
    }
    written
}

/// Refuses what is no folder, and a folder that holds anything, by the names in it.
fn refuse_full(folder: &Path) -> Result<(), DiskError> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(failure(folder, error)),
    };
    let mut names = Vec::new();
    for entry in entries {
        let name = entry.map_err(|error| failure(folder, error))?.file_name();
        if name != WELCOME {
            names.push(name.to_string_lossy().into_owned());
        }
    }
    names.sort();
    names.truncate(5);
    match names.is_empty() {
        true => Ok(()),
        false => Err(DiskError { path: folder.to_path_buf(), problem: DiskProblem::NotEmpty(names) }),
    }
}

/// Writes a file that does not exist yet, and remembers what it made, folders first.
fn write(path: &Path, content: impl Read, made: &mut Vec<PathBuf>) -> Result<(), DiskError> {
    if let Some(parent) = path.parent() {
        let missing: Vec<&Path> = parent.ancestors().take_while(|folder| !folder.exists()).collect();
        fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
        made.extend(missing.into_iter().rev().map(Path::to_path_buf));
    }
    let beside = path.with_file_name(format!("{HIDDEN}{}", names::token()));
    let named = write_hidden(&beside, content).and_then(|()| names::move_without_replacing(&beside, path));
    if let Err(error) = named {
        // The first error says more than one that follows from it.
        let _ = fs::remove_file(&beside);
        return Err(match error.kind() {
            io::ErrorKind::AlreadyExists => DiskError { path: path.to_path_buf(), problem: DiskProblem::Taken },
            _ => failure(path, error),
        });
    }
    made.push(path.to_path_buf());
    Ok(())
}

fn write_hidden(path: &Path, mut content: impl Read) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    io::copy(&mut content, &mut file)?;
    file.flush()
}

/// Removes what was made, the last first; keeps a folder that somebody has put something into.
fn take_away(made: &[PathBuf]) {
    for path in made.iter().rev() {
        // The error that led here says more than one that follows from it.
        let _ = if path.is_dir() { fs::remove_dir(path) } else { fs::remove_file(path) };
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeMap;
    use std::fs;

    use std::io::{self, Read};

    use super::{add, begin};

    /// Gives half of a text, then looks at the folder as it is when a run is killed.
    struct Interrupted<'f>(&'f std::path::Path, Vec<String>);

    impl Read for Interrupted<'_> {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            if self.1.is_empty() {
                let names = fs::read_dir(self.0)?.map(|entry| entry.unwrap().file_name().into_string().unwrap());
                self.1 = names.collect();
                into[..4].copy_from_slice(b"half");
                return Ok(4);
            }
            Err(io::Error::other("no more"))
        }
    }

    #[test]
    fn an_entry_that_is_half_written_has_no_name_yet() {
        let root = tempfile::tempdir().unwrap();
        let mut interrupted = Interrupted(root.path(), Vec::new());
        assert!(add(root.path(), "find.md", &mut interrupted).is_err());
        assert!(interrupted.1.len() == 1 && interrupted.1[0].starts_with('.'), "{:?}", interrupted.1);
        assert_eq!(fs::read_dir(root.path()).unwrap().count(), 0, "and what failed is taken away");
        add(root.path(), "find.md", &b"whole"[..]).unwrap();
        assert!(add(root.path(), "find.md", &b"other"[..]).is_err());
        assert_eq!(fs::read(root.path().join("find.md")).unwrap(), b"whole");
        assert_eq!(fs::read_dir(root.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_entry_is_not_written_through_a_link_of_a_commit() {
        let (root, outside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        std::os::unix::fs::symlink(outside.path(), root.path().join("entries")).unwrap();
        let refused = add(root.path(), "entries/unplaced/find.md", &b"text"[..]).unwrap_err().to_string();
        assert!(refused.contains("symbolic link"), "{refused}");
        assert_eq!(fs::read_dir(outside.path()).unwrap().count(), 0);
    }

    #[test]
    fn what_a_failed_beginning_made_is_taken_away() {
        let folder = tempfile::tempdir().unwrap();
        let files = BTreeMap::from([("a/b.md".to_string(), &b"one"[..]), ("a/b.md/c.md".to_string(), &b"two"[..])]);
        assert!(begin(&folder.path().join("new"), &files).is_err());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
