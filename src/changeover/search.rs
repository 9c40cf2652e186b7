//! Turns dated items into a history: how probably the feature changed, the changes with their spans, and the verdict.

use ecow::EcoString;

use crate::changeover::items::{self, Dated, Member};
use crate::changeover::{Change, History, Kind, Outcome, Segment, Word};
use crate::date::DaySpan;
use crate::record::id::Whole;
use crate::resolve::Catalog;
use crate::statistics::limit;
use crate::statistics::segmentation::{Item, Partition, Sequence};
use crate::vocabulary::Feature;

/// The fewest items for any verdict.
pub(super) const FEWEST: usize = 6;

/// The fewest items for the verdict that nothing changed.
const ENOUGH_FOR_NONE: usize = 8;

/// The least probability of a change worth a look.
pub(super) const PROBABLE: f64 = 0.8;

/// The least probability of a sure change, and of its span.
pub(super) const SURE: f64 = 0.95;

/// The greatest probability of a change at which none was seen.
const IMPROBABLE: f64 = 0.2;

/// The fewest items on either side of a real change.
const EACH_SIDE: u64 = 3;

/// Computes the history of a feature; `None` if no item of it is counted.
pub(super) fn history(catalog: &Catalog, thing: &Whole, feature: &Feature, members: &[Member<'_>]) -> Option<History> {
    if members.iter().all(|member| member.evidence.items(&feature.id).is_empty()) {
        return None;
    }
    let items = items::of(catalog, feature, members);
    let mut settings: Vec<&str> = items.iter().map(|item| members[item.member].setting.as_str()).collect();
    settings.sort_unstable();
    settings.dedup();
    let settings = settings.len();
    let chosen: Vec<usize> = (0..items.len()).collect();
    let sequence = sequence(&items, &chosen, |_| 0);
    let blocks = sequence.as_ref().map_or(0, |sequence| sequence.blocks().len());
    let mut history = History {
        thing: thing.clone(),
        feature: feature.id.clone(),
        blocks,
        probability: None,
        word: Word::TooFew,
        changes: Vec::new(),
        covariates: Vec::new(),
        settings,
        items,
    };
    if let Some(sequence) = sequence.filter(|_| history.items.len() >= FEWEST && blocks > 1) {
        judge(&mut history, &sequence);
    }
    Some(history)
}

/// The sequence of some items, those of one middle day together; the states are numbered in the order of their names.
pub(super) fn sequence(items: &[Dated], chosen: &[usize], group: impl Fn(usize) -> usize) -> Option<Sequence> {
    let states = states(items, chosen);
    let of = |place: &usize| {
        let state = states.binary_search(&&items[*place].state).unwrap_or_default();
        Item { state, group: group(*place) }
    };
    let blocks = chosen.chunk_by(|one, other| items[*one].middle == items[*other].middle);
    Sequence::new(blocks.map(|block| block.iter().map(of).collect()).collect())
}

/// The states of some items, by name.
pub(super) fn states<'i>(items: &'i [Dated], chosen: &[usize]) -> Vec<&'i EcoString> {
    let mut states: Vec<&EcoString> = chosen.iter().map(|place| &items[*place].state).collect();
    states.sort_unstable();
    states.dedup();
    states
}

fn judge(history: &mut History, sequence: &Sequence) {
    let is_enough = history.items.len() >= ENOUGH_FOR_NONE;
    let all: Vec<usize> = (0..history.items.len()).collect();
    if states(&history.items, &all).len() == 1 {
        history.word = if is_enough { Word::NoChangeSeen } else { Word::TooFew };
        return;
    }
    let partition = Partition::new(sequence);
    let probability = partition.changed();
    history.probability = Some(probability);
    let Some(number) = partition.number().filter(|_| !limit::is_below(probability, PROBABLE)) else {
        let is_none = !limit::is_above(probability, IMPROBABLE) && is_enough;
        history.word = if is_none { Word::NoChangeSeen } else { Word::Unclear };
        return;
    };
    history.changes = changes(history, sequence, &partition, number);
    let is_sure = !limit::is_below(probability, SURE);
    let has_real = history.real().next().is_some();
    history.word = match (has_real, is_sure) {
        (true, true) => Word::Changed,
        (true, false) => Word::MayHaveChanged,
        (false, true) => Word::ShareChanged,
        (false, false) => Word::Unclear,
    };
}

