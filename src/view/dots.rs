//! What was counted of a feature on one variant, as a page draws it: a line for each state, a dot for each garment.
//!
//! Every dot leads to a list of the garments at the foot of the page, where each is named once with the link to its
//! entry: a garment has dozens of dots. What the counts mean is not said here.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use serde::Serialize;

use crate::evidence::{Evidence, Item, Seen};
use crate::explain::comparison as words;
use crate::record::id::Whole;
use crate::resolve::RecordIndex;
use crate::view::leaf::{Leaf, Link, whole_name};
use crate::view::photographs::pictures::{self, RowPhotographs};
use crate::vocabulary::measure::{self, rounded};
use crate::vocabulary::{Feature, Kind};

/// So many dots that lead somewhere keep a page light enough for a phone.
const ON_A_PAGE: usize = 300;

/// How many dots a page still has room for, and the garments that those drawn so far stand for.
///
/// Rows that come first get all of their dots.
pub struct Room {
    left: usize,
    least: usize,
    numbers: BTreeMap<RecordIndex, usize>,
    garments: Vec<Garment>,
}

/// A garment or document in the list at the foot of a page, under the number that its dots have.
#[derive(Debug, Serialize)]
pub struct Garment {
    observation: Link,
    /// The variant it is of.
    of: String,
}

/// So many dots a line gets on a page that has no room left.
const LEAST: usize = 4;

impl Room {
    /// A page without a dot yet.
    pub fn on_a_page() -> Room {
        Room::of(ON_A_PAGE, LEAST)
    }

    /// A page that has much else to show, without a dot yet.
    pub fn on_a_full_page() -> Room {
        Room::of(ON_A_PAGE / 2, LEAST)
    }

    /// No room at all: only counts are shown.
    pub fn none() -> Room {
        Room::of(0, 0)
    }

    fn of(left: usize, least: usize) -> Room {
        Room { left, least, numbers: BTreeMap::new(), garments: Vec::new() }
    }

    /// Takes room for the dots of a line, at least four of them and at most forty.
    pub fn take(&mut self, wanted: usize) -> usize {
        let taken = wanted.min(self.left.clamp(self.least, 40));
        self.left = self.left.saturating_sub(taken);
        taken
    }

    /// Gives the garments that have dots; the number of the first is 1.
    pub fn garments(self) -> Vec<Garment> {
        self.garments
    }

    /// Gives the number of a garment, a new one when it is met first.
    fn number(&mut self, leaf: &Leaf<'_>, evidence: &Evidence<'_>, record: RecordIndex) -> usize {
        *self.numbers.entry(record).or_insert_with(|| {
            let of = whole_name(leaf.catalog(), &Whole::Variant(evidence.variant.clone()));
            self.garments.push(Garment { observation: leaf.observation(record), of });
            self.garments.len()
        })
    }
}

/// One variant's side of a feature.
#[derive(Debug, Serialize)]
pub struct Side {
    lines: Vec<Line>,
    contested: usize,
}

/// A state, or the range of a measure, with its dots.
#[derive(Debug, Serialize)]
struct Line {
    shows: String,
    count: String,
    dots: Vec<Dot>,
    more: usize,
    row: RowPhotographs,
}

/// One count: a garment, a document, or garments found together.
#[derive(Debug, Serialize)]
pub struct Dot {
    /// The number of its garment in the list.
    number: usize,
    /// Those of the garments that count together with it.
    others: Vec<usize>,
    shows: String,
    contested: bool,
    /// Whether a photograph shows it.
    pictured: bool,
}

impl Dot {
    /// Says in words what it shows, where its place does not.
    pub fn showing(self, shows: Option<String>) -> Dot {
        Dot { shows: shows.unwrap_or(self.shows), ..self }
    }
}

