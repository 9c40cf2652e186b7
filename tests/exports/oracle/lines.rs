//! Two lines, or two wearers, of a maker over all models: every cell of `lines.csv`, worked out a second time.

use std::collections::{BTreeMap, BTreeSet};

use super::items::Counts;
use super::pooled::{Covariate, Model, Numbers, Shared, Way, is_enough, readings_of, states_of};
use super::states::{self, Tested};
use super::{is_above, is_below, readings};

/// The cells of a row, by column.
pub type Cells = BTreeMap<&'static str, String>;

/// Every pair of lines and of wearers of each maker, to the rows of the table.
pub fn rows(counts: &[Counts]) -> Vec<Cells> {
    let all = || counts.iter().flat_map(|counts| &counts.rows);
    let lines: BTreeSet<(String, String)> =
        all().filter(|row| !row.line.is_empty()).map(|row| (row.maker.clone(), row.line.clone())).collect();
    let wearers: BTreeSet<(String, String)> =
        all().map(|row| (row.maker.clone(), format!("{}/wearer:{}", row.maker, row.wearer))).collect();
    [lines, wearers].iter().flat_map(|groups| pairs(groups)).flat_map(|(a, b)| compare(counts, a, b)).collect()
}

fn pairs(groups: &BTreeSet<(String, String)>) -> Vec<(&str, &str)> {
    let two = |one: &'_ (String, String), other: &'_ (String, String)| one.0 == other.0 && one.1 < other.1;
    let of = |one| groups.iter().filter(move |other| two(one, other)).map(move |other| (one, other));
    groups.iter().flat_map(of).map(|(one, other)| (one.1.as_str(), other.1.as_str())).collect()
}

/// A feature of the pair, on the way to its verdict.
struct Feature<'r> {
    counts: &'r Counts,
    shared: Vec<Shared<'r>>,
    group: BTreeSet<String>,
    direction: f64,
    numbers: Numbers,
    covariates: Vec<Covariate>,
    p_holm: Option<f64>,
    models: Vec<Model>,
    verdict: String,
}

fn compare(counts: &[Counts], a: &str, b: &str) -> Vec<Cells> {
    let mut features: Vec<Feature<'_>> = counts.iter().filter_map(|counts| feature(counts, a, b)).collect();
    let family: Vec<usize> = (0..features.len())
        .filter(|at| !features[*at].counts.is_defining && is_enough(features[*at].numbers.n))
        .collect();
    let tests: Vec<Tested> = family.iter().map(|at| features[*at].numbers.test).collect();
    for (at, p) in family.iter().zip(holm(&tests)) {
        features[*at].p_holm = p;
    }
    features.iter_mut().for_each(|feature| feature.verdict = feature.first_verdict());
    hold_together(&mut features, &family);
    if features.iter().any(|feature| feature.verdict == "differs by model") {
        for feature in features.iter_mut().filter(|feature| feature.verdict == "tell") {
            if feature.models.iter().filter(|model| model.is_agreeing).count() < 3 {
                feature.verdict = "leaning".into();
            }
        }
    }
    features.iter().flat_map(|feature| feature.cells(a, b)).collect()
}