fn changes(history: &History, sequence: &Sequence, partition: &Partition<'_>, number: usize) -> Vec<Change> {
    let gaps = partition.gaps(number);
    // The first item of each block, and one past the last.
    let mut starts = vec![0];
    for block in sequence.blocks() {
        starts.push(starts[starts.len() - 1] + block.len());
    }
    let mut edges = vec![0];
    edges.extend(gaps.iter().map(|gap| starts[gap + 1]));
    edges.push(history.items.len());
    let segments: Vec<Segment> = edges.windows(2).map(|edge| segment(&history.items, edge[0], edge[1])).collect();
    let places = partition.places(number);
    let spans = places.iter().map(|places| span(&history.items, &starts, places));
    let changes = segments.windows(2).zip(spans).map(|(sides, span)| {
        let (before, after) = (sides[0].clone(), sides[1].clone());
        let is_real = before.state.is_some()
            && after.state.is_some()
            && before.state != after.state
            && before.n.min(after.n) >= EACH_SIDE;
        Change { kind: if is_real { Kind::Real } else { Kind::Share }, before, after, span }
    });
    changes.collect()
}

fn segment(items: &[Dated], first: usize, end: usize) -> Segment {
    let chosen: Vec<usize> = (first..end).collect();
    let count = |state: &EcoString| items[first..end].iter().filter(|item| item.state == *state).count() as u64;
    let counts: Vec<(&EcoString, u64)> =
        states(items, &chosen).into_iter().map(|state| (state, count(state))).collect();
    let most = counts.iter().map(|(_, count)| *count).max().unwrap_or_default();
    let mut leading = counts.iter().filter(|(_, count)| *count == most);
    let state = leading.next().filter(|_| leading.next().is_none()).map(|(state, _)| (*state).clone());
    let n = (end - first) as u64;
    Segment { against: state.as_ref().map(|_| n - most), state, n, first }
}

/// The days that hold a change with 95 %. Gaps are taken by falling probability, the earlier first among equals. The
/// days run from the first day of the block before the first gap to the last day of the block after the last.
fn span(items: &[Dated], starts: &[usize], places: &[f64]) -> DaySpan {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|one, other| places[*other].total_cmp(&places[*one]).then(one.cmp(other)));
    let alike = order.chunk_by_mut(|one, other| !limit::is_below(places[*other], places[*one]));
    alike.for_each(|gaps| gaps.sort_unstable());
    let mut held = 0.0;
    let mut taken = order.into_iter().take_while(|gap| {
        let is_wanted = limit::is_below(held, SURE);
        held += places[*gap];
        is_wanted
    });
    let first = taken.next().unwrap_or_default();
    let (first, last) = taken.fold((first, first), |(low, high), gap| (low.min(gap), high.max(gap)));
    let block = |number: usize| &items[starts[number]..starts[number + 1]];
    let earliest = block(first).iter().filter_map(|item| item.span.first()).min();
    let latest = block(last + 1).iter().filter_map(|item| item.span.last()).max();
    DaySpan::new(earliest, latest).unwrap_or_default()
}

/// The verdict after covariates: the first that explains the change, else the first that cannot be separated.
pub(super) fn outcome(history: &History) -> Word {
    let first = |outcome: Outcome| history.covariates.iter().find(|looked| looked.outcome == outcome);
    if let Some(looked) = first(Outcome::Explains) {
        return Word::Explained(looked.name.clone());
    }
    match first(Outcome::CannotSeparate) {
        Some(looked) => Word::CannotSeparate(looked.name.clone()),
        None => history.word.clone(),
    }
}

/// Counts how many items of each side of a change lie in values that both sides have.
pub(super) fn is_shared(history: &History, values: &[Option<usize>], change: usize) -> bool {
    let (before, after) = (&history.changes[change].before, &history.changes[change].after);
    let of = |segment: &Segment| values[segment.first..segment.first + segment.n as usize].to_vec();
    let (before, after) = (of(before), of(after));
    let common = |own: &[Option<usize>], other: &[Option<usize>]| {
        own.iter().filter(|value| value.is_some() && other.contains(value)).count() as u64
    };
    common(&before, &after) >= EACH_SIDE && common(&after, &before) >= EACH_SIDE
}
