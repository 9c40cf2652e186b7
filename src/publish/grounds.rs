//! A name for all that the pages of a maker are made of: where it is the same, so are they.

use std::collections::BTreeMap;

use include_dir::{Dir, include_dir};

use crate::digest::Digest;
use crate::page::Site;
use crate::record::id::MakerId;
use crate::resolve::Catalog;
use crate::resolve::grounds::{self, Ground};

/// The program itself: with it changes what it makes of the same files.
static PROGRAM: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src");

/// The code of others in it, by version.
const LIBRARIES: &str = include_str!("../../Cargo.lock");

/// The names of all makers' grounds.
pub struct Grounds(BTreeMap<MakerId, blake3::Hash>);

impl Grounds {
    /// Names the grounds of a catalog that holds a record of every file.
    pub fn new(catalog: &Catalog, site: &Site) -> Grounds {
        let begun = begun(catalog, site);
        let named = grounds::of(catalog).into_iter().flat_map(|ground| {
            let name = name(begun.clone(), catalog, &ground);
            ground.makers.into_iter().map(move |maker| (maker.clone(), name))
        });
        Grounds(named.collect())
    }

    /// The name of what a maker stands on.
    pub fn of(&self, maker: &MakerId) -> Option<blake3::Hash> {
        self.0.get(maker).copied()
    }

    /// Every maker, with the name of what it stands on.
    pub fn iter(&self) -> impl Iterator<Item = (&MakerId, blake3::Hash)> {
        self.0.iter().map(|(maker, name)| (maker, *name))
    }
}

/// Begins with what all grounds share and no file of entries holds.
fn begun(catalog: &Catalog, site: &Site) -> Digest {
    let mut digest = Digest::default();
    let mut folders = vec![&PROGRAM];
    while let Some(folder) = folders.pop() {
        folders.extend(folder.dirs());
        for file in folder.files() {
            digest.add(file.contents());
        }
    }
    digest.add(LIBRARIES).add(site.name().as_bytes());
    for (old, new) in &catalog.moved {
        digest.add(old).add(new);
    }
    digest
}

fn name(mut digest: Digest, catalog: &Catalog, ground: &Ground<'_>) -> blake3::Hash {
    for file in ground.files.iter().map(|file| catalog.sources.file(*file)) {
        digest.add(file.path().as_str()).add(file.text());
    }
    let beside = catalog.sources.attachments().iter().filter(|attachment| ground.shows(attachment.path.as_str()));
    for attachment in beside {
        digest.add(format!("{attachment:?}"));
    }
    digest.name()
}
