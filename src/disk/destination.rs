//! The output folder, and where it may be.
//!
//! No commit can redirect a build: below the knowledge base, no link is followed on the way to the output, and the
//! output itself is never a link.

use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

use crate::disk::{DiskError, DiskProblem, failure};

/// Folders of a knowledge base that are no place for an output.
const SOURCES: [&str; 5] = ["entries", "schema", "site", ".git", ".github"];

/// Where the output goes.
pub struct Destination {
    /// The output folder; it may not exist yet.
    pub out: PathBuf,
    /// The folder that holds it.
    parent: PathBuf,
    /// The beginning of the names of temporary folders next to it.
    stem: String,
}

impl Destination {
    /// Derives the names, makes the folder that holds the output, and refuses one that covers the knowledge base.
    pub fn new(root: &Path, out: &Path) -> Result<Destination, DiskError> {
        let root = fs::canonicalize(root).map_err(|error| failure(root, error))?;
        let out = resolved(&root, out)?;
        let (Some(parent), Some(name)) = (out.parent(), out.file_name()) else {
            return Err(DiskError { path: out, problem: DiskProblem::AmongSources(root) });
        };
        if root.starts_with(&out) || SOURCES.iter().any(|name| out.starts_with(root.join(name))) {
            return Err(DiskError { path: out, problem: DiskProblem::AmongSources(root) });
        }
        fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
        let stem = format!(".bartack-{}", name.to_string_lossy());
        Ok(Destination { parent: parent.to_path_buf(), stem, out })
    }

    /// The lock file.
    pub fn lock(&self) -> PathBuf {
        self.parent.join(format!("{}.lock", self.stem))
    }

    /// The folder that the run of a token fills.
    pub fn fresh(&self, token: &str) -> PathBuf {
        self.parent.join(format!("{}.{token}.new", self.stem))
    }

    /// That run's name for the old output if names cannot be exchanged in one step.
    pub fn old(&self, token: &str) -> PathBuf {
        self.parent.join(format!("{}.{token}.old", self.stem))
    }
}

/// Resolves the existing part of a path and adds the rest.
///
/// Links outside the knowledge base are the user's own and are followed, unless the output itself is one.
fn resolved(root: &Path, out: &Path) -> Result<PathBuf, DiskError> {
    let absolute = std::path::absolute(out).map_err(|error| failure(out, error))?;
    let mut place = PathBuf::new();
    let mut components = absolute.components().peekable();
    while let Some(component) = components.next() {
        let is_last = components.peek().is_none();
        match component {
            Component::ParentDir => drop(place.pop()),
            Component::CurDir => (),
            Component::Prefix(_) | Component::RootDir => place.push(component),
            Component::Normal(name) => {
                let may_be_link = !is_last && !place.starts_with(root);
                place = below(&place.join(name), may_be_link)?;
            }
        }
    }
    Ok(place)
}

/// Resolves one more name of a path; keeps a name that does not exist.
fn below(place: &Path, may_be_link: bool) -> Result<PathBuf, DiskError> {
    match fs::symlink_metadata(place) {
        Ok(metadata) if metadata.is_symlink() && !may_be_link => {
            Err(DiskError { path: place.to_path_buf(), problem: DiskProblem::Link })
        }
        Ok(_) => fs::canonicalize(place).map_err(|error| failure(place, error)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(place.to_path_buf()),
        Err(error) => Err(failure(place, error)),
    }
}
