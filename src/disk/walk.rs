//! Reads one folder of a knowledge base: each file is read or refused by name.
//!
//! Links are never followed and only plain files are opened. Names that begin with a dot belong to editors and Git and
//! are skipped.

use std::fs::{self, File};
use std::io::{self, BufReader, Read};
use std::path::Path;

use rayon::prelude::{IntoParallelIterator, ParallelIterator};
use walkdir::{DirEntry, WalkDir};

use crate::compile::progress::{Observer, Stage, Tally};
use crate::disk::found::{self, Found, PICTURE_LIMIT, Part, TEXT_LIMIT};
use crate::disk::{DiskError, failure};
use crate::fault::Unreadable;
use crate::photograph::{self, Flaw};
use crate::source::FilePath;

/// Reads everything under one folder of the knowledge base; a missing folder is empty.
pub fn folder(root: &Path, name: &str, observer: Observer<'_>) -> Result<Vec<(FilePath, Found)>, DiskError> {
    let top = root.join(name);
    let Ok(metadata) = fs::symlink_metadata(&top) else { return Ok(Vec::new()) };
    if !metadata.is_dir() {
        let why = if metadata.is_symlink() { Unreadable::SymbolicLink } else { Unreadable::NotAFile };
        return Ok(vec![(FilePath::new(name), Found::Refused(why))]);
    }
    let mut entries = Vec::new();
    let visible = |entry: &DirEntry| entry.depth() == 0 || !found::is_hidden(entry.file_name().as_encoded_bytes());
    for entry in WalkDir::new(&top).follow_links(false).into_iter().filter_entry(visible) {
        match entry {
            Ok(entry) if entry.file_type().is_dir() => (),
            Ok(entry) => entries.push(Ok(entry)),
            // A folder that cannot be opened is refused by name; the rest is still read.
            Err(error) if error.depth() > 0 => entries.push(Err(error)),
            Err(error) => return Err(failure(&top, error.into())),
        }
    }
    let tally = Tally::begin(observer, Stage::Read, entries.len());
    let read = |entry| {
        let found = one(root, entry);
        tally.count();
        found
    };
    Ok(entries.into_par_iter().filter_map(read).collect())
}

/// The bytes of all entries below a folder, as the system gives their sizes; links count nothing.
pub fn bytes_of_texts(folder: &Path) -> u64 {
    let entries = WalkDir::new(folder).follow_links(false).into_iter().flatten();
    let texts =
        entries.filter(|entry| entry.file_type().is_file() && entry.path().extension().is_some_and(|end| end == "md"));
    texts.filter_map(|text| text.metadata().ok()).map(|metadata| metadata.len()).sum()
}

fn one(root: &Path, entry: Result<DirEntry, walkdir::Error>) -> Option<(FilePath, Found)> {
    match entry {
        Ok(entry) => {
            let (path, is_name) = relative(root, entry.path());
            let found = if is_name { read(&path, &entry) } else { Some(Found::Refused(Unreadable::BadName)) };
            Some((path, found?))
        }
        Err(error) => {
            let (path, _) = relative(root, error.path().unwrap_or(root));
            let words = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
            Some((path, Found::Refused(Unreadable::Refused(words))))
        }
    }
}

/// Gives the path below the root with forward slashes, and whether it is a possible name.
fn relative(root: &Path, path: &Path) -> (FilePath, bool) {
    let below = path.strip_prefix(root).unwrap_or(path);
    let segments: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    let path = segments.join("/");
    let is_name = below.to_str().is_some() && found::is_name(&path);
    (FilePath::new(path), is_name)
}

fn read(path: &FilePath, entry: &DirEntry) -> Option<Found> {
    if entry.file_type().is_symlink() {
        return Some(Found::Refused(Unreadable::SymbolicLink));
    }
    if !entry.file_type().is_file() {
        return Some(Found::Refused(Unreadable::NotAFile));
    }
    let found = match found::part(path.as_str())? {
        Part::Text => content(entry.path(), TEXT_LIMIT).and_then(found::text),
        Part::Site => content(entry.path(), PICTURE_LIMIT).map(Found::Site),
        Part::Beside => beside(entry.path()),
    };
    Some(found.unwrap_or_else(Found::Refused))
}

/// Reads at most the limit, however much a file grows in the meantime.
pub fn content(path: &Path, limit: u64) -> Result<Vec<u8>, Unreadable> {
    let (file, length) = opened(path)?;
    let mut bytes = Vec::with_capacity(length.min(limit) as usize);
    file.take(limit + 1).read_to_end(&mut bytes).map_err(refused)?;
    if bytes.len() as u64 > limit { Err(Unreadable::TooLarge { limit }) } else { Ok(bytes) }
}

/// Opens a plain file, with its length in bytes. Refuses, without waiting, what became a link, pipe or folder since its
/// name was read.
pub fn opened(path: &Path) -> Result<(File, u64), Unreadable> {
    let file = begun(path).map_err(|error| match fs::symlink_metadata(path) {
        Ok(metadata) if metadata.is_symlink() => Unreadable::SymbolicLink,
        _ => refused(error),
    })?;
    let metadata = file.metadata().map_err(refused)?;
    if metadata.is_file() { Ok((file, metadata.len())) } else { Err(Unreadable::NotAFile) }
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn begun(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags};
    let how = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(File::from(rustix::fs::open(path, how, Mode::empty())?))
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn begun(path: &Path) -> io::Result<File> {
    File::open(path)
}

/// Looks only at a picture's header and end; decodes nothing.
fn beside(path: &Path) -> Result<Found, Unreadable> {
    let (file, bytes) = opened(path)?;
    let look = || photograph::look(&mut BufReader::new(file)).map_err(refused);
    let picture = if bytes > PICTURE_LIMIT { Err(Flaw::NotAPicture) } else { look()? };
    Ok(Found::Beside { bytes, picture })
}

fn refused(error: io::Error) -> Unreadable {
    Unreadable::Refused(error.to_string())
}
