//! Reads submitted drafts: a file with its photographs in the same folder, or a bundle of both.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use crate::disk::bring;
use crate::import::bundle::{self, Bundle};
use crate::import::name::Left;
use crate::import::{Candidate, Origin, leftover};
use crate::sheet::encoding;
use crate::source::{Attachment, Sources};

/// The drafts, and the location of their photographs.
#[derive(Default)]
pub(super) struct Handed {
    /// The text of each draft by its name, or why it cannot be read.
    pub drafts: Vec<(String, Result<String, String>)>,
    /// The bundles, by the names of their drafts.
    bundles: BTreeMap<String, Rc<Bundle>>,
}

/// Says whether a file is a draft or a bundle of drafts, judging by its extension.
pub(super) fn is_one(path: &Path) -> bool {
    ["md", "zip"].iter().any(|ending| has_ending(path, ending))
}

fn has_ending(path: &Path, ending: &str) -> bool {
    path.extension().is_some_and(|own| own.eq_ignore_ascii_case(ending))
}

impl Handed {
    /// Reads drafts and bundles; reports a draft in another encoding with the other mistakes.
    pub fn read(paths: &[&PathBuf]) -> anyhow::Result<Handed> {
        let mut handed = Handed::default();
        for path in paths {
            let (name, bytes) = (path.display().to_string(), bring::whole(path)?);
            if !has_ending(path, "zip") {
                handed.drafts.push((name, encoding::strict(&bytes)));
                continue;
            }
            match bundle::read(&bytes) {
                Ok(bundle) => handed.unpack(&name, bundle),
                Err(problem) => handed.drafts.push((name, Err(problem))),
            }
        }
        Ok(handed)
    }

    fn unpack(&mut self, name: &str, bundle: Bundle) {
        let bundle = Rc::new(bundle);
        for (draft, bytes) in &bundle.drafts {
            let draft = format!("{name}/{draft}");
            self.drafts.push((draft.clone(), encoding::strict(bytes)));
            self.bundles.insert(draft, Rc::clone(&bundle));
        }
    }

    /// The photographs beside entries that none of them names and that a draft brings again, byte for byte.
    pub fn left(&self, root: &Path, sources: &Sources) -> BTreeSet<Left> {
        let attachments = sources.attachments().iter();
        let paths: BTreeSet<String> = attachments.map(|one| one.path.to_string()).collect();
        let mut found = BTreeSet::new();
        for path in leftover::unnamed(sources, paths) {
            let name = path.rsplit('/').next().unwrap_or_default();
            for (draft, _) in &self.drafts {
                let is_same = match self.bundles.get(draft) {
                    Some(bundle) => {
                        bundle.photographs.get(name).is_some_and(|bytes| bring::is_photograph(root, &path, bytes))
                    }
                    None => bring::is_photograph_beside(Path::new(draft), root, &path),
                };
                if is_same {
                    found.insert(Left { draft: draft.clone(), path: path.clone() });
                }
            }
        }
        found
    }

    /// The photographs of the drafts, under the paths that they get.
    pub fn photographs(&self, candidates: &[Candidate]) -> Vec<Attachment> {
        let of = |candidate: &Candidate| {
            let taken = candidate.photographs.iter().filter(|taken| !taken.is_there);
            let found = taken.filter_map(|taken| self.look(candidate, &taken.from, &beside(candidate, &taken.to)));
            found.collect::<Vec<_>>()
        };
        candidates.iter().flat_map(of).collect()
    }

    /// Writes the photographs of an entry. A missing photograph is reported, and the entry is
    /// written without it.
    pub fn write(&self, root: &Path, candidate: &Candidate) -> anyhow::Result<()> {
        let Some(draft) = draft(candidate) else { return Ok(()) };
        for taken in candidate.photographs.iter().filter(|taken| !taken.is_there) {
            let path = beside(candidate, &taken.to);
            match self.bundles.get(draft) {
                Some(bundle) => {
                    if let Some(bytes) = bundle.photographs.get(&taken.from) {
                        bring::photograph(root, &path, bytes)?;
                    }
                }
                None if bring::photograph_beside(Path::new(draft), &taken.from, &path).is_some() => {
                    bring::copy(Path::new(draft), &taken.from, root, &path)?;
                }
                None => {}
            }
        }
        Ok(())
    }

    fn look(&self, candidate: &Candidate, name: &str, path: &str) -> Option<Attachment> {
        let draft = draft(candidate)?;
        match self.bundles.get(draft) {
            Some(bundle) => bundle.photographs.get(name).map(|bytes| bring::photograph_in_hand(bytes, path)),
            None => bring::photograph_beside(Path::new(draft), name, path),
        }
    }
}

fn draft(candidate: &Candidate) -> Option<&str> {
    match &candidate.origin {
        Origin::File(name) => Some(name),
        Origin::Row(_) | Origin::Entry(_) => None,
    }
}

/// The path of a photograph in the folder of an entry.
fn beside(candidate: &Candidate, name: &str) -> String {
    let folder = candidate.path.rsplit_once('/').map_or("", |(folder, _)| folder);
    format!("{folder}/{name}")
}
