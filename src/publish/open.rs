//! What is open: contested conflicts, open disputes, garments nobody could place, variants without a sure year.

use serde::Serialize;

use crate::publish::leaf::{Leaf, Link};
use crate::publish::{reasons, strips};
use crate::reason::Standing;
use crate::record::id::{Thing, Whole};
use crate::record::{Content, DisputeStatus};

/// Questions that a reader may know the answer to.
#[derive(Debug, Serialize)]
pub struct Questions {
    conflicts: Vec<Link>,
    disputes: Vec<Link>,
    unplaced: Vec<Link>,
    never_sure: Vec<Link>,
}

/// Gathers the questions.
pub fn questions(leaf: &Leaf<'_>) -> Questions {
    let (knowledge, catalog) = (leaf.context.knowledge, leaf.catalog());
    let is_contested = |number: &usize| {
        let members = knowledge.conflicts[*number].members.iter();
        members.map(|member| knowledge.voice(*member)).any(|voice| voice.standing == Standing::Contested)
    };
    let contested = (0..knowledge.conflicts.len()).filter(is_contested);
    let disputes = catalog.disputes.iter().filter(|index| match &catalog.record(**index).content {
        Content::Dispute(dispute) => dispute.status == DisputeStatus::Open,
        _ => false,
    });
    let never_sure = catalog
        .variants
        .keys()
        .filter(|variant| strips::era(leaf, variant).is_none_or(|era| era.surely_made().is_none()));
    Questions {
        conflicts: contested.map(|number| reasons::conflict(leaf, number)).collect(),
        disputes: disputes.map(|index| leaf.record(*index)).collect(),
        unplaced: catalog.unplaced.iter().map(|index| leaf.record(*index)).collect(),
        never_sure: never_sure.map(|variant| leaf.thing(&Thing::of(Whole::Variant(variant.clone())))).collect(),
    }
}
