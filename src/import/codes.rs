//! The codes of candidate entries, with their readings by the keys of the knowledge base.
//!
//! An entry keeps its code unchanged and gets no part of the reading.

use std::collections::BTreeMap;

use crate::evidence::key::{self, CodeSeen, StandingKey};
use crate::explain::key::reading;
use crate::import::Candidate;
use crate::parse;
use crate::record::id::MakerId;
use crate::resolve::Catalog;
use crate::source::tree::{Node, Table};
use crate::source::{FileId, FilePath, SourceFile};
use crate::vocabulary::Kind;

/// A code of entries, with what its keys make of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CodeSaid {
    /// The code as written.
    pub code: String,
    /// The reading of the keys, in words.
    pub says: String,
}

/// Lists the readings of every code and the number of entries with it; leaves out codes that no key
/// covers.
pub fn said(catalog: &Catalog, candidates: &[Candidate]) -> BTreeMap<CodeSaid, usize> {
    let keys = key::standing(catalog);
    let mut said = BTreeMap::new();
    if keys.is_empty() {
        return said;
    }
    for candidate in candidates {
        let file = SourceFile::new(FilePath::new(candidate.path.as_str()), candidate.text.clone());
        let front = parse::record(FileId(0), &file).value.front;
        let maker = maker(&candidate.path, &front);
        for entry in front.table("features").into_iter().flat_map(Table::entries) {
            let feature = catalog.vocabulary.feature(entry.key.value.as_str());
            let Some(feature) = feature.filter(|feature| feature.kind == Kind::Code) else { continue };
            let Some(code) = code(&entry.value) else { continue };
            let seen = key::read(&keys, &feature.id, &code, maker.as_ref());
            if let Some(says) = says(&seen, maker.as_ref()) {
                *said.entry(CodeSaid { code: code.clone(), says }).or_insert(0) += 1;
            }
        }
    }
    said
}

/// The code of a reading that keys may read: neither altered nor doubtful.
fn code(node: &Node) -> Option<String> {
    let code = match node.table() {
        Some(reading) if reading.has("altered") || reading.has("unsure") => None,
        Some(reading) => reading.words("value"),
        None => node.text().map(str::to_string),
    };
    code.filter(|code| code != "absent" && code != "lost")
}

/// The maker by the folder that the entry goes to, or by what an entry without a variant says.
fn maker(path: &str, front: &Table) -> Option<MakerId> {
    if let Some(below) = path.strip_prefix("entries/makers/") {
        return below.split('/').next().map(MakerId::new);
    }
    let through = |key: &str| Some(front.words(key)?.split_once('/')?.0.to_string());
    front.words("maker").or_else(|| through("model")).or_else(|| through("line")).map(MakerId::new)
}

fn says(seen: &CodeSeen<'_>, maker: Option<&MakerId>) -> Option<String> {
    let through = |key: &StandingKey<'_>| format!("`{}`", key.id);
    let reads: Vec<String> =
        seen.reads.iter().map(|read| format!("{} through {}", reading(&read.reading), through(&read.key))).collect();
    match (maker, reads.as_slice(), seen.used()) {
        (Some(_), [], _) if seen.unread.is_empty() => None,
        (Some(_), [], _) => Some("no key of its maker can read it; look at it again".to_string()),
        (Some(_), [one], _) => Some(format!("reads {one}")),
        (Some(_), several, []) => Some(format!("keys read it differently, so none is used: {}", several.join("; "))),
        (Some(_), several, _) => Some(format!("reads {}", several.join(", and "))),
        (None, [], _) => None,
        (None, several, _) => Some(format!("who made it is not known; it could read {}", several.join(", or "))),
    }
}
