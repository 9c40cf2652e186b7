//! Lookups from one record or conclusion to others, which pages need again and again.

use std::collections::BTreeMap;

use crate::knowledge::{Estimate, Knowledge, VoiceIndex};
use crate::record::Content;
use crate::record::claim::Claim;
use crate::record::id::{Thing, VariantId, Whole};
use crate::resolve::{GarmentIndex, RecordIndex};

/// Lookups over one knowledge, built once for a whole site.
pub struct Index<'a> {
    voices: BTreeMap<&'a str, VoiceIndex>,
    conflicts: BTreeMap<VoiceIndex, Vec<usize>>,
    claims: BTreeMap<&'a Whole, Vec<(RecordIndex, &'a Claim)>>,
    states: BTreeMap<&'a Whole, Vec<&'a Thing>>,
    things: BTreeMap<String, &'a Thing>,
    garments: BTreeMap<RecordIndex, GarmentIndex>,
    of_variants: BTreeMap<&'a VariantId, Vec<GarmentIndex>>,
    estimates: BTreeMap<RecordIndex, &'a Estimate>,
    records: BTreeMap<&'a str, RecordIndex>,
    revivals: BTreeMap<&'a VariantId, Vec<&'a VariantId>>,
}

impl<'a> Index<'a> {
    /// Reads through everything once.
    pub fn new(knowledge: &'a Knowledge) -> Index<'a> {
        let catalog = &knowledge.catalog;
        let (mut voices, mut conflicts) = (BTreeMap::new(), BTreeMap::<_, Vec<_>>::new());
        for (number, voice) in knowledge.voices.iter().enumerate() {
            let index = VoiceIndex(number as u32);
            voices.extend(voice.claims.iter().map(|part| (part.name.as_str(), index)));
        }
        for (number, conflict) in knowledge.conflicts.iter().enumerate() {
            for member in &conflict.members {
                conflicts.entry(*member).or_default().push(number);
            }
        }
        let numbered = || (0_u32..).map(RecordIndex).zip(&catalog.records);
        let mut claims = BTreeMap::<_, Vec<_>>::new();
        for (index, record) in numbered() {
            for claim in record.content.claims() {
                claims.entry(&claim.about.value.whole).or_default().push((index, claim));
            }
        }
        let mut states = BTreeMap::<_, Vec<_>>::new();
        for thing in knowledge.eras.keys().filter(|thing| thing.state.is_some()) {
            states.entry(&thing.whole).or_default().push(thing);
        }
        let (mut garments, mut of_variants) = (BTreeMap::new(), BTreeMap::<_, Vec<_>>::new());
        for (index, garment) in (0_u32..).map(GarmentIndex).zip(&catalog.garments) {
            garments.extend(garment.observations.iter().map(|observation| (*observation, index)));
            for variant in &garment.variants {
                of_variants.entry(variant).or_default().push(index);
            }
        }
        let estimates = knowledge.estimates.iter().map(|estimate| (estimate.record, estimate)).collect();
        let records = numbered().map(|(index, record)| (record.path.as_str(), index)).collect();
        let mut revivals = BTreeMap::<_, Vec<_>>::new();
        for (id, entry) in &catalog.variants {
            let Content::Variant(variant) = &catalog.record(entry.record).content else { continue };
            let old = variant.revives.as_ref().map(|old| &old.value);
            old.filter(|old| old.model() == id.model())
                .into_iter()
                .for_each(|old| revivals.entry(old).or_default().push(id));
        }
        let things = knowledge.eras.keys().map(|thing| (thing.to_string(), thing)).collect();
        Index { voices, conflicts, claims, states, things, garments, of_variants, estimates, records, revivals }
    }

    /// The voice that holds a claim, date or placing.
    pub fn voice(&self, claim: &str) -> Option<VoiceIndex> {
        self.voices.get(claim).copied()
    }

    /// The listed conflicts of a voice, as places in [`Knowledge::conflicts`].
    pub fn conflicts(&self, voice: VoiceIndex) -> &[usize] {
        self.conflicts.get(&voice).map_or(&[], Vec::as_slice)
    }

    /// The claims about a whole and about its states, wherever they were written.
    pub fn claims(&self, whole: &Whole) -> &[(RecordIndex, &'a Claim)] {
        self.claims.get(whole).map_or(&[], Vec::as_slice)
    }

    /// The states of a whole that have an era.
    pub fn states(&self, whole: &Whole) -> &[&'a Thing] {
        self.states.get(whole).map_or(&[], Vec::as_slice)
    }

    /// The thing of an era by its name.
    pub fn thing(&self, name: &str) -> Option<&'a Thing> {
        self.things.get(name).copied()
    }

    /// The variants of its model that revive a variant.
    pub fn revived_by(&self, variant: &VariantId) -> &[&'a VariantId] {
        self.revivals.get(variant).map_or(&[], Vec::as_slice)
    }

    /// The garment that an observation is of.
    pub fn garment(&self, observation: RecordIndex) -> Option<GarmentIndex> {
        self.garments.get(&observation).copied()
    }

    /// The garments filed under a variant.
    pub fn garments_of(&self, variant: &VariantId) -> &[GarmentIndex] {
        self.of_variants.get(variant).map_or(&[], Vec::as_slice)
    }

    /// The estimate of an observation.
    pub fn estimate(&self, observation: RecordIndex) -> Option<&'a Estimate> {
        self.estimates.get(&observation).copied()
    }

    /// The record of a path.
    pub fn record(&self, path: &str) -> Option<RecordIndex> {
        self.records.get(path).copied()
    }
}
