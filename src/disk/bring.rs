//! Reads a sheet or draft that somebody brings, and writes its photographs as new files.
//!
//! It replaces nothing and writes nothing through a link.

use std::fs;
use std::io::{self, Read};
use std::path::Path;

use crate::compile::progress::Observer;
use crate::disk::found::{self, PICTURE_LIMIT};
use crate::disk::{DiskError, DiskProblem, Reading, begin, failure, walk};
use crate::photograph::Flaw;
use crate::source::{Attachment, FilePath};

/// The greatest size of a sheet, in bytes.
pub const SHEET_LIMIT: u64 = 64 << 20;

/// Reads a sheet, a draft or a mapping whole; what is neither a file nor a folder is refused without waiting for it.
pub fn whole(path: &Path) -> Result<Vec<u8>, DiskError> {
    let mut bytes = Vec::new();
    let file = regular(path)?;
    file.take(SHEET_LIMIT + 1).read_to_end(&mut bytes).map_err(|error| failure(path, error))?;
    if bytes.len() as u64 > SHEET_LIMIT {
        let limit = io::Error::new(io::ErrorKind::FileTooLarge, "is larger than 64 MiB");
        return Err(failure(path, limit));
    }
    Ok(bytes)
}

/// Opens a file that somebody brings; a pipe, a device or a socket is refused without waiting for it.
pub fn regular(path: &Path) -> Result<fs::File, DiskError> {
    refuse_irregular(path)?;
    super::open(path)
}

/// Refuses a pipe, a device and a socket: opening a pipe without a writer would wait for ever.
fn refuse_irregular(path: &Path) -> Result<(), DiskError> {
    let metadata = fs::metadata(path).map_err(|error| failure(path, error))?;
    match metadata.is_file() || metadata.is_dir() {
        true => Ok(()),
        false => Err(DiskError { path: path.to_path_buf(), problem: DiskProblem::NotRegular }),
    }
}

/// Reads another knowledge base, which may not share a folder with the one at `root`. Links in it are not followed, and
/// one with more than 64 MiB of entries is refused before anything of it is read.
pub fn base(folder: &Path, root: &Path, observer: Observer<'_>) -> Result<Reading, DiskError> {
    refuse_shared(folder, root)?;
    let entries = folder.join("entries");
    match fs::symlink_metadata(&entries) {
        Ok(metadata) if metadata.is_dir() => {}
        Ok(_) => return Err(failure(&entries, io::Error::other("is not a folder, and links are not followed"))),
        Err(_) => {
            let missing = "has no folder `entries/`, so it is not a knowledge base";
            return Err(failure(folder, io::Error::other(missing)));
        }
    }
    if walk::bytes_of_texts(&entries) > SHEET_LIMIT {
        let limit = io::Error::new(io::ErrorKind::FileTooLarge, "holds more than 64 MiB of entries");
        return Err(failure(&entries, limit));
    }
    super::read(folder, observer)
}

/// Refuses a knowledge base that is the other one, or lies in it, or holds it: one would be read as part of the other.
fn refuse_shared(folder: &Path, root: &Path) -> Result<(), DiskError> {
    let real = |path: &Path| fs::canonicalize(path).map_err(|error| failure(path, error));
    let (there, here) = (real(folder)?, real(root)?);
    let problem = if there == here {
        "is this knowledge base itself; name the folder of another one"
    } else if there.starts_with(&here) {
        "lies inside this knowledge base; move it to a folder outside"
    } else if here.starts_with(&there) {
        "holds this knowledge base; move one of them to a folder outside the other"
    } else {
        return Ok(());
    };
    Err(failure(folder, io::Error::other(problem)))
}

/// Examines a photograph in the folder of a draft as if at `path`; `None` if there is no plain file
/// of that name.
pub fn photograph_beside(draft: &Path, name: &str, path: &str) -> Option<Attachment> {
    let beside = draft.with_file_name(name);
    let metadata = fs::symlink_metadata(&beside).ok().filter(|metadata| metadata.is_file())?;
    let content = walk::content(&beside, PICTURE_LIMIT);
    let picture = content.map_or(Err(Flaw::NotAPicture), |bytes| found::picture(&bytes));
    Some(Attachment { path: FilePath::new(path), bytes: metadata.len(), picture })
}

/// Looks at a photograph whose bytes came with a draft, as the one at a path.
pub fn photograph_in_hand(bytes: &[u8], path: &str) -> Attachment {
    Attachment { path: FilePath::new(path), bytes: bytes.len() as u64, picture: found::picture(bytes) }
}

/// Says whether a photograph of the knowledge base has these bytes.
pub fn is_photograph(root: &Path, path: &str, bytes: &[u8]) -> bool {
    let at = root.join(path);
    let length = fs::symlink_metadata(&at).ok().filter(fs::Metadata::is_file).map(|metadata| metadata.len());
    length == Some(bytes.len() as u64) && walk::content(&at, PICTURE_LIMIT).is_ok_and(|there| there == bytes)
}

/// Says whether a photograph of the knowledge base has the bytes of the one of that name beside a draft.
pub fn is_photograph_beside(draft: &Path, root: &Path, path: &str) -> bool {
    let name = path.rsplit_once('/').map_or(path, |(_, name)| name);
    let beside = draft.with_file_name(name);
    let is_file = fs::symlink_metadata(&beside).is_ok_and(|metadata| metadata.is_file());
    is_file && walk::content(&beside, PICTURE_LIMIT).is_ok_and(|bytes| is_photograph(root, path, &bytes))
}

/// Writes a photograph that came with a draft to an unused path of the knowledge base.
pub fn photograph(root: &Path, path: &str, bytes: &[u8]) -> Result<(), DiskError> {
    begin::add(root, path, bytes)
}

/// Copies a photograph from a draft's folder to an unused path of the knowledge base.
pub fn copy(draft: &Path, name: &str, root: &Path, path: &str) -> Result<(), DiskError> {
    let from = draft.with_file_name(name);
    let photograph = walk::content(&from, PICTURE_LIMIT).map_err(|why| {
        // It was a plain file when it was looked at.
        failure(&from, io::Error::other(format!("changed while it was read ({why:?})")))
    })?;
    begin::add(root, path, photograph.as_slice())
}

/// Copies a photograph of another knowledge base, by its path in it, to a path of this one where nothing is yet.
pub fn copy_from(base: &Path, from: &str, root: &Path, path: &str) -> Result<(), DiskError> {
    super::names::refuse_links(base, from)?;
    let name = from.rsplit_once('/').map_or(from, |(_, name)| name);
    copy(&base.join(from), name, root, path)
}

/// Gives the hidden files that killed imports left in the folders of these entries.
pub fn left_over(root: &Path, paths: &[&str]) -> Vec<String> {
    begin::left_over(root, paths)
}

/// Writes a new entry; a folder on its way that is a link is refused.
pub fn entry(root: &Path, path: &str, text: &str) -> Result<(), DiskError> {
    begin::add(root, path, text.as_bytes())
}
