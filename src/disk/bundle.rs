//! Packs a written folder into one file: a zip archive to keep or pass on.
//!
//! Same files, same bytes: names come in order and carry no times.

use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter};
use std::path::Path;

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::disk::folders::Folders;
use crate::disk::{DiskError, failure};
use crate::publish::output_log::{OutputLog, Stamp};

/// The folder within the archive, so that unpacking fills only that.
const FOLDER: &str = "site";

/// Endings of files that are already compressed.
const PACKED: [&str; 3] = [".jpg", ".png", ".zip"];

/// Packs the written files into an archive in the output folder.
pub fn write(folders: &Folders<'_>, name: &str, written: &OutputLog) -> Result<Stamp, DiskError> {
    let path = folders.fresh.join(name);
    pack(folders, name, written).map_err(|error| failure(&path, error))?;
    let stamp = stamp(&path).map_err(|error| failure(&path, error))?;
    folders.leave(name)?;
    Ok(stamp)
}

fn pack(folders: &Folders<'_>, name: &str, written: &OutputLog) -> io::Result<()> {
    let mut archive = ZipWriter::new(BufWriter::new(File::create(folders.fresh.join(name))?));
    // The least effort packs text to a quarter; more costs several times as much and saves little.
    let plain = SimpleFileOptions::default().last_modified_time(DateTime::default()).unix_permissions(0o644);
    let deflated = plain.compression_method(CompressionMethod::Deflated).compression_level(Some(1));
    let stored = plain.compression_method(CompressionMethod::Stored);
    for name in written.keys() {
        let options = if PACKED.iter().any(|ending| name.ends_with(ending)) { stored } else { deflated };
        archive.start_file(format!("{FOLDER}/{name}"), options)?;
        io::copy(&mut File::open(folders.fresh.join(name))?, &mut archive)?;
    }
    archive.finish()?.into_inner().map_err(io::IntoInnerError::into_error)?;
    Ok(())
}

fn stamp(path: &Path) -> io::Result<Stamp> {
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(BufReader::new(File::open(path)?))?;
    Ok(Stamp { bytes: fs::metadata(path)?.len(), hash: hasher.finalize() })
}
