//! The evidence of one model, each count with how near in time it lies to every year.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::comparison::strata::is_covariate;
use crate::date::DaySpan;
use crate::dating::likelihood::claimed::Claimed;
use crate::dating::likelihood::nearness::near;
use crate::dating::likelihood::shared::Shared;
use crate::dating::likelihood::years::{self, Bounds, Years};
use crate::evidence::{self, Bearer, Evidence, Item, Numbers};
use crate::record::id::{FeatureId, ModelId, Thing, VariantId, Whole};
use crate::vocabulary::{Feature, Kind, Measure};

/// How much a date that is only an estimate counts.
const GUESSED: f64 = 0.5;

/// A model with everything its likelihoods are computed from.
pub struct Gathered<'a> {
    /// The model.
    pub id: ModelId,
    /// Its variants, sorted.
    pub members: Vec<Member<'a>>,
    /// The features with something counted in the model, in the vocabulary's order.
    pub features: Vec<Examined<'a>>,
}

/// A variant of it.
pub struct Member<'a> {
    /// The variant.
    pub id: VariantId,
    /// The observations of it.
    pub evidence: Evidence<'a>,
    /// Whether any side of its era is bounded.
    pub is_bounded: bool,
    /// The production weight of each year.
    pub weights: Years,
    /// The counted readings, for each of the model's features.
    pub items: Vec<Vec<Counted>>,
    /// The effect of claims about states on columns.
    pub claimed: Claimed,
}

/// A feature that was examined.
pub struct Examined<'a> {
    /// The feature.
    pub feature: &'a Feature,
    /// The kind of its readings.
    pub kind: ExaminedKind<'a>,
}

/// The kind of readings an examined feature has.
pub enum ExaminedKind<'a> {
    /// States or counts, with how common each column is in general.
    Columns(&'a [f64]),
    /// A quantity, with what divides the garments it is compared among.
    Measure(&'a Measure, Vec<&'a Feature>),
}

/// One count.
pub struct Counted {
    /// The recorded value.
    pub value: CountedValue,
    /// How much it counts for each year.
    pub near: Arc<Years>,
    /// The bearers that show it, by number in the evidence.
    pub bearers: Numbers,
}

/// The value of a count.
#[derive(Clone, Debug, PartialEq)]
pub enum CountedValue {
    /// A column.
    Column(usize),
    /// A quantity, with the stratum it is compared in; `None` if that is not known.
    Measure(f64, Option<Stratum>),
}

/// The values of what divides a measure's garments, by feature.
pub type Stratum = BTreeMap<FeatureId, String>;

