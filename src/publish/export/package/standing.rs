//! The standing of a claim, date or placing, looked up by name.

use std::collections::BTreeMap;

use crate::knowledge::{Knowledge, Standing, Voice};
use crate::record::claim::Claim;
use crate::record::id::whole_claim;
use crate::record::observation::Basis;
use crate::resolve::RecordIndex;

/// The words for a standing; an empty cell if the statement bounds nothing.
pub const STANDINGS: &[&str] = &["kept", "contested", "set-aside", "settled", "withheld"];

/// Voices by the names of their claims.
pub struct Standings<'a> {
    knowledge: &'a Knowledge,
    voices: BTreeMap<&'a str, &'a Voice>,
}

impl<'a> Standings<'a> {
    /// Indexes the voices of a knowledge base.
    pub fn new(knowledge: &'a Knowledge) -> Standings<'a> {
        let named = knowledge.voices.iter().flat_map(|voice| voice.claims.iter().map(move |claim| (claim, voice)));
        Standings { knowledge, voices: named.map(|(claim, voice)| (claim.name.as_str(), voice)).collect() }
    }

    /// The voice that a name is a claim of.
    pub fn voice(&self, name: &str) -> Option<&'a Voice> {
        self.voices.get(name).copied()
    }

    /// The word for the standing of a name of a record.
    pub fn word(&self, record: RecordIndex, name: &str) -> &'static str {
        match self.voice(name).map(|voice| voice.standing) {
            Some(Standing::Kept) => "kept",
            Some(Standing::Contested) => "contested",
            Some(Standing::SetAside) => "set-aside",
            None if self.knowledge.catalog.withheld.contains(&record) || self.rests_on_withheld(record, name) => {
                "withheld"
            }
            None if self.is_settled(name) => "settled",
            None => "",
        }
    }

    /// Says whether the sources of a claim or date are withheld.
    fn rests_on_withheld(&self, record: RecordIndex, name: &str) -> bool {
        let catalog = &self.knowledge.catalog;
        if catalog.withheld_sources.is_empty() {
            return false;
        }
        let own = catalog.record(record);
        let is_named = |claim: &&Claim| catalog.claim_name(record, claim).as_str() == whole_claim(name);
        let sources = match (own.content.claims().iter().find(is_named), own.content.observation()) {
            (Some(claim), _) => claim.sources.as_slice(),
            (None, Some(_)) if !name.ends_with("#made") => return false,
            (None, Some(seen)) if seen.basis.value == Basis::Document => seen.sources.as_slice(),
            (None, Some(seen)) => seen.made_source.as_slice(),
            (None, None) => return false,
        };
        catalog.rests_on_withheld(own.file, sources)
    }

    /// Says whether a settled dispute took out the name, or the claim that it is the beginning or end of.
    fn is_settled(&self, name: &str) -> bool {
        let whole = whole_claim(name);
        let set_aside = &self.knowledge.catalog.set_aside;
        set_aside.contains(name) || set_aside.contains(whole)
    }
}
