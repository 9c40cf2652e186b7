//! A correction, as the site's page writes it, to another text of an entry that is there.
//!
//! It says field by field what the page showed and what is right. A field that is neither by now is told with both
//! values, and then nothing of the correction is taken. It reaches no file but the observation that it names.

pub mod editing;
pub mod hunks;
pub mod item;
pub mod resting;
pub mod value;
pub mod wanted;

use std::collections::BTreeSet;

use crate::diagnostic::wording;
use crate::digest::Digest;
use crate::import::correction::editing::Prose;
use crate::import::correction::item::{Item, Planned};
use crate::import::correction::wanted::Wanted;
use crate::import::draft::{Draft, left_there};
use crate::import::name::{self, Names};
use crate::import::{Candidate, Corrects, Gathered, LARGEST_ENTRY, Origin, Taken, Trouble};
use crate::parse;
use crate::record::id::SourceId;
use crate::resolve::Catalog;
use crate::source::tree::{Node, Table};
use crate::source::{FileId, FilePath, SourceFile};

/// The keys of an observation that the page can correct, in the order in which entries have them.
///
/// Readings are corrected too, as `features.<feature>`; claims, sources and photographs, as `claims.<id or number>`,
/// `source.<id>` and `photos.<file>`; and the text below the front matter, as `text`.
pub const KEYS: [&str; 18] = [
    "observed",
    "observer",
    "placed-by",
    "placed-from",
    "maker",
    "model",
    "line",
    "wearer",
    "find",
    "factory",
    "market",
    "made",
    "made-by",
    "made-source",
    "made-from",
    "made-as-written",
    "made-note",
    "sources",
];

/// The key of a change to the text below the front matter.
pub const TEXT: &str = "text";

/// The fields that the page adds about the correction itself.
const OWN: [&str; 4] = ["corrects", "seen", "why", "change"];

/// A correction that was read.
struct Correction {
    path: String,
    seen: Option<String>,
    why: String,
    changes: Vec<Wanted>,
    prose: Option<Prose>,
}

/// The name of a state of an entry, so that a correction can say which it was made from.
pub fn seen(text: &str) -> String {
    Digest::default().add(text).short()
}

/// Normalizes the prose below the front matter in the same way: line ends and surrounding blanks do
/// not count.
pub fn prose_seen(prose: &str) -> String {
    seen(&editing::plain(prose))
}

/// Says whether a draft corrects an entry that is there.
pub fn is_one(text: &str) -> bool {
    let mut lines = text.trim_start_matches('\u{feff}').trim_start().lines();
    let is_fenced = lines.next().is_some_and(|line| line.trim_end() == "+++");
    is_fenced && lines.find(|line| !line.trim().is_empty()).is_some_and(|line| line.trim_start().starts_with(OWN[0]))
}

/// Reads one correction into what was gathered.
pub fn read(catalog: &Catalog, draft: &Draft<'_>, names: &mut Names, gathered: &mut Gathered) {
    let origin = Origin::File(draft.file.to_string());
    let found = corrected(catalog, draft.text, &origin, gathered);
    match found
        .and_then(|candidate| candidate.map(|candidate| with_photographs(candidate, draft.file, names)).transpose())
    {
        Ok(Some(candidate)) => gathered.candidates.push(candidate),
        Ok(None) => {}
        Err(messages) => {
            let troubles = messages.into_iter().map(|message| Trouble::new(origin.clone(), None, message));
            gathered.troubles.extend(troubles);
        }
    }
}

/// Takes the names of the photographs that come; one whose name is taken is refused, since nothing is
/// replaced, unless an interrupted import has put it there already.
fn with_photographs(mut candidate: Candidate, draft: &str, names: &mut Names) -> Result<Candidate, Vec<String>> {
    let folder = FilePath::new(candidate.path.as_str()).folder().to_string();
    for taken in &mut candidate.photographs {
        taken.is_there = names.take_left(draft, &format!("{folder}/{}", taken.to));
    }
    let there = candidate.photographs.iter().filter(|taken| taken.is_there);
    candidate.remarks.extend(there.map(|taken| left_there(&taken.to)));
    let mut coming = candidate.photographs.iter().filter(|taken| !taken.is_there);
    match coming.find(|taken| names.take(&folder, &taken.to) != taken.to) {
        None => Ok(candidate),
        Some(taken) => Err(vec![format!(
            "adds the photograph {}, but `{folder}/` has a file of that name. If an interrupted import left it, remove it; \
             otherwise give the new photograph another name, and write that name in the correction",
            wording::quote(&taken.to)
        )]),
    }
}

/// The entry with the correction; nothing where the entry says all of it already.
fn corrected(
    catalog: &Catalog,
    text: &str,
    origin: &Origin,
    gathered: &mut Gathered,
) -> Result<Option<Candidate>, Vec<String>> {
    let correction = parsed(text).map_err(|message| vec![message])?;
    let (file, moved) = entry(catalog, &correction.path).map_err(|message| vec![message])?;
    let path = file.path().to_string();
    if let Some(other) = gathered.candidates.iter().find(|other| other.path == path) {
        let says =
            format!("corrects `{path}`, and so does {}; write that one first, then bring this one again", other.origin);
        return Err(vec![says]);
    }
    let edits = editing::edits(file, &correction.changes, correction.prose.as_ref())?;
    if edits.is_empty() {
        gathered.corrected.push((origin.clone(), path));
        return Ok(None);
    }
    let after = editing::proved(file, edits.clone(), &correction.changes).map_err(|message| vec![message])?;
    let is_shared = |id: &str| catalog.source_names.contains_key(&(None, SourceId::new(id)));
    let resting = resting::problems(&after, &correction.changes, is_shared);
    if !resting.is_empty() {
        return Err(resting);
    }
    let mut candidate = Candidate::new(origin.clone(), path, after);
    candidate.remarks.extend(moved);
    if correction.seen.is_some_and(|then| then != seen(file.text())) {
        candidate.remarks.push("the entry has changed since the page was made; what is corrected has not".to_string());
    }
    let (come, go) = photographs_moved(file, &correction.changes);
    candidate.photographs =
        come.into_iter().map(|name| Taken { from: name.clone(), to: name, is_there: false }).collect();
    candidate.remarks.extend(go.iter().map(|name| {
        let shown = wording::quote(name);
        format!(
            "the entry no longer names the photograph {shown}; its file stays, so delete it if no other entry names it"
        )
    }));
    candidate.corrects = Some(Corrects {
        before: file.text().to_string(),
        why: correction.why,
        lines: hunks::lines(file.text(), &edits),
    });
    Ok(Some(candidate))
}

