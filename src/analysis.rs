//! Every further answer from the knowledge, each computed once, when first asked for.
//!
//! Lints, pages, exports, the preview and `explain` work from it. Nothing here has words for a reader.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::changeover::{self, History};
use crate::chronology::solved_network::SolvedNetwork;
use crate::chronology::without::Without;
use crate::comparison::Comparison;
use crate::comparison::lines::group::{self, Group};
use crate::comparison::lines::{self, LineComparison, Subject};
use crate::comparison::pairs::{Pair, Pairs};
use crate::comparison::question::{self, Question};
use crate::comparison::steps::{self, ModelSteps};
use crate::comparison::succession::{self, Succession};
use crate::dating::likelihood::misplaced::Misplaced;
use crate::dating::likelihood::unlikely::{self, Doubts, Unlikely};
use crate::dating::likelihood::{self, Tables};
use crate::evidence::{self, CountedEvidence, Evidence};
use crate::knowledge::Knowledge;
use crate::record::id::{ModelId, Thing, VariantId, Whole};

/// Knowledge with room for every further answer.
pub struct Analysis<'a> {
    /// What was concluded.
    pub knowledge: &'a Knowledge,
    evidence: BTreeMap<&'a VariantId, OnceLock<Evidence<'a>>>,
    pairs: Pairs,
    steps: BTreeMap<&'a ModelId, OnceLock<Option<ModelSteps>>>,
    lines: OnceLock<Vec<LineComparison>>,
    histories: OnceLock<Vec<History>>,
    network: OnceLock<SolvedNetwork>,
    tables: OnceLock<Tables>,
    doubts: BTreeMap<&'a ModelId, OnceLock<Doubts>>,
    questions: OnceLock<Vec<Question>>,
}

impl<'a> Analysis<'a> {
    /// Makes room; computes nothing yet.
    pub fn new(knowledge: &'a Knowledge) -> Analysis<'a> {
        let (variants, models) = (knowledge.catalog.variants.keys(), knowledge.catalog.models.keys());
        Analysis {
            knowledge,
            evidence: variants.map(|variant| (variant, OnceLock::new())).collect(),
            pairs: Pairs::new(&knowledge.catalog),
            steps: models.clone().map(|model| (model, OnceLock::new())).collect(),
            lines: OnceLock::new(),
            histories: OnceLock::new(),
            network: OnceLock::new(),
            tables: OnceLock::new(),
            doubts: models.map(|model| (model, OnceLock::new())).collect(),
            questions: OnceLock::new(),
        }
    }

    /// Computes at once the answers that use all threads.
    pub fn prepare(&self) {
        self.network();
        self.tables();
        self.lines();
        self.histories();
        self.questions();
    }

    /// What was counted of a variant.
    pub fn evidence(&self, variant: &VariantId) -> Evidence<'a> {
        let count = || evidence::of(self.knowledge, variant);
        self.evidence.get(variant).map_or_else(count, |counted| counted.get_or_init(count).clone())
    }

    /// The pairs of variants of a model that are compared, sorted.
    pub fn pairs(&self, model: &ModelId) -> &[Pair] {
        self.pairs.listed(self.knowledge, model)
    }

    /// The variants of a model in time; those without a date come last.
    pub fn in_time(&self, model: &ModelId) -> &[VariantId] {
        self.pairs.in_time(self.knowledge, model)
    }

    /// The pairs that a variant is in, sorted.
    pub fn pairs_of(&self, variant: &VariantId) -> Vec<&Pair> {
        self.pairs.of_variant(self.knowledge, variant)
    }

    /// The comparisons of the pairs of a model, in their order.
    pub fn comparisons(&self, model: &ModelId) -> &[Comparison] {
        let evidence = |variant: &VariantId| self.evidence(variant);
        self.pairs.of(CountedEvidence { knowledge: self.knowledge, of: &evidence }, model)
    }

    /// The order of looks that tells the variants of a model apart, if enough was recorded of it.
    pub fn steps(&self, model: &ModelId) -> Option<&ModelSteps> {
        let grow = || self.with_evidence(|counted| steps::of_model(counted, model, self.comparisons(model)));
        self.steps.get(model)?.get_or_init(grow).as_ref()
    }

