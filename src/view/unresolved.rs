//! Open questions: contested conflicts, open disputes, garments without a known variant, variants
//! without a sure year, and the questions that one more observation of each variant would settle.

use serde::Serialize;

use crate::comparison::question::Question;
use crate::explain::comparison as words;
use crate::knowledge::Standing;
use crate::page;
use crate::record::id::{Thing, Whole};
use crate::record::{Content, DisputeStatus};
use crate::view::era_rows;
use crate::view::leaf::{Leaf, Link};
use crate::view::reasons;

/// Questions that a reader may be able to answer.
#[derive(Debug, Serialize)]
pub struct Questions {
    conflicts: Vec<Link>,
    disputes: Vec<Link>,
    unplaced: Vec<Link>,
    never_sure: Vec<Link>,
}

impl Questions {
    /// The variants without a sure year.
    pub fn never_sure(&self) -> &[Link] {
        &self.never_sure
    }
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
        .filter(|variant| era_rows::era(leaf, variant).is_none_or(|era| era.surely_made().is_none()));
    Questions {
        conflicts: contested.map(|number| reasons::conflict(leaf, number)).collect(),
        disputes: disputes.map(|index| leaf.record(*index)).collect(),
        unplaced: catalog.unplaced.iter().map(|index| leaf.record(*index)).collect(),
        never_sure: never_sure.map(|variant| leaf.thing(&Thing::of(Whole::Variant(variant.clone())))).collect(),
    }
}

/// The features that most hangs on, at most three, as part of a sentence.
pub fn request(leaf: &Leaf<'_>, question: &Question) -> Option<String> {
    let named: Vec<String> =
        question.looks.iter().take(3).map(|look| words::the(leaf.catalog(), &look.feature)).collect();
    (!named.is_empty()).then(|| words::join(&named))
}

/// The anchor of a variant on the page of open questions.
pub fn anchor(question: &Question) -> String {
    format!("ask-{}", page::anchor(question.variant.as_str()))
}