/// What would be a tell must be significant at equal values of what explains two other features.
fn hold_together(features: &mut [Feature<'_>], family: &[usize]) {
    let explained = |name: &str| {
        let verdict = format!("explained by {name}");
        features.iter().filter(|feature| feature.pair_verdict() == verdict).count()
    };
    let mut found = Vec::new();
    for at in 0..features.len() {
        if features[at].pair_verdict() != "tell" {
            continue;
        }
        for (place, covariate) in features[at].covariates.iter().enumerate() {
            if !covariate.is_matched || explained(&covariate.name) < 2 {
                continue;
            }
            let same = |other: &usize| {
                features[*other].covariates.iter().find(|own| own.name == covariate.name && own.is_matched)
            };
            let matched: Vec<usize> = family.iter().copied().filter(|other| same(other).is_some()).collect();
            let tests: Vec<Tested> = matched.iter().map(|other| same(other).unwrap().test.unwrap()).collect();
            let own = matched.iter().position(|other| *other == at).unwrap();
            found.push((at, place, holm(&tests)[own]));
        }
    }
    for (at, place, p_holm) in found {
        features[at].covariates[place].p_holm = p_holm;
        if features[at].verdict == "tell" && !p_holm.is_some_and(|p| is_below(p, 0.05)) {
            features[at].verdict = "leaning".into();
        }
    }
}

/// Holm's adjustment over those of Tarone's set; nothing for the others.
fn holm(tests: &[Tested]) -> Vec<Option<f64>> {
    let reach = |k: usize| -> Vec<usize> {
        let limit = 0.05 / k as f64;
        (0..tests.len()).filter(|at| !is_above(tests[*at].least, limit)).collect()
    };
    let mut family = (1..).map(|k| (k, reach(k))).find(|(k, family)| family.len() <= *k).unwrap().1;
    family.sort_by(|one, other| tests[*one].p.total_cmp(&tests[*other].p));
    let mut adjusted = vec![None; tests.len()];
    let mut so_far: f64 = 0.0;
    for (rank, at) in family.iter().enumerate() {
        so_far = so_far.max((tests[*at].p * (family.len() - rank) as f64).min(1.0));
        adjusted[*at] = Some(so_far);
    }
    adjusted
}

fn feature<'r>(counts: &'r Counts, a: &str, b: &str) -> Option<Feature<'r>> {
    let shared = shared(counts, a, b);
    if shared.is_empty() {
        return None;
    }
    let all: Vec<&Shared<'_>> = shared.iter().collect();
    let is_measure = counts.tolerance.is_some();
    let group = if is_measure { BTreeSet::new() } else { states::grouping(&states_of(&all)) };
    let signed = if is_measure { readings::difference(&readings_of(&all)) } else { 1.0 };
    let direction = if is_below(signed, 0.0) { -1.0 } else { 1.0 };
    let of = Way { counts, group: &group, direction };
    let numbers = of.numbers(&all);
    let covariates = of.covariates(&all);
    let models = of.models(&shared);
    let (p_holm, verdict) = (None, String::new());
    Some(Feature { counts, group: group.clone(), direction, numbers, covariates, p_holm, models, verdict, shared })
}

fn shared<'r>(counts: &'r Counts, a: &str, b: &str) -> Vec<Shared<'r>> {
    let mut settings: BTreeMap<(&str, &str), Shared<'r>> = BTreeMap::new();
    for row in &counts.rows {
        let is_wearer = a.contains("/wearer:");
        let wearer = format!("{}/wearer:{}", row.maker, row.wearer);
        let own = if is_wearer { wearer.as_str() } else { row.line.as_str() };
        let within = if is_wearer { row.line.as_str() } else { row.wearer.as_str() };
        let new = || Shared { model: &row.model, a: Vec::new(), b: Vec::new() };
        if own == a {
            settings.entry((&row.model, within)).or_insert_with(new).a.push(row);
        } else if own == b {
            settings.entry((&row.model, within)).or_insert_with(new).b.push(row);
        }
    }
    settings.into_values().filter(|shared| !shared.a.is_empty() && !shared.b.is_empty()).collect()
}

