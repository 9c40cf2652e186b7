//! The list of all publishers: each turns knowledge into the files of one page kind or one export.
//!
//! Files are planned first and made one by one when they are written, so that the whole site is never in memory.
//! No publisher calls another, and none touches the disk.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::chronology::without::Without;
use crate::comparison::question::Question;
use crate::dating::likelihood::{self, Tables};
use crate::evidence::{self, Evidence};
use crate::knowledge::Knowledge;
use crate::page::Site;
use crate::record::id::{MakerId, VariantId};

mod a_z;
mod assets;
mod calibration;
mod chart;
mod claims;
mod comparison;
mod conflicts;
mod contribute;
mod descent;
mod dots;
mod downloads;
mod feed;
mod field_sheet;
mod figures;
mod glance;
pub mod grounds;
mod home;
mod in_hand;
mod index;
mod landmarks;
mod leaf;
mod letters;
mod lints;
mod maker;
mod model;
mod moved;
mod names;
mod observation;
mod offline;
mod open;
mod package;
mod pairs;
mod path;
mod pattern;
pub mod photographs;
mod questions;
mod readings;
mod reasons;
mod rules;
mod search;
mod seen;
mod shown;
mod sources;
mod states;
mod strata;
mod strips;
mod turning;
mod uncounted;
mod unplaced;
mod variant;
mod whereabouts;
pub mod written;

use crate::publish::grounds::Grounds;
use crate::publish::index::Index;
use crate::publish::names::Named;
use crate::publish::photographs::Photographs;
use crate::publish::written::{Turn, Written};

/// Every publisher.
pub const PUBLISHERS: &[&Publisher] = &[
    &a_z::PUBLISHER,
    &assets::PUBLISHER,
    &calibration::PUBLISHER,
    &comparison::PUBLISHER,
    &conflicts::PUBLISHER,
    &contribute::PUBLISHER,
    &downloads::PUBLISHER,
    &feed::PUBLISHER,
    &field_sheet::PUBLISHER,
    &home::PUBLISHER,
    &in_hand::PUBLISHER,
    &landmarks::PUBLISHER,
    &lints::PUBLISHER,
    &maker::PUBLISHER,
    &model::PUBLISHER,
    &observation::PUBLISHER,
    &offline::PUBLISHER,
    &package::PUBLISHER,
    &questions::PUBLISHER,
    &rules::PUBLISHER,
    &search::PUBLISHER,
    &sources::PUBLISHER,
    &variant::PUBLISHER,
    &whereabouts::PUBLISHER,
];

/// One page kind or export.
pub struct Publisher {
    /// What it is called: the name of its file.
    pub name: &'static str,
    /// What it writes, in a line.
    pub description: &'static str,
    /// The paths that are its own: `*` stands for any text within a segment, `**` for any segments.
    pub owns: &'static [&'static str],
    /// Plans its files.
    pub publish: for<'a> fn(&'a Context<'a>) -> Vec<OutputFile<'a>>,
}

/// What a publisher works from.
pub struct Context<'a> {
    /// Everything that is known and concluded.
    pub knowledge: &'a Knowledge,
    /// Templates and assets.
    pub site: &'a Site,
    /// The content id of the knowledge base.
    pub version: &'a str,
    /// The photographs that are to be shown.
    pub photographs: Photographs,
    /// Whether an archive of the whole site will lie beside it.
    has_bundle: bool,
    /// Ways from one record or conclusion to others.
    index: Index<'a>,
    /// What was seen of each variant, counted once: half the pages tell of it.
    evidence: BTreeMap<&'a VariantId, Evidence<'a>>,
    /// What garments are dated by, made when first asked for.
    tables: OnceLock<Tables>,
    /// `rules.json`, made when first asked for: three files hold it.
    rules: OnceLock<Result<Vec<u8>, String>>,
    /// What is open of each variant, ranked when first asked for: two pages name it.
    questions: OnceLock<Vec<Question>>,
    /// Everything with a name, listed when first asked for: the search and each page of the A–Z read it.
    names: OnceLock<Vec<Named>>,
}

impl<'a> Context<'a> {
    /// Joins what publishers work from; `version` is the content id of the knowledge base.
    pub fn new(knowledge: &'a Knowledge, site: &'a Site, version: &'a str) -> Context<'a> {
        let variants: Vec<&VariantId> = knowledge.catalog.variants.keys().collect();
        Context {
            knowledge,
            site,
            version,
            photographs: Photographs::planned(knowledge),
            has_bundle: false,
            index: Index::new(knowledge),
            evidence: variants.par_iter().map(|variant| (*variant, evidence::of(knowledge, variant))).collect(),
            tables: OnceLock::new(),
            rules: OnceLock::new(),
            questions: OnceLock::new(),
            names: OnceLock::new(),
        }
    }

    /// Says that an archive of the whole site will lie beside it.
    pub fn with_bundle(self) -> Context<'a> {
        Context { has_bundle: true, ..self }
    }

    /// Where the site will stand, with a slash at its end, if that is an address on the web.
    fn address(&self) -> Option<String> {
        let address = self.knowledge.catalog.about.address.as_deref().filter(|address| leaf::is_web(address))?;
        Some(format!("{}/", address.trim_end_matches('/')))
    }

