//! One build at a time for an output folder: a lock that the system drops when its holder dies.

use std::fs::{File, OpenOptions, TryLockError, remove_file};
use std::path::{Path, PathBuf};

use same_file::Handle;

use crate::disk::{DiskError, DiskProblem, failure};

/// A held lock; its file is removed when it is let go.
pub struct Lock {
    path: PathBuf,
    _file: File,
}

/// Takes the lock, or says that another run holds it.
pub fn take(path: &Path) -> Result<Lock, DiskError> {
    loop {
        let file = OpenOptions::new().create(true).append(true).open(path).map_err(|error| failure(path, error))?;
        match file.try_lock() {
            Ok(()) => (),
            Err(TryLockError::WouldBlock) => {
                return Err(DiskError { path: path.to_path_buf(), problem: DiskProblem::Busy });
            }
            Err(TryLockError::Error(error)) => return Err(failure(path, error)),
        }
        // The last holder may have removed the file between opening and locking: then it locks nothing.
        if is_at(&file, path) {
            return Ok(Lock { path: path.to_path_buf(), _file: file });
        }
    }
}

fn is_at(file: &File, path: &Path) -> bool {
    let held = file.try_clone().and_then(Handle::from_file);
    matches!((held, Handle::from_path(path)), (Ok(held), Ok(named)) if held == named)
}

impl Drop for Lock {
    fn drop(&mut self) {
        // A lock file left behind locks nothing, so failing here does no harm.
        let _ = remove_file(&self.path);
    }
}
