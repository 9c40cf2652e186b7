//! Explains a comparison of two variants: what to look at, what to ignore, and why.
//!
//! Every number comes with how many garments it rests on; the words add no verdict to those of `comparison`.

use crate::comparison::verdict::is_significant;
use crate::comparison::{Compared, Comparison, ENOUGH, Verdict};
use crate::evidence::{DECADE, Evidence, FACTORY};
use crate::record::id::FeatureId;
use crate::resolve::Catalog;
use crate::statistics::rank::Sample;
use crate::typography::fixed;
use crate::vocabulary::{Feature, Kind, Unit, measure};

/// The first sentence about variants of different models.
pub const SIDE_BY_SIDE: &str = "These variants belong to different models, so their counts are shown side by side \
    without a verdict.";

/// The sentence about a feature counted in only one of two variants.
pub const ONE_ONLY: &str = "Examined in only one of them.";

/// The heading of features with too few garments.
pub const TOO_FEW: &str = "Too few";

/// The groups in which features are listed, in order.
pub const GROUPS: [&str; 9] = [
    "By definition",
    "Tells",
    "Leaning",
    "Differs by model",
    "Cannot be separated",
    "Explained by something else",
    "The same",
    "Unclear",
    TOO_FEW,
];

/// Names the group, one of [`GROUPS`], that a verdict belongs to.
pub fn group(verdict: &Verdict) -> &'static str {
    GROUPS[match verdict {
        Verdict::ByDefinition => 0,
        Verdict::Tell => 1,
        Verdict::Leaning => 2,
        Verdict::DiffersByModel => 3,
        Verdict::CannotSeparate(_) => 4,
        Verdict::Explained(_) => 5,
        Verdict::Same => 6,
        Verdict::Unclear => 7,
        Verdict::TooFew => 8,
    }]
}

/// Says in a sentence what somebody with a garment in hand should look at, and what not to rely on.
pub fn advice(comparison: &Comparison, catalog: &Catalog) -> String {
    advice_on(&comparison.features.iter().collect::<Vec<_>>(), catalog)
}

/// The same for features that were compared together.
pub fn advice_on(features: &[&Compared], catalog: &Catalog) -> String {
    let named = |is_wanted: &dyn Fn(&Compared) -> bool| -> Vec<String> {
        let wanted = features.iter().filter(|compared| is_wanted(compared));
        wanted.map(|compared| the(catalog, &compared.feature)).collect()
    };
    // A sign of a label line that both share tells nothing apart.
    let signs = named(&|compared| compared.verdict == Verdict::ByDefinition && compared.crude.difference > 0.0);
    let tells = named(&|compared| compared.verdict == Verdict::Tell);
    let leaning = named(&|compared| compared.verdict == Verdict::Leaning);
    let mut parts = vec![match (&[signs, tells].concat()[..], &leaning[..]) {
        ([], []) if features.iter().all(|compared| !is_judged(compared)) => {
            "Too few garments are recorded to say what tells these two apart".to_string()
        }
        ([], []) => "Nothing recorded reliably tells these two apart".to_string(),
        ([], leaning) => format!(
            "Nothing recorded reliably tells these two apart; more garments would show whether {} can",
            join(leaning)
        ),
        (look, _) => format!("Look at {}", join(look)),
    }];
    parts.extend(warnings(features, catalog));
    format!("{}.", parts.join("; "))
}

fn is_judged(compared: &Compared) -> bool {
    !matches!(compared.verdict, Verdict::TooFew | Verdict::ByDefinition)
}

/// The features not to rely on. Features explained by one covariate are listed together, in the
/// order of their first.
pub fn warnings(compared: &[&Compared], catalog: &Catalog) -> Vec<String> {
    let mut causes: Vec<(&Verdict, Vec<String>)> = Vec::new();
    for compared in compared.iter().copied() {
        if !matches!(compared.verdict, Verdict::Explained(_) | Verdict::CannotSeparate(_) | Verdict::DiffersByModel) {
            continue;
        }
        let feature = the(catalog, &compared.feature);
        match causes.iter_mut().find(|(verdict, _)| **verdict == compared.verdict) {
            Some((_, features)) => features.push(feature),
            None => causes.push((&compared.verdict, vec![feature])),
        }
    }
    causes.iter().filter_map(|(verdict, features)| warning(catalog, verdict, features)).collect()
}

