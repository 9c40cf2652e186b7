//! Replaces the text of a file of a knowledge base in one step, only if the file has not changed
//! since it was read.
//!
//! It follows no link; a killed run leaves the old text or the new one, and at most a hidden file
//! in the same folder.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use crate::disk::begin::HIDDEN;
use crate::disk::{DiskError, DiskProblem, failure, names, preview};
use crate::source::edit::Change;

/// Writes it.
pub fn mend(root: &Path, path: &str, change: &Change) -> Result<(), DiskError> {
    let changed = || DiskError { path: root.join(path), problem: DiskProblem::NotAsRead };
    let place = preview::plain(root, path).ok_or_else(changed)?;
    let text = fs::read(&place).map_err(|error| failure(&place, error))?;
    if text != change.before.as_bytes() {
        return Err(changed());
    }
    let beside = place.with_file_name(format!("{HIDDEN}{}", names::token()));
    let written = write(&beside, &place, &change.after).and_then(|()| fs::rename(&beside, &place));
    written.map_err(|error| {
        // The first error says more than one that follows from it.
        let _ = fs::remove_file(&beside);
        failure(&place, error)
    })
}

/// Writes a new file with the permissions of another.
fn write(path: &Path, like: &Path, text: &str) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(text.as_bytes())?;
    file.set_permissions(fs::metadata(like)?.permissions())?;
    file.sync_all()
}
