//! Photographs from the knowledge base into a fresh folder, as the pictures that are planned of them.
//!
//! A photograph that cannot be read or made is left out and knows it; only a full or broken disk stops the rest.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::disk::filling::write_below;
use crate::disk::{DiskError, found, preview, walk};
use crate::fault::Unreadable;
use crate::photograph::making::Unmade;
use crate::publish::photographs::Photograph;

/// Photographs of more pixels are made one after another, so that a few of them cannot fill the memory.
const MANY_PIXELS: u64 = 25_000_000;

/// Makes the pictures of each photograph on all threads, one photograph a thread, and gives what was written.
pub fn fill(
    root: &Path,
    folder: &Path,
    photographs: &[Photograph],
) -> Result<BTreeMap<String, blake3::Hash>, DiskError> {
    let (large, usual): (Vec<_>, Vec<_>) = photographs.iter().partition(|photograph| photograph.pixels() > MANY_PIXELS);
    let written: Result<Vec<_>, _> = usual.into_par_iter().map(|photograph| one(root, folder, photograph)).collect();
    let mut all: BTreeMap<_, _> = written?.into_iter().flatten().collect();
    for photograph in large {
        all.extend(one(root, folder, photograph)?);
    }
    Ok(all)
}

fn one(root: &Path, folder: &Path, photograph: &Photograph) -> Result<Vec<(String, blake3::Hash)>, DiskError> {
    match read(root, photograph.source()) {
        Ok(bytes) => photograph.make(&bytes).into_iter().map(|(path, made)| write_below(folder, path, &made)).collect(),
        Err(why) => {
            photograph.lose(why);
            Ok(Vec::new())
        }
    }
}

/// Reads a photograph that was a plain file in plain folders when it was looked at, and must still be one.
fn read(root: &Path, path: &str) -> Result<Vec<u8>, Unmade> {
    let place = preview::plain(root, path).ok_or(Unmade::Changed)?;
    walk::content(&place, found::PICTURE_LIMIT).map_err(|why| match why {
        Unreadable::Refused(words) => Unmade::Undecodable(words),
        _ => Unmade::Changed,
    })
}
