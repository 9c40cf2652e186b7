//! Candidates compiled in memory with the whole knowledge base, all at once: those with errors are told and left out.
//!
//! Mistakes of what is recorded already are nobody's business here.

use std::collections::BTreeMap;

use crate::compile::{self, Compilation, Observer};
use crate::diagnostic::{Diagnostic, Level};
use crate::fault::Fault;
use crate::import::{Candidate, Origin, Trouble};
use crate::source::{Attachment, FilePath, Place, SourceFile, Sources};

/// What stood the check.
pub struct Proved {
    /// The entries without errors.
    pub kept: Vec<Candidate>,
    /// What is wrong with the others.
    pub troubles: Vec<Trouble>,
    /// The knowledge base with the entries that are kept.
    pub compilation: Compilation,
}

/// Compiles the candidates with what is recorded, until none of them has an error.
///
/// One that is left out may be missed by another, so there may be several rounds; each leaves out at least one more.
pub fn prove(
    (sources, unread): (&Sources, &[Fault]),
    mut candidates: Vec<Candidate>,
    photographs: &[Attachment],
    observer: Observer<'_>,
) -> Proved {
    let mut troubles = Vec::new();
    loop {
        let together = with(sources, &candidates, photographs);
        let unread = unread.iter().filter_map(|fault| moved(sources, &together, fault)).collect();
        let compilation = compile::compile(together, unread, observer);
        let found = of_candidates(&compilation, &mut candidates);
        if found.is_empty() {
            return Proved { kept: candidates, troubles, compilation };
        }
        candidates.retain(|candidate| !found.contains_key(&candidate.path));
        troubles.extend(found.into_values().flatten());
    }
}

fn with(sources: &Sources, candidates: &[Candidate], photographs: &[Attachment]) -> Sources {
    let own = sources.iter().map(|(_, file)| file.clone());
    let new = candidates.iter().map(|one| SourceFile::new(FilePath::new(one.path.as_str()), one.text.clone()));
    let attachments = sources.attachments().iter().chain(photographs).cloned().collect();
    Sources::new(own.chain(new).collect()).with_attachments(attachments).with_marks(sources.marks().to_vec())
}

/// A fault of what is recorded, under the number its file has among more files.
fn moved(before: &Sources, now: &Sources, fault: &Fault) -> Option<Fault> {
    let file = now.find(before.file(fault.place.file).path().as_str())?;
    Some(Fault::new(Place { file, span: fault.place.span }, fault.kind.clone()))
}

/// The errors of each candidate, by path; what else is to be said of its photographs becomes a remark.
fn of_candidates(compilation: &Compilation, candidates: &mut [Candidate]) -> BTreeMap<String, Vec<Trouble>> {
    let sources = &compilation.knowledge.catalog.sources;
    let places: BTreeMap<String, usize> =
        candidates.iter().enumerate().map(|(number, one)| (one.path.clone(), number)).collect();
    let mut found: BTreeMap<String, Vec<Trouble>> = BTreeMap::new();
    let mut remarks: Vec<(usize, String)> = Vec::new();
    for diagnostic in &compilation.diagnostics {
        let file = sources.file(diagnostic.primary().place.file);
        let Some(number) = places.get(file.path().as_str()) else { continue };
        if diagnostic.level() == Level::Error {
            let trouble = trouble(file, diagnostic, &candidates[*number].origin);
            found.entry(file.path().to_string()).or_default().push(trouble);
        } else if diagnostic.lint().code == "photo-problems" {
            remarks.push((*number, words(diagnostic)));
        }
    }
    for (number, remark) in remarks {
        if !candidates[number].remarks.contains(&remark) {
            candidates[number].remarks.push(remark);
        }
    }
    found
}

fn trouble(file: &SourceFile, diagnostic: &Diagnostic, origin: &Origin) -> Trouble {
    let line = file.line_of(diagnostic.primary().place.span.start());
    let about = match origin {
        Origin::Row(_) => key(file.slice(file.line(line))),
        // The line that says where the draft goes is gone from the text.
        Origin::File(_) => Some(format!("line {}", if line > 1 { line + 1 } else { line })),
    };
    Trouble { origin: origin.clone(), about, message: words(diagnostic) }
}

/// The key of a line of an entry.
fn key(line: &str) -> Option<String> {
    let (key, _) = line.split_once(" = ")?;
    Some(key.trim().to_string())
}

fn words(diagnostic: &Diagnostic) -> String {
    let place = Some(diagnostic.primary().text.as_str()).filter(|text| !text.is_empty());
    let parts = std::iter::once(diagnostic.message()).chain(place).chain(diagnostic.advice());
    parts.collect::<Vec<&str>>().join("; ")
}