fn warning(catalog: &Catalog, verdict: &Verdict, features: &[String]) -> Option<String> {
    let (named, is_one) = (join(features), features.len() == 1);
    match verdict {
        Verdict::Explained(covariate) => {
            let follow = if is_one { "it follows" } else { "they follow" };
            Some(format!("ignore {named}: {follow} {}", covariate_words(catalog, covariate)))
        }
        Verdict::CannotSeparate(covariate) => {
            let follow = if is_one { "it may only follow" } else { "they may only follow" };
            Some(format!("do not rely on {named}: {follow} {}", covariate_words(catalog, covariate)))
        }
        Verdict::DiffersByModel => {
            let differ = if is_one { "it differs" } else { "they differ" };
            Some(format!("look at the model before {named}: {differ} by model"))
        }
        _ => None,
    }
}

/// Says in a sentence what was found of one feature, without a number: [`sentence`] has them.
pub fn finding(compared: &Compared, catalog: &Catalog) -> String {
    let found = match &compared.verdict {
        Verdict::ByDefinition if compared.crude.difference > 0.0 => "The sign of the label line, by definition".into(),
        Verdict::ByDefinition => "The sign of the label line; both show the same".into(),
        Verdict::Tell => "Tells them apart".into(),
        Verdict::Leaning => "They seem to differ, but pairs with no real difference often look like this".into(),
        Verdict::CannotSeparate(covariate) => {
            format!("Cannot be separated from {}", covariate_words(catalog, covariate))
        }
        Verdict::Explained(covariate) => format!("Explained by {}", covariate_words(catalog, covariate)),
        Verdict::Same if is_significant(compared.crude.p) => "The same, within the accuracy of a tape".into(),
        Verdict::Same => "The same: any difference is small".into(),
        Verdict::DiffersByModel => "Differs by model, so look at the model first".into(),
        Verdict::Unclear => "Unclear: there may or may not be a difference".into(),
        Verdict::TooFew => format!("Too few: {ENOUGH} of each are needed"),
    };
    format!("{found}{}.", factory(compared))
}

/// Says in a sentence what was found of one feature, with the numbers of garments behind it.
pub fn sentence(compared: &Compared, catalog: &Catalog) -> String {
    let crude = &compared.crude;
    let [difference, low, high] = [crude.difference, crude.low, crude.high].map(|number| fixed(number, 2));
    let amount = format!("difference {difference} (95 % {low} to {high})");
    let found = match &compared.verdict {
        Verdict::ByDefinition if crude.difference > 0.0 => "The sign of the label line, by definition".to_string(),
        Verdict::ByDefinition => "The sign of the label line; both show the same".to_string(),
        Verdict::Tell => format!("Tells them apart: {amount}{}", right(compared)),
        Verdict::Leaning => {
            format!("May be chance, since pairs with no real difference often look like this: {amount}")
        }
        Verdict::CannotSeparate(covariate) => {
            let covariate = covariate_words(catalog, covariate);
            format!("Cannot be separated from {covariate}: too few garments of both are known to match in it")
        }
        Verdict::Explained(covariate) => explained(compared, &covariate_words(catalog, covariate), covariate),
        Verdict::Same if is_significant(crude.p) => "The same, within the accuracy of a tape".to_string(),
        Verdict::Same => format!("The same: any difference is small, at most {:.2}", crude.high),
        Verdict::DiffersByModel => format!("Differs by model, so look at the model first: {amount} overall"),
        Verdict::Unclear => format!("Unclear, there may or may not be a difference: {amount}"),
        Verdict::TooFew => format!("Too few: {ENOUGH} of each are needed"),
    };
    format!("{found}{}; n {} and {}{}.", factory(compared), crude.n_a, crude.n_b, matched(compared, catalog))
}

fn right(compared: &Compared) -> String {
    let share = |right: f64| format!(", right on its own {:.0} times in 100", right * 100.0);
    compared.crude.right.map(share).unwrap_or_default()
}

fn explained(compared: &Compared, words: &str, name: &str) -> String {
    let covariate = compared.covariates.iter().find(|covariate| covariate.name == name);
    let left = covariate.and_then(|covariate| covariate.difference).unwrap_or_default();
    let left = fixed(left, 2);
    format!("Explained by {words}: with that held equal, {left} of {:.2} is left", compared.crude.difference)
}

/// Says so if a difference was not compared at equal factories.
fn factory(compared: &Compared) -> &'static str {
    let is_difference = matches!(
        compared.verdict,
        Verdict::Tell | Verdict::Leaning | Verdict::CannotSeparate(_) | Verdict::Explained(_)
    );
    let is_known = compared.covariates.iter().any(|covariate| covariate.name == FACTORY && covariate.is_matched);
    if is_difference && !is_known { "; factory not known" } else { "" }
}

