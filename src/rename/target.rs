//! Turns two typed names into the thing to rename and its new name, or the reason for a refusal.

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::difference::moved::Moves;
use crate::record::id::{FeatureId, StateId};
use crate::rename::refusal::Refusal;
use crate::rename::thing::Thing;
use crate::resolve::Catalog;
use crate::source::FilePath;
use crate::vocabulary::Kind;

/// The thing to rename.
pub struct Target {
    /// The thing.
    pub old: Thing,
    /// The same under its new name.
    pub new: Thing,
    /// Every text file that moves with it, by its path.
    pub files: BTreeMap<FilePath, FilePath>,
    /// All names that change.
    pub moves: Moves,
}

/// Finds what is meant, and refuses a new name that cannot be one.
pub fn find(catalog: &Catalog, old: &str, new: &str) -> Result<Target, Refusal> {
    let things = things(catalog);
    let old = meant(catalog, &things, plain(old))?;
    let new = named(&old, plain(new))?;
    if let Some(taken) = taken(catalog, &things, &new) {
        return Err(Refusal::Taken { name: new.written()[0].clone(), taken });
    }
    let files = files(catalog, &old, &new);
    let addresses: BTreeMap<String, String> =
        files.iter().map(|(from, to)| (from.address().to_string(), to.address().to_string())).collect();
    for (from, address) in &addresses {
        if let Some(now) = catalog.moved.get(address).filter(|now| *now != from) {
            return Err(Refusal::Forwarded { address: address.clone(), now: now.clone() });
        }
    }
    let moves = moves(&old, &new, addresses);
    Ok(Target { old, new, files, moves })
}

/// Finds two things that are both there: the second by its name alone, or in full.
pub fn both(catalog: &Catalog, old: &str, new: &str) -> Result<[Thing; 2], Refusal> {
    let things = things(catalog);
    let old = meant(catalog, &things, plain(old))?;
    let new = named(&old, plain(new))?;
    if things.contains(&new) { Ok([old, new]) } else { Err(unknown(catalog, &things, &new.written()[0])) }
}

/// Finds a state, and the states that it is to be split into, which are not there yet.
pub fn parts(catalog: &Catalog, old: &str, parts: &str) -> Result<(FeatureId, StateId, Vec<String>), Refusal> {
    let things = things(catalog);
    let old = meant(catalog, &things, plain(old))?;
    let Thing::State(feature, state) = &old else {
        return Err(Refusal::NotSplit { found: old.written()[0].clone() });
    };
    let mut names = Vec::new();
    for part in parts.split(',') {
        let part = named(&old, plain(part.trim()))?;
        if things.contains(&part) {
            let name = part.written()[0].clone();
            return Err(Refusal::Taken { taken: name.clone(), name });
        }
        names.push(part.name().to_string());
    }
    Ok((feature.clone(), state.clone(), names))
}

fn moves(old: &Thing, new: &Thing, addresses: BTreeMap<String, String>) -> Moves {
    match (old, new) {
        (Thing::Line(old), Thing::Line(new)) => Moves::of_line(old.clone(), new.clone()),
        (Thing::Feature(old), Thing::Feature(new)) => Moves::of_feature(old.clone(), new.clone()),
        (Thing::State(feature, old), Thing::State(_, new)) => {
            Moves::of_state(feature.clone(), old.clone(), new.clone())
        }
        _ => Moves::of_records(addresses),
    }
}

/// The path without what a shell or a listing of files adds to it.
fn plain(typed: &str) -> &str {
    let typed = typed.trim_start_matches("./").trim_end_matches('/');
    let typed = typed.strip_prefix("entries/").unwrap_or(typed);
    typed.strip_suffix(".md").unwrap_or(typed)
}

/// Everything that can be renamed.
fn things(catalog: &Catalog) -> Vec<Thing> {
    let records = catalog.sources.iter().filter_map(|(_, file)| Thing::at(file.path()));
    let lines = catalog.lines.keys().cloned().map(Thing::Line);
    let features = catalog.vocabulary.iter().flat_map(|feature| {
        let states = match &feature.kind {
            Kind::State { states } => states.as_slice(),
            _ => &[],
        };
        let states = states.iter().map(|state| Thing::State(feature.id.clone(), state.clone()));
        std::iter::once(Thing::Feature(feature.id.clone())).chain(states)
    });
    records.chain(lines).chain(features).collect()
}