/// Draws a side.
pub fn side(leaf: &Leaf<'_>, evidence: &Evidence<'_>, feature: &Feature, room: &mut Room) -> Side {
    let items = evidence.items(&feature.id);
    let total = items.len();
    let mut line = |shows: String, count: String, items: Vec<&Item>| {
        let taken = room.take(items.len());
        let dots = items.iter().take(taken).filter_map(|item| dot(leaf, evidence, feature, item, room)).collect();
        let records = items.iter().flat_map(|item| records(evidence, item));
        let row = pictures::in_row(leaf, records, &feature.id);
        Line { shows, count, dots, more: items.len() - taken, row }
    };
    let lines = match words::range(evidence, feature) {
        Some(range) => vec![line(range, format!("n {total}"), by_measure(items))],
        None => by_state(items)
            .into_iter()
            .map(|(state, items)| line(feature.label(state), format!("{} of {total}", items.len()), items))
            .collect(),
    };
    Side { lines, contested: items.iter().filter(|item| item.contested).count() }
}

fn by_measure(items: &[Item]) -> Vec<&Item> {
    let mut sorted: Vec<&Item> = items.iter().collect();
    sorted.sort_by(|one, other| one.seen.measure().unwrap_or(0.0).total_cmp(&other.seen.measure().unwrap_or(0.0)));
    sorted
}

/// The items of each state, commonest first.
fn by_state(items: &[Item]) -> Vec<(&str, Vec<&Item>)> {
    let mut by_state: BTreeMap<&str, Vec<&Item>> = BTreeMap::new();
    for item in items {
        by_state.entry(item.seen.state().unwrap_or_default()).or_default().push(item);
    }
    let mut sorted: Vec<_> = by_state.into_iter().collect();
    sorted.sort_by_key(|(_, items)| Reverse(items.len()));
    sorted
}

/// Draws one count as a dot that leads to the first observation behind it; the others stand joined.
pub fn dot(leaf: &Leaf<'_>, evidence: &Evidence<'_>, feature: &Feature, item: &Item, room: &mut Room) -> Option<Dot> {
    let record = |place: &usize| evidence.bearers.get(*place)?.records.first().copied();
    let mut numbers = item.bearers.iter().filter_map(record).map(|record| room.number(leaf, evidence, record));
    let shows = match &item.seen {
        Seen::State(_) => String::new(),
        Seen::Measure(number) => match &feature.kind {
            Kind::Measure(found) => measure::words(*number, found.unit),
            _ => rounded(*number),
        },
    };
    let pictured = records(evidence, item).any(|index| pictures::has(leaf, index, &feature.id));
    let (number, others) = (numbers.next()?, numbers.collect());
    Some(Dot { number, others, shows, contested: item.contested, pictured })
}

/// The observations behind one count.
fn records<'e>(evidence: &'e Evidence<'_>, item: &'e Item) -> impl Iterator<Item = RecordIndex> + 'e {
    let bearers = item.bearers.iter().filter_map(|place| evidence.bearers.get(*place));
    bearers.flat_map(|bearer| bearer.records.iter().copied())
}

#[cfg(test)]
mod tests {
    use super::{Room, by_state};
    use crate::evidence::{Item, Seen};

    #[test]
    fn a_full_page_still_gives_each_line_a_few_dots() {
        let mut room = Room::on_a_page();
        let taken: Vec<usize> = (0..10).map(|_| room.take(60)).collect();
        assert_eq!(taken, [40, 40, 40, 40, 40, 40, 40, 20, 4, 4]);
        assert_eq!(room.take(1), 1);
    }

    #[test]
    fn the_commonest_state_stands_first() {
        let items = ["raw", "felled", "raw"].map(|state| Item {
            seen: Seen::State(state.into()),
            bearers: smallvec::smallvec![0],
            contested: false,
        });
        let counts: Vec<_> = by_state(&items).into_iter().map(|(state, items)| (state, items.len())).collect();
        assert_eq!(counts, [("raw", 2), ("felled", 1)]);
    }
}
