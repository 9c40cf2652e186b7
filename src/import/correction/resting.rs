//! What still rests on a source that a correction takes out of an entry: the date, claims, other sources, the whole entry.
//!
//! Sources that every entry may name are no concern of it: what bears the same id as one of them still has a source.

use std::collections::BTreeSet;

use crate::diagnostic::wording;
use crate::import::correction::item::Item;
use crate::import::correction::wanted::Wanted;
use crate::parse;
use crate::source::tree::{Node, Table};
use crate::source::{FileId, FilePath, SourceFile};

/// Says for each source that is taken out what still rests on it in the entry as it would be.
pub fn problems(after: &str, changes: &[Wanted], is_shared: impl Fn(&str) -> bool) -> Vec<String> {
    let gone = changes.iter().filter(|wanted| wanted.now.is_none()).filter_map(|wanted| Item::of(&wanted.key));
    let gone: BTreeSet<&str> = gone.filter(|item| item.list == "source").map(|item| item.name).collect();
    if gone.is_empty() {
        return Vec::new();
    }
    let file = SourceFile::new(FilePath::new("entry.md"), after.to_string());
    let front = parse::record(FileId(0), &file).value.front;
    let told = |id: &str| {
        let rests = resting(&front, id);
        (!rests.is_empty()).then(|| {
            format!(
                "takes out the source {}, and {} still rests on it; change that too, or keep the source. Nothing of the \
                 correction is taken",
                wording::quote(id),
                rests.join(" and ")
            )
        })
    };
    gone.into_iter().filter(|id| !is_shared(id)).filter_map(told).collect()
}

fn resting(front: &Table, id: &str) -> Vec<String> {
    let is_it = |text: &str| text.split_whitespace().next() == Some(id);
    let names = |table: &Table, key: &str| table.list(key).iter().filter_map(Node::text).any(is_it);
    let is_key = front.words("made-source").is_some_and(|text| is_it(&text));
    let mut rests = Vec::new();
    rests.extend(is_key.then(|| "the date (`made-source`)".to_string()));
    rests.extend(names(front, "sources").then(|| "the whole entry (`sources`)".to_string()));
    rests.extend(front.tables("claims").filter(|claim| names(claim, "sources")).map(claimed));
    let repeating = front.tables("source").filter(|source| names(source, "repeats"));
    rests.extend(repeating.map(|source| {
        let other = source.words("id").unwrap_or_default();
        format!("the source {}, which repeats it,", wording::quote(&other))
    }));
    rests
}

fn claimed(claim: &Table) -> String {
    let said: Vec<String> = ["id", "event", "about"].iter().filter_map(|key| claim.words(key)).collect();
    format!("the claim {}", wording::quote(&said.join(" ")))
}

#[cfg(test)]
mod tests {
    use super::problems;
    use crate::import::correction::wanted::Wanted;

    fn of(front: &str, is_shared: bool) -> Vec<String> {
        let gone = Wanted { key: "source.notes".to_string(), was: None, now: None };
        problems(&format!("+++\nbasis = \"specimen\"\n{front}+++\n"), &[gone], |_| is_shared)
    }

    #[test]
    fn whatever_names_a_source_that_goes_is_told() {
        for (front, says) in [
            ("made-source = \"notes p. 4\"\n", "the date (`made-source`) still"),
            ("sources = [\"list\", \"notes\"]\n", "the whole entry (`sources`) still"),
            (
                "[[claims]]\nevent = \"attested\"\nabout = \"model\"\nsources = [\"notes f. 1\"]\n",
                "the claim `attested model` still",
            ),
            ("[[source]]\nid = \"copy\"\nrepeats = [\"notes\"]\n", "the source `copy`, which repeats it, still"),
        ] {
            let told = of(front, false);
            assert!(told.len() == 1 && told[0].contains(says), "{told:?}");
            assert!(of(front, true).is_empty(), "a shared source of that id is meant then");
        }
    }

    #[test]
    fn a_source_that_nothing_names_goes_in_silence() {
        assert!(of("made-source = \"notes-of-osk\"\nsources = [\"list notes\"]\n", false).is_empty());
    }
}
