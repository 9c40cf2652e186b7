//! A record, label line, feature or state under another name, with every reference to it: a knowledge base to changed
//! texts and moves.
//!
//! Of each text only the bytes of names change. What would change a conclusion or bring an error is refused. Nothing is
//! written here.

mod drawing;
mod formerly;
mod lists;
mod merge;
mod proof;
mod references;
pub mod refusal;
pub mod rewriting;
mod target;
#[cfg(test)]
mod tests;
mod thing;
mod words;

use std::collections::{BTreeMap, BTreeSet};

use crate::compile::progress::Observer;
use crate::compile::{self, Compilation};
use crate::difference::moved::Moves;
use crate::fault::FaultKind;
use crate::record::id::{FeatureId, StateId};
use crate::rename::merge::Pair;
use crate::rename::refusal::Refusal;
use crate::rename::rewriting::{edits, rewritten};
use crate::rename::target::Target;
use crate::rename::thing::Thing;
use crate::source::edit::Change;
use crate::source::{Attachment, FilePath, SourceFile, Sources, Span};

const VOCABULARY: &str = "schema/vocabulary.toml";

/// The result of a renaming.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// The full old name.
    pub old: String,
    /// The full new name.
    pub new: String,
    /// The file or folder that moves, by its path, and where to.
    pub relocation: Option<(String, String)>,
    /// How many files move with it, as far as they are known.
    pub moved: usize,
    /// The files whose text changes, by the paths they had.
    pub texts: BTreeMap<String, Change>,
    /// How many references change in each file, by the path it has then.
    pub references: BTreeMap<String, usize>,
    /// How many addresses are forgotten, since the move only undoes an earlier one.
    pub forgotten: usize,
    /// Other conclusions that change when two things become one, in words.
    pub changed: Vec<String>,
    /// Verdicts that depend on which of two variants is the first by name, in words.
    pub turned: Vec<String>,
}

/// Works out a renaming, and compiles the knowledge base as it would be then.
///
/// `drawings` is the knowledge base's own `site/`, by path below it.
pub fn plan(
    before: &Compilation,
    drawings: &BTreeMap<String, Vec<u8>>,
    names: (&str, &str),
    observer: Observer<'_>,
) -> Result<Plan, Refusal> {
    refuse_unsearchable(before)?;
    let catalog = &before.knowledge.catalog;
    let target = target::find(catalog, names.0, names.1)?;
    let mut plan = begun(&catalog.sources, &target);
    for (_, file) in catalog.sources.iter() {
        plan.add(file, &target);
    }
    for (path, content) in drawings {
        plan.add_drawing(path, content, &target.moves);
    }
    let after = compile::compile(plan.sources(&catalog.sources), Vec::new(), compile::Options::watched(observer));
    plan.turned = proof::check(before, &after, &target.moves)?;
    Ok(plan)
}

/// An unreadable file may name anything.
fn refuse_unsearchable(before: &Compilation) -> Result<(), Refusal> {
    let sources = &before.knowledge.catalog.sources;
    let unsearchable = before.knowledge.faults.iter().filter_map(|fault| {
        let path = sources.file(fault.place.file).path();
        let is_searched = path.as_str().starts_with("entries/") || path.as_str() == VOCABULARY;
        match fault.kind {
            FaultKind::Unreadable(_) => Some(path.to_string()),
            FaultKind::Malformed(_) if is_searched => Some(path.to_string()),
            _ => None,
        }
    });
    let paths: BTreeSet<String> = unsearchable.collect();
    if paths.is_empty() { Ok(()) } else { Err(Refusal::Unsearchable(paths.into_iter().collect())) }
}

