//! What tells one label line of a maker from another, or what was cut for men from what was cut for women, over all models.
//!
//! They are compared only within one setting (model and wearer, or model and line); the settings are then pooled. With
//! one shared setting, the numbers equal those of two variants. Counting is `evidence`'s, variant by variant.

pub mod group;
pub mod models;
pub mod pooled;
mod values;
mod verdict;

use std::fmt;

use ecow::EcoString;
use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::comparison::lines::group::{Group, Shared};
use crate::comparison::lines::models::Models;
use crate::comparison::{self, Compared, Counted};
use crate::evidence::CountedEvidence;
use crate::record::id::{LineId, MakerId};
use crate::record::observation::Wearer;
use crate::resolve::Catalog;

/// The subject of a comparison over all models: the variants of one line, or those cut for one
/// wearer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Subject {
    /// A label line.
    Line(LineId),
    /// A maker's garments for a wearer.
    Wearer(MakerId, Wearer),
}

/// Two lines, or two wearers, of one maker side by side.
#[derive(Clone, Debug)]
pub struct LineComparison {
    /// The first, by id.
    pub a: Subject,
    /// The second.
    pub b: Subject,
    /// Every feature counted in both in some shared setting, in the vocabulary's order.
    pub features: Vec<LineFeature>,
}

/// One feature of two lines or wearers.
#[derive(Clone, Debug)]
pub struct LineFeature {
    /// The numbers and the verdict, as for two variants; `crude` holds the pooled numbers.
    pub compared: Compared,
    /// The settings in which both were counted, by name.
    pub settings: Vec<String>,
    /// The results of each model with enough garments of both.
    pub models: Models,
    /// The state seen most on each, over the settings; `None` if two are seen as often, and for measures.
    pub typical: [Option<EcoString>; 2],
}

impl Subject {
    /// The maker.
    pub fn maker(&self) -> MakerId {
        match self {
            Subject::Line(line) => line.maker(),
            Subject::Wearer(maker, _) => maker.clone(),
        }
    }

    /// Its name among others of its kind and maker.
    pub fn own_name(&self) -> &str {
        match self {
            Subject::Line(line) => line.line(),
            Subject::Wearer(_, wearer) => wearer.word(),
        }
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Line(line) => line.fmt(formatter),
            Subject::Wearer(maker, wearer) => write!(formatter, "{maker}/wearer:{}", wearer.word()),
        }
    }
}

/// Compares every two lines and every two wearers of each maker, in order of maker; lines come before wearers.
pub fn all(counted: CountedEvidence<'_>) -> Vec<LineComparison> {
    let groups = group::all(counted);
    let catalog = &counted.knowledge.catalog;
    let is_pair = |one: &Group<'_>, other: &Group<'_>| {
        let kinds = [&one.subject, &other.subject].map(std::mem::discriminant);
        kinds[0] == kinds[1] && one.subject.maker() == other.subject.maker()
    };
    let kinds = groups.chunk_by(is_pair);
    let pairs = kinds.flat_map(|kind| {
        let firsts = kind.iter().enumerate();
        firsts.flat_map(move |(place, a)| kind[place + 1..].iter().map(move |b| (a, b)))
    });
    pairs.map(|(a, b)| of(catalog, a, b)).collect()
}

/// Compares two groups in every feature that both have been counted in within a shared setting.
pub fn of(catalog: &Catalog, a: &Group<'_>, b: &Group<'_>) -> LineComparison {
    let found = catalog.vocabulary.iter().filter_map(|feature| Shared::of(feature, a, b));
    let shared: Vec<Shared<'_>> = found.collect();
    // A test of one feature can take as long as all others together.
    let counted = shared.par_iter().map(|shared| {
        let crude = pooled::crude(&shared.all());
        let covariates = values::of(catalog, shared.feature, &shared.all(), &crude);
        Counted { feature: shared.feature, crude, covariates }
    });
    let compared = comparison::judged(catalog, counted.collect());
    let features = shared.iter().zip(compared);
    let features = features.map(|(shared, compared)| verdict::by_model(catalog, shared, compared));
    let mut comparison = LineComparison { a: a.subject.clone(), b: b.subject.clone(), features: features.collect() };
    verdict::soften(&mut comparison.features);
    comparison
}

impl LineComparison {
    /// The comparison of a feature.
    pub fn feature(&self, id: &str) -> Option<&LineFeature> {
        self.features.iter().find(|found| found.compared.feature.as_str() == id)
    }

    /// The same without models, as two variants are compared.
    pub fn compared(&self) -> impl Iterator<Item = &Compared> {
        self.features.iter().map(|found| &found.compared)
    }
}
