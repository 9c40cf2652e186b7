//! Verdicts on features of two variants that flipped, came or went.
//!
//! Only models whose evidence may have changed are compared: comparisons cost more than everything else.

use std::collections::{BTreeMap, BTreeSet};

use crate::comparison::{Comparison, Verdict};
use crate::difference::state::{Change, Grounds, State};
use crate::difference::{PairChange, VerdictChange, VoiceChange, When};
use crate::evidence::Evidence;
use crate::record::citation::SourceKind;
use crate::record::id::{FeatureId, ModelId, VariantId, Whole};
use crate::resolve::Catalog;
use crate::source::FilePath;

/// The evidence on the variants of a model in one state, and their comparisons, under that state's
/// own names.
pub(super) struct Compared<'a> {
    pub(super) evidence: BTreeMap<VariantId, Evidence<'a>>,
    pub(super) comparisons: &'a [Comparison],
}

/// Both states of each model, by the name it has now.
pub(super) type Models<'a> = BTreeMap<ModelId, [Option<Compared<'a>>; 2]>;

/// Finds the models whose evidence the change may have reached, by the names they have now.
pub(super) fn models(change: &Change<'_>, voices: &[VoiceChange]) -> BTreeSet<ModelId> {
    let mut models: BTreeSet<ModelId> = change.files.all().into_iter().filter_map(folder).collect();
    for state in change.states() {
        if is_everything(change) {
            models.extend(state.knowledge.catalog.models.keys().map(|model| state.moves.model(model)));
        }
        models.extend(citing(change, state));
    }
    // A date or placing that no longer counts takes its garment with it.
    let placed = voices.iter().filter_map(|voice| {
        let state = change.state(voice.when);
        let garment = state.knowledge.voice(voice.voice).garment?;
        Some(state.moves.variant(state.knowledge.catalog.garment(garment).variant.as_ref()?).model())
    });
    models.extend(placed);
    models
}

/// The model that a record lies below.
fn folder(path: &FilePath) -> Option<ModelId> {
    let mut folders = path.as_str().strip_prefix("entries/makers/")?.split('/');
    let (maker, model) = (folders.next()?, folders.next()?);
    folders.next()?;
    Some(ModelId::new(format!("{maker}/{model}")))
}

/// Says whether the vocabulary, or a setting that evidence depends on, changed.
fn is_everything(change: &Change<'_>) -> bool {
    let [earlier, now] = change.states().map(|state| &state.knowledge.catalog.about);
    change.files.touch(&FilePath::new("schema/vocabulary.toml"))
        || earlier.withheld != now.withheld
        || earlier.weight != now.weight
        || earlier.circa_years != now.circa_years
}

/// The models with documents of a source that changed: copies of one document count once.
fn citing(change: &Change<'_>, state: &State<'_>) -> BTreeSet<ModelId> {
    let catalog = &state.knowledge.catalog;
    let changed: BTreeSet<&str> = catalog
        .cited
        .iter()
        .filter(|source| source.record.is_some_and(|record| change.files.touch(&state.path(record))))
        .filter(|source| is_document(source.kind) || !source.repeats.is_empty())
        .map(|source| source.name.as_str())
        .collect();
    let variants = catalog.variants.iter().filter(|(_, entry)| {
        let cites = |record| {
            let observation = catalog.record(record).content.observation();
            let sources = observation.map_or(&[][..], |observation| &observation.sources);
            sources.iter().any(|source| changed.contains(source.value.id.as_str()))
        };
        !changed.is_empty() && entry.observations.iter().any(|record| cites(*record))
    });
    variants.map(|(variant, _)| state.moves.variant(variant).model()).collect()
}

fn is_document(kind: SourceKind) -> bool {
    !matches!(kind, SourceKind::Interview | SourceKind::Recollection)
}

/// Counts and compares each of the models in both states.
pub(super) fn compared<'a>(change: &Change<'a>, models: &BTreeSet<ModelId>) -> Models<'a> {
    let mut compared: Models<'a> = models.iter().map(|model| (model.clone(), [None, None])).collect();
    for (place, state) in change.states().into_iter().enumerate() {
        let analysis = state.analysis;
        for (model, entry) in &analysis.knowledge.catalog.models {
            if let Some(both) = compared.get_mut(&state.moves.model(model)) {
                let evidence = entry.variants.iter().map(|id| (id.clone(), analysis.evidence(id))).collect();
                both[place] = Some(Compared { evidence, comparisons: analysis.comparisons(model) });
            }
        }
    }
    compared
}

/// A pair of variants and a feature, to the verdict in each state.
type Verdicts = BTreeMap<[VariantId; 2], BTreeMap<FeatureId, [Option<Verdict>; 2]>>;