fn begun(sources: &Sources, target: &Target) -> Plan {
    let folders = target.old.folder().zip(target.new.folder());
    let file = || target.files.iter().next().map(|(from, to)| (from.to_string(), to.to_string()));
    let relocation = folders.map(|(from, to)| (from.to_string(), to.to_string())).or_else(file);
    let beside = folders.map_or(0, |(from, _)| {
        let is_below = |beside: &&Attachment| beside.path.as_str().starts_with(&format!("{from}/"));
        sources.attachments().iter().filter(is_below).count()
    });
    Plan {
        old: target.old.written()[0].clone(),
        new: target.new.written()[0].clone(),
        relocation,
        moved: target.files.len() + beside,
        texts: BTreeMap::new(),
        references: BTreeMap::new(),
        forgotten: 0,
        turned: Vec::new(),
        changed: Vec::new(),
    }
}

/// Works out how a state or feature gives way to another that is there, and compiles the knowledge base as it would be.
pub fn merge(
    before: &Compilation,
    drawings: &BTreeMap<String, Vec<u8>>,
    names: (&str, &str),
    observer: Observer<'_>,
) -> Result<Plan, Refusal> {
    refuse_unsearchable(before)?;
    let catalog = &before.knowledge.catalog;
    let [old, new] = target::both(catalog, names.0, names.1)?;
    let pair = Pair::of(catalog, &old, &new)?;
    let mut plan = Plan::unmoved(&old, new.written()[0].clone());
    match &pair {
        Pair::States(feature, old, new) => {
            let text =
                lists::merged(vocabulary(&catalog.sources, feature)?, feature.as_str(), [old.as_str(), new.as_str()]);
            plan.change_vocabulary(&catalog.sources, text, feature)?;
            let moves = Moves::of_state(feature.clone(), old.clone(), new.clone());
            drawings.iter().for_each(|(path, content)| plan.add_drawing(path, content, &moves));
        }
        Pair::Features(old, new) => {
            let moves = Moves::of_feature(old.clone(), new.clone());
            let files = catalog.sources.iter().map(|(_, file)| file);
            for file in files.filter(|file| file.path().as_str() != VOCABULARY) {
                let (text, count) = rewritten(file, &moves);
                let path = file.path().as_str();
                plan.change(Rewritten { from: path, to: path, before: file.text(), after: text, count });
            }
            let text = lists::retired(vocabulary(&catalog.sources, old)?, old.as_str(), new.as_str());
            plan.change_vocabulary(&catalog.sources, text, old)?;
            drawings.iter().for_each(|(path, content)| plan.add_drawing(path, content, &moves));
        }
    }
    let after = compile::compile(plan.sources(&catalog.sources), Vec::new(), compile::Options::watched(observer));
    plan.changed = proof::check_merged(before, &after)?;
    Ok(plan)
}

/// Works out how a state is split: the new states are added beside it.
///
/// Also returns the places that name the state, for somebody to look at again.
pub fn split(before: &Compilation, names: (&str, &str), observer: Observer<'_>) -> Result<(Plan, Vec<Again>), Refusal> {
    refuse_unsearchable(before)?;
    let catalog = &before.knowledge.catalog;
    let (feature, state, parts) = target::parts(catalog, names.0, names.1)?;
    let old = Thing::State(feature.clone(), state.clone());
    let mut plan = Plan::unmoved(&old, parts.join(", "));
    let text = lists::split(vocabulary(&catalog.sources, &feature)?, feature.as_str(), state.as_str(), &parts);
    plan.change_vocabulary(&catalog.sources, text, &feature)?;
    let after = compile::compile(plan.sources(&catalog.sources), Vec::new(), compile::Options::watched(observer));
    plan.changed = proof::check_merged(before, &after)?;
    let moves = Moves::of_state(feature, state, StateId::new(parts[0].as_str()));
    let again = catalog.sources.iter().filter(|(_, file)| file.path().as_str().starts_with("entries/"));
    let again = again.flat_map(|(_, file)| edits(file, &moves).into_iter().map(move |edit| Again::at(file, edit.span)));
    Ok((plan, again.collect()))
}

/// A place that somebody has to look at again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Again {
    /// The file.
    pub path: String,
    /// The line, from 1.
    pub line: usize,
    /// The text at the place.
    pub text: String,
}

