//! The findings of a state that an earlier one did not have.
//!
//! A finding is the same if its lint, its files and its message are: its lines may have moved. What is measured against
//! other entries is the same if its lint and its file are: its numbers move with every garment. Of findings that are alike
//! only as many are old as there were.

use std::collections::{BTreeMap, BTreeSet};

use crate::compile::Compilation;
use crate::diagnostic::{Diagnostic, Label};
use crate::difference::moved::Moves;
use crate::source::FilePath;

/// The identity of a finding: lint, file, other files, message.
type Mark = (&'static str, FilePath, BTreeSet<FilePath>, String);

/// Gives the new findings in order, and how many are old.
pub fn new<'a>(now: &'a Compilation, earlier: &Compilation) -> (Vec<&'a Diagnostic>, usize) {
    let found = now.diagnostics.iter().zip(are_new(now, earlier));
    let new: Vec<&Diagnostic> = found.filter_map(|(diagnostic, is_new)| is_new.then_some(diagnostic)).collect();
    let old = now.diagnostics.len() - new.len();
    (new, old)
}

/// Says of each finding whether the earlier state did not have it.
fn are_new(now: &Compilation, earlier: &Compilation) -> Vec<bool> {
    let moves = Moves::between(&earlier.knowledge.catalog, &now.knowledge.catalog);
    let mut known: BTreeMap<Mark, usize> = BTreeMap::new();
    for diagnostic in &earlier.diagnostics {
        *known.entry(mark(earlier, &moves, diagnostic)).or_default() += 1;
    }
    let stays = Moves::default();
    let is_new = |diagnostic: &Diagnostic| match known.get_mut(&mark(now, &stays, diagnostic)) {
        Some(count) if *count > 0 => {
            *count -= 1;
            false
        }
        _ => true,
    };
    now.diagnostics.iter().map(is_new).collect()
}

/// What is said of an entry that did not change.
const MOVED: &str =
    "This entry has not changed since then: other entries of its model have, and that brought it over the limit";

/// Says of new findings that are measured against other entries, in files that did not change, why they are new.
pub fn tell_moved(now: &mut Compilation, earlier: &Compilation, changed: &[String]) {
    let are_new = are_new(now, earlier);
    let sources = &now.knowledge.catalog.sources;
    let is_changed = |label: &Label| changed.iter().any(|path| path == sources.file(label.place.file).path().as_str());
    for (diagnostic, is_new) in now.diagnostics.iter_mut().zip(are_new) {
        if is_new && diagnostic.is_measured() && !diagnostic.places().any(is_changed) {
            diagnostic.advise(MOVED);
        }
    }
}

fn mark(state: &Compilation, moves: &Moves, diagnostic: &Diagnostic) -> Mark {
    let path = |label: &Label| moves.path(state.knowledge.catalog.sources.file(label.place.file).path());
    if diagnostic.is_measured() {
        return (diagnostic.lint().code, path(diagnostic.primary()), BTreeSet::new(), String::new());
    }
    let others = diagnostic.labels().iter().map(path).collect();
    (diagnostic.lint().code, path(diagnostic.primary()), others, diagnostic.message().to_string())
}

#[cfg(test)]
mod tests {
    use super::{new, tell_moved};
    use crate::compile::{Compilation, example};
    use crate::diagnostic::Diagnostic;
    use crate::lints;

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

    /// Garments of which one fits another variant much better, and one more garment of that variant.
    fn misplaced() -> (String, String) {
        let lint = lints::find("fits-another-variant").expect("the lint is in the list");
        let other = "--- entries/makers/hollin/no-4/no-4-plain/g.md\n+++\nbasis = \"specimen\"\nplaced-by = \"paper\"\n\
                     features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3, leg-opening = 12 }\n+++\n";
        (lint.wrong.to_string(), other.to_string())
    }

    fn odds(found: &[&Diagnostic]) -> Vec<String> {
        let of_lint = found.iter().filter(|one| one.lint().code == "fits-another-variant");
        of_lint.map(|one| one.advice().unwrap_or_default().to_string()).collect()
    }

    fn messages(state: &Compilation) -> Vec<&str> {
        state.diagnostics.iter().map(Diagnostic::message).collect()
    }

    #[test]
    fn odds_that_move_with_another_garment_are_no_news() {
        let (before, more) = misplaced();
        let (earlier, now) = (example::compile(&before), example::compile(&(before.clone() + &more)));
        assert_ne!(messages(&earlier), messages(&now), "the odds moved");
        assert!(odds(&new(&now, &earlier).0).is_empty(), "{:?}", messages(&now));
    }

    #[test]
    fn an_entry_that_others_bring_over_the_limit_is_told_so() {
        let (whole, _) = misplaced();
        // Before, two more garments of its own variant looked as it does.
        let features: Vec<&str> = whole.lines().filter(|line| line.starts_with("features")).collect();
        let before = whole.replace(features[0], features[3]).replace(features[1], features[3]);
        let earlier = example::compile(&before);
        let mut now = example::compile(&whole);
        let changed = ["a", "b"].map(|name| format!("entries/makers/hollin/no-4/no-4-best/{name}.md"));
        tell_moved(&mut now, &earlier, &changed);
        let told = odds(&new(&now, &earlier).0);
        assert!(told.len() == 1 && told[0].contains("has not changed since then"), "{told:?}");
        // The entry itself changed: nobody needs to be told why.
        let mut now = example::compile(&whole);
        tell_moved(&mut now, &earlier, &["entries/makers/hollin/no-4/no-4-best/d.md".to_string()]);
        assert!(!odds(&new(&now, &earlier).0)[0].contains("has not changed"));
    }
}
