//! A catalog to knowledge: what stands, and the eras that follow from it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::date::{Day, DaySpan};
use crate::fault::Fault;
use crate::reason::constraint::{Network, Unknown};
use crate::reason::era::{Direction, Hint, Pass, Reason};
use crate::reason::pairs::Pairs;
use crate::reason::settle::{self, Settlement};
use crate::reason::voice::{self, Voices};
use crate::reason::{Bound, Era, Estimate, Knowledge, Side, Standing, Voice, VoiceIndex};
use crate::record::id::Thing;
use crate::resolve::{Catalog, GarmentIndex};

/// How many steps [`watched`] tells of.
pub const STEPS: usize = 5;

/// Concludes everything that eras and conflicts rest on.
pub fn knowledge(catalog: Catalog, faults: Vec<Fault>) -> Knowledge {
    watched(catalog, faults, &|| {})
}

/// As [`knowledge`], telling of each step when it is done.
pub fn watched(catalog: Catalog, faults: Vec<Fault>, count: &dyn Fn()) -> Knowledge {
    let mut collected = voice::collect(&catalog);
    count();
    let settlement = settle::settle(&collected.widened, &collected.voices, |_| true);
    count();
    for (index, standing) in &settlement.standings {
        collected.voices[index.0 as usize].standing = *standing;
    }
    let strains = strains(&collected);
    count();
    let network = Arc::new(collected.widened.network(|index| collected.voices[index.0 as usize].is_kept()));
    let span_of = spans(&collected, &network);
    let estimates = fitted(&collected, &span_of);
    count();
    let eras = Eras { collected: &collected, network: &network, estimates: &estimates }.all();
    count();
    let Settlement { conflicts, unsearched, entangled, .. } = settlement;
    let Voices { voices, seen: placings, dates, .. } = collected;
    Knowledge {
        pairs: Pairs::new(&catalog),
        catalog,
        faults,
        voices,
        conflicts,
        unsearched,
        entangled,
        strains,
        eras,
        estimates,
        placings,
        dates,
        made: span_of,
    }
}

/// The conflicts that open among kept voices when nothing is widened.
fn strains(collected: &Voices) -> Vec<crate::reason::Conflict> {
    let kept = |index: VoiceIndex| collected.voices[index.0 as usize].is_kept();
    settle::settle(&collected.as_written, &collected.voices, kept).conflicts
}

/// When each garment that counts can have been made, by the voices that are kept.
fn spans(collected: &Voices, network: &Arc<Network>) -> BTreeMap<GarmentIndex, DaySpan> {
    let first = Pass::new(network, Direction::Earliest).days();
    let last = network.latest();
    let span = |unknown: &Unknown| {
        let at = unknown.0 as usize;
        DaySpan::new(first[at].as_ref().map(|reason| reason.day), last[at]).unwrap_or(DaySpan::OPEN)
    };
    collected.made.iter().map(|(garment, unknown)| (*garment, span(unknown))).collect()
}

/// Says of each estimate whether it is consistent with the kept voices: some day of it is a day its garment can have.
fn fitted(collected: &Voices, spans: &BTreeMap<GarmentIndex, DaySpan>) -> Vec<Estimate> {
    let fits = |estimate: &Estimate| spans.get(&estimate.garment).is_some_and(|span| span.overlaps(estimate.span));
    collected.estimates.iter().map(|estimate| Estimate { fits: fits(estimate), ..estimate.clone() }).collect()
}

struct Eras<'a> {
    collected: &'a Voices,
    network: &'a Arc<Network>,
    estimates: &'a [Estimate],
}

/// Days in one direction: from the voices, and from estimates where the voices leave them open.
struct Days {
    pass: Pass,
    days: Vec<Option<Reason>>,
    estimated: Vec<Option<Reason>>,
}

impl Eras<'_> {
    fn all(&self) -> BTreeMap<Thing, Era> {
        let earliest = self.days(Direction::Earliest);
        let latest = self.days(Direction::Latest);
        let things = self.collected.things.iter().filter(|(thing, _)| self.has_row(thing));
        let era = |begin: Unknown, end: Unknown| {
            Era::new([
                self.bound(&earliest, begin),
                self.bound(&latest, begin),
                self.bound(&earliest, end),
                self.bound(&latest, end),
            ])
        };
        things.map(|(thing, (begin, end))| (thing.clone(), era(*begin, *end))).collect()
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

    fn days(&self, direction: Direction) -> Days {
        let pass = Pass::new(self.network, direction);
        let days = pass.days();
        let hints: Vec<Hint> = self
            .estimates
            .iter()
            .enumerate()
            .filter_map(|(number, estimate)| {
                let unknown = *self.collected.made.get(&estimate.garment).filter(|_| estimate.fits)?;
                let day = match direction {
                    Direction::Earliest => estimate.span.first()?,
                    Direction::Latest => estimate.span.last()?,
                };
                Some(Hint { unknown, day, estimate: number })
            })
            .collect();
        let estimated = pass.estimated(&days, &hints);
        Days { pass, days, estimated }
    }

    fn bound(&self, days: &Days, unknown: Unknown) -> Option<Bound> {
        let at = unknown.0 as usize;
        let reason = days.days[at].as_ref().or(days.estimated[at].as_ref())?;
        let rests_on_one = reason.estimate.is_none() && self.rests_on_one(days, unknown, reason);
        Some(Bound { day: reason.day, because: reason.voices.clone(), estimate: reason.estimate, rests_on_one })
    }

    /// Says whether a bound stands on one claim or one garment, and would be open or move by more than a year without it.
    fn rests_on_one(&self, days: &Days, unknown: Unknown, reason: &Reason) -> bool {
        let voices: Vec<&Voice> = reason.voices.iter().map(|index| self.voice(*index)).collect();
        if !is_one(&voices) {
            return false;
        }
        let without = days.pass.without_from(&days.days, unknown, &reason.voices);
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
    let claims =
        |voice: &Voice| -> Vec<String> { voice.claims.iter().map(|claim| claim_of(claim.name.as_str())).collect() };
    let same_claim = || claims(first).iter().any(|claim| rest.iter().all(|voice| claims(voice).contains(claim)));
    rest.is_empty() || same_garment || same_claim()
}

/// The name of a claim without the end of `produced` that a voice is of.
fn claim_of(name: &str) -> String {
    name.strip_suffix(":begin").or_else(|| name.strip_suffix(":end")).unwrap_or(name).to_string()
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
