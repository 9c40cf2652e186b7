//! Writes the planned pictures of photographs into a fresh folder.
//!
//! A photograph that cannot be read or made is left out and marked; only a full or broken disk stops the rest.

use std::path::Path;

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::compile::progress::{Observer, Stage, Tally};
use crate::disk::folders::Folders;
use crate::disk::{DiskError, found, preview, walk};
use crate::fault::Unreadable;
use crate::photograph::making::Unmade;
use crate::publish::output_log::{OutputLog, Stamp};
use crate::view::photographs::Photograph;

/// Photographs of more pixels are made one after another, so that a few of them cannot fill the memory.
const MANY_PIXELS: u64 = 25_000_000;

/// The pictures of one photograph as written.
type Filled = Vec<(String, Stamp)>;

/// Makes the pictures of each photograph on all threads, one photograph a thread, and gives what was written. A file that
/// several places name is decoded once.
pub fn fill(folders: &Folders<'_>, photographs: &[Photograph], observer: Observer<'_>) -> Result<OutputLog, DiskError> {
    if photographs.is_empty() {
        return Ok(OutputLog::new());
    }
    let photographs: Vec<&Photograph> = photographs.iter().filter(|photograph| !photograph.is_repeated()).collect();
    let tally = Tally::begin(observer, Stage::Photographs, photographs.len());
    let one = |photograph| one(folders, photograph).inspect(|_| tally.count());
    let (large, usual): (Vec<_>, Vec<_>) =
        photographs.into_iter().partition(|photograph| photograph.pixels() > MANY_PIXELS);
    let small: Result<Vec<Filled>, DiskError> = usual.into_par_iter().map(one).collect();
    let mut filled = small?;
    for photograph in large {
        filled.push(one(photograph)?);
    }
    Ok(filled.into_iter().flatten().collect())
}

fn one(folders: &Folders<'_>, photograph: &Photograph) -> Result<Filled, DiskError> {
    let bytes = match read(folders.root, photograph.source()) {
        Ok(bytes) => bytes,
        Err(why) => {
            photograph.lose(why);
            return Ok(Vec::new());
        }
    };
    let pictures = photograph.make(&bytes).into_iter();
    pictures.map(|(path, picture)| folders.put_below(path, &picture)).collect()
}

/// Reads a photograph that was a plain file in plain folders when it was looked at, and must still be one.
pub fn read(root: &Path, path: &str) -> Result<Vec<u8>, Unmade> {
    let place = preview::plain(root, path).ok_or(Unmade::Changed)?;
    walk::content(&place, found::PICTURE_LIMIT).map_err(|why| match why {
        Unreadable::Refused(words) => Unmade::Undecodable(words),
        _ => Unmade::Changed,
    })
}
