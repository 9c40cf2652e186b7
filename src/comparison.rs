//! Compares the evidence of two variants: what tells them apart, feature by feature, at equal age and size.
//!
//! `statistics` computes the numbers; this module decides which garments go in and what the result means.

use crate::comparison::crude::Crude;
use crate::comparison::strata::{Covariate, Held};
use crate::comparison::verdict::{CrudeResult, Others};
use crate::evidence::Evidence;
use crate::record::id::{FeatureId, VariantId};
use crate::resolve::Catalog;
use crate::statistics::multiple;
use crate::vocabulary::Feature;

pub mod crude;
pub mod lines;
pub mod pairs;
pub mod question;
pub mod steps;
pub mod strata;
pub mod succession;
pub mod verdict;
pub mod without;

/// The least number of garments of each variant that a verdict, or a matched covariate, rests on.
pub const ENOUGH: u64 = 3;

/// A p value below this is significant.
pub const SIGNIFICANT: f64 = 0.05;

/// Where no difference is found, its upper limit below this makes the feature the same.
const SAME_BELOW: f64 = 0.35;

/// A tell's lower limit lies above this.
pub const TELL_ABOVE: f64 = 0.25;

/// The least number of models that must agree on what tells two lines apart.
pub const MODELS_FOR_A_TELL: usize = 2;

/// Two variants side by side.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The first, by id.
    pub a: VariantId,
    /// The second.
    pub b: VariantId,
    /// Every feature counted in both, in the vocabulary's order.
    pub features: Vec<Compared>,
}

/// One feature of two variants.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The feature.
    pub feature: FeatureId,
    /// The crude difference, before any covariate is held equal.
    pub crude: Crude,
    /// The p value adjusted for the features of the pair that could reach significance; `None` for the others.
    pub p_holm: Option<f64>,
    /// The difference at equal covariates, in their order: decade, factory, what the feature varies with.
    pub covariates: Vec<Covariate>,
    pub verdict: Verdict,
}

impl Compared {
    /// Says whether it tells the two apart: it is a tell, or a sign of the label line that they do not share.
    pub fn tells_apart(&self) -> bool {
        let is_other_sign = self.verdict == Verdict::ByDefinition && self.crude.difference > 0.0;
        self.verdict == Verdict::Tell || is_other_sign
    }
}

/// The verdict on a feature as evidence for one of two variants.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It is the sign of a label line.
    ByDefinition,
    /// It differs, and nothing recorded explains it otherwise.
    Tell,
    /// It seems to differ; more garments would say.
    Leaning,
    /// It differs, but this covariate differs too, and no garments of both variants have the same
    /// value of it.
    CannotSeparate(String),
    /// It no longer differs at equal values of this covariate.
    Explained(String),
    /// Any difference is small.
    Same,
    /// The evidence shows neither a difference nor its absence.
    Unclear,
    /// Of two lines: it differs in one model, and in another not at all or the other way.
    DiffersByModel,
    /// Fewer than three garments of one of them.
    TooFew,
}

impl Verdict {
    /// The words of the verdict, with the covariate's name where there is one.
    pub fn words(&self) -> String {
        match self {
            Verdict::ByDefinition => "by definition".into(),
            Verdict::Tell => "tell".into(),
            Verdict::Leaning => "leaning".into(),
            Verdict::CannotSeparate(covariate) => format!("cannot separate from {covariate}"),
            Verdict::Explained(covariate) => format!("explained by {covariate}"),
            Verdict::Same => "same".into(),
            Verdict::Unclear => "unclear".into(),
            Verdict::DiffersByModel => "differs by model".into(),
            Verdict::TooFew => "too few".into(),
        }
    }
}

/// The counted evidence of two variants.
#[derive(Clone, Copy, Debug)]
pub struct PairEvidence<'e> {
    /// Of the first.
    pub a: &'e Evidence<'e>,
    /// Of the second.
    pub b: &'e Evidence<'e>,
}

/// Compares two variants in every feature that both have been counted in.
pub fn of(catalog: &Catalog, a: &Evidence<'_>, b: &Evidence<'_>) -> Comparison {
    let both = catalog.vocabulary.iter().filter_map(|feature| Some((feature, crude::of(feature, a, b)?)));
    let counted = both.map(|(feature, crude)| {
        let covariates = strata::of(catalog, feature, PairEvidence { a, b }, &crude);
        Counted { feature, crude, covariates }
    });
    Comparison { a: a.variant.clone(), b: b.variant.clone(), features: judged(catalog, counted.collect()) }
}

/// A feature with its numbers, before it is judged among the others.
pub struct Counted<'a> {
    /// The feature.
    pub feature: &'a Feature,
    /// The difference before any covariate is held equal.
    pub crude: Crude,
    /// The difference at equal covariates.
    pub covariates: Vec<Covariate>,
}

/// Gives the verdict on each of the features that are compared together.
pub fn judged(catalog: &Catalog, counted: Vec<Counted<'_>>) -> Vec<Compared> {
    let adjusted = adjusted(&counted);
    let features = counted.into_iter().zip(adjusted).map(|(counted, p_holm)| {
        let Counted { feature, crude, covariates } = counted;
        let alone = Others { catalog, features: &[], feature };
        let verdict =
            verdict::of(feature, &CrudeResult { crude: &crude, p_holm }, &alone, |_| strata::held(&covariates));
        Compared { feature: feature.id.clone(), crude, p_holm, covariates, verdict }
    });
    let mut features: Vec<Compared> = features.collect();
    judge_together(catalog, &mut features);
    features
}

/// Checks whether a tell by itself remains one beside the other features of the pair.
fn judge_together(catalog: &Catalog, features: &mut [Compared]) {
    let tells = (0..features.len()).filter(|at| features[*at].verdict == Verdict::Tell);
    let judged = tells.filter_map(|at| {
        let compared = &features[at];
        let feature = catalog.vocabulary.feature(compared.feature.as_str())?;
        let others = Others { catalog, features, feature };
        let held = strata::held(&compared.covariates);
        let adjusted = |covariate: &Held<'_>| if others.asks(covariate) { others.adjusted_at(covariate) } else { None };
        let p_holm: Vec<Option<f64>> = held.iter().map(adjusted).collect();
        let known = CrudeResult { crude: &compared.crude, p_holm: compared.p_holm };
        Some((at, p_holm, verdict::of(feature, &known, &others, |_| held)))
    });
    // No verdict depends on whether another is a tell or leaning, so all are judged by the same numbers.
    let judged: Vec<(usize, Vec<Option<f64>>, Verdict)> = judged.collect();
    for (at, p_holm, verdict) in judged {
        features[at].verdict = verdict;
        features[at].covariates.iter_mut().zip(p_holm).for_each(|(covariate, p_holm)| covariate.p_holm = p_holm);
    }
}

/// Holm's adjustment over the features that are not defining, have enough garments, and could reach significance.
fn adjusted(features: &[Counted<'_>]) -> Vec<Option<f64>> {
    let is_tested = |counted: &Counted<'_>| !counted.feature.defining && counted.crude.is_enough();
    let places: Vec<usize> = (0..features.len()).filter(|place| is_tested(&features[*place])).collect();
    let tests: Vec<multiple::Test> = places.iter().map(|place| features[*place].crude.test()).collect();
    let mut adjusted = vec![None; features.len()];
    for (place, p) in places.into_iter().zip(multiple::adjust(&tests)) {
        adjusted[place] = p;
    }
    adjusted
}
