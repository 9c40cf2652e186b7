//! Evidence of two variants to what tells them apart, feature by feature, at equal age and size.
//!
//! Numbers come from `statistics`; here is which garments go into them, and what is made of them.

use crate::comparison::crude::Crude;
use crate::comparison::strata::{Covariate, Held};
use crate::evidence::Evidence;
use crate::record::id::{FeatureId, VariantId};
use crate::resolve::Catalog;
use crate::statistics::multiple;
use crate::vocabulary::{self, Feature, Kind};

pub mod crude;
pub mod pairs;
pub mod question;
pub mod strata;
pub mod without;

/// The least number of garments of each variant that a verdict, or a matched covariate, rests on.
pub const ENOUGH: u64 = 3;

/// A p value below this is significant.
pub const SIGNIFICANT: f64 = 0.05;

/// Where no difference is found, its upper limit below this makes the feature the same.
const SAME_BELOW: f64 = 0.35;

/// A tell's lower limit lies above this.
pub const TELL_ABOVE: f64 = 0.25;

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
    /// The difference as it stands.
    pub crude: Crude,
    /// The p value adjusted for the features of the pair that could reach significance; `None` for the others.
    pub p_holm: Option<f64>,
    /// The difference at equal covariates, in their order: decade, factory, what the feature varies with.
    pub covariates: Vec<Covariate>,
    /// What to make of it.
    pub verdict: Verdict,
}

/// What a feature says about which of two variants a garment is of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It is the sign of a label line.
    ByDefinition,
    /// It differs, and nothing recorded explains it otherwise.
    Tell,
    /// It seems to differ; more garments would say.
    Leaning,
    /// It differs, but so does this covariate, and no garments are alike in it.
    CannotSeparate(String),
    /// It differs no longer at equal values of this covariate.
    Explained(String),
    /// Any difference is small.
    Same,
    /// There may be a difference or none.
    Unclear,
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
            Verdict::TooFew => "too few".into(),
        }
    }
}

/// Compares two variants in every feature that both have been counted in.
pub fn of(catalog: &Catalog, a: &Evidence<'_>, b: &Evidence<'_>) -> Comparison {
    let both = catalog.vocabulary.iter().filter_map(|feature| Some((feature, crude::of(feature, a, b)?)));
    let crude: Vec<(&Feature, Crude)> = both.collect();
    let adjusted = adjusted(&crude.iter().map(|(feature, crude)| (*feature, crude)).collect::<Vec<_>>());
    let features = crude.into_iter().zip(adjusted).map(|((feature, crude), p_holm)| {
        let covariates = strata::of(catalog, feature, (a, b), &crude);
        let verdict = verdict(feature, &crude, p_holm, &strata::held(&covariates));
        Compared { feature: feature.id.clone(), crude, p_holm, covariates, verdict }
    });
    let features = features.collect();
    Comparison { a: a.variant.clone(), b: b.variant.clone(), features }
}

/// Gives the verdict on one feature by other evidence of it, all other features staying as they were compared.
pub fn reconsidered(
    catalog: &Catalog,
    comparison: &Comparison,
    feature: &Feature,
    (a, b): (&Evidence<'_>, &Evidence<'_>),
) -> Option<Verdict> {
    let sides = crude::Sides::of(feature, a, b)?;
    Some(match at_once(feature, &sides) {
        AtOnce::Settled(verdict) => verdict,
        AtOnce::Significant(test) => {
            let crude = sides.crude(test);
            let p_holm = Others::of(catalog, comparison, feature).adjusted(&crude);
            verdict(feature, &crude, p_holm, &strata::held(&strata::of(catalog, feature, (a, b), &crude)))
        }
    })
}

/// The features of a comparison that are tested beside one.
pub struct Others(Vec<multiple::Test>);

impl Others {
    /// Finds the others that are not defining and have enough garments.
    pub fn of(catalog: &Catalog, comparison: &Comparison, feature: &Feature) -> Others {
        let others = comparison.features.iter().filter(|compared| compared.feature != feature.id);
        let tested = others.filter(|compared| {
            let other = catalog.vocabulary.feature(compared.feature.as_str());
            compared.crude.is_enough() && other.is_some_and(|other| !other.defining)
        });
        Others(tested.map(|compared| test(&compared.crude)).collect())
    }

