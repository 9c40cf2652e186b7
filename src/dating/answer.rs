//! Answers for a garment in hand: bounds, variants and years from what is seen, with the reasons.
//!
//! Only landmarks make a year impossible; everything else makes it more or less likely. Words for the answer are in
//! `explain`.

mod advice;
mod bound;
pub mod brief;
mod codes;
pub mod garment;
mod posterior;
mod prepared;
mod surprise;

use std::collections::{BTreeMap, BTreeSet};

use crate::code::CodeReading;
use crate::date::Day;
use crate::dating::answer::bound::Bounded;
use crate::dating::answer::brief::Briefs;
use crate::dating::answer::codes::Codes;
use crate::dating::answer::garment::Garment;
use crate::dating::answer::posterior::{Limits, Posterior, Reading};
use crate::dating::answer::prepared::Prepared;
use crate::dating::likelihood::Tables;
use crate::dating::likelihood::unlikely::UNLIKE;
use crate::dating::likelihood::years::{self, Years};
use crate::evidence::landmark::Values;
use crate::knowledge::Knowledge;
use crate::record::id::{FeatureId, KeyId, LandmarkId, VariantId};
use crate::record::observation::Value;
use crate::vocabulary::Replaceable;

/// The answer for a garment.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The hard bounds, which no likelihood can move.
    pub hard: Hard,
    /// Whether the landmarks it bears exclude each other.
    pub is_contradiction: bool,
    /// The power that the product of likelihoods was raised to.
    pub temper: f64,
    /// The variants in question, the most probable first.
    pub variants: Vec<(VariantId, f64)>,
    /// The years, unless the answer is about variants only.
    pub years: Option<Spread>,
    /// The weight of each feature for the first variant against the next.
    pub features: Vec<Weighed>,
    /// The readings of the garment's codes, by feature and key.
    pub keys: Vec<CodeRead>,
    /// Where to look next.
    pub look_next: Vec<LookNext>,
    /// Landmarks that would cut most.
    pub would_bound: Vec<WouldBound>,
    /// How unlike its best variant it is, in standard deviations; `None` if that cannot be told.
    pub unlike: Option<f64>,
    /// The smallest sets of features that may be wrong, with the answer without each.
    pub doubt: Vec<Doubt>,
}

impl Answer {
    /// Says whether it is unlike anything recorded.
    pub fn is_unlike(&self) -> bool {
        self.unlike.is_some_and(|z| z > UNLIKE)
    }
}

/// The bounds from hard landmarks, with the landmarks that set them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hard {
    /// Not made before.
    pub not_before: Option<Day>,
    /// The landmarks that say so.
    pub not_before_by: Vec<LandmarkId>,
    /// Not made after.
    pub not_after: Option<Day>,
    /// The landmarks that say so.
    pub not_after_by: Vec<LandmarkId>,
}

/// How probability is spread over the years.
#[derive(Clone, Debug)]
pub struct Spread {
    /// The probability of each year.
    pub probability: Box<Years>,
}

impl Spread {
    /// The shortest runs of years that hold a share of the probability: first and last year of each.
    pub fn spans(&self, share: f64) -> Vec<(i32, i32)> {
        let mut spans: Vec<(i32, i32)> = Vec::new();
        for year in years::densest(&self.probability, share) {
            match spans.last_mut() {
                Some((_, last)) if *last + 1 == year => *last = year,
                _ => spans.push((year, year)),
            }
        }
        spans
    }
}

/// The weight of a feature for the first variant against the next.
#[derive(Clone, Debug)]
pub struct Weighed {
    /// The feature.
    pub feature: FeatureId,
    /// The recorded value.
    pub value: Value,
    /// The weight of evidence, in bits; `None` if there is no next variant.
    pub bits: Option<f64>,
}

/// The reading of a code by a key.
#[derive(Clone, Debug)]
pub struct CodeRead {
    /// The feature that holds the code.
    pub feature: FeatureId,
    /// The code as it is written.
    pub code: String,
    /// The key.
    pub key: KeyId,
    pub reading: CodeReading,
    /// Whether it affects the years: the maker is known, and no other key reads the code
    /// differently.
    pub is_used: bool,
}

