//! Planned files into a fresh folder, made on all threads and gone from memory once written.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::compile::progress::{Observer, Stage, Tally};
use crate::disk::photographs::Folders;
use crate::disk::{DiskError, DiskProblem, failure, photographs};
use crate::disk::{bundle, manifest};
use crate::publish::written::{Stamp, Turn, Written};
use crate::publish::{OutputFile, Planned};

/// Makes the folder and writes every picture, every file, the archive and the list of them; the folder is not there yet.
pub fn fill(folders: &Folders<'_>, site: &Planned<'_>, observer: Observer<'_>) -> Result<(), DiskError> {
    let Planned { photographs, files, bundle } = *site;
    let folder = folders.fresh;
    fs::create_dir(folder).map_err(|error| failure(folder, error))?;
    // Should the run be killed, the mark says that the folder is bartack's own.
    let mark = folder.join(manifest::UNFINISHED);
    write(&mark, b"")?;
    make_folders(folder, files)?;
    // Pages leave out what could not be made, so they are made afterwards.
    let (mut written, origins) = photographs::fill(folders, photographs, observer)?;
    let tally = Tally::begin(observer, Stage::Write, files.len());
    for turn in Turn::ALL {
        let own = files.par_iter().filter(|file| file.turn() == turn);
        let one = |file| write_one(folder, file, &written).inspect(|_| tally.count());
        let more: Result<Written, DiskError> = own.map(one).collect();
        written.extend(more?);
    }
    if let Some(name) = bundle {
        let stamp = bundle::write(folder, name, &written)?;
        written.insert(name.to_string(), stamp);
    }
    written.extend(origins);
    write(&folder.join(manifest::NAME), manifest::text(&written).as_bytes())?;
    fs::remove_file(&mark).map_err(|error| failure(&mark, error))
}

fn make_folders(folder: &Path, files: &[OutputFile<'_>]) -> Result<(), DiskError> {
    if let Some(file) = files.iter().find(|file| !is_plain(file.path())) {
        let problem = DiskProblem::BadPath(file.path().to_string());
        return Err(DiskError { path: folder.to_path_buf(), problem });
    }
    let parents: BTreeSet<_> = files.iter().filter_map(|file| Some(file.path().rsplit_once('/')?.0)).collect();
    for parent in parents {
        let path = folder.join(parent);
        fs::create_dir_all(&path).map_err(|error| failure(&path, error))?;
    }
    Ok(())
}

fn write_one(folder: &Path, file: &OutputFile<'_>, written: &Written) -> Result<(String, Stamp), DiskError> {
    let path = folder.join(file.path());
    let content = file.content(written).map_err(|error| DiskError { path: path.clone(), problem: error.into() })?;
    write(&path, &content)?;
    Ok((file.path().to_string(), Stamp::of(&content)))
}

/// Writes a file that was not planned by its path alone, with the folders it lies in.
pub fn write_below(folder: &Path, path: String, content: &[u8]) -> Result<(String, Stamp), DiskError> {
    if !is_plain(&path) {
        return Err(DiskError { path: folder.to_path_buf(), problem: DiskProblem::BadPath(path) });
    }
    let place = folder.join(&path);
    if let Some(parent) = place.parent() {
        fs::create_dir_all(parent).map_err(|error| failure(parent, error))?;
    }
    write(&place, content)?;
    Ok((path, Stamp::of(content)))
}

fn write(path: &Path, content: &[u8]) -> Result<(), DiskError> {
    fs::write(path, content).map_err(|error| failure(path, error))
}

fn is_plain(path: &str) -> bool {
    let is_name = |segment: &str| !segment.is_empty() && segment != "." && segment != "..";
    !path.starts_with(manifest::NAME) && path.split('/').all(is_name) && !path.contains(['\\', ':', '\n', '\0'])
}
