//! Explains a verdict: what was counted, each step to the verdict, the entries behind it, and what would change it.

use crate::comparison::strata::Covariate;
use crate::comparison::verdict::{is_half_left, is_significant};
use crate::comparison::without::{self, Fall};
use crate::comparison::{Compared, Comparison, ENOUGH, PairEvidence, TELL_ABOVE};
use crate::evidence::{Evidence, Seen};
use crate::explain::Sentence;
use crate::explain::comparison::{covariate_words, seen, sentence, verdict_words};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::Place;
use crate::statistics::limit;
use crate::typography::fixed;
use crate::vocabulary::{Feature, Kind, measure};

/// The most garments named if any one of them would change the verdict.
const NAMED: usize = 2;

/// The subject of a verdict: two variants as compared, with their counts.
pub struct Case<'c> {
    /// The knowledge base's records.
    pub catalog: &'c Catalog,
    /// The two variants.
    pub comparison: &'c Comparison,
    /// The counts of the first and of the second.
    pub sides: PairEvidence<'c>,
}

/// Explains the verdict on a feature; `None` if the feature was not counted in both.
pub fn sentences(case: &Case<'_>, feature: &Feature) -> Option<Vec<Sentence>> {
    let compared = case.comparison.features.iter().find(|compared| compared.feature == feature.id)?;
    let mut sentences = vec![Sentence::new(0, format!("{}: {}", feature.name, sentence(compared, case.catalog)))];
    for evidence in [case.sides.a, case.sides.b] {
        let counted = seen(evidence, feature);
        sentences.push(Sentence::new(0, format!("Counted on `{}`: {counted}.", evidence.variant)));
        sentences.extend(garments(case.catalog, evidence, feature));
    }
    let steps = steps(feature, compared);
    let is_explained = steps.len() > 1 && is_significant(compared.crude.p);
    let equals = compared.covariates.iter().filter(|_| is_explained);
    let equals = equals.map(|covariate| Sentence::new(0, equal(case.catalog, compared, covariate)));
    let (first, rest) = steps.split_at(1);
    sentences.extend(first.iter().cloned().chain(equals).chain(rest.iter().cloned()));
    sentences.extend(changes(case, feature, compared));
    Some(sentences)
}

/// Gives the steps of the rule with their numbers, and what would change the verdict; [`equal`] gives the steps
/// between.
pub fn reasons(case: &Case<'_>, feature: &Feature, compared: &Compared) -> Vec<Sentence> {
    let mut sentences = steps(feature, compared);
    sentences.extend(changes(case, feature, compared));
    sentences
}

/// The entries that were counted, by what they show.
fn garments(catalog: &Catalog, evidence: &Evidence<'_>, feature: &Feature) -> Vec<Sentence> {
    let mut shown: Vec<(String, Vec<Place>)> = Vec::new();
    for item in evidence.items(&feature.id) {
        let words = match &item.seen {
            Seen::State(state) => feature.label(state),
            Seen::Measure(number) => measured(feature, *number),
        };
        let records = item.bearers.iter().flat_map(|bearer| &evidence.bearers[*bearer].records);
        let places = records.filter_map(|record| place(catalog, *record, feature));
        match shown.iter_mut().find(|(other, _)| *other == words) {
            Some((_, known)) => known.extend(places),
            None => shown.push((words, places.collect())),
        }
    }
    shown.sort();
    shown.into_iter().map(|(words, places)| Sentence::new(1, words).at(places)).collect()
}

fn measured(feature: &Feature, number: f64) -> String {
    match &feature.kind {
        Kind::Measure(measure) => measure::words(number, measure.unit),
        _ => measure::rounded(number),
    }
}

/// The place where an observation records a feature.
fn place(catalog: &Catalog, record: RecordIndex, feature: &Feature) -> Option<Place> {
    let record = catalog.record(record);
    let reading = record.content.observation()?.features.get(&feature.id)?;
    Some(Place { file: record.file, span: reading.span })
}

