//! New sources without a copy that set older statements aside, or contest them.
//!
//! It has no words. What would hold without these sources is computed once for all of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::chronology::overturned::{self, Overturned};
use crate::difference::moved::Moves;
use crate::knowledge::{Knowledge, Saying, Standing, Voice, VoiceClaim, VoiceIndex};
use crate::record::citation::SourceKind;
use crate::record::claim::SourceReference;
use crate::record::id::{VoiceName, whole_claim};
use crate::record::{Content, Record};
use crate::resolve::{Catalog, CitedSource, SourceIndex};
use crate::source::{Place, Spanned};

/// A present source that cannot be looked up, and the older statements that it overturns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromNowhere {
    /// The source.
    pub source: SourceIndex,
    /// Where it is written.
    pub place: Place,
    /// The voices of now that rest on it and overturn others, sorted.
    pub voices: BTreeSet<VoiceIndex>,
    /// The statements it overturns, in order of voice.
    pub overturned: Vec<Statement>,
}

/// A statement that the earlier state had too, with a better standing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Statement {
    /// The voice of now that it is part of, which is set aside or contested.
    pub voice: VoiceIndex,
    /// Its place among the claims of the voice.
    pub claim: usize,
}

impl Statement {
    /// The voice and the part of it.
    pub fn of(self, now: &Knowledge) -> (&Voice, &VoiceClaim) {
        let voice = now.voice(self.voice);
        (voice, &voice.claims[self.claim])
    }
}

impl FromNowhere {
    /// The voices that rest on the source and overturn others, each with its parts that do.
    pub fn claims<'a>(&self, now: &'a Knowledge) -> Vec<(&'a Voice, &'a VoiceClaim)> {
        let voices = self.voices.iter().map(|index| now.voice(*index));
        let parts = voices.flat_map(|voice| voice.claims.iter().map(move |part| (voice, part)));
        parts.filter(|(voice, part)| rests_on(&now.catalog, voice, part, self.source)).collect()
    }
}

/// Finds them in the state of now, in order of place.
pub fn of(earlier: &Knowledge, now: &Knowledge, moves: &Moves) -> Vec<FromNowhere> {
    let resting = resting(now, &without_copy(&now.catalog, new_sources(earlier, now)));
    if resting.is_empty() {
        return Vec::new();
    }
    let sources: BTreeSet<SourceIndex> = resting.values().flatten().copied().collect();
    let before = standings(earlier, moves);
    let mut found: BTreeMap<SourceIndex, FromNowhere> = BTreeMap::new();
    for overturned in overturned::by(now, &sources, &resting.keys().copied().collect()) {
        let statements = statements(now, &before, overturned.voice);
        for (by, source) in culprits(now, &resting, &overturned) {
            let place = now.catalog.cited(source).places[0];
            let new = || FromNowhere { source, place, voices: BTreeSet::new(), overturned: Vec::new() };
            let found = found.entry(source).or_insert_with(new);
            found.voices.insert(by);
            found.overturned.extend(&statements);
        }
    }
    let mut found: Vec<FromNowhere> = found.into_values().filter(|one| !one.overturned.is_empty()).collect();
    for one in &mut found {
        one.overturned.sort_unstable();
        one.overturned.dedup();
    }
    found.sort_by_key(|one| one.place);
    found
}

/// The earlier standing of every statement, under its present name.
fn standings(earlier: &Knowledge, moves: &Moves) -> BTreeMap<VoiceName, Standing> {
    let claims = earlier.voices.iter().flat_map(|voice| voice.claims.iter().map(move |claim| (claim, voice.standing)));
    claims.map(|(claim, standing)| (moves.voice(&claim.name), standing)).collect()
}

/// The parts of a voice that had a better standing before the change.
fn statements(now: &Knowledge, before: &BTreeMap<VoiceName, Standing>, index: VoiceIndex) -> Vec<Statement> {
    let voice = now.voice(index);
    let stood_better = |part: &VoiceClaim| before.get(&part.name).is_some_and(|before| *before < voice.standing);
    let claims = voice.claims.iter().enumerate().filter(|(_, part)| stood_better(part));
    claims.map(|(claim, _)| Statement { voice: index, claim }).collect()
}

/// The sources that overturned a voice, each with the voice that rests on it; ones that were overturned themselves only
/// if no other is left.
fn culprits(
    now: &Knowledge,
    resting: &BTreeMap<VoiceIndex, BTreeSet<SourceIndex>>,
    overturned: &Overturned,
) -> Vec<(VoiceIndex, SourceIndex)> {
    let stands = |voice: &VoiceIndex| now.voice(*voice).standing != Standing::SetAside;
    let (standing, fallen): (Vec<VoiceIndex>, Vec<VoiceIndex>) = overturned.by.iter().partition(|voice| stands(voice));
    let by = if standing.is_empty() { fallen } else { standing };
    by.into_iter().flat_map(|voice| resting[&voice].iter().map(move |source| (voice, *source))).collect()
}

