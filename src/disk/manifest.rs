//! The list of what bartack wrote into a folder, so that it replaces only that.
//!
//! A line for each file: the hash of its content, two spaces, its path; sorted by path. The list only says what may be
//! deleted: no file's content is ever trusted because the list names its hash.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use std::path::Path;

use walkdir::WalkDir;

use crate::disk::{DiskError, failure, walk};
use crate::publish::output_log::OutputLog;

/// The name of the list in the folder.
pub const NAME: &str = ".bartack";

/// A name that a file has for a moment while the old file takes its place.
pub const LINK: &str = ".bartack-link";

/// How closely a folder is compared with its list.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Check {
    /// Names alone.
    Names,
    /// Names and what the files hold.
    Content,
}

/// Turns paths and hashes into the list's text.
pub fn text(files: &OutputLog) -> String {
    files.iter().map(|(path, stamp)| format!("{}  {path}\n", stamp.hash.to_hex())).collect()
}

/// Names up to five things in a folder that differ from its list.
pub fn foreign(folder: &Path, check: Check) -> Result<Vec<String>, DiskError> {
    let listed = listed(folder);
    let folders: BTreeSet<&str> = listed.keys().flat_map(|path| parents(path)).collect();
    let mut names = Vec::new();
    for entry in WalkDir::new(folder).min_depth(1).sort_by_file_name() {
        let entry = entry.map_err(|error| failure(folder, error.into()))?;
        let name = name(folder, entry.path());
        let kind = entry.file_type();
        let is_known = match kind.is_dir() {
            true => folders.contains(name.as_str()),
            false => kind.is_file() && (name == NAME || is_as_listed(listed.get(&name), entry.path(), check)),
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

/// The hashes in a folder's list, by path; empty if the list is no plain file.
fn listed(folder: &Path) -> BTreeMap<String, String> {
    let mut text = String::new();
    let read = walk::opened(&folder.join(NAME)).map(|(mut list, _)| list.read_to_string(&mut text));
    if !matches!(read, Ok(Ok(_))) {
        return BTreeMap::new();
    }
    let lines = text.lines().filter_map(|line| line.split_once("  "));
    lines.map(|(hash, path)| (path.to_string(), hash.to_string())).collect()
}

fn is_as_listed(hash: Option<&String>, path: &Path, check: Check) -> bool {
    let Some(hash) = hash else { return false };
    let is_content = || {
        let mut hasher = blake3::Hasher::new();
        let read = walk::opened(path).map(|(file, _)| hasher.update_reader(file).is_ok());
        read == Ok(true) && hasher.finalize().to_hex().as_str() == hash
    };
    check == Check::Names || is_content()
}

fn parents(path: &str) -> impl Iterator<Item = &str> {
    path.match_indices('/').map(|(slash, _)| &path[..slash])
}

fn name(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap_or(path);
    let segments: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    segments.join("/")
}
