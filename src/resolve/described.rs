//! An id to what the record of its maker or model says of it.

use crate::record::id::{LineId, MakerId, ModelId};
use crate::record::{Content, Line, Maker, Model};
use crate::resolve::Catalog;

impl Catalog {
    /// What a maker's record says, if it has one.
    pub fn maker(&self, id: &MakerId) -> Option<&Maker> {
        match &self.record(self.makers.get(id)?.record).content {
            Content::Maker(maker) => Some(maker),
            _ => None,
        }
    }

    /// What a model's record says, if it has one.
    pub fn model(&self, id: &ModelId) -> Option<&Model> {
        match &self.record(self.models.get(id)?.record).content {
            Content::Model(model) => Some(model),
            _ => None,
        }
    }

    /// What the record of its maker says of a line, if there is one.
    pub fn line(&self, id: &LineId) -> Option<&Line> {
        match &self.record(*self.lines.get(id)?).content {
            Content::Maker(maker) => maker.lines.iter().find(|line| line.id.value == *id),
            _ => None,
        }
    }
}
