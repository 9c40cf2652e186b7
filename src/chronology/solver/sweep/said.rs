//! The constraints on each unknown of a tangle, one by one.

use crate::chronology::solver::constraint::{Order, Support, Unknown};
use crate::chronology::solver::members::Members;
use crate::chronology::solver::tangle::Tangle;

/// A constraint on one unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Says {
    /// It is not before a day.
    NotBefore(i32),
    /// It is not after a day.
    NotAfter(i32),
    /// It is not before another unknown, or after it.
    After { other: usize, strict: bool },
}

/// A constraint on an unknown, by a voice or by structure.
#[derive(Clone, Copy, Debug)]
pub struct Constraint {
    /// The voice; nothing for structure.
    pub voice: Option<u32>,
    /// The unknown.
    pub unknown: usize,
    /// The limit or order it states.
    pub says: Says,
}

/// All constraints; `None` if one of them depends on two voices.
pub fn of(tangle: &Tangle, gone: &Members) -> Option<Vec<Constraint>> {
    let network = &tangle.network;
    let at = |unknown: Unknown| unknown.0 as usize;
    let after =
        |order: &Order| (order.support, at(order.to), Says::After { other: at(order.from), strict: order.strict });
    let starts = network.not_before.all().iter();
    let starts = starts.map(|limit| (limit.support, at(limit.unknown), Says::NotBefore(limit.day.number())));
    let ends = network.not_after.all().iter();
    let ends = ends.map(|limit| (limit.support, at(limit.unknown), Says::NotAfter(limit.day.number())));
    let orders = network.after.all().iter().map(after);
    let structure = tangle.structure.iter().map(after);
    let mut constraints = Vec::new();
    for (support, unknown, says) in starts.chain(ends).chain(orders).chain(structure) {
        let voice = single(support)?;
        if voice.is_none_or(|voice| !gone.contains(voice)) {
            constraints.push(Constraint { voice, unknown, says });
        }
    }
    Some(constraints)
}

/// The one voice of a support, or none for structure; nothing for two.
fn single(support: Support) -> Option<Option<u32>> {
    let mut voices = support.voices();
    let first = voices.next();
    voices.next().is_none().then_some(first.map(|voice| voice.0))
}
