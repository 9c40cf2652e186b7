//! Pools what two groups show in several settings into one difference, its interval and its test.
//!
//! With one setting these are the numbers of two variants, by the same code.

use std::collections::BTreeSet;

use crate::comparison::crude::{Crude, Sides, Test};
use crate::comparison::lines::group::SharedSetting;
use crate::statistics::rank::{Direction, Sample};
use crate::statistics::stratified::states::{PooledDifference, StratifiedTable};
use crate::statistics::stratified::{self, measures, vector};

/// Some of the settings in which two groups are compared: one or more.
pub type Settings<'s, 'a> = [&'s SharedSetting<'a>];

/// The crude difference, before any covariate is held equal.
pub fn crude(settings: &Settings<'_, '_>) -> Crude {
    if let [one] = settings {
        return one.sides.crude(one.sides.test());
    }
    match Pool::of(settings) {
        Pool::States(table) => of_states(&table),
        Pool::Measures(strata) => of_measures(&strata),
    }
}

/// Tests whether there is a difference.
pub fn test(settings: &Settings<'_, '_>) -> Test {
    match (settings, Pool::of(settings)) {
        ([one], _) => one.sides.test(),
        (_, Pool::States(table)) => {
            let test = vector::test(&table);
            Test { p: test.p, method: test.method.name() }
        }
        (_, Pool::Measures(strata)) => normal(&strata),
    }
}

/// The difference in the grouping and direction of another comparison, signed: above 0 where it goes the same way.
pub fn difference_as(settings: &Settings<'_, '_>, whole: &Crude) -> PooledDifference {
    match Pool::of(settings) {
        Pool::States(table) => table.difference_in(|state| whole.groups(state)),
        Pool::Measures(strata) => {
            let direction = whole.direction.unwrap_or(Direction::Rising);
            measures::separation_in(&strata, direction).expect("there is a setting")
        }
    }
}

/// How many of each group were counted.
pub fn totals(settings: &Settings<'_, '_>) -> (u64, u64) {
    let totals = settings.iter().map(|shared| shared.sides.totals());
    totals.fold((0, 0), |sum, totals| (sum.0 + totals.0, sum.1 + totals.1))
}

/// The shift from A to B of a measure.
pub fn shift(settings: &Settings<'_, '_>) -> Option<f64> {
    match Pool::of(settings) {
        Pool::States(_) => None,
        Pool::Measures(strata) => measures::shift(&strata),
    }
}

/// The settings as statistics take them.
enum Pool<'a> {
    States(StratifiedTable<'a>),
    Measures(Vec<(Sample, Sample)>),
}

impl<'a> Pool<'a> {
    fn of(settings: &Settings<'_, 'a>) -> Pool<'a> {
        let samples = settings.iter().filter_map(|shared| match &shared.sides {
            Sides::Measures(a, b) => Some((a.clone(), b.clone())),
            Sides::States(..) => None,
        });
        let samples: Vec<(Sample, Sample)> = samples.collect();
        if !samples.is_empty() {
            return Pool::Measures(samples);
        }
        let counts = || {
            settings.iter().filter_map(|shared| match &shared.sides {
                Sides::States(counts, _) => Some(counts),
                Sides::Measures(..) => None,
            })
        };
        let states: BTreeSet<&'a str> = counts().flat_map(|counts| counts.keys().copied()).collect();
        let rows = counts().map(|counts| {
            states.iter().map(|state| counts.get(state).copied().unwrap_or_default()).collect::<Vec<_>>()
        });
        let rows: Vec<_> = rows.collect();
        let table = StratifiedTable::new(states.into_iter().collect(), rows);
        Pool::States(table.expect("both groups were counted in every shared setting"))
    }
}

fn of_states(table: &StratifiedTable<'_>) -> Crude {
    let ((n_a, n_b), difference, test) = (table.totals(), table.difference(), vector::test(table));
    Crude {
        n_a,
        n_b,
        difference: difference.difference,
        low: difference.interval.low,
        high: difference.interval.high,
        right: Some(table.right()),
        p: test.p,
        p_method: test.method.name(),
        smallest_p: test.smallest,
        group: difference.group.into_iter().map(str::to_string).collect(),
        direction: None,
        shift: None,
    }
}

fn of_measures(strata: &[(Sample, Sample)]) -> Crude {
    let separation = measures::separation(strata).expect("there is a setting");
    let sum = |total: fn(&(Sample, Sample)) -> u64| strata.iter().map(total).sum();
    let test = normal(strata);
    Crude {
        n_a: sum(|(a, _)| a.total()),
        n_b: sum(|(_, b)| b.total()),
        difference: separation.difference,
        low: separation.interval.low,
        high: separation.interval.high,
        right: None,
        p: test.p,
        p_method: test.method,
        smallest_p: measures::smallest_p(strata),
        group: BTreeSet::new(),
        direction: Some(separation.direction),
        shift: measures::shift(strata),
    }
}

/// Van Elteren's test.
fn normal(strata: &[(Sample, Sample)]) -> Test {
    let p = stratified::van_elteren(strata).expect("there is a setting");
    Test { p, method: "normal" }
}
