//! Whether each model agrees with a difference found over several, is against it, or neither.
//!
//! Only a model with enough garments of both groups speaks; the others are counted.

use crate::comparison::crude::Crude;
use crate::comparison::lines::group::{Shared, SharedSetting};
use crate::comparison::lines::{pooled, values};
use crate::comparison::{ENOUGH, strata, verdict};
use crate::record::id::ModelId;
use crate::resolve::Catalog;
use crate::statistics::interval::Interval;
use crate::statistics::limit;

/// From this difference on a model agrees; turned round, it is against.
const AGREES_FROM: f64 = 0.25;

/// Without other models, one whose difference is surely below this is against.
const SMALL: f64 = 0.35;

/// Without any one model, the others must differ with a p value below this.
const HOLDS_BELOW: f64 = 0.10;

/// The models that speak, in order.
#[derive(Clone, Debug, Default)]
pub struct Models(pub Vec<ModelVoice>);

/// The result of one model.
#[derive(Clone, Debug)]
pub struct ModelVoice {
    /// The model.
    pub model: ModelId,
    /// Items of the first group.
    pub n_a: u64,
    /// Items of the second.
    pub n_b: u64,
    /// Its own difference; above 0 if it goes the same way as the pooled one.
    pub difference: f64,
    /// The 95 % interval of the difference.
    pub interval: Interval,
    /// Whether it agrees with the pooled difference.
    pub stance: Stance,
}

/// Whether a model agrees with a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stance {
    /// It differs the same way.
    Agrees,
    /// It differs the other way, or surely less.
    Against,
    /// It may or may not.
    Neither,
}

impl Stance {
    /// The word of it.
    pub fn word(self) -> &'static str {
        match self {
            Stance::Agrees => "agrees",
            Stance::Against => "against",
            Stance::Neither => "neither",
        }
    }
}

impl ModelVoice {
    /// Says whether it surely or perhaps goes the other way, not only less far.
    pub fn is_reversed(&self) -> bool {
        self.stance == Stance::Against && !limit::is_above(self.difference, -AGREES_FROM)
    }
}

impl Models {
    /// How many speak.
    pub fn speaking(&self) -> usize {
        self.0.len()
    }

    /// How many agree.
    pub fn agreeing(&self) -> usize {
        self.count(Stance::Agrees)
    }

    /// How many are against.
    pub fn against(&self) -> usize {
        self.count(Stance::Against)
    }

    fn count(&self, stance: Stance) -> usize {
        self.0.iter().filter(|voice| voice.stance == stance).count()
    }
}

/// Some of the shared settings.
type Settings<'s, 'a> = Vec<&'s SharedSetting<'a>>;

/// The settings of a model, and the settings of all others.
fn parted<'s, 'a>(shared: &'s Shared<'a>, model: &ModelId) -> (Settings<'s, 'a>, Settings<'s, 'a>) {
    shared.settings.iter().partition(|shared| shared.setting.model == *model)
}

/// Asks every model.
pub fn of(shared: &Shared<'_>, whole: &Crude) -> Models {
    Models(shared.models().into_iter().filter_map(|model| voice(shared, whole, model)).collect())
}

fn voice(shared: &Shared<'_>, whole: &Crude, model: &ModelId) -> Option<ModelVoice> {
    let (own, rest) = parted(shared, model);
    let (n_a, n_b) = pooled::totals(&own);
    if n_a < ENOUGH || n_b < ENOUGH {
        return None;
    }
    let found = pooled::difference_as(&own, whole);
    let of_rest = if rest.is_empty() { SMALL } else { pooled::difference_as(&rest, whole).difference };
    let is_surely_less = limit::is_below(found.interval.high, SMALL.max(of_rest));
    let stance = if !limit::is_below(found.difference, AGREES_FROM) {
        Stance::Agrees
    } else if !limit::is_below(-found.difference, AGREES_FROM) || is_surely_less {
        Stance::Against
    } else {
        Stance::Neither
    };
    let (difference, interval) = (found.difference, found.interval);
    Some(ModelVoice { model: model.clone(), n_a, n_b, difference, interval, stance })
}

/// Says whether one model surely goes the pooled way, and another surely the other way.
pub fn contradict(catalog: &Catalog, shared: &Shared<'_>, whole: &Crude, models: &Models) -> bool {
    let stands = |voice: &&ModelVoice| is_significant(catalog, shared, whole, voice);
    let mut ways = models.0.iter().filter(|voice| limit::is_above(voice.difference, 0.0));
    let mut other_ways = models.0.iter().filter(|voice| limit::is_above(-voice.difference, 0.0));
    ways.clone().next().is_some() && other_ways.any(|voice| stands(&voice)) && ways.any(|voice| stands(&voice))
}

/// Says whether a model differs by more than chance, by more than the tape alone can, and not by a covariate.
fn is_significant(catalog: &Catalog, shared: &Shared<'_>, whole: &Crude, voice: &ModelVoice) -> bool {
    let (own, _) = parted(shared, &voice.model);
    verdict::is_significant(pooled::test(&own).p)
        && !verdict::is_within_tolerance(shared.feature, pooled::shift(&own))
        && !is_explained(catalog, shared, whole, voice)
}

fn is_explained(catalog: &Catalog, shared: &Shared<'_>, whole: &Crude, voice: &ModelVoice) -> bool {
    let (own, _) = parted(shared, &voice.model);
    let mut covariates = values::of(catalog, shared.feature, &own, whole);
    if voice.difference < 0.0 {
        // Signed in the model's own direction.
        covariates.iter_mut().for_each(|covariate| covariate.difference = covariate.difference.map(|found| -found));
    }
    strata::held(&covariates).iter().any(|covariate| verdict::explains(covariate, voice.difference.abs()))
}

/// Says whether a difference remains when any one of the speaking models is left out.
pub fn holds_without_any(shared: &Shared<'_>, whole: &Crude, models: &Models) -> bool {
    models.0.iter().all(|voice| {
        let (_, rest) = parted(shared, &voice.model);
        !rest.is_empty()
            && limit::is_above(pooled::difference_as(&rest, whole).difference, 0.0)
            && limit::is_below(pooled::test(&rest).p, HOLDS_BELOW)
    })
}
