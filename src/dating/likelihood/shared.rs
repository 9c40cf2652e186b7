//! The data that the likelihoods of all models share: the evidence, its pool, and the claims
//! believed.
//!
//! Nothing is counted here.

use std::collections::BTreeSet;

use crate::dating::likelihood::pool::Pool;
use crate::dating::likelihood::years::{self, Bounds};
use crate::evidence::CountedEvidence;
use crate::knowledge::{Knowledge, Saying};
use crate::record::id::Thing;
use crate::vocabulary::{Feature, Replaceable};

/// How far a slip of the eye or a replaced part may explain a reading.
pub fn slip(feature: &Feature) -> f64 {
    match feature.replaceable {
        Replaceable::No => 0.02,
        Replaceable::Sometimes => 0.05,
        Replaceable::Often => 0.15,
    }
}

/// The data that is the same for all models.
pub struct Shared<'a> {
    /// The knowledge base.
    pub knowledge: &'a Knowledge,
    /// The counted evidence of each variant.
    pub counted: CountedEvidence<'a>,
    /// Columns and general shares.
    pub pool: &'a Pool,
    /// Things with a state whose begin or end somebody claims and the knowledge base believes.
    pub claimed: BTreeSet<&'a Thing>,
}

impl<'a> Shared<'a> {
    /// Collects what all models need.
    pub fn new(counted: CountedEvidence<'a>, pool: &'a Pool) -> Shared<'a> {
        let knowledge = counted.knowledge;
        let mut claimed = BTreeSet::<&Thing>::new();
        for voice in &knowledge.voices {
            match &voice.says {
                Saying::Began(thing, _) | Saying::Ended(thing, _) if voice.is_kept() => {
                    claimed.insert(thing);
                }
                Saying::Before(thing, other) if voice.is_kept() => claimed.extend([&**thing, &**other]),
                _ => {}
            }
        }
        claimed.retain(|thing| thing.state.is_some());
        Shared { knowledge, counted, pool, claimed }
    }

    /// The bounds of a thing's era.
    pub fn bounds(&self, thing: &Thing) -> Bounds {
        self.knowledge.eras.get(thing).map_or([None; 4], years::bounds)
    }
}
