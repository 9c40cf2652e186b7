//! Two variants side by side as JSON, in types of its own that change only by adding fields.
//!
//! The form is `bartack-comparison` version 1; its schema is `schema/comparison.schema.json`.

use serde::Serialize;

use crate::cli::compare::Pair;
use crate::comparison::strata::Covariate;
use crate::comparison::{Compared, Verdict};
use crate::evidence::Evidence;
use crate::explain;
use crate::explain::comparison as words;
use crate::resolve::Catalog;
use crate::statistics::rank::Sample;
use crate::statistics::{Proportion, interval};
use crate::vocabulary::{Feature, Kind};

#[derive(Serialize)]
struct Answer<'a> {
    format: &'static str,
    version: u32,
    knowledge_base: &'a str,
    a: &'a str,
    b: &'a str,
    /// `None` if the variants belong to different models.
    advice: Option<String>,
    features: Vec<FeatureAnswer<'a>>,
    caution: &'static str,
}

#[derive(Serialize)]
struct FeatureAnswer<'a> {
    feature: &'a str,
    name: &'a str,
    a: Side,
    b: Side,
    /// `None` if the variants belong to different models, or if one has no observations.
    comparison: Option<Numbers<'a>>,
}

/// The counts of one variant.
#[derive(Serialize)]
struct Side {
    n: u64,
    /// How many of them depend on a contested placing.
    contested: usize,
    states: Vec<State>,
    measure: Option<Range>,
}

#[derive(Serialize)]
struct State {
    state: String,
    count: u64,
    /// The limits of the 95 % Jeffreys interval of the state's share.
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct Range {
    unit: &'static str,
    least: f64,
    median: f64,
    greatest: f64,
}

/// The comparison of one feature.
#[derive(Serialize)]
pub(super) struct Numbers<'a> {
    verdict: &'static str,
    /// The feature that explains the difference, if the verdict names one.
    because_of: Option<&'a str>,
    sentence: String,
    difference: f64,
    low: f64,
    high: f64,
    right: Option<f64>,
    p: f64,
    p_holm: Option<f64>,
    p_method: &'a str,
    shift: Option<f64>,
    covariates: Vec<CovariateAnswer<'a>>,
}

#[derive(Serialize)]
struct CovariateAnswer<'a> {
    covariate: &'a str,
    must_match: bool,
    matched: bool,
    n_matched: u64,
    difference_adjusted: Option<f64>,
    p_adjusted: Option<f64>,
    p_adjusted_holm: Option<f64>,
}

/// Writes the answer as one JSON object, with a newline at its end.
pub(super) fn render(pair: &Pair<'_>, knowledge_base: &str) -> String {
    let advice = pair.comparison.as_ref().map(|comparison| words::advice(comparison, pair.catalog));
    let features = pair.features().map(|(feature, compared)| FeatureAnswer {
        feature: feature.id.as_str(),
        name: &feature.name,
        a: side(&pair.a, feature),
        b: side(&pair.b, feature),
        comparison: compared.map(|compared| numbers(pair.catalog, compared)),
    });
    let answer = Answer {
        format: "bartack-comparison",
        version: 1,
        knowledge_base,
        a: pair.a.variant.as_str(),
        b: pair.b.variant.as_str(),
        advice,
        features: features.collect(),
        caution: explain::CAUTION,
    };
    let mut text = serde_json::to_string_pretty(&answer).expect("texts and numbers have a JSON form");
    text.push('\n');
    text
}

fn side(evidence: &Evidence<'_>, feature: &Feature) -> Side {
    let items = evidence.items(&feature.id);
    let n = items.len() as u64;
    let states = evidence.counts(&feature.id).into_iter().filter_map(|(state, count)| {
        let limits = interval::jeffreys(Proportion::new(count, n)?);
        Some(State { state: state.to_string(), count, low: limits.low, high: limits.high })
    });
    let contested = items.iter().filter(|item| item.contested).count();
    Side { n, contested, states: states.collect(), measure: range(evidence, feature) }
}

fn range(evidence: &Evidence<'_>, feature: &Feature) -> Option<Range> {
    let Kind::Measure(measure) = &feature.kind else { return None };
    let readings = evidence.items(&feature.id).iter().filter_map(|item| item.seen.measure());
    let sample = Sample::new(readings.collect())?;
    let (least, median, greatest) = (sample.least(), sample.median(), sample.greatest());
    Some(Range { unit: measure.unit.word(), least, median, greatest })
}

/// The numbers behind a verdict.
pub(super) fn numbers<'a>(catalog: &Catalog, compared: &'a Compared) -> Numbers<'a> {
    let crude = &compared.crude;
    let (verdict, because_of) = verdict(&compared.verdict);
    Numbers {
        verdict,
        because_of,
        sentence: words::sentence(compared, catalog),
        difference: crude.difference,
        low: crude.low,
        high: crude.high,
        right: crude.right,
        p: crude.p,
        p_holm: compared.p_holm,
        p_method: crude.p_method,
        shift: crude.shift,
        covariates: compared.covariates.iter().map(covariate).collect(),
    }
}

fn covariate(covariate: &Covariate) -> CovariateAnswer<'_> {
    CovariateAnswer {
        covariate: &covariate.name,
        must_match: covariate.must_match,
        matched: covariate.is_matched,
        n_matched: covariate.matched,
        difference_adjusted: covariate.difference,
        p_adjusted: covariate.p,
        p_adjusted_holm: covariate.p_holm,
    }
}

fn verdict(verdict: &Verdict) -> (&'static str, Option<&str>) {
    match verdict {
        Verdict::ByDefinition => ("by definition", None),
        Verdict::Tell => ("tell", None),
        Verdict::Leaning => ("leaning", None),
        Verdict::CannotSeparate(covariate) => ("cannot separate", Some(covariate)),
        Verdict::Explained(covariate) => ("explained", Some(covariate)),
        Verdict::DiffersByModel => ("differs by model", None),
        Verdict::Same => ("same", None),
        Verdict::Unclear => ("unclear", None),
        Verdict::TooFew => ("too few", None),
    }
}
