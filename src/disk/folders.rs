//! The three folders of a build: the knowledge base, the output that is to be replaced, and the one that is filled.
//!
//! A file that stays as it is becomes another name of the old one: it is not written again, and keeps its time.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::disk::{DiskError, DiskProblem, failure, manifest};
use crate::publish::written::Stamp;

/// Where a build reads, and where it writes.
pub struct Folders<'a> {
    /// The knowledge base.
    pub root: &'a Path,
    /// The output that is to be replaced, if there is one.
    pub old: &'a Path,
    /// The folder that is filled.
    pub fresh: &'a Path,
    /// What the old output holds, by path, as the list in it has it.
    listed: BTreeMap<String, String>,
}

impl<'a> Folders<'a> {
    /// Joins the folders; what the old output holds must have been held to its list.
    pub fn new(root: &'a Path, (old, fresh): (&'a Path, &'a Path)) -> Folders<'a> {
        Folders { root, old, fresh, listed: manifest::listed(old) }
    }

    /// The hash that the list of the old output has under a path.
    pub fn listed(&self, path: &str) -> Option<&str> {
        self.listed.get(path).map(String::as_str)
    }

    /// Says whether the old output has this content under a path.
    pub fn has(&self, path: &str, stamp: &Stamp) -> bool {
        self.listed(path) == Some(stamp.hash.to_hex().as_str())
    }

    /// Puts a file into the folder that is filled; the folders it lies in are there.
    pub fn put(&self, path: &str, content: &[u8]) -> Result<Stamp, DiskError> {
        let (place, stamp) = (self.fresh.join(path), Stamp::of(content));
        // Where the system cannot give a file two names, it is written.
        if !self.has(path, &stamp) || fs::hard_link(self.old.join(path), &place).is_err() {
            write(&place, content)?;
        }
        Ok(stamp)
    }

    /// Lets the old file under a path be the new one, as its list has it; nothing where that cannot be.
    pub fn take_over(&self, path: &str) -> Option<Stamp> {
        let (hash, old) = (blake3::Hash::from_hex(self.listed(path)?).ok()?, self.old.join(path));
        let bytes = fs::metadata(&old).ok()?.len();
        fs::hard_link(&old, self.fresh.join(path)).ok()?;
        Some(Stamp { bytes, hash })
    }

    /// Lets the old file stand for one that was written and turned out to be the same.
    pub fn leave(&self, path: &str, stamp: &Stamp) -> Result<(), DiskError> {
        let place = self.fresh.join(path);
        // A second name beside takes the place of the file in one step; where there can be none, the file stays.
        let beside = self.fresh.join(manifest::UNFINISHED).with_extension("link");
        if self.has(path, stamp) && fs::hard_link(self.old.join(path), &beside).is_ok() {
            fs::rename(&beside, &place).map_err(|error| failure(&place, error))?;
        }
        Ok(())
    }

    /// Puts a file that was not planned by its path alone, with the folders it lies in.
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
}

/// Writes a file.
pub fn write(path: &Path, content: &[u8]) -> Result<(), DiskError> {
    fs::write(path, content).map_err(|error| failure(path, error))
}

/// Says whether a path leads below a folder and to no file that is bartack's own.
pub fn is_plain(path: &str) -> bool {
    let is_name = |segment: &str| !segment.is_empty() && segment != "." && segment != "..";
    !path.starts_with(manifest::NAME) && path.split('/').all(is_name) && !path.contains(['\\', ':', '\n', '\0'])
}
