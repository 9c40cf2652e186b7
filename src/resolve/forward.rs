//! References through earlier addresses, rewritten to where the records are now.

use std::collections::BTreeMap;

use crate::record::claim::{Claim, Event, SourceReference};
use crate::record::id::{LineId, MakerId, ModelId, SourceId, VariantId, VoiceName, Whole};
use crate::record::observation::{Observation, Placement, Unplaced};
use crate::record::{Content, Record};
use crate::source::Spanned;

/// Earlier addresses to those of today.
pub struct Moves<'a>(pub &'a BTreeMap<String, String>);

impl Moves<'_> {
    /// Rewrites what a record says of others.
    pub fn rewrite(&self, record: &mut Record) {
        match &mut record.content {
            Content::Source(source) => source.repeats.iter_mut().for_each(|id| self.source(&mut id.value)),
            Content::Maker(maker) => self.claims(&mut maker.claims),
            Content::Model(model) => self.claims(&mut model.claims),
            Content::Variant(variant) => {
                self.line(&mut variant.line.value);
                variant.revives.iter_mut().for_each(|id| self.variant(&mut id.value));
                self.claims(&mut variant.claims);
            }
            Content::Landmark(landmark) => self.sources(&mut landmark.sources),
            Content::Key(key) => {
                self.sources(&mut key.sources);
                key.makers.iter_mut().for_each(|id| self.maker(&mut id.value));
            }
            Content::Observation(observation) => self.observation(observation),
            Content::Dispute(dispute) => {
                dispute.claims.iter_mut().for_each(|claim| self.voice(&mut claim.claim.value));
                dispute.set_aside.iter_mut().for_each(|name| self.voice(&mut name.value));
            }
            Content::About(_) => {}
        }
    }

    fn observation(&self, observation: &mut Observation) {
        self.sources(&mut observation.sources);
        self.sources(observation.made_source.as_mut_slice());
        self.claims(&mut observation.claims);
        if let Placement::Unplaced(unplaced) = &mut observation.placement {
            self.unplaced(unplaced);
        }
    }

    fn unplaced(&self, unplaced: &mut Unplaced) {
        unplaced.perhaps.iter_mut().for_each(|id| self.variant(&mut id.value));
        unplaced.line.iter_mut().for_each(|id| self.line(&mut id.value));
        unplaced.maker.iter_mut().for_each(|id| self.maker(&mut id.value));
        if let Some(Whole::Model(now)) =
            unplaced.model.as_ref().and_then(|id| self.whole(&Whole::Model(id.value.clone())))
        {
            unplaced.model.iter_mut().for_each(|id| id.value = now.clone());
        }
    }

    fn claims(&self, claims: &mut [Claim]) {
        for claim in claims {
            self.sources(&mut claim.sources);
            if let Some(now) = self.whole(&claim.about.value.whole) {
                claim.about.value.whole = now;
            }
            if let Event::Before(other) = &mut claim.event.value
                && let Some(now) = self.whole(&other.value.whole)
            {
                other.value.whole = now;
            }
        }
    }

    fn sources(&self, references: &mut [Spanned<SourceReference>]) {
        references.iter_mut().for_each(|reference| self.source(&mut reference.value.id));
    }

    fn source(&self, id: &mut SourceId) {
        let now = self.0.get(&format!("sources/{id}")).and_then(|now| now.strip_prefix("sources/"));
        now.into_iter().for_each(|now| *id = SourceId::new(now));
    }

    fn maker(&self, id: &mut MakerId) {
        if let Some(Whole::Maker(now)) = self.whole(&Whole::Maker(id.clone())) {
            *id = now;
        }
    }

    fn line(&self, id: &mut LineId) {
        if let Some(Whole::Line(now)) = self.whole(&Whole::Line(id.clone())) {
            *id = now;
        }
    }

    fn variant(&self, id: &mut VariantId) {
        if let Some(Whole::Variant(now)) = self.whole(&Whole::Variant(id.clone())) {
            *id = now;
        }
    }

    fn voice(&self, name: &mut VoiceName) {
        let Some((path, part)) = name.as_str().split_once('#') else { return };
        let address = path.strip_prefix("entries/").unwrap_or(path);
        if let Some(now) = self.0.get(address.strip_suffix(".md").unwrap_or(address)) {
            *name = VoiceName::new(format!("entries/{now}.md#{part}"));
        }
    }

    fn whole(&self, whole: &Whole) -> Option<Whole> {
        let now = self.0.get(&super::references::address(whole))?.strip_prefix("makers/")?;
        Some(match whole {
            Whole::Maker(_) => Whole::Maker(MakerId::new(now.strip_suffix("/maker")?)),
            Whole::Line(line) => Whole::Line(LineId::of(&MakerId::new(now.strip_suffix("/maker")?), line.line())),
            Whole::Model(_) => Whole::Model(ModelId::new(now.strip_suffix("/model")?)),
            Whole::Variant(_) => Whole::Variant(VariantId::new(now.strip_suffix("/variant")?)),
        })
    }
}
