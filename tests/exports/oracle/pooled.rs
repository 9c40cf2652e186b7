//! What two lines or wearers show in some settings of a feature, at equal values of what could explain it, and in each
//! model.

use std::collections::{BTreeMap, BTreeSet};

use super::items::{Counts, Row};
use super::states::{self, Tested};
use super::{is_above, is_below, readings};

/// A setting with what was counted of both.
pub struct Shared<'r> {
    pub model: &'r str,
    pub a: Vec<&'r Row>,
    pub b: Vec<&'r Row>,
}

pub struct Numbers {
    pub n: (u64, u64),
    pub difference: f64,
    pub limits: (f64, f64),
    pub test: Tested,
    pub shift: f64,
}

pub struct Covariate {
    pub name: String,
    pub must: bool,
    pub is_matched: bool,
    pub difference: Option<f64>,
    pub test: Option<Tested>,
    pub n: u64,
    pub p_holm: Option<f64>,
}

pub struct Model {
    pub name: String,
    pub difference: f64,
    pub is_agreeing: bool,
    pub is_against: bool,
    pub stands: bool,
}

pub fn is_enough(n: (u64, u64)) -> bool {
    n.0 >= 3 && n.1 >= 3
}

pub fn states_of(shared: &[&Shared<'_>]) -> states::Settings {
    let of = |shared: &&Shared<'_>| {
        let mut counted: BTreeMap<String, (u64, u64)> = BTreeMap::new();
        shared.a.iter().for_each(|row| counted.entry(row.state.clone()).or_default().0 += 1);
        shared.b.iter().for_each(|row| counted.entry(row.state.clone()).or_default().1 += 1);
        counted
    };
    shared.iter().map(of).collect()
}

pub fn readings_of(shared: &[&Shared<'_>]) -> readings::Settings {
    let of = |rows: &[&Row]| rows.iter().map(|row| row.reading).collect::<Vec<f64>>();
    shared.iter().map(|shared| (of(&shared.a), of(&shared.b))).collect()
}

/// The grouping and the direction of the whole.
pub struct Way<'w> {
    pub counts: &'w Counts,
    pub group: &'w BTreeSet<String>,
    pub direction: f64,
}

impl Way<'_> {
    pub fn difference(&self, shared: &[&Shared<'_>]) -> (f64, (f64, f64)) {
        if self.counts.tolerance.is_none() {
            let settings = states_of(shared);
            return (states::difference(&settings, self.group), states::limits(&settings, self.group));
        }
        let settings = readings_of(shared);
        let (found, (low, high)) = (readings::difference(&settings), readings::limits(&settings));
        if self.direction < 0.0 { (-found, (-high, -low)) } else { (found, (low, high)) }
    }

    pub fn test(&self, shared: &[&Shared<'_>]) -> Tested {
        if self.counts.tolerance.is_none() {
            states::test(&states_of(shared))
        } else {
            readings::test(&readings_of(shared))
        }
    }

    pub fn numbers(&self, shared: &[&Shared<'_>]) -> Numbers {
        let n = shared.iter().fold((0, 0), |sum, it| (sum.0 + it.a.len() as u64, sum.1 + it.b.len() as u64));
        let (difference, limits) = self.difference(shared);
        let shift = if self.counts.tolerance.is_some() { readings::shift(&readings_of(shared)) } else { 0.0 };
        Numbers { n, difference, limits, test: self.test(shared), shift }
    }

    /// Each covariate held equal within the settings.
    pub fn covariates(&self, shared: &[&Shared<'_>]) -> Vec<Covariate> {
        self.counts.covariates.iter().map(|(name, must)| self.covariate(shared, name, *must)).collect()
    }

    pub fn covariate(&self, shared: &[&Shared<'_>], name: &str, must: bool) -> Covariate {
        let mut strata: BTreeMap<(usize, &str), Shared<'_>> = BTreeMap::new();
        for (at, setting) in shared.iter().enumerate() {
            let new = || Shared { model: setting.model, a: Vec::new(), b: Vec::new() };
            for row in &setting.a {
                let Some(value) = row.known.get(name) else { continue };
                strata.entry((at, value)).or_insert_with(new).a.push(row);
            }
            for row in &setting.b {
                let Some(value) = row.known.get(name) else { continue };
                strata.entry((at, value)).or_insert_with(new).b.push(row);
            }
        }
        let both: Vec<&Shared<'_>> = strata.values().filter(|it| !it.a.is_empty() && !it.b.is_empty()).collect();
        let n = both.iter().fold((0, 0), |sum, it| (sum.0 + it.a.len() as u64, sum.1 + it.b.len() as u64));
        let (difference, test) = if both.is_empty() { (None, None) } else { self.held(&both) };
        let is_matched = is_enough(n);
        Covariate { name: name.to_string(), must, is_matched, difference, test, n: n.0 + n.1, p_holm: None }
    }

    pub fn held(&self, both: &[&Shared<'_>]) -> (Option<f64>, Option<Tested>) {
        let difference = Some(self.difference(both).0);
        if self.counts.tolerance.is_some() {
            return (difference, Some(readings::van_elteren(&readings_of(both))));
        }
        let of = |rows: &[&Row]| states::Counted {
            shown: rows.iter().filter(|row| self.group.contains(&row.state)).count() as u64,
            all: rows.len() as u64,
        };
        let strata: Vec<_> = both.iter().map(|it| [of(&it.a), of(&it.b)]).collect();
        (difference, Some(states::conditional(&strata)))
    }

    pub fn models(&self, shared: &[Shared<'_>]) -> Vec<Model> {
        let names: BTreeSet<&str> = shared.iter().map(|shared| shared.model).collect();
        names.into_iter().filter_map(|name| self.model(shared, name)).collect()
    }

    pub fn model(&self, shared: &[Shared<'_>], name: &str) -> Option<Model> {
        let (own, rest): (Vec<&Shared<'_>>, Vec<&Shared<'_>>) = shared.iter().partition(|it| it.model == name);
        let numbers = self.numbers(&own);
        if !is_enough(numbers.n) {
            return None;
        }
        let least = if rest.is_empty() { 0.35 } else { self.difference(&rest).0.max(0.35) };
        let is_agreeing = !is_below(numbers.difference, 0.25);
        let is_against = !is_above(numbers.difference, -0.25)
            || is_below(numbers.difference, 0.25) && is_below(numbers.limits.1, least);
        let size = numbers.difference.abs();
        let is_explained = self.covariates(&own).iter().any(|covariate| {
            let own_way = covariate.difference.map(|found| found * numbers.difference.signum());
            covariate.explains(own_way, size)
        });
        let is_tape = self.counts.tolerance.is_some_and(|tolerance| !is_above(numbers.shift.abs(), tolerance));
        let stands = is_below(numbers.test.p, 0.05) && is_above(size, 0.0) && !is_explained && !is_tape;
        Some(Model { name: name.to_string(), difference: numbers.difference, is_agreeing, is_against, stands })
    }
}

impl Covariate {
    pub fn explains(&self, left: Option<f64>, difference: f64) -> bool {
        let is_chance = |left: f64| !is_above(left, 0.0) || self.test.is_none_or(|test| !is_below(test.p, 0.05));
        self.is_matched && left.is_some_and(|left| is_below(left, difference / 2.0) && is_chance(left))
    }
}