/// The steps of the rule except those at equal covariates, each with its numbers; at least one.
pub fn steps(feature: &Feature, compared: &Compared) -> Vec<Sentence> {
    let crude = &compared.crude;
    if feature.defining {
        let words = "It defines the line, so no garment is counted for or against it.";
        return vec![Sentence::new(0, words)];
    }
    if !crude.is_enough() {
        return vec![Sentence::new(0, format!("A verdict needs at least {ENOUGH} of each."))];
    }
    let taken = if is_significant(crude.p) { "so it needs an explanation" } else { "so it may be chance" };
    let words = format!("By chance alone, a difference this large has p {} ({}), {taken}.", p(crude.p), crude.p_method);
    let mut sentences = vec![Sentence::new(0, words)];
    if !is_significant(crude.p) {
        let high = crude.high;
        sentences.push(Sentence::new(0, format!("With these numbers the difference could be as large as {high:.2}.")));
        return sentences;
    }
    let adjusted = match compared.p_holm {
        Some(adjusted) => format!("Adjusted for all features compared here, p is {}", p(adjusted)),
        None => "With so few garments, no difference could be significant".to_string(),
    };
    let low = if limit::is_above(crude.low, TELL_ABOVE) { "above" } else { "not above" };
    let limit = format!("the lower limit of the difference, {}, is {low} {TELL_ABOVE}", fixed(crude.low, 2));
    sentences.push(Sentence::new(0, format!("{adjusted}; {limit}.")));
    sentences.extend(losses(compared));
    sentences
}

/// Says how much of a difference all covariates together explain; `None` for fewer than two.
fn losses(compared: &Compared) -> Option<Sentence> {
    let whole = compared.crude.difference;
    let matched = compared.covariates.iter().filter(|covariate| covariate.is_matched);
    let losses: Vec<f64> = matched.filter_map(|covariate| Some((whole - covariate.difference?).max(0.0))).collect();
    if losses.iter().filter(|loss| **loss > 0.0).count() < 2 {
        return None;
    }
    let sum: f64 = losses.iter().sum();
    let half = if limit::is_above(sum, whole / 2.0) { "more than half" } else { "at most half" };
    let words =
        format!("Held equal one at a time, they account together for {} of {whole:.2}, {half} of it.", fixed(sum, 2));
    Some(Sentence::new(0, words))
}

/// Says what is left of a difference at equal values of a covariate.
pub fn equal(catalog: &Catalog, compared: &Compared, covariate: &Covariate) -> String {
    let words = covariate_words(catalog, &covariate.name);
    let Some(difference) = covariate.difference.filter(|_| covariate.is_matched) else {
        let wanted = if covariate.must_match { "so the verdict is in doubt" } else { "but that is not required" };
        return format!("Too few garments of both are known to match in {words}, {wanted}.");
    };
    let half =
        if is_half_left(difference, compared.crude.difference) { "at least half of it" } else { "less than half" };
    let chance = covariate.p.map(|value| format!(", p {}", p(value))).unwrap_or_default();
    let (left, of, matched) = (fixed(difference, 2), compared.crude.difference, covariate.matched);
    let asked = covariate.p_holm.map(|value| {
        format!(" Two or more features follow {words}, so p adjusted for all of them counts: {}.", p(value))
    });
    let asked = asked.unwrap_or_default();
    format!("Among the {matched} garments that match in {words}, {left} of {of:.2} is left ({half}{chance}).{asked}")
}

/// Writes a p value with enough decimals to differ from 0.
fn p(value: f64) -> String {
    if value < 0.001 { "below 0.001".to_string() } else { format!("{value:.3}") }
}

/// The garments that would each change the verdict if left out.
fn changes(case: &Case<'_>, feature: &Feature, compared: &Compared) -> Vec<Sentence> {
    if feature.defining || !compared.crude.is_enough() {
        return Vec::new();
    }
    let falls = without::falls(case.catalog, case.comparison, compared, case.sides);
    if falls.is_empty() {
        return vec![Sentence::new(0, "No single garment decides this.")];
    }
    falls.iter().map(|fall| change(case.catalog, fall)).collect()
}

fn change(catalog: &Catalog, fall: &Fall) -> Sentence {
    let first = fall.garments.iter().take(NAMED).filter_map(|records| records.first());
    let names: Vec<String> = first.map(|record| format!("`{}`", catalog.record(*record).path)).collect();
    let any = match (fall.garments.len(), fall.garments.len().saturating_sub(NAMED)) {
        (1, _) => names.join(""),
        (_, 0) => format!("any one of {}", names.join(", ")),
        (_, more) => format!("any one of {} and {more} more like them", names.join(", ")),
    };
    let outcome = match &fall.verdict {
        Some(verdict) => format!("the verdict would be {}", verdict_words(verdict, catalog)),
        None => format!("nothing would be counted on `{}`", fall.variant),
    };
    Sentence::new(0, format!("Without {any}, {outcome}."))
}
