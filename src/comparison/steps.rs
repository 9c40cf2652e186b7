//! The order in which to look at a garment of a model so that its variants are told apart soonest.
//!
//! Grown from what was counted: at each place the feature that tells most of the variant among the garments that come
//! there. Every variant counts as much as every other, however many garments of it are recorded. A sign that defines a
//! line and parts that are often replaced are not asked for, since labels get moved and parts get changed.

mod question;
mod unit;

use std::collections::BTreeMap;

use ecow::EcoString;

use crate::comparison::steps::question::Question;
use crate::comparison::steps::unit::Unit;
use crate::comparison::{Comparison, Verdict};
use crate::evidence::{self, CountedEvidence, Evidence};
use crate::record::id::{FeatureId, ModelId, VariantId};
use crate::resolve::Catalog;
use crate::vocabulary::{Feature, Replaceable};

/// A model of more variants has no order of looks that fits on a page.
const MOST_VARIANTS: usize = 40;

/// So many looks fit on a page.
const MOST_STEPS: usize = 12;

/// A variant of fewer garments takes no part: what one garment shows is no pattern.
const LEAST_GARMENTS: usize = 3;

/// An end names a variant that holds at least this share of its garments, each variant counting alike.
const NAMED: f64 = 2.0 / 3.0;

/// So many variants are named where an end leaves several.
const MOST_SHOWN: usize = 3;

/// The garments are left out in so many parts, one after the other, to try the order on what it was not grown from.
const PARTS: usize = 10;

/// An order of looks for a model.
#[derive(Clone, Debug)]
pub struct Steps {
    /// The looks; the first is where to begin. Empty where nothing that was counted tells the variants apart.
    pub steps: Vec<Step>,
    /// The variants that are told apart.
    pub variants: Vec<VariantId>,
    /// The variants with too few garments to take part.
    pub too_few: Vec<VariantId>,
    /// The results for the garments, each by an order grown without it.
    pub tried: Tried,
}

/// An order of looks for a model, and what it does not ask for.
#[derive(Clone, Debug)]
pub struct ModelSteps {
    /// The order.
    pub found: Steps,
    /// The features that are not asked for, each with what it may only follow, such as the size.
    pub followed: BTreeMap<FeatureId, String>,
}

/// A feature to look at, and where each of its states leads.
#[derive(Clone, Debug)]
pub struct Step {
    /// The feature.
    pub feature: FeatureId,
    /// The states that were seen on enough of the garments that come here.
    pub outcomes: Vec<Outcome>,
}

/// A state, and where it leads.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The state or count.
    pub state: EcoString,
    /// The number of the next step, if there is more to look at.
    pub next: Option<usize>,
    /// The garments that come so far.
    pub end: End,
}

/// The number of garments of each variant that reach a place.
#[derive(Clone, Debug)]
pub struct End {
    /// The garments by variant, the greatest share first; each variant has the same weight.
    pub garments: Vec<(VariantId, usize)>,
    /// Whether the first holds enough of them to be named alone.
    pub is_named: bool,
}

impl End {
    /// The variants that are named: the first alone, or else the first few of several.
    pub fn shown(&self) -> &[(VariantId, usize)] {
        let most = if self.is_named { 1 } else { MOST_SHOWN };
        &self.garments[..most.min(self.garments.len())]
    }

    /// Says whether several are left, and more than are named.
    pub fn is_cut(&self) -> bool {
        !self.is_named && self.garments.len() > MOST_SHOWN
    }

    /// How many garments come here.
    pub fn count(&self) -> usize {
        self.garments.iter().map(|(_, count)| count).sum()
    }
}

/// The results for garments by orders grown without them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tried {
    /// The variant that is named is the garment's own.
    pub right: usize,
    /// Another is named.
    pub wrong: usize,
    /// The number without an answer, or with a required feature unrecorded.
    pub open: usize,
}

/// Says whether enough was recorded of two variants of a model, and it has not too many.
pub fn can_be_grown(catalog: &Catalog, model: &ModelId) -> bool {
    let variants = catalog.models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
    let seen = |variant: &VariantId| catalog.variants.get(variant).map_or(0, |entry| entry.observations.len());
    let known = variants.iter().filter(|variant| seen(variant) >= LEAST_GARMENTS).count();
    known >= 2 && variants.len() <= MOST_VARIANTS
}

/// Grows the order of looks for a model, if enough was recorded of it, from its evidence and its comparisons.
pub fn of_model(counted: CountedEvidence<'_>, model: &ModelId, comparisons: &[Comparison]) -> Option<ModelSteps> {
    let catalog = &counted.knowledge.catalog;
    let garment = &catalog.model(model)?.garment.value;
    if !can_be_grown(catalog, model) {
        return None;
    }
    let evidence: Vec<Evidence<'_>> = catalog.models[model].variants.iter().map(counted.of).collect();
    let followed = followed(comparisons);
    let is_open = |feature: &&Feature| feature.is_of(garment) && !followed.contains_key(&feature.id);
    let found = of(&evidence, catalog.vocabulary.current().filter(is_open));
    Some(ModelSteps { found, followed })
}

/// The features that two variants of a model differ in, with what explains that or cannot be separated from it: not when
/// or where a garment was made, which belongs to a variant, but what any garment of it may have, such as its size.
fn followed(comparisons: &[Comparison]) -> BTreeMap<FeatureId, String> {
    let compared = comparisons.iter().flat_map(|comparison| &comparison.features);
    let others = compared.filter_map(|compared| match &compared.verdict {
        Verdict::Explained(other) | Verdict::CannotSeparate(other) => Some((compared.feature.clone(), other.clone())),
        _ => None,
    });
    others.filter(|(_, other)| ![evidence::DECADE, evidence::FACTORY].contains(&other.as_str())).collect()
}