/// The names of the photographs that come to an entry, and of those that it no longer names.
fn photographs_moved(file: &SourceFile, changes: &[Wanted]) -> (Vec<String>, Vec<String>) {
    let front = parse::record(FileId(0), file).value.front;
    let called = |node: &Node| node.table().and_then(|table| table.words("file"));
    let nodes = front.list("photos");
    let planned = Planned::of("photos", &front, changes);
    let come = planned.added.iter().filter_map(|node| called(node));
    let go = planned.changed.iter().filter(|(_, now)| now.is_none()).filter_map(|(place, _)| called(&nodes[*place]));
    (come.collect(), go.collect())
}

fn parsed(text: &str) -> Result<Correction, String> {
    let text = text.trim_start_matches('\u{feff}').trim_start();
    if text.len() > LARGEST_ENTRY {
        return Err("is larger than 1 MiB, which no knowledge base reads".to_string());
    }
    let file = SourceFile::new(FilePath::new("correction.md"), text.to_string());
    let read = parse::record(FileId(0), &file);
    if let Some(fault) = read.faults.first() {
        let line = file.line_of(fault.span().start());
        return Err(format!("is a correction that cannot be read from line {line} on; have it sent again"));
    }
    let front = &read.value.front;
    if let Some(other) = front.entries().iter().find(|entry| !OWN.contains(&entry.key.value.as_str())) {
        return Err(format!("says {}, which is no key of a correction", wording::quote(&other.key.value)));
    }
    let path = front.words(OWN[0]).ok_or("does not say in quotation marks which entry it corrects")?;
    let mut correction = Correction {
        path,
        seen: front.words(OWN[1]),
        why: front.words(OWN[2]).unwrap_or_default().trim().to_string(),
        changes: Vec::new(),
        prose: None,
    };
    let mut keys = BTreeSet::new();
    for table in front.tables("change") {
        let key = table.words("key").ok_or("holds a change without a key")?;
        if !keys.insert(key.clone()) {
            return Err(format!("changes {} twice", wording::quote(&key)));
        }
        if key == TEXT {
            let seen = table.words("was").unwrap_or_default();
            correction.prose = Some(Prose { seen, text: editing::plain(file.slice(read.value.body)) });
        } else {
            correction.changes.push(wanted(key, table)?);
        }
    }
    if keys.is_empty() {
        return Err("changes nothing".to_string());
    }
    Ok(correction)
}

fn wanted(key: String, table: &Table) -> Result<Wanted, String> {
    let feature = key.strip_prefix("features.");
    let is_name =
        |name: &str| name.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-');
    let is_reading = feature.is_some_and(|name| !name.is_empty() && is_name(name));
    if !KEYS.contains(&key.as_str()) && !is_reading && Item::of(&key).is_none() {
        return Err(format!(
            "changes {}, which no correction may; change it in the entry itself",
            wording::quote(&key)
        ));
    }
    let [was, now] = ["was", "now"].map(|key| table.get(key).cloned());
    if [&was, &now].into_iter().flatten().any(|node| value::written(node).is_none()) {
        return Err(format!("gives {} a value that no entry can have", wording::quote(&key)));
    }
    let wanted = Wanted { key, was, now };
    match Item::of(&wanted.key).and_then(|item| item.problem(&wanted)) {
        Some(problem) => Err(format!("changes {}, which {problem}", wording::quote(&wanted.key))),
        None => Ok(wanted),
    }
}

/// The entry of a path, also under an earlier address, with what to say of that.
fn entry<'c>(catalog: &'c Catalog, path: &str) -> Result<(&'c SourceFile, Option<String>), String> {
    let address = name::address(path);
    let address = address.map_err(|says| format!("corrects {}, but {says}", wording::quote(path)))?;
    if let Some(file) = catalog.sources.find(path) {
        return Ok((catalog.sources.file(file), None));
    }
    let own = catalog.moved.get(FilePath::new(path).address()).map(|now| format!("entries/{now}.md"));
    let of_variant = || {
        let now = name::today(catalog, address.variant.as_ref()?.as_str())?;
        Some(format!("entries/makers/{now}/{}.md", address.name))
    };
    let is_entry = |now: &String| name::address(now).is_ok();
    let found = own.filter(is_entry).or_else(of_variant).and_then(|now| catalog.sources.find(&now));
    let file = found.map(|file| catalog.sources.file(file)).ok_or_else(|| {
        format!(
            "corrects {}, which is not recorded, nor under an earlier name: it was removed, or it moved and no \
             `formerly` says so",
            wording::quote(path)
        )
    })?;
    Ok((file, Some(format!("what was `{path}` is now `{}`", file.path()))))
}

#[cfg(test)]
mod tests;
