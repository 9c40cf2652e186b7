//! An output folder and the names beside it that a build needs.
//!
//! The new folder is filled beside the old one and takes its name in one step, so there is always a whole one.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use crate::disk::manifest::{self, Check};
use crate::disk::{DiskError, DiskProblem, failure};

/// Where the output goes.
pub struct Destination {
    /// The output folder; may not be there yet.
    pub out: PathBuf,
    /// The folder that is filled.
    pub fresh: PathBuf,
    /// What the old output is called where names cannot be exchanged in one step.
    old: PathBuf,
    /// The lock file.
    pub lock: PathBuf,
}

impl Destination {
    /// Works out the names, makes the folder that holds the output, and refuses one that covers the knowledge base.
    pub fn new(root: &Path, out: &Path) -> Result<Destination, DiskError> {
        let out = resolved(out).map_err(|error| failure(out, error))?;
        let root = fs::canonicalize(root).map_err(|error| failure(root, error))?;
        let sources = ["entries", "schema", "site", ".git"].map(|name| root.join(name));
        let (Some(parent), Some(name)) = (out.parent(), out.file_name()) else {
            return Err(DiskError { path: out, problem: DiskProblem::AmongSources(root) });
        };
        if root.starts_with(&out) || sources.iter().any(|folder| out.starts_with(folder)) {
            return Err(DiskError { path: out, problem: DiskProblem::AmongSources(root) });
        }
        fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
        let beside = |ending: &str| parent.join(format!(".bartack-{}.{ending}", name.to_string_lossy()));
        Ok(Destination { fresh: beside("new"), old: beside("old"), lock: beside("lock"), out: out.clone() })
    }

    /// Puts back an output that a killed run had moved aside, and removes what killed runs left.
    pub fn clean_up(&self) -> Result<(), DiskError> {
        if self.old.exists() && !self.out.exists() {
            fs::rename(&self.old, &self.out).map_err(|error| failure(&self.old, error))?;
        }
        for leftover in [&self.fresh, &self.old] {
            if leftover.exists() {
                remove_own(leftover)?;
            }
        }
        Ok(())
    }

    /// Refuses an output folder that holds anything bartack did not write.
    pub fn refuse_foreign(&self) -> Result<(), DiskError> {
        let Ok(metadata) = fs::symlink_metadata(&self.out) else { return Ok(()) };
        let names =
            if metadata.is_dir() { manifest::foreign(&self.out, Check::Content)? } else { vec!["a file".to_string()] };
        if names.is_empty() {
            return Ok(());
        }
        Err(DiskError { path: self.out.clone(), problem: DiskProblem::Foreign(names) })
    }

    /// Lets the filled folder take the output's name.
    pub fn swap(&self) -> Result<(), DiskError> {
        let swapped = if self.out.exists() { self.exchange() } else { fs::rename(&self.fresh, &self.out) };
        swapped.map_err(|error| failure(&self.out, error))
    }

    fn exchange(&self) -> io::Result<()> {
        if exchange_names(&self.fresh, &self.out).is_ok() {
            return Ok(());
        }
        fs::rename(&self.out, &self.old)?;
        fs::rename(&self.fresh, &self.out).inspect_err(|_| {
            // The next run puts it back if this does not.
            let _ = fs::rename(&self.old, &self.out);
        })
    }
}

/// Removes an unfinished or replaced output; one that somebody has put files into stays and is named.
fn remove_own(folder: &Path) -> Result<(), DiskError> {
    let mark = folder.join(manifest::UNFINISHED);
    if !mark.exists() {
        let names = manifest::foreign(folder, Check::Names)?;
        if !names.is_empty() {
            return Err(DiskError { path: folder.to_path_buf(), problem: DiskProblem::Foreign(names) });
        }
        fs::write(&mark, b"").map_err(|error| failure(&mark, error))?;
    }
    remove_marked(folder, &mark).map_err(|error| failure(folder, error))
}

/// Removes the mark last, so that a run killed here leaves a folder that the next one knows as bartack's own.
fn remove_marked(folder: &Path, mark: &Path) -> io::Result<()> {
    for entry in WalkDir::new(folder).min_depth(1).contents_first(true) {
        let entry = entry?;
        match entry.file_type().is_dir() {
            true => fs::remove_dir(entry.path())?,
            false if entry.path() == mark => (),
            false => fs::remove_file(entry.path())?,
        }
    }
    fs::remove_file(mark)?;
    fs::remove_dir(folder)
}

/// Resolves the part of a path that is there, and adds the rest.
fn resolved(path: &Path) -> io::Result<PathBuf> {
    let path = std::path::absolute(path)?;
    match (fs::canonicalize(&path), path.parent(), path.file_name()) {
        (Ok(resolved), _, _) => Ok(resolved),
        (Err(error), Some(parent), Some(name)) if error.kind() == io::ErrorKind::NotFound => {
            Ok(resolved(parent)?.join(name))
        }
        (Err(error), _, _) => Err(error),
    }
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange_names(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange_names(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}
