//! The first files of a knowledge base into a folder that is new or empty.
//!
//! Nothing that is there is replaced, and what a failed beginning left is taken away again.

use std::collections::BTreeMap;
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::disk::{DiskError, DiskProblem, failure};

/// What may lie in a folder in which a knowledge base begins: a folder of Git is often there first.
const WELCOME: &str = ".git";

/// Writes files by their paths below the folder, which it makes where it is not there yet.
pub fn begin(folder: &Path, files: &BTreeMap<String, &[u8]>) -> Result<(), DiskError> {
    refuse_full(folder)?;
    let mut made = Vec::new();
    let written = files.iter().try_for_each(|(path, content)| write(&folder.join(path), content, &mut made));
    if written.is_err() {
        take_away(&made);
    }
    written
}

/// Writes a new file of a knowledge base; one that is there already stays as it is, and that is an error.
pub fn add(root: &Path, path: &str, text: &str) -> Result<(), DiskError> {
    let mut made = Vec::new();
    let written = write(&root.join(path), text.as_bytes(), &mut made);
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

/// Writes a file that is not there yet, and remembers what it made, folders first.
fn write(path: &Path, content: &[u8], made: &mut Vec<PathBuf>) -> Result<(), DiskError> {
    if let Some(parent) = path.parent() {
        let missing: Vec<&Path> = parent.ancestors().take_while(|folder| !folder.exists()).collect();
        fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
        made.extend(missing.into_iter().rev().map(Path::to_path_buf));
    }
    let file = OpenOptions::new().write(true).create_new(true).open(path);
    let mut file = file.map_err(|error| failure(path, error))?;
    made.push(path.to_path_buf());
    file.write_all(content).map_err(|error| failure(path, error))
}

/// Takes away what was made, the last first; a folder that somebody has put something into stays.
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

    use super::begin;

    #[test]
    fn what_a_failed_beginning_made_is_taken_away() {
        let folder = tempfile::tempdir().unwrap();
        let files = BTreeMap::from([("a/b.md".to_string(), &b"one"[..]), ("a/b.md/c.md".to_string(), &b"two"[..])]);
        assert!(begin(&folder.path().join("new"), &files).is_err());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