/// The sources of now that the earlier state did not have in these words and of this kind.
pub fn new_sources(earlier: &Knowledge, now: &Knowledge) -> BTreeSet<SourceIndex> {
    let known: BTreeSet<(&str, SourceKind)> = earlier.catalog.cited.iter().map(told_apart_by).collect();
    let numbered = (0..).map(SourceIndex).zip(&now.catalog.cited);
    numbered.filter(|(_, source)| !known.contains(&told_apart_by(source))).map(|(index, _)| index).collect()
}

/// The identity of a source, which stays the same when it moves to another file.
fn told_apart_by(source: &CitedSource) -> (&str, SourceKind) {
    (&source.citation, source.kind)
}

/// Those of some sources that have no address, and that no entry with photographs cites.
pub fn without_copy(catalog: &Catalog, mut sources: BTreeSet<SourceIndex>) -> BTreeSet<SourceIndex> {
    sources.retain(|source| !catalog.cited(*source).has_address());
    if sources.is_empty() {
        return sources;
    }
    for record in &catalog.records {
        let Some(observation) = record.content.observation().filter(|one| !one.photographs.is_empty()) else {
            continue;
        };
        let claimed = observation.claims.iter().flat_map(|claim| &claim.sources);
        let cited = observation.sources.iter().chain(&observation.made_source).chain(claimed);
        for pictured in cited.filter_map(|cited| catalog.source_named(record.file, &cited.value.id)) {
            sources.remove(&pictured);
        }
    }
    sources
}

/// The voices in contradictions that rest on some sources, each with those: it names them, or goes back to them.
fn resting(now: &Knowledge, sources: &BTreeSet<SourceIndex>) -> BTreeMap<VoiceIndex, BTreeSet<SourceIndex>> {
    if sources.is_empty() {
        return BTreeMap::new();
    }
    let of_voice = |voice: &Voice| -> BTreeSet<SourceIndex> {
        let named = voice.claims.iter().flat_map(|part| named(&now.catalog, voice, part));
        named.chain(voice.roots.iter().copied()).filter(|source| sources.contains(source)).collect()
    };
    let entangled = now.entangled.iter().map(|index| (*index, of_voice(now.voice(*index))));
    entangled.filter(|(_, sources)| !sources.is_empty()).collect()
}

/// Says whether a part of a voice names a source, or one that goes back to it; a key is its source's own.
fn rests_on(catalog: &Catalog, voice: &Voice, part: &VoiceClaim, source: SourceIndex) -> bool {
    let named = named(catalog, voice, part);
    voice.says == Saying::Key
        || named.iter().any(|named| *named == source || catalog.cited(*named).roots.contains(&source))
}

/// The sources that a part of a voice names, unless they are withheld.
fn named(catalog: &Catalog, voice: &Voice, part: &VoiceClaim) -> Vec<SourceIndex> {
    let Some(record) = part.record.map(|index| catalog.record(index)) else { return Vec::new() };
    let observation = record.content.observation();
    let references: &[Spanned<SourceReference>] = match (&voice.says, &record.content) {
        (Saying::Key, Content::Key(key)) => &key.sources,
        (Saying::Document(_), _) => observation.map_or(&[], |observation| &observation.sources),
        (Saying::Made(_), _) => observation.map_or(&[], |observation| observation.made_source.as_slice()),
        (Saying::Seen(_) | Saying::Key, _) => &[],
        _ => claimed(record, part),
    };
    let named = references.iter().filter_map(|source| catalog.source_named(record.file, &source.value.id));
    named.filter(|source| !catalog.withheld_sources.contains(source)).collect()
}

/// The sources of the claim that a part of a voice was made from.
fn claimed<'a>(record: &'a Record, part: &VoiceClaim) -> &'a [Spanned<SourceReference>] {
    let name = part.name.as_str().rsplit_once('#').map_or("", |(_, name)| whole_claim(name));
    let is_it = |id: Option<&str>, number: usize| id.map_or_else(|| number.to_string() == name, |id| id == name);
    let mut claims = record.content.claims().iter();
    let claim = claims.find(|claim| is_it(claim.id.as_ref().map(|id| id.value.as_str()), claim.number));
    claim.map_or(&[], |claim| &claim.sources)
}
