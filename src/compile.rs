//! Turns sources into knowledge and diagnostics: the pipeline as one function.
//!
//! It never stops at the first mistake, and does no input or output.

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
use crate::lints::{self, LintInput};
use crate::record::id::ModelId;
use crate::resolve;
use crate::source::{FileId, FilePath, Sources};
use crate::validate::kept::Kept;
use crate::validate::{self, Validated};

/// The result of a compilation.
#[derive(Debug)]
pub struct Compilation {
    pub knowledge: Knowledge,
    /// The findings about the entries, sorted by path, line and code.
    pub diagnostics: Vec<Diagnostic>,
    /// The entries that were left out of all conclusions because of their errors.
    pub left_out: BTreeSet<FilePath>,
}

impl Compilation {
    /// Says whether any finding is at the level or above.
    pub fn reaches(&self, level: Level) -> bool {
        self.diagnostics.iter().any(|diagnostic| diagnostic.level() >= level)
    }

    /// Adds the findings that compare it with an earlier state.
    pub fn compare_with(&mut self, earlier: &Knowledge) {
        lints::add_compared(&mut self.diagnostics, &self.knowledge, earlier);
    }

    /// The files with errors.
    pub fn broken(&self) -> BTreeSet<FilePath> {
        let errors = self.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error);
        let files = errors.map(|diagnostic| diagnostic.primary().place.file);
        files.map(|file| self.knowledge.catalog.sources.file(file).path().clone()).collect()
    }
}

/// The fingerprint of a knowledge base: the same files give the same one on every machine.
pub fn content_id(sources: &Sources) -> String {
    let mut digest = Digest::default();
    for (_, file) in sources.iter() {
        digest.add(file.path().as_str()).add(file.text());
    }
    digest.short()
}

/// The models whose garments are compared with one another; the comparison takes time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Review {
    /// The models with a file at or below one of the paths.
    Touched(Vec<String>),
    /// All models.
    Everything,
}

/// Optional checks that need more than the entries.
#[derive(Clone, Debug)]
pub struct Scrutiny {
    pub review: Review,
    /// Today's date: later dates are reported.
    pub today: Day,
}

/// The treatment of entries with errors.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Broken {
    /// They count as far as they can be read.
    #[default]
    Counted,
    /// They are left out of all conclusions. Their ids stay known, so that references to them are not reported.
    LeftOut,
}

/// How to compile sources. By default there is no observer, no check of future dates and no search
/// for unusual garments.
pub struct Options<'a> {
    pub observer: Observer<'a>,
    /// The optional checks to make.
    pub scrutiny: Option<&'a Scrutiny>,
    /// The treatment of entries with errors.
    pub broken: Broken,
    /// The cache from similar sources; compiling uses and refills it.
    pub kept: Option<&'a mut Kept>,
}

impl Default for Options<'_> {
    fn default() -> Self {
        Options { observer: &|_| {}, scrutiny: None, broken: Broken::Counted, kept: None }
    }
}

impl<'a> Options<'a> {
    /// The default options with an observer.
    pub fn watched(observer: Observer<'a>) -> Options<'a> {
        Options { observer, ..Options::default() }
    }
}

/// The files as read.
#[derive(Clone)]
struct Input {
    sources: Sources,
    unread: Vec<Fault>,
}

/// Compiles sources, with the faults that the disk found while reading.
pub fn compile(sources: Sources, unread: Vec<Fault>, mut options: Options<'_>) -> Compilation {
    let input = Input { sources, unread };
    let mut left_out = BTreeSet::new();
    loop {
        let mut validated = validated(&input.sources, &mut options);
        leave_out(&mut validated, &left_out);
        if options.broken == Broken::Counted {
            return concluded(input, validated, &options);
        }
        let compilation = concluded(input.clone(), validated, &options);
        let broken = compilation.broken();
        // Leaving entries out can break others; each round leaves out at least one more.
        if broken.is_subset(&left_out) {
            return Compilation { left_out, ..compilation };
        }
        left_out.extend(broken);
    }
}

fn validated(sources: &Sources, options: &mut Options<'_>) -> Validated {
    let tally = Tally::begin(options.observer, Stage::Validate, sources.len());
    match &mut options.kept {
        Some(kept) => validate::again(sources, kept, &|| tally.count()),
        None => validate::all(sources, &|| tally.count()),
    }
}

fn concluded(input: Input, mut validated: Validated, options: &Options<'_>) -> Compilation {
    let Input { sources, unread } = input;
    let Options { observer, scrutiny, .. } = options;
    let unread_files: BTreeSet<FileId> = unread.iter().map(|fault| fault.place.file).collect();
    // The disk passes an unreadable file on as an empty one; do not report that it is empty.
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
    let input = LintInput { reviewed: &reviewed, today: scrutiny.map(|scrutiny| scrutiny.today) };
    let diagnostics = lints::run(&Analysis::new(&knowledge), input, &|| tally.count());
    Compilation { knowledge, diagnostics, left_out: BTreeSet::new() }
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
