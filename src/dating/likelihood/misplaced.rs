//! Garments whose features fit another variant of their model, judged by the other garments.

use crate::dating::likelihood::held_out::column::Kept;
use crate::dating::likelihood::held_out::{HeldOut, Specimen};
use crate::dating::likelihood::temper::{self, Choice};
use crate::record::id::{FeatureId, VariantId};
use crate::resolve::GarmentIndex;

/// Another variant must be at least this many times as likely as the garment's own.
pub const ODDS: f64 = 10.0;

/// The fewest counted features for a finding.
pub const ENOUGH_FEATURES: usize = 3;

/// Ratios closer to the limit than this, relatively, reach it: the difference is rounding.
const EQUAL: f64 = 1e-9;

/// A garment that fits another variant of its model.
#[derive(Clone, Debug, PartialEq)]
pub struct Misplaced {
    /// The garment.
    pub garment: GarmentIndex,
    /// The variant it fits best.
    pub better: VariantId,
    /// How many times as likely that one is as its own; at least [`ODDS`].
    pub ratio: f64,
    /// The features that are likelier there than under its own variant, the strongest first.
    pub speaking: Vec<FeatureId>,
}

/// Judges every garment of a model by the others, with itself and the rest of its find left out.
pub fn of(held_out: &HeldOut<'_, '_>, choice: Choice) -> Vec<Misplaced> {
    let mut kept = Kept::new([choice.toward_pooled]);
    held_out.specimens.iter().filter_map(|specimen| judge(held_out, &mut kept, choice, specimen)).collect()
}

fn judge(held_out: &HeldOut<'_, '_>, kept: &mut Kept<1>, choice: Choice, specimen: &Specimen) -> Option<Misplaced> {
    if held_out.gathered.members.len() < 2 || specimen.features() < ENOUGH_FEATURES {
        return None;
    }
    let [mut likelihoods] = held_out.drawn(kept, specimen);
    likelihoods.iter_mut().for_each(|likelihood| *likelihood = (choice.temper * likelihood.log2()).exp2());
    let variants = temper::variants(&held_out.prior, &likelihoods, held_out.runs());
    // The first among equals.
    let likeliest =
        (0..variants.len()).reduce(|best, next| if variants[next] > variants[best] { next } else { best })?;
    let ratio = variants[likeliest] / variants[specimen.member];
    if ratio < ODDS * (1.0 - EQUAL) {
        return None;
    }
    Some(Misplaced {
        garment: held_out.gathered.members[specimen.member].evidence.bearers[specimen.bearer].garment?,
        better: held_out.gathered.members[likeliest].id.clone(),
        ratio,
        speaking: held_out.speaking(specimen, choice.toward_pooled, likeliest),
    })
}