fn matched(compared: &Compared, catalog: &Catalog) -> String {
    let wanted = compared.covariates.iter().filter(|covariate| covariate.must_match || covariate.is_matched);
    let name = |name: &str| match name {
        DECADE | FACTORY => name.to_string(),
        feature => the(catalog, &FeatureId::new(feature)).trim_start_matches("the ").to_string(),
    };
    let each: Vec<String> =
        wanted.map(|covariate| format!("{} {}", name(&covariate.name), covariate.matched)).collect();
    if each.is_empty() { String::new() } else { format!("; matched n: {}", each.join(", ")) }
}

/// Writes what was counted of a feature in one variant: states with how often, or the range of a measure.
pub fn seen(evidence: &Evidence<'_>, feature: &Feature) -> String {
    let items = evidence.items(&feature.id);
    if items.is_empty() {
        return "not examined".to_string();
    }
    let shown = range(evidence, feature).map(|range| format!("{range}, {} measured", items.len()));
    let shown = shown.unwrap_or_else(|| {
        let counts = evidence.counts(&feature.id);
        let total: u64 = counts.values().sum();
        let each = counts.iter().map(|(state, count)| format!("{} {count} of {total}", feature.label(state)));
        each.collect::<Vec<String>>().join(", ")
    });
    match items.iter().filter(|item| item.contested).count() {
        0 => shown,
        contested => format!("{shown} ({contested} with contested placing)"),
    }
}

/// Writes the range and the median of a measure in both units; `None` if none was counted.
pub fn range(evidence: &Evidence<'_>, feature: &Feature) -> Option<String> {
    let Kind::Measure(measure) = &feature.kind else { return None };
    let sample = Sample::new(evidence.items(&feature.id).iter().filter_map(|item| item.seen.measure()).collect())?;
    Some(spread(&sample, measure.unit))
}

/// Writes the range and the median of measures in both units, or the one measure where all are equal.
pub fn spread(sample: &Sample, unit: Unit) -> String {
    let range = measure::range(sample.least(), sample.greatest(), unit);
    let median = measure::words(sample.median(), unit);
    if range == median { range } else { format!("{range}, median {median}") }
}

/// Names a covariate, for use within a sentence.
pub fn covariate_words(catalog: &Catalog, name: &str) -> String {
    match name {
        DECADE => "the decade it was made in".to_string(),
        FACTORY => "the factory".to_string(),
        feature => the(catalog, &FeatureId::new(feature)),
    }
}

/// Names a stratum of a covariate: a decade, a band between its cut points, or a value as it is.
pub fn stratum(catalog: &Catalog, covariate: &str, value: &str) -> String {
    let feature = catalog.vocabulary.feature(covariate);
    let band = value.strip_prefix("band ").and_then(|number| number.parse::<usize>().ok());
    let cut = |place: usize| feature.and_then(|feature| feature.bands.get(place));
    match band {
        _ if covariate == DECADE => format!("{value}s"),
        Some(band) => match (band.checked_sub(1).and_then(cut), cut(band)) {
            (Some(low), Some(high)) => format!("{low} to under {high}"),
            (Some(low), None) => format!("{low} and over"),
            (None, Some(high)) => format!("under {high}"),
            (None, None) => value.to_string(),
        },
        None => feature.map_or_else(|| value.replace('-', " "), |feature| feature.label(value)),
    }
}

/// Names a verdict as the end of a sentence about a feature: `a tell`, `explained by the decade it was made in`.
pub fn verdict_words(verdict: &Verdict, catalog: &Catalog) -> String {
    match verdict {
        Verdict::ByDefinition => "the sign of the line".to_string(),
        Verdict::Tell => "a tell".to_string(),
        Verdict::CannotSeparate(covariate) => {
            format!("inseparable from {}", covariate_words(catalog, covariate))
        }
        Verdict::Explained(covariate) => format!("explained by {}", covariate_words(catalog, covariate)),
        Verdict::Same => "the same".to_string(),
        other => other.words(),
    }
}

/// Names a feature with its article, for use within a sentence.
pub fn the(catalog: &Catalog, id: &FeatureId) -> String {
    let name = catalog.vocabulary.feature(id.as_str()).map_or(id.as_str(), |feature| &feature.name);
    let mut letters = name.chars();
    let (first, rest) = (letters.next(), letters.as_str());
    // A capital before another letter that is one begins an abbreviation.
    let is_plain = !rest.starts_with(char::is_uppercase);
    let first: String = first
        .into_iter()
        .flat_map(|letter| if is_plain { letter.to_lowercase().collect() } else { vec![letter] })
        .collect();
    format!("the {first}{rest}")
}

/// Joins names by commas and a last `and`.
pub fn join(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
