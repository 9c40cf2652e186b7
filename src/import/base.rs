//! The entries of another knowledge base to entries of this one: what its names mean here, what gets another name, and
//! what cannot be brought.
//!
//! Of each entry only the bytes of names change, so that what people wrote stays. What is here stays as it is, but for
//! `withheld` in the settings: what is withheld there stays so.

pub mod answers;
mod cited;
mod garments;
mod gathering;
mod here;
mod lines;
mod matching;
mod still_withheld;
mod things;
mod units;
mod vocabulary;
pub mod withholding;

use std::collections::{BTreeMap, BTreeSet};

use crate::compile::Compilation;
use crate::diagnostic::wording::quote;
use crate::diagnostic::{Diagnostic, Level};
use crate::import::base::answers::Answers;
use crate::import::base::cited::Cited;
use crate::import::base::garments::Recorded;
use crate::import::base::here::Here;
use crate::import::base::matching::Matching;
use crate::import::base::things::Things;
use crate::import::base::vocabulary::Words;
use crate::import::base::withholding::SETTINGS;
use crate::import::question::Asked;
use crate::import::{Candidate, Gathered, Origin, Trouble, name, proof};
use crate::rename::rewriting;
use crate::resolve::{Catalog, RecordIndex};
use crate::source::{Attachment, FilePath};

/// Where the vocabulary is.
pub const VOCABULARY: &str = "schema/vocabulary.toml";

/// The entries an import of another knowledge base brings, with the meaning of its names here.
pub struct Plan<'a> {
    /// The records here.
    ours: &'a Catalog,
    /// The other knowledge base.
    theirs: &'a Compilation,
    answers: &'a Answers,
    /// The meaning of its names here.
    matching: Matching,
    /// The entries that its own check refuses, by path.
    refused: BTreeMap<String, Trouble>,
    /// Its records by path.
    records: BTreeMap<&'a str, RecordIndex>,
    /// The files in the folders of its entries, by path.
    beside: BTreeMap<&'a str, &'a Attachment>,
    /// The observations that are here.
    recorded: Recorded,
}

/// A record that both knowledge bases have: the one here stays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SharedRecord {
    /// Its path there.
    pub there: String,
    /// Its path here.
    pub here: String,
    /// Whether it says something else there.
    pub differs: bool,
}

impl<'a> Plan<'a> {
    /// Finds out what the names of another knowledge base mean here. One whose vocabulary or settings cannot be read is
    /// refused, and so are answers that cannot be meant.
    pub fn new(ours: &'a Catalog, theirs: &'a Compilation, answers: &'a Answers) -> Result<Plan<'a>, String> {
        let refused = refused(theirs)?;
        let catalog = &theirs.knowledge.catalog;
        let mut matching = Matching::default();
        let words = Words { ours: &ours.vocabulary, theirs: &catalog.vocabulary, answers };
        words.match_all(&mut matching)?;
        Things { ours: Here(ours), theirs: catalog, answers }.match_all(&mut matching)?;
        Cited { ours, theirs: catalog, answers }.match_all(&mut matching)?;
        add_earlier_addresses(catalog, &mut matching);
        check_entries(ours, catalog, answers)?;
        let indices = (0_u32..).map(RecordIndex).zip(&catalog.records);
        Ok(Plan {
            ours,
            theirs,
            answers,
            matching,
            refused,
            records: indices.map(|(index, record)| (record.path.as_str(), index)).collect(),
            beside: catalog.sources.attachments().iter().map(|one| (one.path.as_str(), one)).collect(),
            recorded: Recorded::of(ours),
        })
    }

    /// Gathers all entries that can be brought, except those in `wrong`, and the reasons that keep back the others.
    pub fn gather(&self, wrong: &BTreeSet<Origin>) -> Gathered {
        gathering::gather(self, wrong)
    }

    /// The records that both knowledge bases have, in order of their paths there.
    pub fn kept(&self) -> Vec<SharedRecord> {
        let (moves, there) = (self.matching.moves(), &self.theirs.knowledge.catalog.sources);
        let kept = self.matching.here.iter().filter_map(|(address, here)| {
            let path = [address, here].map(|address| format!("entries/{address}.md"));
            let file = there.file(there.find(&path[0])?);
            let own = self.ours.sources.file(self.ours.sources.find(&path[1])?).text();
            let differs = rewriting::once(file, &moves).is_none_or(|text| text.trim_end() != own.trim_end());
            let [there, here] = path;
            Some(SharedRecord { there, here, differs })
        });
        kept.collect()
    }

    /// The questions for which the output proposes an answer.
    pub fn proposed(&self) -> BTreeSet<Asked> {
        self.matching.proposals().cloned().collect()
    }

    /// The photographs of entries, under the paths that they get; those that are not there are left out.
    pub fn photographs(&self, candidates: &[Candidate]) -> Vec<Attachment> {
        let brought = candidates.iter().flat_map(|candidate| self.photographs_of(candidate));
        brought.map(|brought| Attachment { path: FilePath::new(brought.to), ..brought.there.clone() }).collect()
    }

    /// The photographs of one entry that are there.
    pub fn photographs_of(&self, candidate: &Candidate) -> Vec<PhotographCopy<'a>> {
        let Origin::Entry(path) = &candidate.origin else { return Vec::new() };
        let folders = [path, &candidate.path].map(|path| path.rsplit_once('/').map_or("", |(folder, _)| folder));
        let taken = candidate.photographs.iter().filter_map(|taken| {
            let there = *self.beside.get(format!("{}/{}", folders[0], taken.from).as_str())?;
            Some(PhotographCopy { there, to: format!("{}/{}", folders[1], taken.to) })
        });
        taken.collect()
    }