impl Feature<'_> {
    /// What two variants with these numbers would be called, before other features are asked.
    fn pair_verdict(&self) -> String {
        let numbers = &self.numbers;
        if self.counts.is_defining {
            return "by definition".into();
        }
        if !is_enough(numbers.n) {
            return "too few".into();
        }
        if !is_below(numbers.test.p, 0.05) {
            return if is_below(numbers.limits.1, 0.35) { "same".into() } else { "unclear".into() };
        }
        if let Some(found) = self.covariates.iter().find(|it| it.explains(it.difference, numbers.difference)) {
            return format!("explained by {}", found.name);
        }
        if let Some(found) = self.covariates.iter().find(|it| it.must && !it.is_matched) {
            return format!("cannot separate from {}", found.name);
        }
        if self.counts.tolerance.is_some_and(|tolerance| !is_above(numbers.shift.abs(), tolerance)) {
            return "same".into();
        }
        let matched = || self.covariates.iter().filter(|it| it.is_matched).filter_map(|it| it.difference);
        let losses: f64 = matched().map(|left| (numbers.difference - left).max(0.0)).sum();
        let is_tell = self.p_holm.is_some_and(|p| is_below(p, 0.05))
            && is_above(numbers.limits.0, 0.25)
            && matched().all(|left| !is_below(left, numbers.difference / 2.0))
            && !is_above(losses, numbers.difference / 2.0);
        if is_tell { "tell".into() } else { "leaning".into() }
    }

    /// The verdict over the models, before other features are asked.
    fn first_verdict(&self) -> String {
        let verdict = self.pair_verdict();
        if verdict == "by definition" || verdict == "too few" {
            return verdict;
        }
        let any = |is: &dyn Fn(&Model) -> bool| self.models.iter().any(is);
        if any(&|it| it.stands && it.difference > 0.0) && any(&|it| it.stands && it.difference < 0.0) {
            return "differs by model".into();
        }
        if verdict != "tell" && verdict != "leaning" {
            return verdict;
        }
        if any(&|it| it.is_against) && any(&|it| it.is_agreeing) {
            return "differs by model".into();
        }
        let agreeing = self.models.iter().filter(|it| it.is_agreeing).count();
        let is_tell = verdict == "tell" && agreeing >= 2 && !any(&|it| it.is_against) && self.holds_without_any();
        if is_tell { "tell".into() } else { "leaning".into() }
    }

    fn holds_without_any(&self) -> bool {
        let way = Way { counts: self.counts, group: &self.group, direction: self.direction };
        self.models.iter().all(|model| {
            let rest: Vec<&Shared<'_>> = self.shared.iter().filter(|it| it.model != model.name).collect();
            !rest.is_empty() && is_above(way.difference(&rest).0, 0.0) && is_below(way.test(&rest).p, 0.10)
        })
    }

    fn cells(&self, a: &str, b: &str) -> Vec<Cells> {
        self.covariates.iter().map(|covariate| self.row(a, b, covariate)).collect()
    }

    fn row(&self, a: &str, b: &str, covariate: &Covariate) -> Cells {
        let (numbers, text) = (&self.numbers, |number: f64| number.to_string());
        let optional = |number: Option<f64>| number.map(text).unwrap_or_default();
        let all: Vec<&Shared<'_>> = self.shared.iter().collect();
        let right = self.counts.tolerance.is_none().then(|| states::right(&states_of(&all)));
        let count = |is: &dyn Fn(&&Model) -> bool| self.models.iter().filter(is).count().to_string();
        BTreeMap::from([
            ("a", a.to_string()),
            ("b", b.to_string()),
            ("feature", self.counts.feature.clone()),
            ("n_a", numbers.n.0.to_string()),
            ("n_b", numbers.n.1.to_string()),
            ("difference", text(numbers.difference)),
            ("low", text(numbers.limits.0)),
            ("high", text(numbers.limits.1)),
            ("right", optional(right)),
            ("p", text(numbers.test.p)),
            ("p_holm", optional(self.p_holm)),
            ("p_method", numbers.test.method.to_string()),
            ("covariate", covariate.name.clone()),
            ("matched", if covariate.is_matched { "yes".into() } else { "no".into() }),
            ("difference_adjusted", optional(covariate.difference)),
            ("p_adjusted", optional(covariate.test.map(|test| test.p))),
            ("p_adjusted_holm", optional(covariate.p_holm)),
            ("n_matched", covariate.n.to_string()),
            ("verdict", self.verdict.clone()),
            ("settings", self.shared.len().to_string()),
            ("models_speaking", self.models.len().to_string()),
            ("models_agreeing", count(&|model| model.is_agreeing)),
            ("models_against", count(&|model| model.is_against)),
        ])
    }
}
