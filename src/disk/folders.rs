//! The three folders of a build: the knowledge base, the old output, and the new one.
//!
//! Every file is made. One with the same bytes as in the old output becomes a link to the old file, so that it keeps
//! its time. Only an old file's bytes are trusted, never a list of hashes.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufReader, Read, Write};
use std::path::Path;

use crate::disk::{DiskError, DiskProblem, failure, manifest, preview, walk};
use crate::publish::output_log::Stamp;

/// The folders that a build reads and writes.
pub struct Folders<'a> {
    /// The knowledge base.
    pub root: &'a Path,
    /// The old output, if there is one.
    pub old: &'a Path,
    /// The new output.
    pub fresh: &'a Path,
}

impl Folders<'_> {
    /// Puts a file into the new output; its folders exist.
    pub fn put(&self, path: &str, content: &[u8]) -> Result<Stamp, DiskError> {
        let place = self.fresh.join(path);
        // If the system cannot give a file two names, it is written.
        if !self.has(path, content) || !self.link(path, &place) {
            write(&place, content)?;
        }
        Ok(Stamp::of(content))
    }

    /// Puts the old file back after the new one turned out to have the same bytes.
    pub fn leave(&self, path: &str) -> Result<(), DiskError> {
        let place = self.fresh.join(path);
        // A second name in the same folder replaces the file in one step; where the disk allows
        // none, the file stays.
        let beside = self.fresh.join(manifest::LINK);
        if self.has_file(path, &place) && self.link(path, &beside) {
            fs::rename(&beside, &place).map_err(|error| failure(&place, error))?;
        }
        Ok(())
    }

    /// Puts a file with the folders it needs, which were not planned.
    pub fn put_below(&self, path: String, content: &[u8]) -> Result<(String, Stamp), DiskError> {
        if !is_plain(&path) {
            return Err(DiskError { path: self.fresh.to_path_buf(), problem: DiskProblem::BadPath(path) });
        }
        if let Some(parent) = self.fresh.join(&path).parent() {
            fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
        }
        let stamp = self.put(&path, content)?;
        Ok((path, stamp))
    }

    fn link(&self, path: &str, place: &Path) -> bool {
        fs::hard_link(self.old.join(path), place).is_ok()
    }

    /// Opens a plain file of the old output with a given length; others need not be read.
    fn old_file(&self, path: &str, length: u64) -> Option<File> {
        let place = preview::plain(self.old, path)?;
        let (file, old_length) = walk::opened(&place).ok()?;
        (old_length == length).then_some(file)
    }

    /// Says whether the old output has this content under a path.
    fn has(&self, path: &str, content: &[u8]) -> bool {
        let old = self.old_file(path, content.len() as u64);
        old.is_some_and(|file| are_equal(file, content).unwrap_or(false))
    }

    /// Says whether the old output has the content of another file under a path.
    fn has_file(&self, path: &str, other: &Path) -> bool {
        let Ok((other, length)) = walk::opened(other) else { return false };
        let old = self.old_file(path, length);
        old.is_some_and(|file| are_equal(file, BufReader::new(other)).unwrap_or(false))
    }
}

/// Says whether two readers give the same bytes to their end.
fn are_equal(one: impl Read, mut other: impl Read) -> io::Result<bool> {
    const CHUNK: usize = 1 << 16;
    let mut one = BufReader::with_capacity(CHUNK, one);
    let mut theirs = vec![0; CHUNK];
    loop {
        let mine = io::BufRead::fill_buf(&mut one)?;
        if mine.is_empty() {
            return Ok(other.read(&mut theirs[..1])? == 0);
        }
        let count = mine.len();
        match other.read_exact(&mut theirs[..count]) {
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => return Ok(false),
            read => read?,
        }
        if mine != &theirs[..count] {
            return Ok(false);
        }
        io::BufRead::consume(&mut one, count);
    }
}

/// Writes a new file; never writes into an existing one, which may have another name elsewhere.
pub fn write(path: &Path, content: &[u8]) -> Result<(), DiskError> {
    let file = OpenOptions::new().write(true).create_new(true).open(path);
    file.and_then(|mut file| file.write_all(content)).map_err(|error| failure(path, error))
}

/// Says whether a path leads below a folder and not to one of bartack's own files.
pub fn is_plain(path: &str) -> bool {
    let is_name = |segment: &str| !segment.is_empty() && segment != "." && segment != "..";
    !path.starts_with(manifest::NAME) && path.split('/').all(is_name) && !path.contains(['\\', ':', '\n', '\0'])
}
