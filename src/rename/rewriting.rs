//! The text of a file under other names: of front matter and vocabulary only the bytes of names change.
//!
//! What is called what is decided elsewhere.

use crate::difference::moved::Moves;
use crate::parse;
use crate::rename::references::{self, Mention, Names};
use crate::rename::words::{self, Scope};
use crate::source::edit::{self, Edit, apply};
use crate::source::tree::Table;
use crate::source::{FileId, SourceFile, Span};

const VOCABULARY: &str = "schema/vocabulary.toml";

/// Gives the other text of a file, and how many references in it changed.
pub(super) fn rewritten(file: &SourceFile, moves: &Moves) -> (String, usize) {
    let (mut text, mut count) = (file.text().to_string(), 0);
    // A key in several places, as in `hem.state` and `hem.note`, has only the place of the first.
    loop {
        let edits = edits(&SourceFile::new(file.path().clone(), text.clone()), moves);
        if edits.is_empty() {
            return (text, count);
        }
        count += edits.len();
        text = apply(&text, edits);
    }
}

/// The edits of a file: one for each mention whose name changes.
pub(super) fn edits(file: &SourceFile, moves: &Moves) -> Vec<Edit> {
    let edits = changes(file, moves).into_iter();
    edits.map(|(mention, now)| edit::requoted(file.text(), mention.span, &mention.text, &now)).collect()
}

/// Returns the text of a file under its new names, and changes each name once even if two things exchange names.
///
/// `None` if features exchange names and one is written in several places, as in `hem.state` and `hem.note`.
pub fn once(file: &SourceFile, moves: &Moves) -> Option<String> {
    let text = apply(file.text(), edits(file, moves));
    match moves.features_alone() {
        Some(features) => Some(rewritten(&SourceFile::new(file.path().clone(), text), &features).0),
        None => (!has_parted_readings(file)).then_some(text),
    }
}

/// Gives the words that would take the place of the mentions that change, in their order.
pub fn new_words(file: &SourceFile, moves: &Moves) -> Vec<String> {
    changes(file, moves).into_iter().map(|(_, now)| now).collect()
}

/// Gives the places in front matter that name entries and what they say: `same-as`, and the claims of disputes.
pub fn entries_named(front: &Table) -> Vec<Span> {
    let mentions = references::of_record(front).into_iter();
    mentions
        .filter(|mention| matches!(mention.names, Names::Entry | Names::Voice))
        .map(|mention| mention.span)
        .collect()
}

/// Gives the ids of the shared sources that front matter names.
pub fn shared_sources(front: &Table) -> Vec<String> {
    let mentions = references::of_record(front).into_iter().filter(|mention| mention.names == Names::Source);
    mentions.filter_map(|mention| mention.text.split_whitespace().next().map(str::to_string)).collect()
}

/// Gives the mentions in a file that change, each with its other text.
fn changes(file: &SourceFile, moves: &Moves) -> Vec<(Mention, String)> {
    let path = file.path().as_str();
    let (front, mentions) = if path == VOCABULARY {
        let table = parse::toml(FileId(0), file).value;
        let mentions = references::of_vocabulary(&table);
        (table, mentions)
    } else if path.starts_with("entries/") && path.ends_with(".md") {
        let front = parse::record(FileId(0), file).value.front;
        let mentions = references::of_record(&front);
        (front, mentions)
    } else {
        return Vec::new();
    };
    let scope = Scope::of(file.path(), &front);
    let changed = |mention: Mention| words::renamed(moves, &scope, &mention).map(|now| (mention, now));
    mentions.into_iter().filter_map(changed).collect()
}

/// Says whether a reading is written with dots, so that its feature occurs in several places.
fn has_parted_readings(file: &SourceFile) -> bool {
    let front = parse::record(FileId(0), file).value.front;
    let readings = front.table("features").map(Table::entries).unwrap_or_default();
    readings.iter().any(|entry| file.text()[entry.key.span.end()..].trim_start().starts_with('.'))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::once;
    use crate::difference::moved::{Moves, NewNames};
    use crate::record::id::{FeatureId, StateId};
    use crate::source::{FilePath, SourceFile};

    fn moves(features: &[(&str, &str)], states: &[(&str, &str, &str)]) -> Moves {
        let mut names = NewNames::default();
        for (old, new) in features {
            names.features.insert(FeatureId::new(*old), FeatureId::new(*new));
        }
        for (feature, old, new) in states {
            names.states.insert((FeatureId::new(*feature), StateId::new(*old)), StateId::new(*new));
        }
        Moves::of_all(names)
    }

    #[test]
    fn names_that_are_exchanged_are_changed_once() {
        let file = |text: &str| {
            SourceFile::new(FilePath::new("entries/unplaced/a.md"), format!("+++\n[features]\n{text}\n+++\nhem\n"))
        };
        let rows = [
            (moves(&[], &[("hem", "a", "b"), ("hem", "b", "a")]), "hem = \"a\"", Some("hem = \"b\"")),
            (
                moves(&[("hem", "cuff"), ("cuff", "hem")], &[]),
                "hem = 1 # hem\ncuff = 2",
                Some("cuff = 1 # hem\nhem = 2"),
            ),
            (moves(&[("hem", "cuff"), ("cuff", "hem")], &[]), "hem.state = \"a\"\nhem.note = \"b\"", None),
            (
                moves(&[("hem", "cuff")], &[("hem", "a", "b"), ("cuff", "b", "c")]),
                "hem.state = \"a\"\nhem.note = \"b\"",
                Some("cuff.state = \"b\"\ncuff.note = \"b\""),
            ),
        ];
        for (moves, text, expected) in rows {
            assert_eq!(once(&file(text), &moves), expected.map(|text| file(text).text().to_string()), "{text}");
        }
    }
}