/// Finds the verdicts that changed; first the pairs with the change that matters most.
pub(super) fn changes(change: &Change<'_>, models: &Models<'_>) -> Vec<PairChange> {
    let mut pairs = Vec::new();
    for both in models.values() {
        let mut verdicts: Verdicts = BTreeMap::new();
        for (place, (state, compared)) in change.states().into_iter().zip(both).enumerate() {
            for comparison in compared.iter().flat_map(|compared| compared.comparisons) {
                let mut pair = [&comparison.a, &comparison.b].map(|variant| state.moves.variant(variant));
                pair.sort();
                let features = verdicts.entry(pair).or_default();
                for found in comparison.features.iter().filter(|found| found.verdict != Verdict::TooFew) {
                    features.entry(state.moves.feature(&found.feature)).or_default()[place] =
                        Some(named(state, &found.verdict));
                }
            }
        }
        pairs.extend(verdicts.into_iter().filter_map(|(pair, features)| of_pair(change, both, pair, features)));
    }
    pairs.sort_by_cached_key(|pair| (pair.verdicts.first().map(rank), (pair.a.clone(), pair.b.clone())));
    pairs
}

/// A verdict with its covariate, where that is a feature, by the name it has now.
pub(super) fn named(state: &State<'_>, verdict: &Verdict) -> Verdict {
    let now = |covariate: &String| state.moves.feature(&FeatureId::new(covariate.as_str())).to_string();
    match verdict {
        Verdict::Explained(covariate) => Verdict::Explained(now(covariate)),
        Verdict::CannotSeparate(covariate) => Verdict::CannotSeparate(now(covariate)),
        verdict => verdict.clone(),
    }
}

fn of_pair(
    change: &Change<'_>,
    both: &[Option<Compared<'_>>; 2],
    pair: [VariantId; 2],
    features: BTreeMap<FeatureId, [Option<Verdict>; 2]>,
) -> Option<PairChange> {
    let [a, b] = pair;
    let changed = features.into_iter().filter(|(_, [from, to])| from != to);
    let mut verdicts: Vec<VerdictChange> = changed
        .map(|(feature, [from, to])| {
            let grounds = grounds(change, both, [&a, &b], &feature);
            VerdictChange { cause: change.cause(&grounds), feature, from, to }
        })
        .collect();
    verdicts.sort_by_key(rank);
    let is_in_both = [&a, &b].map(|id| change.is_in_both(&Whole::Variant(id.clone()))) == [true, true];
    let is_now = [&a, &b].iter().all(|id| change.now.wholes.contains_key(&Whole::Variant((*id).clone())));
    let only = if is_in_both { None } else { Some(if is_now { When::Now } else { When::Earlier }) };
    (!verdicts.is_empty()).then_some(PairChange { a, b, only, verdicts })
}

/// Changed verdicts before new and gone ones; what tells two variants apart before what does not.
pub(super) fn rank(change: &VerdictChange) -> (bool, bool, u8, FeatureId) {
    let weight = |verdict: &Option<Verdict>| match verdict {
        Some(Verdict::Tell) => 0,
        Some(Verdict::Explained(_)) => 1,
        Some(Verdict::CannotSeparate(_)) => 2,
        Some(Verdict::DiffersByModel) => 3,
        Some(Verdict::Leaning) => 4,
        Some(Verdict::Same) => 5,
        Some(Verdict::Unclear) => 6,
        Some(Verdict::ByDefinition) => 7,
        Some(Verdict::TooFew) | None => 8,
    };
    let is_flip = change.from.is_some() && change.to.is_some();
    (!is_flip, !change.cause.is_others, weight(&change.from).min(weight(&change.to)), change.feature.clone())
}

/// The entries that a feature was counted on in either variant and state, then all others of the two.
pub(super) fn grounds(
    change: &Change<'_>,
    both: &[Option<Compared<'_>>; 2],
    pair: [&VariantId; 2],
    feature: &FeatureId,
) -> Grounds {
    let mut grounds = Grounds::default();
    for (state, compared) in change.states().into_iter().zip(both) {
        let evidence = compared.iter().flat_map(|compared| compared.evidence.values());
        for evidence in evidence.filter(|evidence| pair.contains(&&state.moves.variant(&evidence.variant))) {
            let catalog: &Catalog = &state.knowledge.catalog;
            let counted = evidence.items(feature).iter().flat_map(|item| &item.bearers);
            let records = counted.flat_map(|number| &evidence.bearers[*number].records);
            grounds.speak.extend(records.map(|record| state.path(*record)));
            let entry = catalog.variants.get(&evidence.variant).into_iter();
            grounds.around.extend(entry.flat_map(|entry| &entry.observations).map(|record| state.path(*record)));
        }
    }
    grounds
}
