//! Turns a catalog into knowledge: the standing of each claim, and the eras that follow.

pub mod estimates;
mod factories;
pub mod overturned;
pub mod settle;
pub mod solved_network;
pub mod solver;
pub mod voice;
pub mod without;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use litemap::LiteMap;
use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::chronology::settle::Settlement;
use crate::chronology::solved_network::Days;
use crate::chronology::solver::bounds::{Direction, Reason};
use crate::chronology::solver::constraint::Unknown;
use crate::chronology::solver::removal;
use crate::chronology::voice::Voices;
use crate::date::{Day, DaySpan};
use crate::fault::Fault;
use crate::knowledge::{Bound, Era, Estimate, Knowledge, Saying, Side, Standing, Voice, VoiceIndex};
use crate::record::Content;
use crate::record::id::{Thing, whole_claim};
use crate::resolve::{Catalog, GarmentIndex, RecordIndex};

/// The number of steps that [`watched`] reports.
pub const STEPS: usize = 5;

/// Concludes everything that eras and conflicts rest on.
pub fn knowledge(catalog: Catalog, faults: Vec<Fault>) -> Knowledge {
    watched(catalog, faults, &|| {})
}

/// Like [`knowledge`], but reports each step when it is done.
pub fn watched(catalog: Catalog, faults: Vec<Fault>, count: &dyn Fn()) -> Knowledge {
    let mut collected = voice::collect(&catalog);
    count();
    let mut steps = removal::STEPS;
    let (settlement, network) = settle::settle(&collected.widened, &collected.voices, |_| true, &mut steps);
    // The constraints take as much memory as the network, which is enough from here on.
    drop(std::mem::take(&mut collected.widened));
    let Settlement { conflicts, unsearched, entangled, standings, .. } = settlement;
    count();
    for (index, standing) in &standings {
        collected.voices[index.0 as usize].standing = *standing;
    }
    let strains = strains(&collected, &mut steps);
    count();
    let network = Arc::new(network);
    let (earliest, latest) =
        rayon::join(|| Days::of(&network, Direction::Earliest), || Days::of(&network, Direction::Latest));
    let span_of = spans(&collected, &earliest, &latest);
    let estimates = estimates::judged(&collected, &span_of, &earliest, &latest);
    count();
    let eras = Eras { collected: &collected, estimates: &estimates }.all(&earliest, &latest);
    count();
    let Voices { voices, seen: placings, dates, .. } = collected;
    let doubted_keys = doubted_keys(&catalog, &voices);
    Knowledge {
        documents: dated_documents(&voices),
        code_factories: factories::named(&catalog, &doubted_keys),
        doubted_keys,
        catalog,
        faults,
        voices,
        conflicts,
        unsearched,
        steps_left: steps,
        entangled,
        strains,
        eras,
        estimates,
        placings,
        dates,
        made: span_of,
    }
}

/// The keys that conflicts set aside.
fn doubted_keys(catalog: &Catalog, voices: &[Voice]) -> BTreeSet<RecordIndex> {
    let doubted = voices.iter().filter(|voice| voice.says == Saying::Key && voice.standing == Standing::SetAside);
    let records = doubted.flat_map(|voice| &voice.claims).filter_map(|claim| claim.record);
    records.filter(|record| matches!(catalog.record(*record).content, Content::Key(_))).collect()
}

/// The documents whose date is kept.
fn dated_documents(voices: &[Voice]) -> BTreeMap<RecordIndex, DaySpan> {
    let kept = voices.iter().filter(|voice| voice.is_kept());
    let dated = kept.filter_map(|voice| match &voice.says {
        Saying::Document(span) => Some((*span, &voice.claims)),
        _ => None,
    });
    dated.flat_map(|(span, claims)| claims.iter().filter_map(move |claim| Some((claim.record?, span)))).collect()
}

/// The conflicts among kept voices that appear when no `~` is widened; none if no date has a `~`.
fn strains(collected: &Voices, steps: &mut u64) -> Vec<crate::knowledge::Conflict> {
    let kept = |index: VoiceIndex| collected.voices[index.0 as usize].is_kept();
    let as_written = collected.as_written.as_ref();
    as_written.map(|system| settle::settle(system, &collected.voices, kept, steps).0.conflicts).unwrap_or_default()
}

/// The days on which each counted garment can have been made, by the voices that are kept.
fn spans(collected: &Voices, earliest: &Days, latest: &Days) -> LiteMap<GarmentIndex, DaySpan> {
    let span = |unknown: Unknown| DaySpan::new(earliest.day(unknown), latest.day(unknown)).unwrap_or(DaySpan::OPEN);
    collected.made.iter().map(|(garment, unknown)| (*garment, span(*unknown))).collect()
}

