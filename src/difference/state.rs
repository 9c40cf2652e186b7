//! The two states side by side under the names of now, the files that differ, and whose they are.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::difference::moved::Moves;
use crate::difference::{Cause, Files, When};
use crate::knowledge::{Era, Knowledge, Voice, VoiceIndex};
use crate::record::Content;
use crate::record::id::{Thing, VoiceName, Whole};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::{FilePath, Sources};

/// The files that all others depend on: a change without an entry to blame is theirs, if they changed.
const SETTINGS: [&str; 2] = ["entries/about.md", "schema/vocabulary.toml"];

/// One of the two states.
pub(super) struct State<'a> {
    pub(super) analysis: &'a Analysis<'a>,
    pub(super) knowledge: &'a Knowledge,
    /// Maps to the present names; nothing moves in the present state.
    pub(super) moves: Moves,
    /// Makers, lines, models and variants under the names of now, with their records.
    pub(super) wholes: BTreeMap<Whole, RecordIndex>,
    /// Eras by things under the names of now.
    pub(super) eras: BTreeMap<Thing, &'a Era>,
    /// The voice of each claim, by its present name.
    claims: BTreeMap<VoiceName, VoiceIndex>,
    /// The listed conflicts of each voice, by number.
    conflicts: BTreeMap<VoiceIndex, Vec<usize>>,
    /// The disputes that name a claim, by its present name.
    disputes: BTreeMap<VoiceName, Vec<RecordIndex>>,
}

/// Both states, and what changed between them.
pub(super) struct Change<'a> {
    pub(super) earlier: State<'a>,
    pub(super) now: State<'a>,
    pub(super) files: Files,
    /// Who recorded what, by path.
    observers: BTreeMap<FilePath, String>,
    /// Who recorded the entries of the change.
    authors: BTreeSet<String>,
}

/// The records that a conclusion depends on, before and after.
#[derive(Clone, Debug, Default)]
pub(super) struct Grounds {
    /// The entries that speak.
    pub(super) speak: BTreeSet<FilePath>,
    /// Sources and landmarks behind them.
    pub(super) behind: BTreeSet<FilePath>,
    /// The entries that contradict them, or take one of them out.
    pub(super) around: BTreeSet<FilePath>,
}

impl<'a> State<'a> {
    fn new(analysis: &'a Analysis<'a>, moves: Moves) -> State<'a> {
        let knowledge = analysis.knowledge;
        let wholes = wholes(&knowledge.catalog);
        let wholes = wholes.into_iter().map(|(whole, record)| (moves.whole(&whole), record)).collect();
        let eras = knowledge.eras.iter().map(|(thing, era)| (moves.thing(thing), era)).collect();
        let mut conflicts: BTreeMap<VoiceIndex, Vec<usize>> = BTreeMap::new();
        for (number, conflict) in knowledge.conflicts.iter().enumerate() {
            conflict.members.iter().for_each(|member| conflicts.entry(*member).or_default().push(number));
        }
        let disputes = disputes(&knowledge.catalog, &moves);
        let numbered = (0..).map(VoiceIndex).zip(&knowledge.voices);
        let claims = numbered.flat_map(|(index, voice)| voice.claims.iter().map(move |claim| (&claim.name, index)));
        let claims = claims.map(|(name, index)| (moves.voice(name), index)).collect();
        State { analysis, knowledge, moves, wholes, eras, claims, conflicts, disputes }
    }

    pub(super) fn path(&self, record: RecordIndex) -> FilePath {
        self.moves.path(&self.knowledge.catalog.record(record).path)
    }

    pub(super) fn name(&self, name: &VoiceName) -> VoiceName {
        self.moves.voice(name)
    }

    /// Adds what a voice rests on.
    fn add(&self, grounds: &mut Grounds, index: VoiceIndex) {
        let voice = self.knowledge.voice(index);
        grounds.speak.extend(self.speakers(voice));
        let catalog = &self.knowledge.catalog;
        let sources = voice.roots.iter().filter_map(|root| catalog.cited(*root).record);
        grounds.behind.extend(voice.landmarks.iter().copied().chain(sources).map(|record| self.path(record)));
    }

    /// Adds what contradicts the voice of a claim in this state, or takes the claim out.
    fn add_around(&self, grounds: &mut Grounds, claim: &VoiceName) {
        let index = self.claims.get(claim);
        let conflicts = index.and_then(|index| self.conflicts.get(index)).into_iter().flatten();
        for member in conflicts.flat_map(|number| &self.knowledge.conflicts[*number].members) {
            grounds.around.extend(self.speakers(self.knowledge.voice(*member)));
        }
        grounds.around.extend(self.naming(claim));
    }

    /// The disputes that name a claim, by its name of now.
    pub(super) fn naming<'b>(&'b self, claim: &VoiceName) -> impl Iterator<Item = FilePath> + use<'a, 'b> {
        self.disputes.get(claim).into_iter().flatten().map(|index| self.path(*index))
    }

    fn speakers<'b>(&'b self, voice: &'b Voice) -> impl Iterator<Item = FilePath> + 'b {
        voice.claims.iter().filter_map(|claim| claim.record).map(|record| self.path(record))
    }
}

