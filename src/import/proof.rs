//! Compiles all candidates in memory with the whole knowledge base; reports those with errors and
//! leaves them out.
//!
//! It ignores mistakes in existing records.

use std::collections::{BTreeMap, BTreeSet};

use crate::compile::progress::Observer;
use crate::compile::{self, Compilation};
use crate::diagnostic::{Diagnostic, Level};
use crate::fault::Fault;
use crate::import::duplicate;
use crate::import::{Candidate, Gathered, Origin, Trouble};
use crate::source::{Attachment, FilePath, Place, SourceFile, Sources};

/// The candidates without errors.
pub struct Proved {
    /// The entries without errors, and all troubles.
    pub gathered: Gathered,
    /// The knowledge base with the entries that are kept.
    pub compilation: Compilation,
}

/// The existing records, as read.
pub struct Present<'r> {
    /// The files.
    pub sources: &'r Sources,
    /// The files that could not be read.
    pub unread: &'r [Fault],
}

/// Compiles the candidates with what is recorded, until none of them has an error.
///
/// What is left out may be missed by others and gives its name to them, so there may be several rounds; each leaves out
/// at least one more. The photographs of candidates are looked at by whoever can.
pub fn prove(
    present: &Present<'_>,
    gather: impl Fn(&BTreeSet<Origin>) -> Gathered,
    photographs: impl Fn(&[Candidate]) -> Vec<Attachment>,
    observer: Observer<'_>,
) -> Proved {
    let Present { sources, unread } = *present;
    let (mut wrong, mut troubles) = (BTreeSet::new(), Vec::new());
    let before = before(present, &gather(&wrong).candidates, observer);
    loop {
        let mut gathered = gather(&wrong);
        let together = with(sources, &gathered.candidates, &photographs(&gathered.candidates));
        let unread = unread.iter().filter_map(|fault| moved(sources, &together, fault)).collect();
        let compilation = compile::compile(together, unread, compile::Options::watched(observer));
        let found = of_candidates(&compilation, &before, &mut gathered.candidates);
        if found.is_empty() {
            gathered.troubles.extend(troubles);
            gathered.troubles.sort();
            duplicate::point_out(&compilation.knowledge.catalog, &mut gathered.candidates);
            return Proved { gathered, compilation };
        }
        wrong.extend(found.iter().map(|trouble| trouble.origin.clone()));
        troubles.extend(found);
    }
}

/// The findings of entries before their correction: path, code of the lint, and words.
type Before = BTreeSet<(String, &'static str, String)>;

fn before(present: &Present<'_>, candidates: &[Candidate], observer: Observer<'_>) -> Before {
    if candidates.iter().all(|candidate| candidate.corrects.is_none()) {
        return Before::new();
    }
    let options = compile::Options::watched(observer);
    let compilation = compile::compile(present.sources.clone(), present.unread.to_vec(), options);
    let sources = &compilation.knowledge.catalog.sources;
    let said = compilation.diagnostics.iter().map(|diagnostic| {
        let path = sources.file(diagnostic.primary().place.file).path().to_string();
        (path, diagnostic.lint().code, words(diagnostic))
    });
    said.collect()
}

fn with(sources: &Sources, candidates: &[Candidate], photographs: &[Attachment]) -> Sources {
    let replaced: BTreeSet<&str> = candidates.iter().map(|one| one.path.as_str()).collect();
    let own = sources.iter().map(|(_, file)| file).filter(|file| !replaced.contains(file.path().as_str())).cloned();
    let new = candidates.iter().map(|one| SourceFile::new(FilePath::new(one.path.as_str()), one.text.clone()));
    let attachments = sources.attachments().iter().chain(photographs).cloned().collect();
    Sources::new(own.chain(new).collect()).with_attachments(attachments).with_marks(sources.marks().to_vec())
}

/// A fault of what is recorded, under the number its file has among more files.
fn moved(before: &Sources, now: &Sources, fault: &Fault) -> Option<Fault> {
    let file = now.find(before.file(fault.place.file).path().as_str())?;
    Some(Fault::new(Place { file, span: fault.place.span }, fault.kind.clone()))
}

/// The errors of the candidates; other findings about a candidate's photographs become remarks.
fn of_candidates(compilation: &Compilation, before: &Before, candidates: &mut [Candidate]) -> Vec<Trouble> {
    let sources = &compilation.knowledge.catalog.sources;
    let places: BTreeMap<String, usize> =
        candidates.iter().enumerate().map(|(number, one)| (one.path.clone(), number)).collect();
    let mut found = Vec::new();
    let mut remarks: Vec<(usize, String)> = Vec::new();
    for diagnostic in &compilation.diagnostics {
        let file = sources.file(diagnostic.primary().place.file);
        let Some(number) = places.get(file.path().as_str()) else { continue };
        let (candidate, code) = (&candidates[*number], diagnostic.lint().code);
        let is_new =
            candidate.corrects.is_some() && !before.contains(&(candidate.path.clone(), code, words(diagnostic)));
        if diagnostic.level() == Level::Error {
            found.push(trouble(file, diagnostic, candidate));
        } else if code == "photo-problems" || is_new {
            remarks.push((*number, words(diagnostic)));
        }
    }
    for (number, remark) in remarks {
        candidates[number].remarks.push(remark);
    }
    found
}

fn trouble(file: &SourceFile, diagnostic: &Diagnostic, candidate: &Candidate) -> Trouble {
    let origin = &candidate.origin;
    let line = file.line_of(diagnostic.primary().place.span.start());
    let about = match origin {
        Origin::Row(_) => key(file.slice(file.line(line))),
        Origin::Entry(_) => Some(format!("line {line}")),
        Origin::File(_) if candidate.corrects.is_some() => Some(format!("line {line} of the entry as it would be")),
        // The line that says where the draft goes is gone from the text.
        Origin::File(_) => Some(format!("line {}", if line > 1 { line + 1 } else { line })),
    };
    let is_old = matches!(origin, Origin::File(_)) && diagnostic.lint().code == "unknown-term";
    let changed = if is_old { CHANGED } else { "" };
    Trouble::new(origin.clone(), about, format!("{}{changed}", words(diagnostic)))
}

/// A remark for people who kept a draft for a while.
const CHANGED: &str =
    ". The vocabulary may have changed since the draft was started: write the new word, or remove the line";

/// The key of a line of an entry.
fn key(line: &str) -> Option<String> {
    let (key, _) = line.split_once(" = ")?;
    Some(key.trim().to_string())
}

/// A finding on one line: the message, the text at its place, and the advice.
pub fn words(diagnostic: &Diagnostic) -> String {
    let place = Some(diagnostic.primary().text.as_str()).filter(|text| !text.is_empty());
    let parts = std::iter::once(diagnostic.message()).chain(place).chain(diagnostic.advice());
    parts.collect::<Vec<&str>>().join("; ")
}
