//! What is open: contested conflicts, open disputes, garments nobody could place, variants without a sure year, and what
//! one more observation of each variant would settle.

use rayon::prelude::{IntoParallelIterator, ParallelIterator};
use serde::Serialize;

use crate::comparison::question::{self, Question};
use crate::explain::comparison as words;
use crate::knowledge::{Knowledge, Standing};
use crate::page;
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::record::{Content, DisputeStatus};
use crate::view::context::Context;
use crate::view::era_rows;
use crate::view::leaf::{Leaf, Link};
use crate::view::pairs;
use crate::view::reasons;

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
        .filter(|variant| era_rows::era(leaf, variant).is_none_or(|era| era.surely_made().is_none()));
    Questions {
        conflicts: contested.map(|number| reasons::conflict(leaf, number)).collect(),
        disputes: disputes.map(|index| leaf.record(*index)).collect(),
        unplaced: catalog.unplaced.iter().map(|index| leaf.record(*index)).collect(),
        never_sure: never_sure.map(|variant| leaf.thing(&Thing::of(Whole::Variant(variant.clone())))).collect(),
    }
}

/// All questions, first what an observation would settle most of.
pub fn ranked<'c>(context: &'c Context<'c>) -> &'c [Question] {
    context.questions.get_or_init(|| rank(context))
}

fn rank<'a>(context: &'a Context<'a>) -> Vec<Question> {
    let models: Vec<&ModelId> = context.knowledge.catalog.models.keys().collect();
    let mut questions: Vec<Question> = models.into_par_iter().flat_map_iter(|model| of_model(context, model)).collect();
    questions
        .sort_by(|one, other| other.settles().total_cmp(&one.settles()).then_with(|| one.variant.cmp(&other.variant)));
    questions
}

fn of_model<'a>(context: &'a Context<'a>, model: &ModelId) -> Vec<Question> {
    let knowledge: &Knowledge = context.knowledge;
    let era = |variant: &VariantId| knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone()))).cloned();
    question::of(
        &knowledge.catalog,
        &pairs::evidence(context, model),
        &context.analysis.comparisons(model).iter().collect::<Vec<_>>(),
        era,
    )
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
