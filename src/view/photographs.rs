//! The photographs that entries name: planned as files here, made when the writer hands over their bytes.
//!
//! Opens no file. What cannot be made is remembered, so that pages, which are made later, leave it out.

pub mod pictures;

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use crate::fault::photograph::PhotographFault;
use crate::knowledge::Knowledge;
use crate::photograph::making::{self, Unmade};
use crate::photograph::{Facts, Size};
use crate::resolve::RecordIndex;
use crate::source::{Attachment, Place};

/// The top folder of all pictures of the site; no publisher owns it.
const FOLDER: &str = "photographs";

/// A photograph of an entry that the site is to show.
pub struct Photograph {
    key: (RecordIndex, usize),
    place: Place,
    name: String,
    source: String,
    facts: Facts,
    stem: String,
    /// Whether an earlier place names the same file, whose pictures are then these.
    is_repeated: bool,
    /// Shared by all places that name the same file.
    fault: Arc<OnceLock<PhotographFault>>,
}

impl Photograph {
    /// Its path in the knowledge base.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// Says whether an earlier place names the same file: its pictures are made there, once for all.
    pub fn is_repeated(&self) -> bool {
        self.is_repeated
    }

    /// Counts its pixels.
    pub fn pixels(&self) -> u64 {
        self.facts.pixels()
    }

    /// The pictures that are made of it, by path in the output, the smallest first.
    pub fn pictures(&self) -> Vec<(String, Size)> {
        let path = |size: &Size| format!("{}-{}.{}", self.stem, size.width, self.facts.ending());
        self.facts.sizes().into_iter().map(|size| (path(&size), size)).collect()
    }

    /// Makes the pictures from the photograph's bytes; none if that fails, and the failure is kept.
    pub fn make(&self, bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
        match making::pictures(bytes, &self.facts) {
            Ok(made) => self.pictures().into_iter().map(|(path, _)| path).zip(made).collect(),
            Err(why) => {
                self.lose(why);
                Vec::new()
            }
        }
    }

    /// Notes that its pictures could not be made.
    pub fn lose(&self, why: Unmade) {
        let file = self.name.clone();
        let fault = match why {
            Unmade::CutShort => PhotographFault::CutShort { file },
            Unmade::Undecodable(problem) => PhotographFault::Unmade { file, problem },
            Unmade::Changed => {
                PhotographFault::Unmade { file, problem: "it changed while it was being read".to_string() }
            }
        };
        // Only the first failure is kept.
        let _ = self.fault.set(fault);
    }

    /// Why its pictures could not be made, and where it is named.
    pub fn fault(&self) -> Option<(Place, &PhotographFault)> {
        self.fault.get().map(|fault| (self.place, fault))
    }
}

/// The photographs of a knowledge base that can be published, in the order of their entries.
pub struct Photographs(Vec<Photograph>);

impl Photographs {
    /// Plans those that are there and within the limits.
    pub fn planned(knowledge: &Knowledge) -> Photographs {
        let attachments = knowledge.catalog.sources.attachments();
        let lying = attachments.iter().map(|attachment| (attachment.path.as_str(), attachment)).collect();
        let records = (0_u32..).map(RecordIndex).zip(&knowledge.catalog.records);
        let mut photographs: Vec<Photograph> = records.flat_map(|(index, _)| of(knowledge, index, &lying)).collect();
        let mut first: BTreeMap<String, usize> = BTreeMap::new();
        for at in 0..photographs.len() {
            let earlier = *first.entry(photographs[at].source.clone()).or_insert(at);
            if earlier < at {
                let (stem, fault) = (photographs[earlier].stem.clone(), Arc::clone(&photographs[earlier].fault));
                let repeated = &mut photographs[at];
                (repeated.stem, repeated.fault, repeated.is_repeated) = (stem, fault, true);
            }
        }
        Photographs(photographs)
    }

    /// All of them.
    pub fn all(&self) -> &[Photograph] {
        &self.0
    }

    /// Counts the pictures that were made.
    pub fn made(&self) -> usize {
        let whole = self.0.iter().filter(|photograph| !photograph.is_repeated && photograph.fault.get().is_none());
        whole.map(|photograph| photograph.pictures().len()).sum()
    }

    /// The one that an entry names at a place of its list, if it can be published.
    pub fn find(&self, record: RecordIndex, number: usize) -> Option<&Photograph> {
        let found = self.0.binary_search_by_key(&(record, number), |photograph| photograph.key).ok()?;
        Some(&self.0[found])
    }
}

fn of(knowledge: &Knowledge, index: RecordIndex, lying: &BTreeMap<&str, &Attachment>) -> Vec<Photograph> {
    let record = knowledge.catalog.record(index);
    let named = record.content.observation().map_or(&[][..], |observation| observation.photographs.as_slice());
    let planned = named.iter().enumerate().filter_map(|(number, reference)| {
        let source = format!("{}/{}", record.path.folder(), reference.file.value);
        let facts = lying.get(source.as_str())?.picture.ok().filter(|facts| facts.excess().is_none())?;
        Some(Photograph {
            key: (index, number),
            place: Place { file: record.file, span: reference.file.span },
            name: reference.file.value.clone(),
            source,
            facts,
            // Names of entries are plain; those of files are not, and say more than their owners may know.
            stem: format!("{FOLDER}/{}/{}", record.path.address(), number + 1),
            is_repeated: false,
            fault: Arc::default(),
        })
    });
    planned.collect()
}

#[cfg(test)]
mod tests {
    use super::FOLDER;
    use crate::publish::PUBLISHERS;
    use crate::publish::pattern;

    #[test]
    fn no_publisher_writes_where_the_pictures_are() {
        let owned = PUBLISHERS.iter().flat_map(|publisher| publisher.owns);
        assert!(owned.into_iter().all(|owned| !pattern::overlap(owned, &format!("{FOLDER}/**"))));
    }
}
