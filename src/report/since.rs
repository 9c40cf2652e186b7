//! The findings of a state that an earlier one did not have.
//!
//! A finding is the same if its lint, its files and its message are: its lines may have moved. Of findings that are
//! alike only as many are old as there were.

use std::collections::{BTreeMap, BTreeSet};

use crate::compile::Compilation;
use crate::diagnostic::{Diagnostic, Label};
use crate::difference::moved::Moves;
use crate::source::FilePath;

/// The identity of a finding: lint, file, other files, message.
type Mark = (&'static str, FilePath, BTreeSet<FilePath>, String);

/// Gives the new findings in order, and how many are old.
pub fn new<'a>(now: &'a Compilation, earlier: &Compilation) -> (Vec<&'a Diagnostic>, usize) {
    let moves = Moves::between(&earlier.knowledge.catalog, &now.knowledge.catalog);
    let mut known: BTreeMap<Mark, usize> = BTreeMap::new();
    for diagnostic in &earlier.diagnostics {
        *known.entry(mark(earlier, &moves, diagnostic)).or_default() += 1;
    }
    let stays = Moves::default();
    let is_new = |diagnostic: &&Diagnostic| match known.get_mut(&mark(now, &stays, diagnostic)) {
        Some(count) if *count > 0 => {
            *count -= 1;
            false
        }
        _ => true,
    };
    let new: Vec<&Diagnostic> = now.diagnostics.iter().filter(is_new).collect();
    let old = now.diagnostics.len() - new.len();
    (new, old)
}

fn mark(state: &Compilation, moves: &Moves, diagnostic: &Diagnostic) -> Mark {
    let path = |label: &Label| moves.path(state.knowledge.catalog.sources.file(label.place.file).path());
    let others = diagnostic.labels().iter().map(path).collect();
    (diagnostic.lint().code, path(diagnostic.primary()), others, diagnostic.message().to_string())
}

#[cfg(test)]
mod tests {
    use super::new;
    use crate::compile::example;

    const FIND: &str = "entries/makers/hollin/no-4/no-4-best/find.md";

    fn claims(count: usize, prose: &str) -> String {
        let claim = "[[claims]]\nevent = \"attested\"\nwhen = \"1970\"\n";
        format!("--- {FIND}\n+++\nbasis = \"statement\"\n{prose}{}+++\n", claim.repeat(count))
    }

    /// How many findings are new, and how many old.
    fn counted(earlier: &str, now: &str) -> (usize, usize) {
        let (earlier, now) = (example::compile(earlier), example::compile(now));
        let (new, old) = new(&now, &earlier);
        (new.len(), old)
    }

    #[test]
    fn a_finding_whose_line_moved_is_old() {
        assert_eq!(counted(&claims(1, ""), &claims(1, "# a remark\n")), (0, 1));
    }

    #[test]
    fn of_findings_that_are_alike_only_as_many_are_old_as_there_were() {
        assert_eq!(counted(&claims(1, ""), &claims(3, "")), (2, 1));
        assert_eq!(counted(&claims(3, ""), &claims(1, "")), (0, 1));
    }

    #[test]
    fn a_renamed_entry_keeps_its_findings() {
        let moved = claims(1, "formerly = [\"makers/hollin/no-4/no-4-best/find\"]\n").replace("/find.md", "/seen.md");
        assert_eq!(counted(&claims(1, ""), &moved), (0, 1));
    }
}