    /// What is open of each variant, first what an observation would settle most of.
    fn questions(&self) -> &[Question] {
        self.questions.get_or_init(|| open::ranked(self))
    }

    /// What would be concluded with pieces left out.
    fn without(&self) -> Without<'_> {
        Without::new(self.knowledge)
    }

    /// Everything in the site that has a name.
    fn names(&self) -> &[Named] {
        self.names.get_or_init(|| names::all(self))
    }

    /// What was seen of a variant.
    fn evidence(&self, variant: &VariantId) -> Evidence<'a> {
        self.evidence.get(variant).cloned().unwrap_or_else(|| evidence::of(self.knowledge, variant))
    }

    /// What garments are dated by.
    pub fn tables(&self) -> &Tables {
        let seen = likelihood::Seen { knowledge: self.knowledge, counted: Some(&self.evidence) };
        self.tables.get_or_init(|| likelihood::judged(seen))
    }
}

/// The name of the archive that holds the whole site.
pub const BUNDLE: &str = "site.zip";

/// Everything that is to be written.
#[derive(Clone, Copy)]
pub struct Planned<'p> {
    /// Made first: pages leave out what could not be made.
    pub photographs: &'p [photographs::Photograph],
    /// Pages and exports.
    pub files: &'p [OutputFile<'p>],
    /// The name of an archive of all that, if one is wanted.
    pub bundle: Option<&'p str>,
    /// What pages rest on, where those that rest on the same as before need not be made again.
    pub grounds: Option<&'p Grounds>,
}

/// Makes a file's bytes, or says in words why it cannot.
type Make<'a> = Box<dyn Fn(&Written) -> Result<Vec<u8>, String> + Send + Sync + 'a>;

/// A file of the output: its path is known, its content is made when asked for.
pub struct OutputFile<'a> {
    path: String,
    turn: Turn,
    maker: Option<MakerId>,
    make: Make<'a>,
}

/// Why a file could not be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{path}: {problem}")]
pub struct PublishError {
    /// The file's path in the output.
    pub path: String,
    /// What is wrong, in words.
    pub problem: String,
}

impl<'a> OutputFile<'a> {
    /// Plans a file; `make` may be called from any thread and gives the same bytes each time.
    pub fn new<E: ToString>(
        path: impl Into<String>,
        make: impl Fn() -> Result<Vec<u8>, E> + Send + Sync + 'a,
    ) -> OutputFile<'a> {
        OutputFile::after(path, Turn::First, move |_| make())
    }

    /// Plans a file that tells of those of earlier turns.
    pub fn after<E: ToString>(
        path: impl Into<String>,
        turn: Turn,
        make: impl Fn(&Written) -> Result<Vec<u8>, E> + Send + Sync + 'a,
    ) -> OutputFile<'a> {
        let make = move |written: &Written| make(written).map_err(|error| error.to_string());
        OutputFile { path: path.into(), turn, maker: None, make: Box::new(make) }
    }

    /// Says that it is made of nothing but what a maker stands on.
    pub fn of(self, maker: MakerId) -> OutputFile<'a> {
        OutputFile { maker: Some(maker), ..self }
    }

    /// The maker of whose ground alone it is made.
    pub fn maker(&self) -> Option<&MakerId> {
        self.maker.as_ref()
    }

    /// When it is made.
    pub fn turn(&self) -> Turn {
        self.turn
    }

    /// The path in the output, with forward slashes.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Makes the content; `written` is all of earlier turns.
    pub fn content(&self, written: &Written) -> Result<Vec<u8>, PublishError> {
        (self.make)(written).map_err(|problem| PublishError { path: self.path.clone(), problem })
    }
}

/// Names the exports that other programs and spreadsheets read, by path in the output, each with what it is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    package::downloads().into_iter().chain(rules::downloads()).collect()
}

/// Plans the files of all publishers, sorted by path.
pub fn files<'a>(context: &'a Context<'a>) -> Result<Vec<OutputFile<'a>>, PublishError> {
    let mut sorted = BTreeMap::new();
    for publisher in PUBLISHERS {
        for file in (publisher.publish)(context) {
            let problem = if !publisher.owns.iter().any(|owned| pattern::matches(owned, &file.path)) {
                format!("not a path that `{}` owns", publisher.name)
            } else if sorted.contains_key(&file.path) {
                "planned twice".to_string()
            } else {
                sorted.insert(file.path.clone(), file);
                continue;
            };
            return Err(PublishError { path: file.path, problem });
        }
    }
    Ok(sorted.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::{PUBLISHERS, pattern};

    #[test]
    fn no_two_publishers_claim_one_path() {
        for (number, one) in PUBLISHERS.iter().enumerate() {
            for other in &PUBLISHERS[number + 1..] {
                for (mine, theirs) in
                    one.owns.iter().flat_map(|mine| other.owns.iter().map(move |theirs| (mine, theirs)))
                {
                    assert!(!pattern::overlap(mine, theirs), "{}: {mine}, {}: {theirs}", one.name, other.name);
                }
            }
        }
    }

    #[test]
    fn publishers_have_names_of_their_own_and_a_description() {
        let mut names: Vec<_> = PUBLISHERS.iter().map(|publisher| publisher.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), PUBLISHERS.len());
        assert!(PUBLISHERS.iter().all(|publisher| !publisher.description.is_empty() && !publisher.owns.is_empty()));
    }
}
