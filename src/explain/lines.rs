//! Explains a comparison of two label lines or wearers: what to look at over all models, and in how many.
//!
//! The words of two variants are used where they fit; every sentence on a verdict says in how many models it was seen.

use crate::comparison::Verdict;
use crate::comparison::lines::models::{ModelVoice, Models, Stance};
use crate::comparison::lines::{LineComparison, LineFeature};
use crate::explain::Sentence;
use crate::explain::comparison::{finding as finding_of_pair, join, sentence as sentence_of_pair, the, warnings};
use crate::explain::verdict::{equal, steps};
use crate::record::id::ModelId;
use crate::resolve::Catalog;
use crate::statistics::rank::Direction;
use crate::typography::{capital, fixed};
use crate::vocabulary::{Feature, Kind, measure};

/// The last sentence of every answer about lines or wearers.
pub const OTHER_MODELS: &str = "This says nothing about models that were not recorded in both.";

/// Says in a few sentences what somebody with a garment in hand should look at, and what not to rely on.
pub fn advice(comparison: &LineComparison, catalog: &Catalog) -> String {
    if comparison.features.is_empty() {
        return "No model was recorded in both, so they cannot be compared.".to_string();
    }
    let of = |is_wanted: &dyn Fn(&Verdict) -> bool| -> Vec<&LineFeature> {
        comparison.features.iter().filter(|found| is_wanted(&found.compared.verdict)).collect()
    };
    let tells = of(&|verdict| *verdict == Verdict::Tell);
    let mut sentences: Vec<String> = tells.iter().map(|found| look(found, catalog)).collect();
    if tells.is_empty() {
        sentences.push(nothing_sure(comparison, catalog));
    }
    let differing = of(&|verdict| *verdict == Verdict::ByDefinition);
    let signs = differing.iter().filter(|found| found.compared.crude.difference > 0.0);
    sentences.extend(signs.map(|found| {
        format!("By definition, {} tells them apart{}.", the(catalog, &found.compared.feature), against(found, catalog))
    }));
    let compared: Vec<_> = comparison.features.iter().map(|found| &found.compared).collect();
    let others: Vec<_> =
        compared.iter().copied().filter(|compared| compared.verdict != Verdict::DiffersByModel).collect();
    sentences.extend(warnings(&others, catalog).iter().map(|warning| format!("{}.", capital(warning))));
    let reversed = of(&|verdict| *verdict == Verdict::DiffersByModel);
    sentences.extend(reversed.iter().map(|found| by_model(found, catalog)));
    sentences.join(" ")
}

/// Names what to look at, what each shows, and in how many models.
fn look(found: &LineFeature, catalog: &Catalog) -> String {
    let (speaking, agreeing) = (found.models.speaking(), found.models.agreeing());
    let models = match (agreeing, speaking) {
        (2, 2) => "in both models with enough garments of both; two models can agree by chance".to_string(),
        (agreeing, speaking) if agreeing == speaking => {
            format!("in all {speaking} models with enough garments of both")
        }
        (agreeing, speaking) => format!("in {agreeing} of {speaking} models with enough garments of both"),
    };
    format!("Look at {}{}, {models}.", the(catalog, &found.compared.feature), against(found, catalog))
}

/// Says what the first shows against the second: `: three rows against two rows`.
fn against(found: &LineFeature, catalog: &Catalog) -> String {
    let Some(feature) = catalog.vocabulary.feature(found.compared.feature.as_str()) else { return String::new() };
    if let Kind::Measure(measure) = &feature.kind {
        let order = match found.compared.crude.direction {
            Some(Direction::Falling) => "greater",
            _ => "smaller",
        };
        let by =
            found.compared.crude.shift.map(|shift| format!(" by about {}", measure::words(shift.abs(), measure.unit)));
        return format!(": {order} on the first{}", by.unwrap_or_default());
    }
    match &found.typical {
        [Some(a), Some(b)] if a != b => format!(": {} against {}", feature.label(a), feature.label(b)),
        _ => String::new(),
    }
}

fn nothing_sure(comparison: &LineComparison, catalog: &Catalog) -> String {
    let is_judged = |verdict: &Verdict| !matches!(verdict, Verdict::TooFew | Verdict::ByDefinition);
    if !comparison.compared().any(|compared| is_judged(&compared.verdict)) {
        return "Too few garments are recorded to say what else tells these two apart.".to_string();
    }
    let leaning = comparison.compared().filter(|compared| compared.verdict == Verdict::Leaning);
    let leaning: Vec<String> = leaning.map(|compared| the(catalog, &compared.feature)).collect();
    match leaning.as_slice() {
        [] => "Nothing recorded reliably tells these two apart.".to_string(),
        leaning => format!(
            "Nothing recorded reliably tells these two apart; more garments would show whether {} can.",
            join(leaning)
        ),
    }
}