fn disputes(catalog: &Catalog, moves: &Moves) -> BTreeMap<VoiceName, Vec<RecordIndex>> {
    let mut named: BTreeMap<VoiceName, Vec<RecordIndex>> = BTreeMap::new();
    for index in &catalog.disputes {
        let Content::Dispute(dispute) = &catalog.record(*index).content else { continue };
        let claims = dispute.claims.iter().map(|claim| &claim.claim.value);
        for name in claims.chain(dispute.set_aside.iter().map(|name| &name.value)) {
            named.entry(moves.voice(name)).or_default().push(*index);
        }
    }
    named
}

/// Everything that has a record, or is listed in one.
fn wholes(catalog: &Catalog) -> BTreeMap<Whole, RecordIndex> {
    let makers = catalog.makers.iter().map(|(id, entry)| (Whole::Maker(id.clone()), entry.record));
    let lines = catalog.lines.iter().map(|(id, record)| (Whole::Line(id.clone()), *record));
    let models = catalog.models.iter().map(|(id, entry)| (Whole::Model(id.clone()), entry.record));
    let variants = catalog.variants.iter().map(|(id, entry)| (Whole::Variant(id.clone()), entry.record));
    makers.chain(lines).chain(models).chain(variants).collect()
}

impl<'a> Change<'a> {
    pub(super) fn new(earlier: &'a Analysis<'a>, now: &'a Analysis<'a>, moves: Moves) -> Change<'a> {
        let files = files(&earlier.knowledge.catalog.sources, &now.knowledge.catalog.sources, &moves);
        let (earlier, now) = (State::new(earlier, moves), State::new(now, Moves::default()));
        let mut observers = BTreeMap::new();
        for state in [&earlier, &now] {
            for record in &state.knowledge.catalog.records {
                let observer = record.content.observation().and_then(|observation| observation.observer.as_ref());
                observers.extend(observer.map(|observer| (state.moves.path(&record.path), observer.value.clone())));
            }
        }
        let authors = files.all().into_iter().filter_map(|path| observers.get(path).cloned()).collect();
        Change { earlier, now, files, observers, authors }
    }

    pub(super) fn states(&self) -> [&State<'a>; 2] {
        [&self.earlier, &self.now]
    }

    /// Says whether something is known in both states, by the name it has now.
    pub(super) fn is_in_both(&self, whole: &Whole) -> bool {
        self.states().into_iter().all(|state| state.wholes.contains_key(whole))
    }

    pub(super) fn state(&self, when: When) -> &State<'a> {
        match when {
            When::Now => &self.now,
            When::Earlier => &self.earlier,
        }
    }

    /// Adds what a voice of a state rests on, and what contradicts it in either.
    pub(super) fn add(&self, grounds: &mut Grounds, when: When, index: VoiceIndex) {
        let state = self.state(when);
        state.add(grounds, index);
        for claim in &state.knowledge.voice(index).claims {
            let name = state.name(&claim.name);
            self.states().into_iter().for_each(|state| state.add_around(grounds, &name));
        }
    }

    /// Says why a conclusion on these grounds changed, and whether other people's entries support it.
    pub(super) fn cause(&self, grounds: &Grounds) -> Cause {
        let touched = |paths: &mut dyn Iterator<Item = &FilePath>| -> Vec<FilePath> {
            let paths: BTreeSet<&FilePath> = paths.filter(|path| self.files.touch(path)).collect();
            paths.into_iter().cloned().collect()
        };
        let mut because = touched(&mut grounds.speak.iter().chain(&grounds.behind));
        if because.is_empty() {
            because = touched(&mut grounds.around.iter());
        }
        if because.is_empty() {
            because = touched(&mut SETTINGS.map(FilePath::new).iter());
        }
        Cause { because, is_others: grounds.speak.iter().any(|path| self.is_others(path)) }
    }

    /// Says whether an entry is untouched, and of somebody who recorded nothing of the change.
    fn is_others(&self, path: &FilePath) -> bool {
        !self.files.touch(path) && self.observers.get(path).is_none_or(|observer| !self.authors.contains(observer))
    }
}

/// The files that differ; line ends alone are no difference, as Git may change them.
fn files(earlier: &Sources, now: &Sources, moves: &Moves) -> Files {
    let mut files = Files::default();
    let mut left: BTreeMap<FilePath, &str> = now.iter().map(|(_, file)| (file.path().clone(), file.text())).collect();
    for (_, file) in earlier.iter() {
        let path = moves.path(file.path());
        match left.remove(&path) {
            None => {
                files.removed.insert(path);
            }
            Some(_) if path != *file.path() => {
                files.moved.insert(path, file.path().clone());
            }
            Some(text) if !text.lines().eq(file.text().lines()) => {
                files.changed.insert(path);
            }
            Some(_) => {}
        }
    }
    files.added.extend(left.into_keys());
    files
}