    /// Says by how many years `~` widens a year there and here, where that differs.
    pub fn circa_years(&self) -> Option<[u32; 2]> {
        let years = [&self.theirs.knowledge.catalog, self.ours].map(|catalog| catalog.about.circa_years);
        (years[0] != years[1]).then_some(years)
    }
}

/// Says whether an answer leaves the entry out, so that nothing is wrong.
pub fn is_left_out(trouble: &Trouble) -> bool {
    matching::is_left_out(trouble)
}

/// A photograph that goes with an entry.
pub struct PhotographCopy<'a> {
    /// The file there, with its path.
    pub there: &'a Attachment,
    /// Its path here.
    pub to: String,
}

/// The entries that a knowledge base's own check refuses, each with its first mistake.
fn refused(theirs: &Compilation) -> Result<BTreeMap<String, Trouble>, String> {
    let sources = &theirs.knowledge.catalog.sources;
    // The compiler reports either on a file that is not to blame.
    for (path, why) in [(VOCABULARY, "its words mean"), (SETTINGS, "it withholds")] {
        if sources.find(path).is_none() {
            return Err(format!("has no `{path}`, so what {why} is not known"));
        }
    }
    let mut refused = BTreeMap::new();
    for diagnostic in theirs.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error) {
        let place = diagnostic.primary().place;
        let file = sources.file(place.file);
        let (path, line) = (file.path().as_str(), file.line_of(place.span.start()));
        let message = format!("its own check refuses it: {}", proof::words(diagnostic));
        match path {
            VOCABULARY | SETTINGS => return Err(unusable(path, line, diagnostic)),
            _ => {
                let trouble = Trouble::new(Origin::Entry(path.to_string()), Some(format!("line {line}")), message);
                refused.entry(path.to_string()).or_insert(trouble);
            }
        }
    }
    Ok(refused)
}

/// Refuses answers about entries that are not there, and those that name neither an observation here nor a file.
fn check_entries(ours: &Catalog, theirs: &Catalog, answers: &Answers) -> Result<(), String> {
    let paths = || theirs.sources.iter().map(|(_, file)| file.path().as_str());
    for path in answers.values("entry") {
        if theirs.sources.find(path).is_none() || !path.starts_with("entries/") {
            return Err(answers::unknown("entry", path, paths()));
        }
        let answer = answers.value("entry", path).unwrap_or_default();
        let is_here = ours.sources.find(answer).is_some() && name::address(answer).is_ok();
        let is_free = name::address(&format!("{}/{answer}.md", name::UNPLACED)).is_ok();
        if !answer.is_empty() && !is_here && !is_free {
            return Err(format!(
                "`[values.entry]`: {} is neither the path of an observation here nor a name in small letters, digits and \
                 hyphens",
                quote(answer)
            ));
        }
    }
    Ok(())
}

fn unusable(path: &str, line: usize, diagnostic: &Diagnostic) -> String {
    let why = if path == SETTINGS { "it withholds" } else { "its words mean" };
    format!("`{path}` has an error, so what {why} is not known; line {line}: {}", proof::words(diagnostic))
}

/// References through an earlier address there lead to what the record is called here.
fn add_earlier_addresses(theirs: &Catalog, matching: &mut Matching) {
    let moves = matching.moves();
    for (old, now) in &theirs.moved {
        let here = moves.address(now).unwrap_or_else(|| now.clone());
        if here != *now || matching.here.contains_key(now) {
            matching.names.records.entry(old.clone()).or_insert(here);
        }
    }
}