/// A feature that is worth looking at.
#[derive(Clone, Debug)]
pub struct LookNext {
    /// The feature.
    pub feature: FeatureId,
    /// The expected gain about variant and year, in bits.
    pub entropy_drop: f64,
}

/// A state that would bound the years if it were seen.
#[derive(Clone, Debug, PartialEq)]
pub struct WouldBound {
    /// The feature.
    pub feature: FeatureId,
    /// The state.
    pub state: String,
    /// The landmark.
    pub landmark: LandmarkId,
    /// The share of the probability of the years that seeing it would rule out.
    pub rules_out: f64,
}

/// Features that may be wrong, and the answer without them.
#[derive(Clone, Debug)]
pub struct Doubt {
    /// The features.
    pub features: Vec<FeatureId>,
    /// The bounds without them.
    pub hard: Hard,
    /// The variants without them.
    pub variants: Vec<(VariantId, f64)>,
    /// The years without them.
    pub years: Option<Spread>,
}

/// The text of a state or a plain number.
pub fn text(value: &Value) -> String {
    posterior::text(value)
}

/// Answers for garments from one set of tables.
pub struct Dating<'a> {
    prepared: Prepared<'a>,
}

impl<'a> Dating<'a> {
    /// Prepares to answer from tables that hold every model in question.
    pub fn new(knowledge: &'a Knowledge, tables: &'a Tables) -> Dating<'a> {
        Dating { prepared: Prepared::new(knowledge, tables) }
    }

    /// Answers for a garment.
    pub fn answer(&self, garment: &Garment) -> Answer {
        let members = self.prepared.in_question(&garment.known, &garment.features);
        let case = Case { prepared: &self.prepared, garment, members: &members };
        let (bounded, codes, posterior) = case.conclude(&garment.features);
        let mut answer = Answer { keys: codes.read, ..case.plain(&garment.features, &bounded, &posterior) };
        if bounded.is_contradiction() {
            answer.doubt = case.doubt();
            return answer;
        }
        answer.look_next = match codes.factors {
            None => advice::look_next(&case, &posterior),
            Some(_) => {
                let without_codes = Posterior::of(
                    &self.prepared,
                    &members,
                    &garment.features,
                    &Limits { bounded: &bounded, codes: None },
                );
                advice::look_next(&case, &without_codes)
            }
        };
        answer.would_bound = advice::would_bound(&case, &bounded, &posterior);
        answer
    }

    /// Prepares to answer for many garments with bounds, likeliest variant and years only.
    pub fn briefs(&self) -> Briefs<'_, 'a> {
        Briefs::new(&self.prepared)
    }

    /// Answers for a garment without advice on where to look.
    pub fn answer_without_advice(&self, garment: &Garment) -> Answer {
        let members = self.prepared.in_question(&garment.known, &garment.features);
        let case = Case { prepared: &self.prepared, garment, members: &members };
        let (bounded, codes, posterior) = case.conclude(&garment.features);
        Answer { keys: codes.read, ..case.plain(&garment.features, &bounded, &posterior) }
    }
}

/// A garment with the variants in question, by number.
struct Case<'c, 'a> {
    prepared: &'c Prepared<'a>,
    garment: &'c Garment,
    members: &'c [usize],
}

impl Case<'_, '_> {
    /// Works out bounds and probabilities for some of the features.
    fn conclude(&self, features: &Values) -> (Bounded, Codes, Posterior<'_>) {
        let bounded = Bounded::of(self.prepared, features, self.garment.market.as_deref());
        let codes = Codes::of(self.prepared, &self.garment.known, features);
        let limits = Limits { bounded: &bounded, codes: codes.factors.as_deref() };
        let posterior = Posterior::of(self.prepared, self.members, features, &limits);
        (bounded, codes, posterior)
    }

