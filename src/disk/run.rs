//! One build's hold on an output folder. The new folder is filled beside the old one and takes its name in one step, so
//! that there is always a whole one.
//!
//! Removes what this run made, what a killed run noted as its own, and of a replaced output what its list names.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use crate::disk::destination::Destination;
use crate::disk::lock::{self, Lock, Note};
use crate::disk::manifest::{self, Check};
use crate::disk::{DiskError, DiskProblem, failure, names};

/// A build that holds the lock and has a folder to fill.
pub struct Run<'d> {
    destination: &'d Destination,
    lock: Lock,
    note: Note,
    /// The folder that is filled.
    pub fresh: PathBuf,
}

impl<'d> Run<'d> {
    /// Takes the lock, removes what a killed run left, refuses an output that is not bartack's, and makes the new
    /// folder.
    pub fn begin(destination: &'d Destination) -> Result<Run<'d>, DiskError> {
        let mut lock = lock::take(&destination.lock())?;
        if let Some(note) = lock.last_note()? {
            recover(destination, &note)?;
        }
        refuse_foreign(&destination.out)?;
        let mut note = Note { token: names::token(), fresh: None, replaced: None };
        lock.write(&note)?;
        let fresh = destination.fresh(&note.token);
        fs::create_dir(&fresh).map_err(|error| failure(&fresh, error))?;
        note.fresh = names::folder_identity(&fresh);
        lock.write(&note).inspect_err(|_| {
            // The first error says more than one that follows from it.
            let _ = fs::remove_dir(&fresh);
        })?;
        Ok(Run { destination, lock, note, fresh })
    }

    /// Removes the folder that was filled, or half filled.
    pub fn give_up(self) {
        // The error that led here says more; at worst a hidden folder stays that no run looks at.
        let _ = remove_fresh(&self.fresh, &self.note);
    }

    /// Gives the filled folder the output's name, and removes the old output.
    pub fn finish(mut self) -> Result<(), DiskError> {
        let finished = self.take_place();
        if finished.is_err() {
            // Only where the names were not exchanged: otherwise this is the old output, which has another identity.
            let _ = remove_fresh(&self.fresh, &self.note);
        }
        finished
    }

    fn take_place(&mut self) -> Result<(), DiskError> {
        let out = self.destination.out.as_path();
        match fs::symlink_metadata(out) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                names::move_without_replacing(&self.fresh, out).map_err(|error| failure(out, error))
            }
            Err(error) => Err(failure(out, error)),
            Ok(metadata) if metadata.is_dir() => {
                self.note.replaced = Some(names::identity(&metadata));
                self.lock.write(&self.note)?;
                let replaced = self.replace().map_err(|error| failure(out, error))?;
                remove_listed(&replaced)
            }
            Ok(_) => Err(DiskError { path: out.to_path_buf(), problem: DiskProblem::Taken }),
        }
    }

    /// Exchanges the two folders; gives the old one's new path.
    fn replace(&self) -> io::Result<PathBuf> {
        let out = &self.destination.out;
        if names::exchange(&self.fresh, out).is_ok() {
            return Ok(self.fresh.clone());
        }
        let old = self.destination.old(&self.note.token);
        names::move_without_replacing(out, &old)?;
        names::move_without_replacing(&self.fresh, out).inspect_err(|_| {
            // The next run puts it back if this does not.
            let _ = names::move_without_replacing(&old, out);
        })?;
        Ok(old)
    }
}

/// Puts back an output that a killed run had moved aside, and removes what it left.
fn recover(destination: &Destination, note: &Note) -> Result<(), DiskError> {
    let (fresh, old) = (destination.fresh(&note.token), destination.old(&note.token));
    if is_noted(&old, &note.replaced) {
        match fs::symlink_metadata(&destination.out) {
            Ok(_) => remove_listed(&old)?,
            Err(_) => {
                let put_back = names::move_without_replacing(&old, &destination.out);
                put_back.map_err(|error| failure(&old, error))?;
            }
        }
    }
    if is_noted(&fresh, &note.replaced) { remove_listed(&fresh) } else { remove_fresh(&fresh, note) }
}

/// Says whether a folder is the one in a note.
fn is_noted(folder: &Path, identity: &Option<String>) -> bool {
    identity.is_some() && names::folder_identity(folder) == *identity
}

/// Removes the folder that a run filled, with its contents; keeps one that only has its name.
fn remove_fresh(fresh: &Path, note: &Note) -> Result<(), DiskError> {
    if is_noted(fresh, &note.fresh) {
        return names::absent(fresh, fs::remove_dir_all(fresh));
    }
    if note.fresh.is_none() {
        // The run was killed before it noted the folder, so it had put nothing into it; a folder with contents is kept.
        let _ = fs::remove_dir(fresh);
    }
    Ok(())
}

/// Refuses an output folder that holds anything bartack did not write.
fn refuse_foreign(out: &Path) -> Result<(), DiskError> {
    let refused = |problem| Err(DiskError { path: out.to_path_buf(), problem });
    match fs::symlink_metadata(out) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(failure(out, error)),
        Ok(metadata) if metadata.is_dir() => match manifest::foreign(out, Check::Content)? {
            names if names.is_empty() => Ok(()),
            names => refused(DiskProblem::Foreign(names)),
        },
        Ok(_) => refused(DiskProblem::Taken),
    }
}

/// Removes a replaced output; keeps and names one that somebody has put files into.
fn remove_listed(folder: &Path) -> Result<(), DiskError> {
    let names = manifest::foreign(folder, Check::Names)?;
    if !names.is_empty() {
        return Err(DiskError { path: folder.to_path_buf(), problem: DiskProblem::Foreign(names) });
    }
    remove_walked(folder).map_err(|error| failure(folder, error))
}

/// Removes the list last, so that a run that is killed here leaves a folder that the next one knows as bartack's own.
fn remove_walked(folder: &Path) -> io::Result<()> {
    let list = folder.join(manifest::NAME);
    for entry in WalkDir::new(folder).min_depth(1).contents_first(true) {
        let entry = entry?;
        match entry.file_type().is_dir() {
            true => fs::remove_dir(entry.path())?,
            false if entry.path() == list => (),
            false => fs::remove_file(entry.path())?,
        }
    }
    match fs::remove_file(list) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => (),
    }
    fs::remove_dir(folder)
}
