//! Names of files and folders: changes them without replacing anything, makes random ones, and checks for links.
//!
//! A folder is also recognised by its identity in the system, which no commit and no copy can carry.

use std::fs::{self, Metadata};
use std::hash::{BuildHasher, Hasher, RandomState};
use std::io;
use std::path::Path;

use crate::disk::{DiskError, DiskProblem, failure};

/// A random, unpredictable name that no other run has, as 16 hexadecimal digits.
pub fn token() -> String {
    // The standard library seeds each of these from the system's randomness.
    format!("{:016x}", RandomState::new().build_hasher().finish())
}

/// The identity of a file or folder: the same under another name, different for each copy and each checkout.
#[cfg(unix)]
pub fn identity(metadata: &Metadata) -> String {
    use std::os::unix::fs::MetadataExt;
    format!("{}:{}", metadata.dev(), metadata.ino())
}

/// The time of creation, which tells a folder from its copies on systems without a number for it.
#[cfg(not(unix))]
pub fn identity(metadata: &Metadata) -> String {
    let made = metadata.created().ok().and_then(|time| time.duration_since(std::time::UNIX_EPOCH).ok());
    format!("{}", made.map_or(0, |made| made.as_nanos()))
}

/// The identity of a folder; `None` if there is none, or only a link to one.
pub fn folder_identity(path: &Path) -> Option<String> {
    let metadata = fs::symlink_metadata(path).ok()?;
    metadata.is_dir().then(|| identity(&metadata))
}

/// Refuses a path below the root with a folder that is a link, which could lead out of the knowledge base.
pub fn refuse_links(root: &Path, path: &str) -> Result<(), DiskError> {
    let below = Path::new(path).ancestors().filter(|part| !part.as_os_str().is_empty());
    for part in below {
        let whole = root.join(part);
        if fs::symlink_metadata(&whole).is_ok_and(|metadata| metadata.is_symlink()) {
            return Err(DiskError { path: whole, problem: DiskProblem::Link });
        }
    }
    Ok(())
}

/// Exchanges the names of two folders in one step, where the system can.
#[cfg(any(target_os = "linux", target_vendor = "apple"))]
pub fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

/// Says that this system cannot exchange names.
#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
pub fn exchange(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Gives a file or folder another, unused name.
pub fn move_without_replacing(from: &Path, to: &Path) -> io::Result<()> {
    match exclusively(from, to) {
        // Not every file system can guarantee it; then a look must suffice.
        Err(error) if matches!(error.kind(), io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput) => {
            if fs::symlink_metadata(to).is_ok() {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            fs::rename(from, to)
        }
        done => done,
    }
}

/// Treats a missing file as removed.
pub fn absent(path: &Path, removed: io::Result<()>) -> Result<(), DiskError> {
    match removed {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(failure(path, error)),
        _ => Ok(()),
    }
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exclusively(from: &Path, to: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE)?)
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exclusively(_from: &Path, _to: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::fs;

    use super::{folder_identity, move_without_replacing, token};

    #[test]
    fn a_move_replaces_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let [from, to] = ["from", "to"].map(|name| folder.path().join(name));
        fs::write(&from, "one").unwrap();
        fs::write(&to, "other").unwrap();
        assert!(move_without_replacing(&from, &to).is_err());
        assert_eq!(fs::read_to_string(&to).unwrap(), "other");
        fs::remove_file(&to).unwrap();
        move_without_replacing(&from, &to).unwrap();
        assert_eq!(fs::read_to_string(&to).unwrap(), "one");
    }

    #[test]
    fn a_folder_keeps_its_identity_under_another_name_and_shares_it_with_none() {
        let place = tempfile::tempdir().unwrap();
        let [one, other, moved] = ["one", "other", "moved"].map(|name| place.path().join(name));
        fs::create_dir(&one).unwrap();
        fs::create_dir(&other).unwrap();
        let identity = folder_identity(&one);
        assert!(identity.is_some() && identity != folder_identity(&other));
        fs::rename(&one, &moved).unwrap();
        assert_eq!(folder_identity(&moved), identity);
        assert_ne!(token(), token());
    }
}