struct Eras<'a> {
    collected: &'a Voices,
    estimates: &'a [Estimate],
}

/// The days of the voices in one direction, and the days of estimates where the voices leave them
/// open.
struct Way<'a> {
    known: &'a Days,
    estimated: Vec<Option<Reason>>,
}

impl Eras<'_> {
    fn all(&self, earliest: &Days, latest: &Days) -> BTreeMap<Thing, Era> {
        let (earliest, latest) = (self.way(earliest), self.way(latest));
        let things: Vec<_> = self.collected.things.iter().filter(|(thing, _)| self.has_row(thing)).collect();
        let era = |(begin, end): (Unknown, Unknown)| {
            Era::new([
                self.bound(&earliest, begin),
                self.bound(&latest, begin),
                self.bound(&earliest, end),
                self.bound(&latest, end),
            ])
        };
        things.into_par_iter().map(|(thing, ends)| (thing.clone(), era(*ends))).collect()
    }

    /// A state that only garments show has a row while the placing of one of them is not set aside.
    fn has_row(&self, thing: &Thing) -> bool {
        self.collected.shown_only.get(thing).is_none_or(|garments| {
            garments.iter().any(|garment| {
                let seen = self.collected.seen.get(garment);
                seen.is_some_and(|seen| self.voice(*seen).standing != Standing::SetAside)
            })
        })
    }

    fn way<'d>(&self, known: &'d Days) -> Way<'d> {
        let hints = estimates::hints(self.collected, self.estimates, known.direction);
        let estimated = match hints.as_slice() {
            [] => vec![None; known.days.len()],
            hints => known.pass.estimated(&known.days, hints),
        };
        Way { known, estimated }
    }

    fn bound(&self, way: &Way<'_>, unknown: Unknown) -> Option<Bound> {
        let at = unknown.0 as usize;
        let reason = way.known.days[at].as_ref().or(way.estimated[at].as_ref())?;
        let estimate = reason.estimate.map(|number| number as usize);
        let rests_on_one = estimate.is_none() && self.rests_on_one(way.known, unknown, reason);
        Some(Bound { day: reason.day, because: reason.voices.clone(), estimate, rests_on_one })
    }

    /// Says whether a bound rests on one claim or garment and would be open, or move by more than a year, without it.
    fn rests_on_one(&self, known: &Days, unknown: Unknown, reason: &Reason) -> bool {
        let voices: Vec<&Voice> = reason.voices.iter().map(|index| self.voice(*index)).collect();
        if !is_one(&voices) {
            return false;
        }
        let without = known.pass.without(unknown, &reason.voices, &known.days);
        without.is_none_or(|day| is_over_a_year_apart(day, reason.day))
    }

    fn voice(&self, index: VoiceIndex) -> &Voice {
        &self.collected.voices[index.0 as usize]
    }
}

/// Says whether all voices are of one garment, or share a claim.
pub fn is_one(voices: &[&Voice]) -> bool {
    let [first, rest @ ..] = voices else { return false };
    let same_garment = first.garment.is_some() && rest.iter().all(|voice| voice.garment == first.garment);
    let says = |voice: &Voice, claim: &str| voice.claims.iter().any(|part| whole_claim(part.name.as_str()) == claim);
    let mut claims = first.claims.iter().map(|claim| whole_claim(claim.name.as_str()));
    let mut same_claim = || claims.any(|claim| rest.iter().all(|voice| says(voice, claim)));
    rest.is_empty() || same_garment || same_claim()
}

fn is_over_a_year_apart(one: Day, other: Day) -> bool {
    let (first, last) = (one.min(other), one.max(other));
    first.plus_years(1) < last
}

/// The names of sides that an era has from estimates alone.
pub fn estimated_sides(era: &Era) -> Vec<&'static str> {
    sides(era, |bound| bound.estimate.is_some())
}

/// The names of sides that rest on one claim or one garment.
pub fn sides_on_one(era: &Era) -> Vec<&'static str> {
    sides(era, |bound| bound.rests_on_one)
}

fn sides(era: &Era, is_so: fn(&Bound) -> bool) -> Vec<&'static str> {
    let named = Side::ALL.iter().filter(|(side, _)| era.bound(*side).is_some_and(is_so));
    named.map(|(_, name)| *name).collect()
}
