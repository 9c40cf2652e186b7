//! One build at a time for an output folder: a lock that the system drops when its holder dies.
//!
//! The lock file is also the note of the run that holds it. It has a random token, which names the folders that the run
//! makes beside the output, and these folders' identities in the system. The next run knows only by the note what a
//! killed one left: a commit can bring a file or folder of any name, but not its identity.

use std::fs::{self, File, TryLockError, remove_file};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

use same_file::Handle;

use crate::disk::{DiskError, DiskProblem, failure};

/// The first word of a note.
const WORD: &str = "bartack";
/// The length of every note, so that one written over another leaves nothing of it.
const LENGTH: usize = 256;
/// The mark in a note for an unknown folder.
const NONE: &str = "-";

/// A run's note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// Names the temporary folders next to the output.
    pub token: String,
    /// The identity of the new folder, once it exists.
    pub fresh: Option<String>,
    /// The identity of the output that is replaced, once the new one is whole.
    pub replaced: Option<String>,
}

/// A held lock; its file is removed when it is released.
pub struct Lock {
    path: PathBuf,
    file: File,
}

/// Takes the lock; fails if another run holds it.
pub fn take(path: &Path) -> Result<Lock, DiskError> {
    loop {
        let file = opened(path)?;
        match file.try_lock() {
            Ok(()) => (),
            Err(TryLockError::WouldBlock) => {
                return Err(DiskError { path: path.to_path_buf(), problem: DiskProblem::Busy });
            }
            Err(TryLockError::Error(error)) => return Err(failure(path, error)),
        }
        // The last holder may have removed the file between opening and locking: then it locks nothing.
        if is_at(&file, path) {
            return Ok(Lock { path: path.to_path_buf(), file });
        }
    }
}

impl Lock {
    /// The note of a run that was killed, if one was.
    ///
    /// A file that is no note belongs to somebody, so it is neither overwritten nor removed.
    pub fn last_note(&mut self) -> Result<Option<Note>, DiskError> {
        let mut text = String::new();
        let read = Read::by_ref(&mut self.file).take(LENGTH as u64 + 1).read_to_string(&mut text);
        let is_empty = matches!(read, Ok(0));
        let note = read.ok().and_then(|_| Note::parse(&text));
        if note.is_some() || is_empty {
            return Ok(note);
        }
        // Without its path the lock removes nothing when it is dropped.
        let path = std::mem::take(&mut self.path);
        Err(DiskError { path, problem: DiskProblem::NotALock })
    }

    /// Writes the note of this run over the last one.
    pub fn write(&mut self, note: &Note) -> Result<(), DiskError> {
        let text = note.text();
        let written = self.file.rewind().and_then(|()| self.file.write_all(text.as_bytes()));
        written.map_err(|error| failure(&self.path, error))
    }
}

impl Note {
    fn text(&self) -> String {
        let name = |identity: &Option<String>| identity.clone().unwrap_or_else(|| NONE.to_string());
        let text = format!("{WORD} {} {} {}", self.token, name(&self.fresh), name(&self.replaced));
        format!("{text:<width$}\n", width = LENGTH - 1)
    }

    fn parse(text: &str) -> Option<Note> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let [word, token, fresh, replaced] = words.as_slice() else { return None };
        let is_token = token.len() == 16 && token.bytes().all(|byte| byte.is_ascii_hexdigit());
        let folder = |name: &str| (name != NONE).then(|| name.to_string());
        (text.len() == LENGTH && *word == WORD && is_token).then(|| Note {
            token: token.to_string(),
            fresh: folder(fresh),
            replaced: folder(replaced),
        })
    }
}

/// Opens or makes the lock file; refuses anything but a plain file, and neither follows nor waits for it.
fn opened(path: &Path) -> Result<File, DiskError> {
    let refused = |problem| Err(DiskError { path: path.to_path_buf(), problem });
    match fs::symlink_metadata(path) {
        Ok(metadata) if metadata.is_symlink() => return refused(DiskProblem::Link),
        Ok(metadata) if !metadata.is_file() => return refused(DiskProblem::NotALock),
        _ => (),
    }
    let file = begun(path).map_err(|error| failure(path, error))?;
    let metadata = file.metadata().map_err(|error| failure(path, error))?;
    if metadata.is_file() { Ok(file) } else { refused(DiskProblem::NotALock) }
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn begun(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags};
    let how = OFlags::RDWR | OFlags::CREATE | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(File::from(rustix::fs::open(path, how, Mode::from_raw_mode(0o644))?))
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn begun(path: &Path) -> io::Result<File> {
    fs::OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)
}

fn is_at(file: &File, path: &Path) -> bool {
    let held = file.try_clone().and_then(Handle::from_file);
    matches!((held, Handle::from_path(path)), (Ok(held), Ok(named)) if held == named)
}

impl Drop for Lock {
    fn drop(&mut self) {
        // A leftover lock file locks nothing, so failing here does no harm.
        let _ = remove_file(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use super::{LENGTH, Note};

    #[test]
    fn a_note_is_read_back_and_nothing_else_is_a_note() {
        let note = Note { token: "0123456789abcdef".into(), fresh: Some("1:2".into()), replaced: None };
        let text = note.text();
        assert_eq!((text.len(), Note::parse(&text)), (LENGTH, Some(note)));
        for other in ["", "mine", &text[1..], &text.replace("0123", "../."), &text.replace("bartack", "bartick")] {
            assert_eq!(Note::parse(other), None, "{other:?}");
        }
    }
}
