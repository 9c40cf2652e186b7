//! The bounds of eras that moved: each with its old and new day, and the entries that moved it.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::difference::state::{Change, Grounds};
use crate::difference::{BoundChange, EraChange, Reached, When};
use crate::knowledge::{Bound, Era, Side};
use crate::record::id::{Thing, Whole};

/// The eras of a thing in both states.
type Both<'a> = [Option<&'a Era>; 2];

/// Finds the eras that moved, of things in both states. Wholes come before their states; then those fixed by other
/// people's entries, then those that moved farthest.
pub(super) fn changes(change: &Change<'_>) -> Vec<EraChange> {
    let mut eras: BTreeMap<Thing, Both<'_>> = BTreeMap::new();
    for (place, state) in change.states().into_iter().enumerate() {
        for (thing, era) in &state.eras {
            eras.entry(thing.clone()).or_default()[place] = Some(*era);
        }
    }
    let (mut changed, mut following): (Vec<EraChange>, BTreeMap<Whole, usize>) = (Vec::new(), BTreeMap::new());
    for (thing, both) in eras.iter().filter(|(thing, _)| change.is_in_both(&thing.whole)) {
        let moved = bounds(change, *both);
        let own: Vec<BoundChange> = match (&thing.state, eras.get(&Thing::of(thing.whole.clone()))) {
            (Some(_), Some(whole)) => moved.iter().filter(|bound| !follows(bound, *both, *whole)).cloned().collect(),
            _ => moved.clone(),
        };
        if thing.state.is_some() && own.is_empty() && !moved.is_empty() && both.iter().all(Option::is_some) {
            *following.entry(thing.whole.clone()).or_default() += 1;
        }
        if !own.is_empty() {
            changed.push(EraChange { thing: thing.clone(), bounds: own, following: 0 });
        }
    }
    for era in changed.iter_mut().filter(|era| era.thing.state.is_none()) {
        era.following = following.get(&era.thing.whole).copied().unwrap_or_default();
    }
    changed.sort_by_cached_key(|era| {
        let is_others = era.bounds.iter().any(|bound| bound.cause.is_others);
        let farthest = era.bounds.iter().map(distance).max();
        (era.thing.state.is_some(), !is_others, rank(&era.thing.whole), Reverse(farthest), era.thing.clone())
    });
    changed
}

/// Says whether a bound of a state only repeats, in both states of the knowledge base, what bounds its whole.
fn follows(bound: &BoundChange, own: Both<'_>, whole: Both<'_>) -> bool {
    let repeats = |place: usize, reached: Option<Reached>| {
        let (Some(_), Some(whole)) = (own[place], whole[place]) else { return true };
        // Nothing of a whole begins after its end, or ends before its beginning.
        let other = match bound.side {
            Side::BeginLatest => Side::EndLatest,
            Side::EndEarliest => Side::BeginEarliest,
            side => side,
        };
        let day = reached.map(|reached| reached.day);
        day == whole.day(bound.side) || day == whole.day(other)
    };
    repeats(0, bound.from) && repeats(1, bound.to)
}

/// A variant is what people ask about; the whole it belongs to mostly follows.
fn rank(whole: &Whole) -> u8 {
    match whole {
        Whole::Variant(_) => 0,
        Whole::Model(_) => 1,
        Whole::Line(_) => 2,
        Whole::Maker(_) => 3,
    }
}

/// How many days a bound moved; one that came or went moved farther than any.
fn distance(bound: &BoundChange) -> u32 {
    match (bound.from, bound.to) {
        (Some(from), Some(to)) => from.day.number().abs_diff(to.day.number()),
        _ => u32::MAX,
    }
}

fn bounds(change: &Change<'_>, [earlier, now]: Both<'_>) -> Vec<BoundChange> {
    let moved = Side::ALL.iter().filter_map(|(side, _)| {
        let (from, to) = (earlier.and_then(|era| era.bound(*side)), now.and_then(|era| era.bound(*side)));
        if from.map(|bound| bound.day) == to.map(|bound| bound.day) {
            return None;
        }
        let mut grounds = Grounds::default();
        from.into_iter().for_each(|bound| stand(change, When::Earlier, bound, &mut grounds));
        to.into_iter().for_each(|bound| stand(change, When::Now, bound, &mut grounds));
        Some(BoundChange { side: *side, from: from.map(reached), to: to.map(reached), cause: change.cause(&grounds) })
    });
    moved.collect()
}

/// Adds the chain of a bound of a state.
pub(super) fn stand(change: &Change<'_>, when: When, bound: &Bound, grounds: &mut Grounds) {
    bound.because.iter().for_each(|voice| change.add(grounds, when, *voice));
    let state = change.state(when);
    let estimate = bound.estimate.and_then(|at| state.knowledge.estimates.get(at));
    grounds.speak.extend(estimate.map(|estimate| state.path(estimate.record)));
}

fn reached(bound: &Bound) -> Reached {
    Reached { day: bound.day, is_estimated: bound.estimate.is_some() }
}
