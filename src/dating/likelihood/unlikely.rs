//! Garments that are unlike the others of the variant they are filed under.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::dating::likelihood::held_out::HeldOut;
use crate::dating::likelihood::misplaced::{self, Misplaced};
use crate::dating::likelihood::pool::Pool;
use crate::dating::likelihood::shared::Shared;
use crate::dating::likelihood::temper;
use crate::evidence::CountedEvidence;
use crate::record::id::{FeatureId, ModelId, VariantId};
use crate::resolve::GarmentIndex;

/// Above this many standard deviations a garment is unlike what is recorded: one in a hundred by chance.
pub const UNLIKE: f64 = 2.33;

/// A garment that is unlike the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Unlikely {
    /// The garment.
    pub garment: GarmentIndex,
    /// By how many standard deviations; always more than [`UNLIKE`].
    pub deviations: f64,
    /// The features that surprise beyond the average, the strangest first.
    pub strangest: Vec<FeatureId>,
    /// Another variant of the model under which it is likelier, the likeliest.
    pub better: Option<VariantId>,
}

/// The doubtful garments of a model, judged by the others.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubts {
    /// The garments that are unlike the others of their variant.
    pub unlikely: Vec<Unlikely>,
    /// The garments that fit another variant better.
    pub misplaced: Vec<Misplaced>,
}

/// Judges every garment of some models by the others, with itself and the rest of its find left out.
pub fn of(counted: CountedEvidence<'_>, models: &BTreeSet<ModelId>) -> BTreeMap<ModelId, Doubts> {
    if models.is_empty() {
        return BTreeMap::new();
    }
    let pool = Pool::of(counted);
    // The pool lives shorter than the counts, and both are needed together.
    let of = |variant: &VariantId| (counted.of)(variant);
    let counted = CountedEvidence { knowledge: counted.knowledge, of: &of };
    let shared = Shared::new(counted, &pool);
    models.into_par_iter().map(|model| (model.clone(), of_model(&shared, model))).collect()
}

fn of_model(shared: &Shared<'_>, model: &ModelId) -> Doubts {
    let gathered = shared.gather(model);
    let held_out = HeldOut::new(&shared.knowledge.catalog, &gathered);
    let choice = temper::choose(&held_out);
    let toward_pooled = choice.toward_pooled;
    let judged = held_out.specimens.iter().filter_map(|specimen| {
        let strange = held_out.strange(specimen, toward_pooled).filter(|strange| strange.deviations > UNLIKE)?;
        let under = held_out.under(specimen, toward_pooled);
        let likeliest = (0..under.len()).max_by(|one, other| under[*one].total_cmp(&under[*other]))?;
        let better = (under[likeliest] > under[specimen.member]).then(|| gathered.members[likeliest].id.clone());
        let beyond = strange.features.into_iter().filter(|(_, bits)| *bits > 0.0);
        Some(Unlikely {
            garment: gathered.members[specimen.member].evidence.bearers[specimen.bearer].garment?,
            deviations: strange.deviations,
            strangest: beyond.map(|(feature, _)| feature).collect(),
            better,
        })
    });
    Doubts { unlikely: judged.collect(), misplaced: misplaced::of(&held_out, choice) }
}