impl<'a> Shared<'a> {
    /// Gathers a model.
    pub fn gather(&self, id: &ModelId) -> Gathered<'a> {
        let entry = self.knowledge.catalog.models.get(id);
        let variants = entry.map_or(&[][..], |entry| entry.variants.as_slice());
        let weights = self.weights(variants);
        let evidence: Vec<Evidence<'a>> = variants.iter().map(|id| (self.counted.of)(id)).collect();
        let features = self.features(&evidence);
        let is_dated = weights.iter().any(|(is_bounded, _)| *is_bounded);
        let undated = Arc::new([1.0; years::COUNT]);
        let members = evidence.into_iter().zip(weights).map(|(evidence, (is_bounded, weights))| {
            let known = |bearer| if is_dated { self.known(bearer, &weights) } else { undated.clone() };
            let known = evidence.bearers.iter().map(known).collect();
            let guessed = vec![None; evidence.bearers.len()];
            let mut near = Near { shared: self, evidence: &evidence, weights: &weights, is_dated, known, guessed };
            let items = features.iter().map(|examined| near.items(examined)).collect();
            let claimed = Claimed::of(self, &evidence.variant);
            Member { id: evidence.variant.clone(), is_bounded, items, claimed, weights, evidence }
        });
        Gathered { id: id.clone(), members: members.collect(), features }
    }

    /// Whether each variant's era is bounded, and the weight of each year; a variant without bounds takes the others'
    /// mean.
    fn weights(&self, variants: &[VariantId]) -> Vec<(bool, Years)> {
        let bounds: Vec<Bounds> =
            variants.iter().map(|id| self.bounds(&Thing::of(Whole::Variant(id.clone())))).collect();
        let own: Vec<(bool, Years)> =
            bounds.iter().map(|bounds| (bounds.iter().any(Option::is_some), years::production(bounds))).collect();
        let bounded: Vec<&Years> =
            own.iter().filter(|(is_bounded, _)| *is_bounded).map(|(_, weights)| weights).collect();
        let mean = mean(&bounded);
        own.iter()
            .map(|(is_bounded, weights)| (*is_bounded, if *is_bounded { *weights } else { mean.unwrap_or(*weights) }))
            .collect()
    }

    /// How near a bearer lies to each year, by its date or, for a garment, by the days that the kept voices leave it.
    fn known(&self, bearer: &Bearer<'_>, weights: &Years) -> Arc<Years> {
        let span = match bearer.garment {
            Some(garment) => self.knowledge.made.get(&garment).copied(),
            None => bearer.own_date(),
        };
        Arc::new(near(span.unwrap_or(DaySpan::OPEN), weights))
    }

    fn features(&self, evidence: &[Evidence<'a>]) -> Vec<Examined<'a>> {
        let vocabulary = &self.knowledge.catalog.vocabulary;
        let counted =
            vocabulary.iter().filter(|feature| evidence.iter().any(|seen| seen.features.contains_key(&feature.id)));
        let examined = counted.filter_map(|feature| {
            let kind = match &feature.kind {
                Kind::Measure(measure) => {
                    let covariates = feature.varies_with.iter().filter_map(|id| vocabulary.feature(id.as_str()));
                    ExaminedKind::Measure(measure, covariates.filter(|other| is_covariate(other)).collect())
                }
                _ => ExaminedKind::Columns(&self.pool.feature(&feature.id)?.general),
            };
            Some(Examined { feature, kind })
        });
        examined.collect()
    }
}

fn mean(all: &[&Years]) -> Option<Years> {
    let count = all.len() as f64;
    let sum = |year: usize| all.iter().map(|weights| weights[year]).sum::<f64>();
    (!all.is_empty()).then(|| std::array::from_fn(|year| sum(year) / count))
}

/// Works out how near in time the counts of one variant lie to each year.
struct Near<'a, 'b> {
    shared: &'b Shared<'a>,
    evidence: &'b Evidence<'a>,
    weights: &'b Years,
    is_dated: bool,
    /// By number of the bearer, how near it lies where no estimate dates it.
    known: Vec<Arc<Years>>,
    /// By number of the bearer, the last nearness from estimates: it is the same for most features.
    guessed: Vec<Option<(DaySpan, Arc<Years>)>>,
}

impl Near<'_, '_> {
    fn items(&mut self, examined: &Examined<'_>) -> Vec<Counted> {
        let evidence = self.evidence;
        let items = evidence.items(&examined.feature.id).iter();
        items
            .map(|item| Counted {
                value: self.value(examined, item),
                near: self.item(examined, item),
                bearers: item.bearers.clone(),
            })
            .collect()
    }

    fn value(&self, examined: &Examined<'_>, item: &Item) -> CountedValue {
        match (&item.seen, &examined.kind) {
            (evidence::Seen::Measure(number), ExaminedKind::Measure(_, covariates)) => {
                let stratum = |other: &&Feature| Some((other.id.clone(), self.evidence.covariate(item, other)?));
                CountedValue::Measure(*number, covariates.iter().map(stratum).collect())
            }
            (seen, _) => {
                let pooled = self.shared.pool.feature(&examined.feature.id);
                CountedValue::Column(pooled.map_or(0, |pooled| pooled.column(seen.state().unwrap_or_default())))
            }
        }
    }

    /// The mean over the bearers of an item.
    fn item(&mut self, examined: &Examined<'_>, item: &Item) -> Arc<Years> {
        if let [one] = item.bearers[..] {
            return self.bearer(one, &examined.feature.id);
        }
        let own: Vec<Arc<Years>> =
            item.bearers.iter().map(|number| self.bearer(*number, &examined.feature.id)).collect();
        Arc::new(mean(&own.iter().map(|years| &**years).collect::<Vec<&Years>>()).unwrap_or([0.0; years::COUNT]))
    }

    fn bearer(&mut self, number: usize, feature: &FeatureId) -> Arc<Years> {
        let bearer = &self.evidence.bearers[number];
        let guess = if self.is_dated { bearer.guess(&self.shared.knowledge.catalog, feature) } else { None };
        let Some(span) = guess else { return self.known[number].clone() };
        match &self.guessed[number] {
            Some((last, near)) if *last == span => near.clone(),
            _ => {
                let near = Arc::new(near(span, self.weights).map(|near| near * GUESSED));
                self.guessed[number] = Some((span, near.clone()));
                near
            }
        }
    }
}