/// Grows the order of looks for the variants of one model.
pub fn of<'v>(evidence: &[Evidence<'_>], features: impl Iterator<Item = &'v Feature>) -> Steps {
    let features: Vec<&FeatureId> = features.filter(|feature| is_asked(feature)).map(|feature| &feature.id).collect();
    let garments = |one: &Evidence<'_>| one.bearers.iter().filter(|bearer| bearer.garment.is_some()).count();
    let (part, few): (Vec<&Evidence<'_>>, Vec<&Evidence<'_>>) =
        evidence.iter().partition(|one| garments(one) >= LEAST_GARMENTS);
    let variants: Vec<VariantId> = part.iter().map(|one| one.variant.clone()).collect();
    let units = unit::all(&part, &features);
    let growing = Growing { variants: &variants, features: &features };
    let all: Vec<&Unit> = units.iter().collect();
    let steps = if variants.len() < 2 { Vec::new() } else { growing.grow(all) };
    let tried = if steps.is_empty() { Tried::default() } else { growing.tried(&units) };
    Steps { steps, too_few: few.iter().map(|one| one.variant.clone()).collect(), tried, variants }
}

fn is_asked(feature: &Feature) -> bool {
    feature.has_states() && feature.retired.is_none() && !feature.defining && feature.replaceable != Replaceable::Often
}

/// The context for growing an order.
struct Growing<'g> {
    variants: &'g [VariantId],
    features: &'g [&'g FeatureId],
}

/// A place that could get a step of its own.
struct Place<'u> {
    units: Vec<&'u Unit>,
    asked: Vec<usize>,
    question: Question,
    /// The step and outcome that lead there; none lead to the first.
    from: Option<[usize; 2]>,
}

impl Growing<'_> {
    /// Gives the place that would tell most a step, until nothing tells enough or the page is full.
    fn grow(&self, units: Vec<&Unit>) -> Vec<Step> {
        let mut steps: Vec<Step> = Vec::new();
        let whole: f64 = units.iter().map(|unit| unit.weight).sum();
        let mut places: Vec<Place<'_>> = self.place(units, Vec::new(), None).into_iter().collect();
        while steps.len() < MOST_STEPS {
            let told = |place: &Place<'_>| place.question.told * question::weight(&place.units) / whole;
            // Of equals the one that came first.
            let best =
                (0..places.len()).rev().max_by(|one, other| told(&places[*one]).total_cmp(&told(&places[*other])));
            let Some(place) = best.map(|best| places.remove(best)) else { break };
            if let Some([step, outcome]) = place.from {
                steps[step].outcomes[outcome].next = Some(steps.len());
            }
            let (number, feature) = (steps.len(), place.question.feature);
            let asked: Vec<usize> = place.asked.iter().copied().chain([feature]).collect();
            let mut outcomes = Vec::new();
            for (at, state) in place.question.states.iter().enumerate() {
                let units: Vec<&Unit> =
                    place.units.iter().copied().filter(|unit| unit.shown.get(&feature) == Some(state)).collect();
                outcomes.push(Outcome { state: state.clone(), next: None, end: self.end(&units) });
                places.extend(self.place(units, asked.clone(), Some([number, at])));
            }
            steps.push(Step { feature: self.features[feature].clone(), outcomes });
        }
        steps
    }

    fn place<'u>(&self, units: Vec<&'u Unit>, asked: Vec<usize>, from: Option<[usize; 2]>) -> Option<Place<'u>> {
        let open = (0..self.features.len()).filter(|feature| !asked.contains(feature));
        let question = question::best(&units, open)?;
        Some(Place { units, asked, question, from })
    }

    fn end(&self, units: &[&Unit]) -> End {
        let mut shares = vec![0.0; self.variants.len()];
        let mut counts = vec![0; self.variants.len()];
        for unit in units {
            shares[unit.variant] += unit.weight;
            counts[unit.variant] += 1;
        }
        let mut order: Vec<usize> = (0..counts.len()).filter(|variant| counts[*variant] > 0).collect();
        order.sort_by(|one, other| shares[*other].total_cmp(&shares[*one]).then(one.cmp(other)));
        let whole: f64 = shares.iter().sum();
        let is_named = order.first().is_some_and(|first| shares[*first] >= NAMED * whole);
        let garments = order.into_iter().map(|variant| (self.variants[variant].clone(), counts[variant]));
        End { garments: garments.collect(), is_named }
    }

    /// Judges each part of the garments by an order that was grown from the others; a find is never divided.
    fn tried(&self, units: &[Unit]) -> Tried {
        let mut tried = Tried::default();
        for part in 0..PARTS {
            let (own, others): (Vec<&Unit>, Vec<&Unit>) = units.iter().partition(|unit| unit.group % PARTS == part);
            let steps = self.grow(others);
            for unit in own {
                match self.named(&steps, unit) {
                    Some(variant) if *variant == self.variants[unit.variant] => tried.right += 1,
                    Some(_) => tried.wrong += 1,
                    None => tried.open += 1,
                }
            }
        }
        tried
    }

    /// The variant that the looks name for a garment.
    fn named<'s>(&self, steps: &'s [Step], unit: &Unit) -> Option<&'s VariantId> {
        let mut at = 0;
        loop {
            let step = steps.get(at)?;
            let feature = self.features.iter().position(|feature| **feature == step.feature)?;
            let shown = unit.shown.get(&feature)?;
            let outcome = step.outcomes.iter().find(|outcome| outcome.state == *shown)?;
            match outcome.next {
                Some(next) => at = next,
                None => {
                    return outcome.end.garments.first().filter(|_| outcome.end.is_named).map(|(variant, _)| variant);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests;
