//! A comparison of two label lines or two wearers to sentences: what to look at over all models, and in how many.
//!
//! The words of two variants are used where they fit; every sentence on a verdict says in how many models it was seen.

use crate::comparison::Verdict;
use crate::comparison::lines::models::{ModelVoice, Models, Stance};
use crate::comparison::lines::{LineComparison, LineFeature};
use crate::explain::comparison::{advice_on, hundredths, sentence as sentence_of_pair};
use crate::resolve::Catalog;

/// What every answer about lines or wearers ends with.
pub const OTHER_MODELS: &str = "This says nothing of models that were not recorded in both.";

/// Says in a sentence what somebody with a garment in hand should look at, and what not to rely on.
pub fn advice(comparison: &LineComparison, catalog: &Catalog) -> String {
    if comparison.features.is_empty() {
        return "No model was recorded in both, so nothing can be said of them.".to_string();
    }
    advice_on(&comparison.compared().collect::<Vec<_>>(), catalog)
}

/// Says in a sentence or two what was found of a feature, and in how many models.
pub fn sentence(found: &LineFeature, catalog: &Catalog) -> String {
    let pooled = sentence_of_pair(&found.compared, catalog);
    match models(&found.compared.verdict, &found.models) {
        Some(models) => format!("{pooled} {models}"),
        None => pooled,
    }
}

/// Says in how many models a verdict was seen; nothing where there is none to speak of.
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
pub fn model(voice: &ModelVoice) -> String {
    let stance = match voice.stance {
        Stance::Agrees => "agrees",
        Stance::Against => "is against it",
        Stance::Neither => "says neither",
    };
    let (difference, low, high) =
        (hundredths(voice.difference), hundredths(voice.interval.low), hundredths(voice.interval.high));
    let (n_a, n_b) = (voice.n_a, voice.n_b);
    format!("{} {stance}: difference {difference:.2} (95 % {low:.2} to {high:.2}); n {n_a} and {n_b}", voice.model)
}
