//! Repairs source texts where the repair is unambiguous, in rounds, and writes them when no repair
//! is left.
//!
//! One repair can reveal another; a repair that overlaps another of its round waits for the next
//! round.

use std::collections::BTreeMap;
use std::path::Path;

use crate::diagnostic::{Diagnostic, wording};
use crate::disk;
use crate::fault::repair::{Deed, Repair};
use crate::source::edit::{self, Change};
use crate::source::{FileId, SourceFile, Sources};

/// The limit on rounds, in case a repair keeps revealing itself.
const MOST_ROUNDS: usize = 20;

/// The repairs made so far.
#[derive(Debug, Default)]
pub(super) struct Repairs {
    rounds: usize,
    files: BTreeMap<String, Repaired>,
}

/// The repairs made in one file.
#[derive(Debug)]
struct Repaired {
    change: Change,
    lines: Vec<String>,
}

impl Repairs {
    /// Makes the repairs of findings; `None` if there are none.
    pub(super) fn make(&mut self, sources: &Sources, shown: &[&Diagnostic]) -> Option<Sources> {
        let chosen = chosen(shown);
        if chosen.is_empty() || self.rounds == MOST_ROUNDS {
            return None;
        }
        self.rounds += 1;
        let mut texts = BTreeMap::new();
        for (file, repairs) in chosen {
            let source = sources.file(file);
            let edits = repairs.iter().flat_map(|repair| repair.edits.iter().cloned()).collect();
            let after = edit::apply(source.text(), edits);
            let repaired = self.files.entry(source.path().to_string()).or_insert_with(|| Repaired {
                change: Change { before: source.text().to_string(), after: String::new() },
                lines: Vec::new(),
            });
            repaired.change.after.clone_from(&after);
            repaired.lines.extend(repairs.iter().map(|repair| line(source, repair)));
            texts.insert(file, after);
        }
        Some(sources.with_texts(&texts))
    }

    /// Writes each file, then passes its repairs to `tell`.
    pub(super) fn write(&self, root: &Path, tell: impl Fn(&str)) -> anyhow::Result<()> {
        for (path, repaired) in &self.files {
            disk::mend(root, path, &repaired.change)?;
            repaired.lines.iter().for_each(|line| tell(line));
        }
        Ok(())
    }
}

/// The repairs of each file, in order of place; of overlapping repairs, only the first.
fn chosen<'a>(shown: &[&'a Diagnostic]) -> BTreeMap<FileId, Vec<&'a Repair>> {
    let mut chosen: BTreeMap<FileId, Vec<&Repair>> = BTreeMap::new();
    for diagnostic in shown {
        let Some(repair) = diagnostic.repair() else { continue };
        let taken = chosen.entry(diagnostic.primary().place.file).or_default();
        if taken.iter().all(|other| !repair.overlaps(other)) {
            taken.push(repair);
        }
    }
    chosen
}

fn line(file: &SourceFile, repair: &Repair) -> String {
    let old = repair.edits.iter().filter(|edit| edit.span.end() > edit.span.start());
    let span = old.map(|edit| edit.span).next().or(repair.edits.first().map(|edit| edit.span)).unwrap_or_default();
    let place = format!("{}:{}", file.path(), file.line_of(span.start()));
    match &repair.deed {
        Deed::Write(text) => format!("repaired {place}: wrote {}", wording::quote(text)),
        Deed::MoveAbove(header) => {
            let moved = file.slice(span).trim();
            format!("repaired {place}: moved {} above {}", wording::quote(moved), wording::quote(header))
        }
    }
}
