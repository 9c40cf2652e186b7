//! Reports files left by an interrupted import; it deletes none.

use crate::cli::Session;
use crate::disk::bring;
use crate::import::{Candidate, leftover};
use crate::source::Sources;

/// Lists the files that an interrupted import may have left at the paths of these entries.
pub(super) fn report(session: &Session, sources: &Sources, candidates: &[Candidate]) {
    let paths: Vec<&str> = candidates.iter().map(|candidate| candidate.path.as_str()).collect();
    for left in bring::left_over(&session.root, &paths) {
        session.terminal.summarize(&format!(
            "an interrupted import left `{}`, half of an entry; remove it if no other import is running",
            session.root.join(left).display()
        ));
    }
    for left in leftover::photographs(sources, candidates) {
        session.terminal.summarize(&format!(
            "`{}` is there already and no entry names it: an interrupted import may have left it; if so, remove it, and \
             the new photograph keeps this name",
            session.root.join(left).display()
        ));
    }
}