fn meant(catalog: &Catalog, things: &[Thing], typed: &str) -> Result<Thing, Refusal> {
    let written = |thing: &&Thing| thing.written().iter().any(|form| form == typed);
    // A state has no name without its feature.
    let named = |thing: &&Thing| thing.name() == typed && !matches!(thing, Thing::State(..));
    let mut found: Vec<&Thing> = things.iter().filter(written).collect();
    if found.is_empty() {
        found = things.iter().filter(named).collect();
    }
    match found.as_slice() {
        [one] => Ok((*one).clone()),
        [] => Err(unknown(catalog, things, typed)),
        many => {
            let forms = many.iter().map(|thing| thing.written()[0].clone()).collect();
            Err(Refusal::Ambiguous { found: typed.to_string(), forms })
        }
    }
}

fn unknown(catalog: &Catalog, things: &[Thing], typed: &str) -> Refusal {
    if typed == "about" {
        return Refusal::Settings;
    }
    let below = format!("makers/{typed}");
    let own_files = ["", "/maker", "/model", "/variant"];
    let mut addresses = [typed, &below].into_iter().flat_map(|start| own_files.map(|end| format!("{start}{end}")));
    if let Some(now) = addresses.find_map(|address| catalog.moved.get(&address)) {
        return Refusal::Moved { found: typed.to_string(), now: now.clone() };
    }
    let mut words: Vec<String> = things.iter().map(|thing| thing.written()[0].clone()).collect();
    let mut near: Vec<String> = wording::nearest(typed, &words, 3).into_iter().map(str::to_string).collect();
    if near.is_empty() {
        // A bare name is answered with the full one.
        let named =
            |name: &str| things.iter().find(|thing| thing.name() == name).map(|thing| thing.written()[0].clone());
        words = things.iter().map(|thing| thing.name().to_string()).collect();
        words.sort();
        words.dedup();
        near = wording::nearest(typed, &words, 3).into_iter().filter_map(named).collect();
    }
    Refusal::Unknown { found: typed.to_string(), near }
}

/// Reads the new name: alone, or with all that stays before it.
fn named(old: &Thing, typed: &str) -> Result<Thing, Refusal> {
    let is_meant = |name: &&str| *name == typed || old.renamed(name).written().iter().any(|form| form == typed);
    let Some(name) = typed.split(['/', ':', '=']).find(is_meant) else {
        return Err(Refusal::Elsewhere { found: typed.to_string(), form: old.renamed("NAME").written()[0].clone() });
    };
    let is_name = !name.is_empty() && name.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'));
    if !is_name {
        return Err(Refusal::BadName { found: name.to_string() });
    }
    if old.reserved().contains(&name) {
        return Err(Refusal::Reserved { found: name.to_string() });
    }
    if old.name() == name { Err(Refusal::Same { found: name.to_string() }) } else { Ok(old.renamed(name)) }
}

/// The thing that has the new name already, or a name that differs only in capital letters.
fn taken(catalog: &Catalog, things: &[Thing], new: &Thing) -> Option<String> {
    let Thing::Record(path) = new else { return things.contains(new).then(|| new.written()[0].clone()) };
    let is_there = |other: &str| {
        let other = other.to_lowercase();
        let below = new.folder().and_then(|folder| other.strip_prefix(folder));
        other == path.as_str() || below.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let texts = catalog.sources.iter().map(|(_, file)| file.path());
    let beside = catalog.sources.attachments().iter().map(|attachment| &attachment.path);
    texts.chain(beside).find(|other| is_there(other.as_str())).map(ToString::to_string)
}

/// The text files that move: the record's own, or all in its folder.
fn files(catalog: &Catalog, old: &Thing, new: &Thing) -> BTreeMap<FilePath, FilePath> {
    let (Thing::Record(from), Thing::Record(to)) = (old, new) else { return BTreeMap::new() };
    let (Some(old), Some(new)) = (old.folder(), new.folder()) else {
        return BTreeMap::from([(from.clone(), to.clone())]);
    };
    let texts = catalog.sources.iter().map(|(_, file)| file.path());
    let below = texts.filter_map(|path| {
        let rest = path.as_str().strip_prefix(old).filter(|rest| rest.starts_with('/'))?;
        Some((path.clone(), FilePath::new(format!("{new}{rest}"))))
    });
    below.collect()
}
