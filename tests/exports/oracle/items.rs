//! What was counted of each feature, as plain rows: what is shown, in which variant, at equal age and size as what else.

use std::collections::BTreeMap;

use bartack::evidence::{self, Bearer, Evidence, Item};
use bartack::knowledge::Knowledge;
use bartack::record::Content;
use bartack::vocabulary::{Feature, Kind};

/// A feature with everything that was counted of it.
pub struct Counts {
    pub feature: String,
    pub is_defining: bool,
    /// The tolerance of a measure; nothing for states and counts.
    pub tolerance: Option<f64>,
    /// What could explain a difference, in order, and whether it must be matched.
    pub covariates: Vec<(String, bool)>,
    pub rows: Vec<Row>,
}

/// One count.
#[derive(Clone)]
pub struct Row {
    pub maker: String,
    pub model: String,
    pub variant: String,
    pub line: String,
    pub wearer: String,
    pub state: String,
    pub reading: f64,
    /// The covariates that are known of it.
    pub known: BTreeMap<String, String>,
    /// The first and the last day it was made on, by number, where it is dated closely enough for a history.
    pub days: Option<(i32, i32)>,
}

/// Lists what was counted, feature by feature.
pub fn of(knowledge: &Knowledge) -> Vec<Counts> {
    let features = knowledge.catalog.vocabulary.iter().filter(|feature| feature.retired.is_none());
    features.map(|feature| counts(knowledge, feature)).collect()
}

fn counts(knowledge: &Knowledge, feature: &Feature) -> Counts {
    let vocabulary = &knowledge.catalog.vocabulary;
    let varies: Vec<&Feature> =
        feature.varies_with.iter().filter_map(|id| vocabulary.feature(id.as_str())).filter(|it| divides(it)).collect();
    let mut covariates = vec![("decade".to_string(), true), ("factory".to_string(), false)];
    covariates.extend(varies.iter().map(|covariate| (covariate.id.to_string(), true)));
    let mut rows = Vec::new();
    for (id, entry) in &knowledge.catalog.variants {
        let Content::Variant(variant) = &knowledge.catalog.record(entry.record).content else { continue };
        let evidence = evidence::of(knowledge, id);
        for item in evidence.items(&feature.id) {
            let mut known = BTreeMap::new();
            known.extend(decade(knowledge, feature, &evidence, item).map(|decade| ("decade".to_string(), decade)));
            let factory = alike(item.bearers.iter().map(|at| evidence.bearers[*at].factory.map(str::to_string)));
            known.extend(factory.map(|factory| ("factory".to_string(), factory)));
            known.extend(varies.iter().filter_map(|it| Some((it.id.to_string(), evidence.covariate(item, it)?))));
            rows.push(Row {
                maker: id.maker().to_string(),
                model: id.model().to_string(),
                variant: id.to_string(),
                line: entry.line.as_ref().map_or(String::new(), ToString::to_string),
                wearer: variant.wearer.word().to_string(),
                state: item.seen.state().unwrap_or_default().to_string(),
                reading: item.seen.measure().unwrap_or_default(),
                known,
                days: days(knowledge, feature, &evidence, item),
            });
        }
    }
    let tolerance = if let Kind::Measure(measure) = &feature.kind { Some(measure.tolerance) } else { None };
    Counts { feature: feature.id.to_string(), is_defining: feature.defining, tolerance, covariates, rows }
}

fn divides(feature: &Feature) -> bool {
    let has_values = matches!(feature.kind, Kind::State { .. } | Kind::Count);
    feature.retired.is_none() && (has_values || !feature.bands.is_empty())
}

/// The one value that all have.
fn alike(values: impl Iterator<Item = Option<String>>) -> Option<String> {
    let values: Vec<Option<String>> = values.collect();
    values.windows(2).all(|two| two[0] == two[1]).then(|| values[0].clone())?
}

/// The first and last day of a garment's own date: a kept one, else estimates that were not judged by the feature.
fn own(knowledge: &Knowledge, feature: &Feature, bearer: &Bearer<'_>) -> Option<(i32, i32)> {
    let span = bearer.own_date().or_else(|| bearer.guess(&knowledge.catalog, &feature.id))?;
    Some((span.first()?.number(), span.last()?.number()))
}

/// Says whether a span ends before it is so many years old.
fn is_shorter(span: (i32, i32), years: i32) -> bool {
    let (year, month, day) = bartack::date::Day::from_number(span.0).ymd();
    let anniversary =
        (28..=day).rev().chain([day]).find_map(|day| bartack::date::Day::from_ymd(year + years, month, day));
    span.1 < anniversary.unwrap().number()
}

fn decade(knowledge: &Knowledge, feature: &Feature, evidence: &Evidence<'_>, item: &Item) -> Option<String> {
    alike(item.bearers.iter().map(|at| {
        let span = own(knowledge, feature, &evidence.bearers[*at]).filter(|span| is_shorter(*span, 12))?;
        let middle = bartack::date::Day::from_number((span.0 + span.1).div_euclid(2));
        Some(format!("{}s", middle.year().div_euclid(10)))
    }))
}

/// The hull of the dates of the garments that show it, where it is shorter than four years.
fn days(knowledge: &Knowledge, feature: &Feature, evidence: &Evidence<'_>, item: &Item) -> Option<(i32, i32)> {
    let bearers = item.bearers.iter().map(|at| &evidence.bearers[*at]);
    let dated = bearers.filter(|bearer| {
        bearer.own_date().is_some() || bearer.guess(&knowledge.catalog, &feature.id).is_some_and(|span| !span.is_open())
    });
    let spans: Option<Vec<(i32, i32)>> = dated.map(|bearer| own(knowledge, feature, bearer)).collect();
    let spans = spans?;
    let hull = (spans.iter().map(|span| span.0).min()?, spans.iter().map(|span| span.1).max()?);
    is_shorter(hull, 4).then_some(hull)
}