/// Names the models that go the other way, or that surely differ less.
fn by_model(found: &LineFeature, catalog: &Catalog) -> String {
    let against = found.models.0.iter().filter(|voice| voice.stance == Stance::Against);
    let names: Vec<String> = against.map(|voice| model_name(catalog, &voice.model)).collect();
    let feature = the(catalog, &found.compared.feature);
    let way = if found.models.0.iter().any(|voice| voice.is_reversed()) { "the other way" } else { "not the same way" };
    match names.as_slice() {
        [] => format!("Look at the model before {feature}: it differs by model."),
        names => format!("Look at the model before {feature}: it goes {way} in {}.", join(names)),
    }
}

/// The name of a model.
pub fn model_name(catalog: &Catalog, id: &ModelId) -> String {
    catalog.model(id).map_or_else(|| id.to_string(), |model| model.name.clone())
}

/// Says what was found of a feature, with no number but that of models.
pub fn finding(found: &LineFeature, catalog: &Catalog) -> String {
    with_models(found, finding_of_pair(&found.compared, catalog))
}

/// Says in a sentence or two what was found of a feature, and in how many models.
pub fn sentence(found: &LineFeature, catalog: &Catalog) -> String {
    with_models(found, sentence_of_pair(&found.compared, catalog))
}

fn with_models(found: &LineFeature, pooled: String) -> String {
    match models(&found.compared.verdict, &found.models) {
        Some(models) => format!("{pooled} {models}"),
        None => pooled,
    }
}

/// Says in how many models a verdict was seen; empty if there is none to mention.
fn models(verdict: &Verdict, models: &Models) -> Option<String> {
    let (speaking, agreeing) = (models.speaking(), models.agreeing());
    match (verdict, speaking) {
        (Verdict::TooFew | Verdict::ByDefinition | Verdict::Same | Verdict::Unclear, _) => None,
        (_, 0) => Some("No one model has enough garments of both.".to_string()),
        (_, 1) => Some("Seen in one model only.".to_string()),
        (_, 2) if agreeing == 2 => Some("In 2 of 2 models; two models can agree by chance.".to_string()),
        _ => Some(format!("In {agreeing} of {speaking} models.")),
    }
}

/// Says what one model shows by itself.
pub fn model(voice: &ModelVoice, catalog: &Catalog) -> String {
    let stance = match voice.stance {
        Stance::Agrees => "agrees",
        Stance::Against if voice.is_reversed() => "goes the other way",
        Stance::Against => "is against it",
        Stance::Neither => "leaves it open",
    };
    let (n_a, n_b) = (voice.n_a, voice.n_b);
    format!("{} {stance}: {}; n {n_a} and {n_b}", model_name(catalog, &voice.model), difference(voice))
}

/// Writes the difference that one model shows, with its interval.
fn difference(voice: &ModelVoice) -> String {
    let [difference, low, high] =
        [voice.difference, voice.interval.low, voice.interval.high].map(|number| fixed(number, 2));
    format!("difference {difference} (95 % {low} to {high})")
}

/// Says how a model relates to the difference over all models.
pub fn stance(voice: &ModelVoice) -> &'static str {
    match voice.stance {
        Stance::Agrees => "agrees",
        Stance::Against if voice.is_reversed() => "goes the other way",
        Stance::Against => "differs less, if at all",
        Stance::Neither => "leaves it open",
    }
}

/// Gives the steps to a verdict with their numbers: chance, what was held equal, each model, and whether one model
/// decides.
pub fn reasons(found: &LineFeature, feature: &Feature, catalog: &Catalog) -> Vec<Sentence> {
    let mut sentences = steps(feature, &found.compared);
    if feature.defining || !found.compared.crude.is_enough() {
        return sentences;
    }
    let equals = found.compared.covariates.iter().map(|covariate| equal(catalog, &found.compared, covariate));
    sentences.extend(equals.map(|words| Sentence::new(0, words)));
    sentences.extend(found.models.0.iter().map(|voice| Sentence::new(0, format!("{}.", model(voice, catalog)))));
    sentences.extend(ladder(found).map(|words| Sentence::new(0, words)));
    sentences
}

/// Says which rule on models decided, if one did.
fn ladder(found: &LineFeature) -> Option<String> {
    let models = &found.models;
    let words = match &found.compared.verdict {
        Verdict::DiffersByModel => "Models contradict one another, so there is no overall verdict.",
        Verdict::Tell => {
            "At least two models agree, none disagrees, and the difference remains without any one of them."
        }
        Verdict::Leaning if models.speaking() < 2 => "A tell needs two models that agree.",
        Verdict::Leaning if models.against() > 0 => "A tell must have no model against it.",
        _ => return None,
    };
    Some(words.to_string())
}

/// Explains the verdict on a feature from its sentence to what one model more or less would change.
pub fn sentences(found: &LineFeature, feature: &Feature, catalog: &Catalog) -> Vec<Sentence> {
    let first = Sentence::new(0, format!("{}: {}", feature.name, sentence(found, catalog)));
    let settings = Sentence::new(
        0,
        format!("Compared within {} settings, then pooled: {}.", found.settings.len(), found.settings.join(", ")),
    );
    let last = Sentence::new(0, OTHER_MODELS);
    [first, settings].into_iter().chain(reasons(found, feature, catalog)).chain([last]).collect()
}
