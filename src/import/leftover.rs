//! Photographs that an interrupted import may have left: they have the name that another one should get, and no entry
//! names them.
//!
//! Photographs are written before their entry, so a killed run can leave them alone. Nothing is removed here.

use std::collections::BTreeSet;

use crate::import::Candidate;
use crate::parse;
use crate::source::Sources;

/// Returns them by path, each once and in order, for entries that may be written.
pub fn photographs(sources: &Sources, candidates: &[Candidate]) -> BTreeSet<String> {
    let mut wanted: BTreeSet<String> = candidates.iter().flat_map(displaced).collect();
    let present: BTreeSet<&str> = sources.attachments().iter().map(|one| one.path.as_str()).collect();
    wanted.retain(|path| present.contains(path.as_str()));
    unnamed(sources, wanted)
}

/// Keeps the photographs that no entry names.
///
/// A folder with an entry that does not parse is left out: nobody knows which photographs it names.
pub fn unnamed(sources: &Sources, mut wanted: BTreeSet<String>) -> BTreeSet<String> {
    if wanted.is_empty() {
        return wanted;
    }
    let folders: BTreeSet<String> = wanted.iter().map(|path| folder(path).to_string()).collect();
    for (index, file) in sources.iter().filter(|(_, file)| folders.contains(file.path().folder())) {
        let parsed = parse::record(index, file);
        let beside = file.path().folder();
        if !parsed.faults.is_empty() {
            wanted.retain(|path| folder(path) != beside);
        }
        for name in parsed.value.front.tables("photos").filter_map(|photograph| photograph.text("file")) {
            wanted.remove(&format!("{beside}/{}", name.value));
        }
    }
    wanted
}

/// The paths that photographs of an entry would have if nothing were in their way.
fn displaced(candidate: &Candidate) -> impl Iterator<Item = String> {
    let renamed = candidate.photographs.iter().filter(|taken| taken.to != taken.from);
    renamed.map(|taken| format!("{}/{}", folder(&candidate.path), taken.from))
}

fn folder(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::photographs;
    use crate::compile::example;
    use crate::import::{Candidate, Origin, Taken};

    const PHOTOGRAPH: &str = "--- entries/unplaced/hem.jpg (3 x 2)\n";

    /// The leftover photographs if `files` exist and an entry brings `hem.jpg` under the name `to`.
    fn left(files: &str, to: &str) -> BTreeSet<String> {
        let sources = example::read(&format!("{files}{PHOTOGRAPH}")).sources;
        let mut candidate = Candidate::new(Origin::Row(2), "entries/unplaced/b.md".to_string(), String::new());
        candidate.photographs.push(Taken { from: "hem.jpg".to_string(), to: to.to_string(), is_there: false });
        photographs(&sources, &[candidate])
    }

    #[test]
    fn only_what_no_entry_names_and_what_is_in_the_way_is_left_over() {
        let found = BTreeSet::from(["entries/unplaced/hem.jpg".to_string()]);
        let entry = |front: &str| format!("--- entries/unplaced/a.md\n+++\nbasis = \"specimen\"\n{front}+++\n");
        let named = entry("photos = [{ file = \"hem.jpg\", credit = \"wren\", licence = \"CC0-1.0\" }]\n");
        assert_eq!(left("", "hem-2.jpg"), found);
        assert_eq!(left(&entry(""), "hem-2.jpg"), found);
        assert!(left("", "hem.jpg").is_empty(), "nothing was in the way");
        assert!(left(&named, "hem-2.jpg").is_empty(), "an entry names it");
        assert!(left(&entry("photos = [\n"), "hem-2.jpg").is_empty(), "an entry may name it");
    }
}