    /// The answer without codes, advice and doubts.
    fn plain(&self, features: &Values, bounded: &Bounded, posterior: &Posterior<'_>) -> Answer {
        let (variants, years) = self.told(bounded, posterior);
        let surprise = variants.first().and_then(|_| surprise::of(self, posterior));
        Answer {
            hard: bounded.hard.clone(),
            is_contradiction: bounded.is_contradiction(),
            temper: posterior.temper,
            features: if variants.is_empty() { Vec::new() } else { self.weighed(features, posterior) },
            variants,
            years,
            keys: Vec::new(),
            look_next: Vec::new(),
            would_bound: Vec::new(),
            unlike: surprise,
            doubt: Vec::new(),
        }
    }

    /// Variants in order, and years if they can be told.
    fn told(&self, bounded: &Bounded, posterior: &Posterior<'_>) -> (Vec<(VariantId, f64)>, Option<Spread>) {
        if bounded.is_contradiction() || self.members.is_empty() {
            return (Vec::new(), None);
        }
        let named = posterior
            .order
            .iter()
            .map(|at| (self.prepared.members[self.members[*at]].id.clone(), posterior.variants[*at]));
        (named.collect(), self.years(bounded, posterior))
    }

    fn years(&self, bounded: &Bounded, posterior: &Posterior<'_>) -> Option<Spread> {
        let is_dated = self.members.iter().any(|member| self.prepared.members[*member].tables.is_bounded);
        (is_dated && !bounded.is_outside).then(|| Spread { probability: Box::new(posterior.years()) })
    }

    fn weighed(&self, features: &Values, posterior: &Posterior<'_>) -> Vec<Weighed> {
        let bits = |reading: &Reading| {
            let (top, next) = (posterior.order.first()?, posterior.order.get(1)?);
            let seen = |at: usize| posterior.seen(self.prepared, self.members[at], at, reading).log2();
            Some(posterior.temper * (seen(*top) - seen(*next)))
        };
        let readings = posterior.readings.iter().map(|reading| {
            let feature = reading.feature(self.prepared).clone();
            Weighed { value: features[&feature].clone(), bits: bits(reading), feature }
        });
        let sorted: BTreeMap<FeatureId, Weighed> = readings.map(|weighed| (weighed.feature.clone(), weighed)).collect();
        sorted.into_values().collect()
    }

    /// The smallest sets of features whose removal leaves a possible year, the most replaceable first.
    fn doubt(&self) -> Vec<Doubt> {
        let features: Vec<&FeatureId> = self.garment.features.keys().collect();
        let single = features.iter().map(|one| vec![*one]);
        let pairs = features
            .iter()
            .enumerate()
            .flat_map(|(at, one)| features[at + 1..].iter().map(move |other| vec![*one, *other]));
        let singles: Vec<Doubt> = single.filter_map(|set| self.without(&set)).collect();
        let mut doubts =
            if singles.is_empty() { pairs.filter_map(|set| self.without(&set)).collect() } else { singles };
        doubts.sort_by_cached_key(|doubt: &Doubt| {
            let replaceable = |wanted: Replaceable| {
                doubt.features.iter().filter(|id| self.prepared.replaceable(id) == Some(wanted)).count()
            };
            (replaceable(Replaceable::No), replaceable(Replaceable::Sometimes), doubt.features.clone())
        });
        doubts
    }

    fn without(&self, doubted: &[&FeatureId]) -> Option<Doubt> {
        let doubted: BTreeSet<&FeatureId> = doubted.iter().copied().collect();
        let mut features = self.garment.features.clone();
        features.retain(|feature, _| !doubted.contains(feature));
        if Bounded::of(self.prepared, &features, self.garment.market.as_deref()).is_contradiction() {
            return None;
        }
        let (bounded, _, posterior) = self.conclude(&features);
        let (variants, years) = self.told(&bounded, &posterior);
        Some(Doubt { features: doubted.into_iter().cloned().collect(), hard: bounded.hard, variants, years })
    }
}
