//! An id to what the record of its maker or model says of it.

use crate::record::id::{LineId, MakerId, ModelId};
use crate::record::{Content, Line, Maker, Model};
use crate::resolve::Catalog;

impl Catalog {
    /// The record of a maker, if it has one.
    pub fn maker(&self, id: &MakerId) -> Option<&Maker> {
        match &self.record(self.makers.get(id)?.record).content {
            Content::Maker(maker) => Some(maker),
            _ => None,
        }
    }

    /// The record of a model, if it has one.
    pub fn model(&self, id: &ModelId) -> Option<&Model> {
        match &self.record(self.models.get(id)?.record).content {
            Content::Model(model) => Some(model),
            _ => None,
        }
    }

    /// The description of a line in its maker's record, if there is one.
    pub fn line(&self, id: &LineId) -> Option<&Line> {
        match &self.record(*self.lines.get(id)?).content {
            Content::Maker(maker) => maker.lines.iter().find(|line| line.id.value == *id),
            _ => None,
        }
    }
}
