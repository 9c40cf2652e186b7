//! Photographs from the knowledge base into a fresh folder, as the pictures that are planned of them.
//!
//! A photograph that cannot be read or made is left out and knows it; only a full or broken disk stops the rest.
//! Pictures that the output already has, made of the same bytes in the same way, are taken over from there.

use std::fs;
use std::path::Path;

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::compile::progress::{Observer, Stage, Tally};
use crate::digest::Digest;
use crate::disk::folders::Folders;
use crate::disk::{DiskError, found, preview, walk};
use crate::fault::Unreadable;
use crate::photograph::making::Unmade;
use crate::publish::written::{Stamp, Written};
use crate::view::photographs::Photograph;

/// Photographs of more pixels are made one after another, so that a few of them cannot fill the memory.
const MANY_PIXELS: u64 = 25_000_000;

/// All that pictures depend on beside their photograph: the code that makes them, and the versions of that of others.
const RECIPE: [&str; 4] = [
    include_str!("../photograph.rs"),
    include_str!("../photograph/making.rs"),
    include_str!("../photograph/smaller.rs"),
    include_str!("../../Cargo.lock"),
];

/// The pictures of one photograph as written, and under the common beginning of their names what they were made from.
type Filled = (Vec<(String, Stamp)>, Option<(String, Stamp)>);

/// Makes the pictures of each photograph on all threads, one photograph a thread.
///
/// Gives what was written, and what it was made from, which is no file but belongs into the list of them.
pub fn fill(
    folders: &Folders<'_>,
    photographs: &[Photograph],
    observer: Observer<'_>,
) -> Result<(Written, Written), DiskError> {
    if photographs.is_empty() {
        return Ok((Written::new(), Written::new()));
    }
    let tally = Tally::begin(observer, Stage::Photographs, photographs.len());
    let one = |photograph| one(folders, photograph).inspect(|_| tally.count());
    let (large, usual): (Vec<_>, Vec<_>) = photographs.iter().partition(|photograph| photograph.pixels() > MANY_PIXELS);
    let small: Result<Vec<Filled>, DiskError> = usual.into_par_iter().map(one).collect();
    let mut filled = small?;
    for photograph in large {
        filled.push(one(photograph)?);
    }
    let (pictures, origins): (Vec<_>, Vec<_>) = filled.into_iter().unzip();
    Ok((pictures.into_iter().flatten().collect(), origins.into_iter().flatten().collect()))
}

fn one(folders: &Folders<'_>, photograph: &Photograph) -> Result<Filled, DiskError> {
    let bytes = match read(folders.root, photograph.source()) {
        Ok(bytes) => bytes,
        Err(why) => {
            photograph.lose(why);
            return Ok((Vec::new(), None));
        }
    };
    let origin = Stamp { bytes: bytes.len() as u64, hash: made_from(&bytes) };
    let is_known = folders.has(photograph.stem(), &origin);
    let kept = if is_known { kept(folders, photograph) } else { None };
    let pictures = kept.unwrap_or_else(|| photograph.make(&bytes));
    let origin = (!pictures.is_empty()).then(|| (photograph.stem().to_string(), origin));
    let written = pictures.into_iter().map(|(path, picture)| folders.put_below(path, &picture));
    Ok((written.collect::<Result<_, DiskError>>()?, origin))
}

/// Names a photograph's bytes together with all that decides what is made of them.
fn made_from(bytes: &[u8]) -> blake3::Hash {
    let mut digest = Digest::default();
    for part in RECIPE {
        digest.add(part);
    }
    digest.add(bytes).name()
}

/// Reads the pictures that the old output has of a photograph; nothing where one is missing or not as it was written.
fn kept(folders: &Folders<'_>, photograph: &Photograph) -> Option<Vec<(String, Vec<u8>)>> {
    let read = |path: String| {
        let picture = fs::read(preview::plain(folders.old, &path)?).ok()?;
        folders.has(&path, &Stamp::of(&picture)).then_some((path, picture))
    };
    photograph.pictures().into_iter().map(|(path, _)| read(path)).collect()
}

/// Reads a photograph that was a plain file in plain folders when it was looked at, and must still be one.
pub fn read(root: &Path, path: &str) -> Result<Vec<u8>, Unmade> {
    let place = preview::plain(root, path).ok_or(Unmade::Changed)?;
    walk::content(&place, found::PICTURE_LIMIT).map_err(|why| match why {
        Unreadable::Refused(words) => Unmade::Undecodable(words),
        _ => Unmade::Changed,
    })
}
