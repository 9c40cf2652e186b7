//! Tables laid out for answering: features and variants by number, landmarks with their days.

use std::sync::Arc;

use crate::date::Day;
use crate::dating::answer::garment::Known;
use crate::dating::likelihood::{ModelTables, Table, Tables, VariantTables};
use crate::evidence::key::{self, StandingKey};
use crate::evidence::landmark::{self, Values};
use crate::knowledge::Knowledge;
use crate::record::Content;
use crate::record::id::{FeatureId, LandmarkId, LineId, ModelId, VariantId};
use crate::record::landmark::{Force, Landmark};
use crate::record::observation::Wearer;
use crate::vocabulary::{Feature, Replaceable};

/// Everything that answers are computed from.
pub struct Prepared<'a> {
    /// The knowledge base.
    pub knowledge: &'a Knowledge,
    /// The tables.
    pub tables: &'a Tables,
    /// The features that have columns, sorted by id.
    pub features: Vec<&'a Feature>,
    /// The variants, sorted by id.
    pub members: Vec<Member<'a>>,
    /// The landmarks, sorted by id.
    pub landmarks: Vec<Dated<'a>>,
    /// The keys that read codes, by id.
    pub keys: Vec<StandingKey<'a>>,
}

/// A variant with its tables.
pub struct Member<'a> {
    /// The variant.
    pub id: &'a VariantId,
    /// Its model.
    pub model_id: &'a ModelId,
    /// The model's place among all.
    pub model_number: usize,
    /// Its model's tables.
    pub model: &'a ModelTables,
    /// Its own.
    pub tables: &'a VariantTables,
    /// The sum of its production weights.
    pub total: f64,
    /// The table of each feature.
    pub cells: Vec<Arc<Table>>,
    line: Option<&'a LineId>,
    wearer: Option<Wearer>,
}

/// A landmark with the days it bounds.
pub struct Dated<'a> {
    /// Its id.
    pub id: &'a LandmarkId,
    /// The landmark.
    pub landmark: &'a Landmark,
    /// Nothing that bears it was made before this.
    pub not_before: Option<Day>,
    /// Nothing that bears it was made after this.
    pub not_after: Option<Day>,
    /// The part of the garment that the first feature of its condition is in.
    pub zone: Option<&'a str>,
}

impl<'a> Prepared<'a> {
    /// Lays everything out.
    pub fn new(knowledge: &'a Knowledge, tables: &'a Tables) -> Prepared<'a> {
        let catalog = &knowledge.catalog;
        let features: Vec<&Feature> =
            tables.pool.iter().filter_map(|(id, _)| catalog.vocabulary.feature(id.as_str())).collect();
        let members = tables.models.iter().enumerate().flat_map(|(number, model)| {
            let (features, model) = (&features, NumberedModel { number, id: model.0, tables: model.1 });
            model.tables.variants.keys().map(move |id| member(knowledge, features, model, id))
        });
        let mut members: Vec<Member<'a>> = members.collect();
        members.sort_by_key(|member| member.id);
        let landmarks = catalog.landmarks.iter();
        let landmarks =
            landmarks.filter_map(|(id, index)| Some(dated(knowledge, id, landmark::of(catalog, *index)?))).collect();
        let mut keys = key::standing(catalog);
        keys.retain(|key| !knowledge.doubted_keys.contains(&key.index));
        Prepared { knowledge, tables, features, members, landmarks, keys }
    }

    /// The variants in question: those that fit everything known about the garment. If nothing is
    /// known, it returns the variants of every model with counted garments that has all the
    /// features examined.
    pub fn in_question(&self, known: &Known, features: &Values) -> Vec<usize> {
        let examined: Vec<&Feature> =
            features.keys().filter_map(|id| self.knowledge.catalog.vocabulary.feature(id.as_str())).collect();
        let numbers = 0..self.members.len();
        if known.is_anything() {
            return numbers.filter(|at| fits(&self.members[*at], known)).collect();
        }
        let applies = |model: &ModelTables| examined.iter().all(|feature| feature.is_of(&model.garment));
        let is_in: Vec<bool> = self.tables.models.values().map(|model| model.is_counted && applies(model)).collect();
        numbers.filter(|at| is_in[self.members[*at].model_number]).collect()
    }

    /// How often the part of a feature is replaced.
    pub fn replaceable(&self, feature: &FeatureId) -> Option<Replaceable> {
        self.knowledge.catalog.vocabulary.feature(feature.as_str()).map(|feature| feature.replaceable)
    }

    /// The number of a feature that has columns.
    pub fn feature(&self, id: &FeatureId) -> Option<usize> {
        self.features.binary_search_by(|feature| feature.id.cmp(id)).ok()
    }
}

fn fits(member: &Member<'_>, known: &Known) -> bool {
    known.maker.as_ref().is_none_or(|maker| member.id.maker() == *maker)
        && known.model.as_ref().is_none_or(|model| member.model_id == model)
        && known.line.as_ref().is_none_or(|line| member.line == Some(line))
        && known.wearer.is_none_or(|wearer| member.wearer == Some(wearer))
        && known.variant.as_ref().is_none_or(|variant| member.id == variant)
}

/// A model with its tables, and its number among all.
#[derive(Clone, Copy)]
struct NumberedModel<'a> {
    number: usize,
    id: &'a ModelId,
    tables: &'a ModelTables,
}

fn member<'a>(
    knowledge: &'a Knowledge,
    features: &[&Feature],
    model: NumberedModel<'a>,
    id: &'a VariantId,
) -> Member<'a> {
    let NumberedModel { number: model_number, id: model_id, tables: model } = model;
    let tables = &model.variants[id];
    let entry = knowledge.catalog.variants.get(id);
    let wearer = entry.and_then(|entry| match &knowledge.catalog.record(entry.record).content {
        Content::Variant(variant) => Some(variant.wearer),
        _ => None,
    });
    Member {
        id,
        model_id,
        model_number,
        model,
        tables,
        total: tables.weights.iter().sum(),
        cells: features.iter().filter_map(|feature| model.table(tables, &feature.id)).collect(),
        line: entry.and_then(|entry| entry.line.as_ref()),
        wearer,
    }
}

fn dated<'a>(knowledge: &'a Knowledge, id: &'a LandmarkId, landmark: &'a Landmark) -> Dated<'a> {
    let circa = knowledge.catalog.circa();
    let first = landmark.when.value.features().first().map(|id| id.as_str());
    Dated {
        id,
        landmark,
        not_before: landmark::not_before(landmark, circa),
        not_after: landmark::not_after(landmark, circa),
        zone: first.and_then(|id| knowledge.catalog.vocabulary.feature(id)?.zone.as_deref()),
    }
}

impl Dated<'_> {
    /// Says whether it is a hard bound for garments sold in a market.
    pub fn is_hard(&self, market: Option<&str>) -> bool {
        matches!(self.landmark.force, Force::Hard { .. })
            && self.landmark.market().is_none_or(|named| market == Some(named))
    }

    /// How many times less likely it makes the years outside its bounds when it applies without being hard.
    pub fn soft_odds(&self, market: Option<&str>) -> Option<f64> {
        let speaks = match (self.landmark.market(), market) {
            (Some(named), Some(stated)) => named == stated,
            _ => true,
        };
        match self.landmark.force {
            _ if !speaks || self.is_hard(market) => None,
            Force::Hard { odds } | Force::Soft { odds } => Some(odds),
        }
    }
}