    /// The p value of one that is not defining and has enough garments, adjusted for the others.
    pub fn adjusted(&self, crude: &Crude) -> Option<f64> {
        let tests: Vec<multiple::Test> = std::iter::once(test(crude)).chain(self.0.iter().copied()).collect();
        multiple::adjust(&tests).first().copied().flatten()
    }
}

fn test(crude: &Crude) -> multiple::Test {
    multiple::Test { p: crude.p, smallest: crude.smallest_p }
}

/// Holm's adjustment over the features that are not defining, have enough garments, and could reach significance.
fn adjusted(features: &[(&Feature, &Crude)]) -> Vec<Option<f64>> {
    let places: Vec<usize> =
        (0..features.len()).filter(|place| !features[*place].0.defining && features[*place].1.is_enough()).collect();
    let tests: Vec<multiple::Test> = places.iter().map(|place| test(features[*place].1)).collect();
    let mut adjusted = vec![None; features.len()];
    for (place, p) in places.into_iter().zip(multiple::adjust(&tests)) {
        adjusted[place] = p;
    }
    adjusted
}

/// What is known of a verdict before other features and what is held equal are looked at.
pub enum AtOnce {
    /// It does not hang on them.
    Settled(Verdict),
    /// It does, since this test is significant.
    Significant(crude::Test),
}

/// Gives the verdict where it hangs neither on other features nor on what is held equal.
pub fn at_once(feature: &Feature, sides: &crude::Sides<'_>) -> AtOnce {
    let (n_a, n_b) = sides.totals();
    if feature.defining {
        return AtOnce::Settled(Verdict::ByDefinition);
    }
    if n_a < ENOUGH || n_b < ENOUGH {
        return AtOnce::Settled(Verdict::TooFew);
    }
    let test = sides.test();
    if test.p < SIGNIFICANT {
        return AtOnce::Significant(test);
    }
    AtOnce::Settled(if sides.high() < SAME_BELOW { Verdict::Same } else { Verdict::Unclear })
}

/// The first verdict that fits, in the order of the contract.
pub fn verdict(feature: &Feature, crude: &Crude, p_holm: Option<f64>, covariates: &[Held<'_>]) -> Verdict {
    if feature.defining {
        return Verdict::ByDefinition;
    }
    if !crude.is_enough() {
        return Verdict::TooFew;
    }
    if crude.p >= SIGNIFICANT {
        return if crude.high < SAME_BELOW { Verdict::Same } else { Verdict::Unclear };
    }
    let half = crude.difference / 2.0;
    if let Some(covariate) = covariates.iter().find(|covariate| explains(covariate, half)) {
        return Verdict::Explained(covariate.name.to_string());
    }
    if let Some(covariate) = covariates.iter().find(|covariate| covariate.must_match && !covariate.is_matched) {
        return Verdict::CannotSeparate(covariate.name.to_string());
    }
    if is_within_tolerance(feature, crude) {
        return Verdict::Same;
    }
    let holds = covariates
        .iter()
        .filter(|covariate| covariate.is_matched)
        .all(|covariate| covariate.difference.is_some_and(|difference| difference >= half));
    let significant = p_holm.is_some_and(|p| p < SIGNIFICANT);
    if significant && crude.low > TELL_ABOVE && holds { Verdict::Tell } else { Verdict::Leaning }
}

/// Says whether less than half of a difference is left at equal values, and that may be chance.
fn explains(covariate: &Held<'_>, half: f64) -> bool {
    let is_left =
        |difference: f64| difference >= half || difference > 0.0 && covariate.p().is_some_and(|p| p < SIGNIFICANT);
    covariate.is_matched && covariate.difference.is_some_and(|difference| !is_left(difference))
}

/// Says whether a measure differs by no more than the tape alone can.
fn is_within_tolerance(feature: &Feature, crude: &Crude) -> bool {
    match (&feature.kind, crude.shift) {
        (Kind::Measure(measure), Some(shift)) => vocabulary::is_within(shift.abs(), measure.tolerance),
        _ => false,
    }
}
