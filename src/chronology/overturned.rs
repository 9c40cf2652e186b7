//! Finds the voices that some sources overturn: they would count for more if nobody had cited these
//! sources.
//!
//! Settles once without all of these sources. The contradictions show which of them overturned a
//! voice.

use std::collections::{BTreeMap, BTreeSet};

use crate::chronology::settle::{self, Settlement};
use crate::chronology::solver::removal;
use crate::chronology::voice;
use crate::knowledge::{Knowledge, Standing, Voice, VoiceIndex};
use crate::record::id::VoiceName;
use crate::resolve::{Catalog, SourceIndex};

/// A voice that some sources overturn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overturned {
    /// The voice, which is set aside or contested.
    pub voice: VoiceIndex,
    /// The voices on these sources that contradict it, or else the ones in the same tangle of
    /// contradictions.
    pub by: Vec<VoiceIndex>,
}

/// Finds the voices that count for less because of some sources; `resting` are the voices that rest on any of them.
pub fn by(now: &Knowledge, sources: &BTreeSet<SourceIndex>, resting: &BTreeSet<VoiceIndex>) -> Vec<Overturned> {
    let before = standings_without(&now.catalog, sources);
    let stood_better = |voice: &Voice| {
        let standings = voice.claims.iter().filter_map(|claim| before.get(&claim.name));
        standings.min().is_some_and(|standing| *standing < voice.standing)
    };
    let doubted = now.entangled.iter().copied().filter(|index| !now.voice(*index).is_kept());
    let fallen: Vec<VoiceIndex> = doubted.filter(|index| stood_better(now.voice(*index))).collect();
    if fallen.is_empty() {
        return Vec::new();
    }
    let collected = voice::collect(&now.catalog);
    let settlement = settle::settle(&collected.widened, &collected.voices, |_| true, &mut removal::STEPS.clone()).0;
    let by = settlement.contradictions.opponents(&fallen, resting);
    fallen.into_iter().zip(by).map(|(voice, by)| Overturned { voice, by }).collect()
}

/// The standing of every claim if some sources were withheld.
fn standings_without(catalog: &Catalog, sources: &BTreeSet<SourceIndex>) -> BTreeMap<VoiceName, Standing> {
    let mut catalog = catalog.clone();
    catalog.withheld_sources.extend(sources);
    let collected = voice::collect(&catalog);
    let settled = settle::settle(&collected.widened, &collected.voices, |_| true, &mut removal::STEPS.clone()).0;
    let Settlement { standings, .. } = settled;
    let standing = |index: u32| standings.get(&VoiceIndex(index)).copied().unwrap_or(Standing::Kept);
    let numbered = (0..).zip(collected.voices);
    let named = numbered.flat_map(|(index, voice)| voice.claims.into_iter().map(move |claim| (claim.name, index)));
    named.map(|(name, index)| (name, standing(index))).collect()
}
