//! Writes planned files into a fresh folder; they are made on all threads and leave memory once written.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::compile::progress::{Observer, Stage, Tally};
use crate::disk::folders::{Folders, is_plain, write};
use crate::disk::{DiskError, DiskProblem, bundle, failure, manifest, photographs};
use crate::publish::output::OutputFile;
use crate::publish::output::Planned;
use crate::publish::output::PublishError;
use crate::publish::output_log::{OutputLog, Stamp, Turn};

/// Writes every picture, every file, the archive and their list into the folder, which exists and is empty.
pub fn fill(folders: &Folders<'_>, site: &Planned<'_>, observer: Observer<'_>) -> Result<(), DiskError> {
    let Planned { photographs, files, bundle, .. } = *site;
    let folder = folders.fresh;
    make_folders(folder, files)?;
    // Pages leave out what could not be made, so they are made afterwards.
    let mut written = photographs::fill(folders, photographs, observer)?;
    let tally = Tally::begin(observer, Stage::Write, files.len());
    for turn in Turn::ALL {
        let own = files.par_iter().filter(|file| file.turn() == turn);
        let one = |file| write_one(folders, file, &written).inspect(|_| tally.count());
        let more: Result<OutputLog, DiskError> = own.map(one).collect();
        written.extend(more?);
    }
    if let Some(name) = bundle {
        let stamp = bundle::write(folders, name, &written)?;
        written.insert(name.to_string(), stamp);
    }
    write(&folder.join(manifest::NAME), manifest::text(&written).as_bytes())
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

fn write_one(folders: &Folders<'_>, file: &OutputFile<'_>, written: &OutputLog) -> Result<(String, Stamp), DiskError> {
    let problem = |error: PublishError| DiskError { path: PathBuf::from(file.path()), problem: error.into() };
    let stamp = folders.put(file.path(), &file.content(written).map_err(problem)?)?;
    Ok((file.path().to_string(), stamp))
}
