//! The list of what bartack wrote into a folder, so that it replaces that and nothing else.
//!
//! A line for each file: the hash of its content, two spaces, its path; sorted by path. The list says what may be
//! deleted and nothing else: no content is ever taken from a file because the list vouches for it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use walkdir::WalkDir;

use crate::disk::{DiskError, failure};
use crate::publish::written::Written;

/// The name of the list in the folder.
pub const NAME: &str = ".bartack";

/// The mark of a folder that is being filled or removed: all in it is bartack's own.
pub const UNFINISHED: &str = ".bartack-unfinished";

/// A name that a file has for a moment while the old file takes its place.
pub const LINK: &str = ".bartack-link";

/// How closely a folder is held against its list.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Check {
    /// Names alone.
    Names,
    /// Names and what the files hold.
    Content,
}

/// Turns paths and hashes into the list's text.
pub fn text(files: &Written) -> String {
    files.iter().map(|(path, stamp)| format!("{}  {path}\n", stamp.hash.to_hex())).collect()
}

/// Names up to five things in a folder that are not as its list has them.
pub fn foreign(folder: &Path, check: Check) -> Result<Vec<String>, DiskError> {
    let listed = listed(folder);
    let folders: BTreeSet<&str> = listed.keys().flat_map(|path| parents(path)).collect();
    let mut names = Vec::new();
    for entry in WalkDir::new(folder).min_depth(1).sort_by_file_name() {
        let entry = entry.map_err(|error| failure(folder, error.into()))?;
        let name = name(folder, entry.path());
        let is_known = if entry.file_type().is_dir() {
            folders.contains(name.as_str())
        } else {
            name == NAME || (entry.file_type().is_file() && is_as_listed(listed.get(&name), entry.path(), check))
        };
        if !is_known {
            names.push(name);
        }
        if names.len() == 5 {
            break;
        }
    }
    Ok(names)
}

/// The hashes that the list of a folder has, by path; empty where there is no list.
pub fn listed(folder: &Path) -> BTreeMap<String, String> {
    let text = fs::read_to_string(folder.join(NAME)).unwrap_or_default();
    let lines = text.lines().filter_map(|line| line.split_once("  "));
    lines.map(|(hash, path)| (path.to_string(), hash.to_string())).collect()
}

fn is_as_listed(hash: Option<&String>, path: &Path, check: Check) -> bool {
    let Some(hash) = hash else { return false };
    check == Check::Names || fs::read(path).is_ok_and(|content| blake3::hash(&content).to_hex().as_str() == hash)
}

fn parents(path: &str) -> impl Iterator<Item = &str> {
    path.match_indices('/').map(|(slash, _)| &path[..slash])
}

fn name(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    let segments: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    segments.join("/")
}
