//! Packs a written folder into one file: a zip archive to keep or pass on.
//!
//! Same files, same bytes: names come in order and carry no times. Batches of files are packed on all threads.

use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Cursor};
use std::path::Path;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

use crate::disk::folders::Folders;
use crate::disk::{DiskError, failure};
use crate::publish::output_log::{OutputLog, Stamp};

/// The folder within the archive, so that unpacking fills only that.
const FOLDER: &str = "site";

/// Endings of files that are already compressed.
const PACKED: [&str; 3] = [".jpg", ".png", ".zip"];

/// The files that one thread packs at a time.
const BATCH: usize = 64;

/// The batches that are packed before they are written: more would only wait in memory.
const AT_ONCE: usize = 4;

/// How hard text is packed. Levels 7 to 9 take up to twice the time of this one and save 1 to 3 %.
const EFFORT: i64 = 6;

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
    let names: Vec<&String> = written.keys().collect();
    let batches: Vec<&[&String]> = names.chunks(BATCH).collect();
    for together in batches.chunks(AT_ONCE) {
        let packed: io::Result<Vec<_>> = together.par_iter().map(|batch| packed(folders, batch)).collect();
        for batch in packed? {
            archive.merge_archive(ZipArchive::new(batch)?)?;
        }
    }
    archive.finish()?.into_inner().map_err(io::IntoInnerError::into_error)?;
    Ok(())
}

/// Packs some files into an archive in memory, whose parts the whole archive takes over as they are.
fn packed(folders: &Folders<'_>, names: &[&String]) -> io::Result<Cursor<Vec<u8>>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let plain = SimpleFileOptions::default().last_modified_time(DateTime::default()).unix_permissions(0o644);
    let deflated = plain.compression_method(CompressionMethod::Deflated).compression_level(Some(EFFORT));
    let stored = plain.compression_method(CompressionMethod::Stored);
    for name in names {
        let options = if PACKED.iter().any(|ending| name.ends_with(ending)) { stored } else { deflated };
        archive.start_file(format!("{FOLDER}/{name}"), options)?;
        io::copy(&mut File::open(folders.fresh.join(name))?, &mut archive)?;
    }
    Ok(archive.finish()?)
}

fn stamp(path: &Path) -> io::Result<Stamp> {
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(BufReader::new(File::open(path)?))?;
    Ok(Stamp { bytes: fs::metadata(path)?.len(), hash: hasher.finalize() })
}
