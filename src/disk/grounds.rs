//! Pages that rest on what they rested on when the old output was written: they are taken over and not made again.
//!
//! The list in an output says of each maker what its pages were made of. Whoever deletes the output, or its list, has
//! all made anew; an output that is not as its list has it is refused before anything is taken over.

use crate::disk::folders::Folders;
use crate::publish::grounds::Grounds;
use crate::publish::output::OutputFile;
use crate::publish::output::Planned;
use crate::publish::written::{Stamp, Written};
use crate::record::id::MakerId;

/// What pages rest on, where all of it is known.
#[derive(Clone, Copy)]
pub struct Kept<'a>(Option<&'a Grounds>);

impl<'a> Kept<'a> {
    /// Takes what was planned; the photographs are made. Where one failed, pages leave it out, which no ground knows of.
    pub fn new(site: &Planned<'a>) -> Kept<'a> {
        let is_whole = site.photographs.iter().all(|photograph| photograph.fault().is_none());
        Kept(site.grounds.filter(|_| is_whole))
    }

    /// Takes a page over from the old output, if it would be the same.
    pub fn page(self, folders: &Folders<'_>, file: &OutputFile<'_>) -> Option<Stamp> {
        let (maker, grounds) = (file.maker()?, self.0?);
        let ground = Stamp { bytes: 0, hash: grounds.of(maker)? };
        if folders.has(&line(maker), &ground) { folders.take_over(file.path()) } else { None }
    }

    /// What the list is to say of each maker.
    pub fn lines(self) -> Written {
        let grounds = self.0.into_iter().flat_map(Grounds::iter);
        grounds.map(|(maker, hash)| (line(maker), Stamp { bytes: 0, hash })).collect()
    }
}

/// Under which path of no file the list names the ground of a maker.
fn line(maker: &MakerId) -> String {
    format!("makers/{maker}")
}
