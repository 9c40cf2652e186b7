//! Where and when each state of a feature was seen: by maker and variant, with counts and the years of dated garments.
//!
//! Counts are those of the evidence: a garment counts once. What they mean is not said here.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::date::DaySpan;
use crate::evidence::{Bearer, Evidence, Item};
use crate::explain::comparison as words;
use crate::page::batches::{self, Batch};
use crate::record::id::{MakerId, Thing, VariantId, Whole};
use crate::view::leaf::{Leaf, Link};
use crate::view::reasons;
use crate::vocabulary::{Feature, Kind};

/// The most variants named on a page; for the other makers only counts are given.
const ROWS: usize = 600;

/// The name under which measures, numbers and codes are listed, which have no states.
pub const READ: &str = "";

/// Where one state was seen.
#[derive(Debug, Default, Serialize)]
pub struct Sightings {
    count: usize,
    years: Option<String>,
    makers: Vec<MakerRows>,
}

/// The variants of one maker that show a state.
#[derive(Debug, Serialize)]
struct MakerRows {
    maker: Link,
    count: usize,
    years: Option<String>,
    rows: Vec<Batch<Row>>,
    /// How many variants are not named, for want of room.
    more: usize,
}

#[derive(Debug, Serialize)]
struct Row {
    variant: Link,
    shows: String,
    years: Option<String>,
}

/// The count of one state on one variant.
struct Sighting {
    variant: VariantId,
    count: usize,
    shows: String,
    span: Option<DaySpan>,
}

/// Lists where each state of a feature was seen, by the state's id; measures, numbers and codes under [`READ`].
pub fn of(leaf: &Leaf<'_>, feature: &Feature) -> BTreeMap<String, Sightings> {
    let mut by_state: BTreeMap<String, Vec<Sighting>> = BTreeMap::new();
    for variant in leaf.catalog().variants.keys() {
        let evidence = leaf.context.analysis.evidence(variant);
        for (state, sighting) in of_variant(&evidence, feature) {
            by_state.entry(state).or_default().push(sighting);
        }
    }
    let mut room = ROWS;
    by_state.into_iter().map(|(state, sightings)| (state, view(leaf, sightings, &mut room))).collect()
}

fn of_variant(evidence: &Evidence<'_>, feature: &Feature) -> Vec<(String, Sighting)> {
    match &feature.kind {
        Kind::State { .. } | Kind::Count => of_states(evidence, feature),
        Kind::Measure(_) => {
            let items: Vec<&Item> = evidence.items(&feature.id).iter().collect();
            let shows = words::range(evidence, feature);
            let listed = shows.map(|range| format!("{range}, {} measured", items.len()));
            listed.map(|shows| (READ.to_string(), sighting(evidence, &items, shows))).into_iter().collect()
        }
        Kind::Number | Kind::Code => {
            let bears = |bearer: &&Bearer<'_>| bearer.shown.contains_key(&feature.id);
            let bearers: Vec<&Bearer<'_>> = evidence.bearers.iter().filter(bears).collect();
            let (variant, count) = (evidence.variant.clone(), bearers.len());
            let span = dated(bearers.into_iter());
            let sighting = Sighting { variant, count, shows: format!("read on {count}"), span };
            if count == 0 { Vec::new() } else { vec![(READ.to_string(), sighting)] }
        }
    }
}

fn of_states(evidence: &Evidence<'_>, feature: &Feature) -> Vec<(String, Sighting)> {
    let items = evidence.items(&feature.id);
    let mut by_state: BTreeMap<&str, Vec<&Item>> = BTreeMap::new();
    for item in items {
        by_state.entry(item.seen.state().unwrap_or_default()).or_default().push(item);
    }
    let of_state = |(state, own): (&str, Vec<&Item>)| {
        let shows = format!("{} of {}", own.len(), items.len());
        (state.to_string(), sighting(evidence, &own, shows))
    };
    by_state.into_iter().map(of_state).collect()
}

fn sighting(evidence: &Evidence<'_>, items: &[&Item], shows: String) -> Sighting {
    let numbers: BTreeSet<usize> = items.iter().flat_map(|item| item.bearers.iter().copied()).collect();
    let span = dated(numbers.into_iter().filter_map(|number| evidence.bearers.get(number)));
    Sighting { variant: evidence.variant.clone(), count: items.len(), shows, span }
}

/// The span from the earliest to the latest date that garments and documents bear on both sides.
fn dated<'e, 'a: 'e>(bearers: impl Iterator<Item = &'e Bearer<'a>>) -> Option<DaySpan> {
    let closed = |span: &DaySpan| span.first().is_some() && span.last().is_some();
    bearers.filter_map(Bearer::own_date).filter(closed).reduce(hull)
}

fn hull(one: DaySpan, other: DaySpan) -> DaySpan {
    let (first, last) = (one.first().min(other.first()), one.last().max(other.last()));
    DaySpan::new(first, last).unwrap_or(one)
}

fn years<'s>(sightings: impl Iterator<Item = &'s Sighting>) -> Option<String> {
    let span = sightings.filter_map(|sighting| sighting.span).reduce(hull);
    span.map(|span| reasons::years(span.first(), span.last()))
}

fn view(leaf: &Leaf<'_>, sightings: Vec<Sighting>, room: &mut usize) -> Sightings {
    let count = sightings.iter().map(|sighting| sighting.count).sum();
    let all_years = years(sightings.iter());
    let mut by_maker: BTreeMap<MakerId, Vec<Sighting>> = BTreeMap::new();
    for sighting in sightings {
        by_maker.entry(sighting.variant.maker()).or_default().push(sighting);
    }
    let makers = by_maker.into_iter().map(|(maker, own)| maker_rows(leaf, maker, &own, room)).collect();
    Sightings { count, years: all_years, makers }
}

fn maker_rows(leaf: &Leaf<'_>, maker: MakerId, sightings: &[Sighting], room: &mut usize) -> MakerRows {
    let taken = sightings.len().min(*room);
    *room -= taken;
    let row = |sighting: &Sighting| Row {
        variant: leaf.thing(&Thing::of(Whole::Variant(sighting.variant.clone()))),
        shows: sighting.shows.clone(),
        years: years(std::iter::once(sighting)),
    };
    MakerRows {
        maker: leaf.thing(&Thing::of(Whole::Maker(maker))),
        count: sightings.iter().map(|sighting| sighting.count).sum(),
        years: years(sightings.iter()),
        rows: batches::of(sightings.iter().take(taken).map(row).collect(), ends),
        more: sightings.len() - taken,
    }
}

fn ends(rows: &[Row]) -> String {
    Link::ends(&rows.iter().map(|row| row.variant.clone()).collect::<Vec<Link>>())
}

impl Sightings {
    /// Says whether anybody recorded it.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }
}