impl Again {
    fn at(file: &SourceFile, span: Span) -> Again {
        let line = file.line_of(span.start());
        Again { path: file.path().to_string(), line, text: file.slice(file.line(line)).trim().to_string() }
    }
}

fn vocabulary<'a>(sources: &'a Sources, feature: &FeatureId) -> Result<&'a SourceFile, Refusal> {
    let file = sources.find(VOCABULARY).map(|id| sources.file(id));
    file.ok_or_else(|| Refusal::Unchangeable(feature.to_string()))
}

/// A file before and after, with how many of its references were changed.
struct Rewritten<'f> {
    from: &'f str,
    to: &'f str,
    before: &'f str,
    after: String,
    count: usize,
}

impl Plan {
    /// A plan that moves no file.
    fn unmoved(old: &Thing, new: String) -> Plan {
        Plan {
            old: old.written()[0].clone(),
            new,
            relocation: None,
            moved: 0,
            texts: BTreeMap::new(),
            references: BTreeMap::new(),
            forgotten: 0,
            turned: Vec::new(),
            changed: Vec::new(),
        }
    }

    fn change_vocabulary(
        &mut self,
        sources: &Sources,
        text: Option<String>,
        feature: &FeatureId,
    ) -> Result<(), Refusal> {
        let after = text.ok_or_else(|| Refusal::Unchangeable(feature.to_string()))?;
        let before = vocabulary(sources, feature)?.text();
        self.change(Rewritten { from: VOCABULARY, to: VOCABULARY, before, after, count: 0 });
        Ok(())
    }

    fn add(&mut self, file: &SourceFile, target: &Target) {
        let path = file.path();
        let (mut text, count) = rewritten(file, &target.moves);
        let to = target.files.get(path);
        if let Some(to) = to {
            let updated = formerly::update(&text, path, to);
            text = updated.text;
            self.forgotten += usize::from(updated.is_undone);
        }
        let to = to.unwrap_or(path).as_str();
        self.change(Rewritten { from: path.as_str(), to, before: file.text(), after: text, count });
    }

    fn add_drawing(&mut self, path: &str, content: &[u8], moves: &Moves) {
        let is_drawing = path.starts_with("figures/") && path.ends_with(".svg");
        let Some(text) = std::str::from_utf8(content).ok().filter(|_| is_drawing) else { return };
        let (after, count) = drawing::renamed(moves, text);
        let path = format!("site/{path}");
        self.change(Rewritten { from: &path, to: &path, before: text, after, count });
    }

    fn change(&mut self, file: Rewritten<'_>) {
        let Rewritten { from, to, before, after, count } = file;
        if before != after {
            self.texts.insert(from.to_string(), Change { before: before.to_string(), after });
        }
        if count > 0 {
            self.references.insert(to.to_string(), count);
        }
    }

    /// The knowledge base as it would be.
    fn sources(&self, sources: &Sources) -> Sources {
        let files = sources.iter().map(|(_, file)| {
            let path = file.path().as_str();
            let text = self.texts.get(path).map_or(file.text(), |change| &change.after);
            SourceFile::new(FilePath::new(self.path_of(path)), text.to_string())
        });
        let attachments = sources
            .attachments()
            .iter()
            .map(|beside| Attachment { path: FilePath::new(self.path_of(beside.path.as_str())), ..beside.clone() });
        Sources::new(files.collect()).with_attachments(attachments.collect()).with_marks(sources.marks().to_vec())
    }

    /// The path that a file has then.
    pub fn path_of(&self, path: &str) -> String {
        let relocated = || {
            let (from, to) = self.relocation.as_ref()?;
            let rest = path.strip_prefix(from.as_str()).filter(|rest| rest.is_empty() || rest.starts_with('/'))?;
            Some(format!("{to}{rest}"))
        };
        relocated().unwrap_or_else(|| path.to_string())
    }
}
