//! Says whether two constraints of one voice can fail together; structure may prevent it.

use std::collections::BTreeMap;

use crate::chronology::solver::sweep::said::{Constraint, Says};

/// One place is at least so many days after another.
#[derive(Clone, Copy)]
struct Gap {
    from: usize,
    to: usize,
    days: i64,
}

/// Says whether any voice has two constraints that can fail together. Its weight would then be counted twice.
pub fn can_fail_together(constraints: &[Constraint], unknowns: usize) -> bool {
    let structure: Vec<Gap> =
        constraints.iter().filter(|constraint| constraint.voice.is_none()).map(|one| holding(one, unknowns)).collect();
    let mut of_voices: BTreeMap<u32, Vec<&Constraint>> = BTreeMap::new();
    for constraint in constraints {
        constraint.voice.into_iter().for_each(|voice| of_voices.entry(voice).or_default().push(constraint));
    }
    of_voices.values().any(|own| {
        let pairs =
            own.iter().enumerate().flat_map(|(place, one)| own[place + 1..].iter().map(move |other| (one, other)));
        pairs.into_iter().any(|(one, other)| {
            let failing = [failing(one, unknowns), failing(other, unknowns)];
            is_possible(structure.iter().chain(&failing), unknowns)
        })
    })
}

/// The gap that a constraint requires. The place after all unknowns is day zero.
fn holding(constraint: &Constraint, unknowns: usize) -> Gap {
    let unknown = constraint.unknown;
    match constraint.says {
        Says::NotBefore(day) => Gap { from: unknowns, to: unknown, days: i64::from(day) },
        Says::NotAfter(day) => Gap { from: unknown, to: unknowns, days: -i64::from(day) },
        Says::After { other, strict } => Gap { from: other, to: unknown, days: i64::from(strict) },
    }
}

/// The gap that follows if a constraint fails.
fn failing(constraint: &Constraint, unknowns: usize) -> Gap {
    let Gap { from, to, days } = holding(constraint, unknowns);
    Gap { from: to, to: from, days: 1 - days }
}

/// Says whether all gaps can hold: no way round adds up to more than nothing (Bellman 1958, Ford 1956).
fn is_possible<'a>(gaps: impl Iterator<Item = &'a Gap> + Clone, unknowns: usize) -> bool {
    let mut days = vec![0i64; unknowns + 1];
    for _ in 0..=unknowns + 1 {
        let mut has_changed = false;
        for gap in gaps.clone() {
            let least = days[gap.from] + gap.days;
            has_changed |= least > days[gap.to];
            days[gap.to] = days[gap.to].max(least);
        }
        if !has_changed {
            return true;
        }
    }
    false
}
