//! Sources in, knowledge and diagnostics out: the pipeline as one function.
//!
//! Never stops at the first mistake, reads nothing and writes nothing.

pub mod example;
pub mod progress;

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::chronology;
use crate::compile::progress::{Observer, Stage, Tally};
use crate::date::Day;
use crate::diagnostic::{Diagnostic, Level};
use crate::digest::Digest;
use crate::fault::{Fault, listed};
use crate::knowledge::Knowledge;
use crate::lints::{self, Told};
use crate::record::id::ModelId;
use crate::resolve;
use crate::source::{FileId, FilePath, Sources};
use crate::validate::kept::Kept;
use crate::validate::{self, Validated};

/// What came of the sources.
#[derive(Debug)]
pub struct Compilation {
    /// Everything that is known and concluded.
    pub knowledge: Knowledge,
    /// What there is to say about the entries, sorted by path, line and code.
    pub diagnostics: Vec<Diagnostic>,
}

impl Compilation {
    /// Says whether any finding is at the level or above.
    pub fn reaches(&self, level: Level) -> bool {
        self.diagnostics.iter().any(|diagnostic| diagnostic.level() >= level)
    }

    /// The files that errors are reported in.
    pub fn broken(&self) -> BTreeSet<FilePath> {
        let errors = self.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error);
        let files = errors.map(|diagnostic| diagnostic.primary().place.file);
        files.map(|file| self.knowledge.catalog.sources.file(file).path().clone()).collect()
    }
}

/// Names the content of a knowledge base: the same files give the same name, on every machine.
pub fn content_id(sources: &Sources) -> String {
    let mut digest = Digest::default();
    for (_, file) in sources.iter() {
        digest.add(file.path().as_str()).add(file.text());
    }
    digest.short()
}

/// The models whose garments are held against one another, which takes time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Review {
    /// Those that have a file at or below one of the paths.
    Touched(Vec<String>),
    /// All.
    Everything,
}

/// Compiles sources, with what the disk could not read of them.
pub fn compile(sources: Sources, unread: Vec<Fault>, observer: Observer<'_>) -> Compilation {
    without(sources, unread, &BTreeSet::new(), observer)
}

/// Compiles sources that differ little from those before: what was kept of these is used, and kept of those.
pub fn again(sources: Sources, unread: Vec<Fault>, kept: &mut Kept) -> Compilation {
    let observer: Observer<'_> = &|_| {};
    let validated = validate::again(&sources, kept, &|| {});
    concluded((sources, unread), validated, None, observer)
}

/// What a check looks at beside what the entries say.
#[derive(Clone, Debug)]
pub struct Scrutiny {
    /// The models whose garments are held against one another.
    pub review: Review,
    /// The day it is: what lies after it is pointed out.
    pub today: Day,
}

/// Compiles sources, reviews the garments of some models, and points out dates in the future.
pub fn reviewing(sources: Sources, unread: Vec<Fault>, scrutiny: &Scrutiny, observer: Observer<'_>) -> Compilation {
    let tally = Tally::begin(observer, Stage::Validate, sources.len());
    let validated = validate::watched(&sources, &|| tally.count());
    concluded((sources, unread), validated, Some(scrutiny), observer)
}

/// Compiles sources, taking the entries with errors out of all conclusions; gives these with it.
///
/// What is left out stays known by its id, so that nobody else is blamed for it.
pub fn leaving_out_broken(
    sources: Sources,
    unread: Vec<Fault>,
    observer: Observer<'_>,
) -> (Compilation, BTreeSet<FilePath>) {
    let mut left_out = BTreeSet::new();
    loop {
        let compilation = without(sources.clone(), unread.clone(), &left_out, observer);
        let broken = compilation.broken();
        // What was left out may break others in turn; each round leaves out at least one more.
        if broken.is_subset(&left_out) {
            return (compilation, left_out);
        }
        left_out.extend(broken);
    }
}

fn without(sources: Sources, unread: Vec<Fault>, left_out: &BTreeSet<FilePath>, observer: Observer<'_>) -> Compilation {
    let tally = Tally::begin(observer, Stage::Validate, sources.len());
    let mut validated = validate::watched(&sources, &|| tally.count());
    leave_out(&mut validated, left_out);
    concluded((sources, unread), validated, None, observer)
}

fn concluded(
    (sources, unread): (Sources, Vec<Fault>),
    mut validated: Validated,
    scrutiny: Option<&Scrutiny>,
    observer: Observer<'_>,
) -> Compilation {
    let unread_files: BTreeSet<FileId> = unread.iter().map(|fault| fault.place.file).collect();
    // The disk hands an unread file over as an empty one; that it is empty is not its mistake.
    validated.faults.retain(|fault| !unread_files.contains(&fault.place.file));
    let mut faults = unread;
    faults.append(&mut validated.faults);
    let tally = Tally::begin(observer, Stage::Resolve, 1);
    let (catalog, dangling) = resolve::catalog(sources, validated);
    tally.count();
    faults.extend(dangling);
    let faults = listed::first(faults);
    let tally = Tally::begin(observer, Stage::Reason, chronology::STEPS);
    let knowledge = chronology::watched(catalog, faults, &|| tally.count());
    let tally = Tally::begin(observer, Stage::Lint, lints::LINTS.len());
    let reviewed = scrutiny.map_or_else(BTreeSet::new, |scrutiny| scrutiny.review.models(&knowledge));
    let told = Told { reviewed: &reviewed, today: scrutiny.map(|scrutiny| scrutiny.today) };
    let diagnostics = lints::run(&Analysis::new(&knowledge), told, &|| tally.count());
    Compilation { knowledge, diagnostics }
}

impl Review {
    fn models(&self, knowledge: &Knowledge) -> BTreeSet<ModelId> {
        let all = knowledge.catalog.models.keys();
        let is_touched = |model: &ModelId, path: &str| {
            let folder = format!("entries/makers/{model}/");
            path.is_empty()
                || path.starts_with(&folder)
                || folder.starts_with(&format!("{}/", path.trim_end_matches('/')))
        };
        match self {
            Review::Everything => all.cloned().collect(),
            Review::Touched(paths) => {
                all.filter(|model| paths.iter().any(|path| is_touched(model, path))).cloned().collect()
            }
        }
    }
}

fn leave_out(validated: &mut Validated, left_out: &BTreeSet<FilePath>) {
    let (kept, broken) =
        std::mem::take(&mut validated.records).into_iter().partition(|record| !left_out.contains(&record.path));
    validated.records = kept;
    validated.unusable.extend(broken.into_iter().map(|record: crate::record::Record| (record.path, record.file)));
}