    /// How the variants of a model follow one another in time; computed anew each time.
    pub fn succession(&self, model: &ModelId) -> Succession {
        let era = |variant: &VariantId| self.knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone())));
        succession::of(self.in_time(model), era, self.comparisons(model))
    }

    /// The comparisons of every two label lines and every two wearers of a maker.
    pub fn lines(&self) -> &[LineComparison] {
        self.lines.get_or_init(|| self.with_evidence(lines::all))
    }

    /// What was counted of one line or wearer, variant by variant.
    pub fn group(&self, subject: &Subject) -> Group<'a> {
        group::of(&self.knowledge.catalog, |variant| self.evidence(variant), subject)
    }

    /// What changed when in every line, model and variant.
    pub fn histories(&self) -> &[History] {
        self.histories.get_or_init(|| self.with_evidence(changeover::all))
    }

    /// What changed when in one line, model or variant; computed anew each time.
    pub fn histories_of(&self, thing: &Whole) -> Vec<History> {
        self.with_evidence(|counted| changeover::of(counted, thing))
    }

    /// The tables of likelihoods of all models, with each garment judged by the others of its model.
    pub fn tables(&self) -> &Tables {
        self.tables.get_or_init(|| self.with_evidence(likelihood::judged))
    }

    /// The tables of likelihoods of some models; computed anew each time.
    pub fn tables_of(&self, models: BTreeSet<ModelId>) -> Tables {
        self.with_evidence(|counted| likelihood::of(counted, models))
    }

    /// The garments of some models that are unlike the others of their variant, by model.
    pub fn unlikely(&self, models: &BTreeSet<ModelId>) -> Vec<&Unlikely> {
        self.doubts(models).into_iter().flat_map(|doubts| &doubts.unlikely).collect()
    }

    /// The garments of some models that fit another variant of their model, by model.
    pub fn misplaced(&self, models: &BTreeSet<ModelId>) -> Vec<&Misplaced> {
        self.doubts(models).into_iter().flat_map(|doubts| &doubts.misplaced).collect()
    }

    /// The garments of a model that fit another variant; read from the tables if these are made.
    pub fn misplaced_of(&self, model: &ModelId) -> &[Misplaced] {
        if let Some(tables) = self.tables.get() {
            let calibration = tables.calibrations.iter().find(|calibration| calibration.model == *model);
            return calibration.map_or(&[], |calibration| &calibration.misplaced);
        }
        self.doubts(&BTreeSet::from([model.clone()])).first().map_or(&[], |doubts| &doubts.misplaced)
    }

    fn doubts(&self, models: &BTreeSet<ModelId>) -> Vec<&Doubts> {
        let asked = || models.iter().filter_map(|model| Some((model, self.doubts.get(model)?)));
        let unjudged: BTreeSet<ModelId> =
            asked().filter(|(_, judged)| judged.get().is_none()).map(|(model, _)| model.clone()).collect();
        for (model, found) in self.with_evidence(|counted| unlikely::of(counted, &unjudged)) {
            self.doubts[&model].get_or_init(|| found);
        }
        asked().filter_map(|(_, judged)| judged.get()).collect()
    }

    /// The open questions about every variant, first those that one more observation would settle most.
    pub fn questions(&self) -> &[Question] {
        let models = || self.knowledge.catalog.models.keys().collect::<Vec<_>>();
        let all = || models().into_par_iter().flat_map_iter(|model| self.questions_of(model)).collect();
        self.questions.get_or_init(|| question::ranked(all()))
    }

    fn questions_of(&self, model: &ModelId) -> Vec<Question> {
        let catalog = &self.knowledge.catalog;
        let variants = catalog.models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
        let evidence = variants.iter().map(|variant| (variant.clone(), self.evidence(variant))).collect();
        let comparisons: Vec<&Comparison> = self.comparisons(model).iter().collect();
        let era = |variant: &VariantId| self.knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone()))).cloned();
        question::of(catalog, &evidence, &comparisons, era)
    }

    /// What would be concluded with pieces left out.
    pub fn without(&self) -> Without<'_> {
        Without::new(self.knowledge, self.network())
    }

    fn network(&self) -> &SolvedNetwork {
        self.network.get_or_init(|| SolvedNetwork::of(self.knowledge))
    }

    fn with_evidence<T>(&self, work: impl FnOnce(CountedEvidence<'_>) -> T) -> T {
        work(CountedEvidence { knowledge: self.knowledge, of: &|variant| self.evidence(variant) })
    }
}
