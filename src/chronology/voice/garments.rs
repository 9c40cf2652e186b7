//! Garments as voices: when they were made, and that they are of their variant.

use std::collections::BTreeMap;

use ecow::eco_format;
use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};
use smallvec::SmallVec;

use crate::chronology::solver::constraint::Unknown;
use crate::chronology::voice::codes::{self, DatedCode};
use crate::chronology::voice::weight::{Authority, source_roots};
use crate::chronology::voice::{Builder, Draft, DraftIndex, Key, Spans};
use crate::date::edtf::Edtf;
use crate::date::{Day, DaySpan};
use crate::evidence::key::{self, CodeBearer, StandingKey};
use crate::evidence::landmark::{self, Values};
use crate::evidence::reading::{self, ByFeature};
use crate::knowledge::{Estimate, Saying, VoiceClaim};
use crate::record::id::{FeatureId, StateId, Thing, VariantId, VoiceName, Whole};
use crate::record::observation::{MadeBy, Observation};
use crate::resolve::{Catalog, Garment, GarmentIndex, RecordIndex, SourceIndex};
use crate::source::{FileId, Place, Span, Spanned};

/// How many garments are looked at together, so that a few of them are in memory.
const TOGETHER: usize = 1024;

/// Adds every garment that counts: filed under one variant, not withheld.
///
/// Their readings are looked up on all threads; the voices are added in order.
pub fn add_garments(builder: &mut Builder<'_>) {
    let catalog = builder.catalog;
    let keys = key::standing(catalog);
    let mut known = Known::default();
    let observations = catalog.records.iter().filter_map(|record| record.content.observation());
    builder.widened.expect_orders(observations.map(|seen| 2 + 2 * seen.features.len()).sum());
    builder.drafts.reserve_exact(2 * catalog.garments.len());
    for (chunk, garments) in catalog.garments.chunks(TOGETHER).enumerate() {
        let numbered = garments.par_iter().enumerate();
        let bearers: Vec<Bearer<'_>> = numbered
            .filter_map(|(number, garment)| {
                let index = GarmentIndex((chunk * TOGETHER + number) as u32);
                Bearer::new(catalog, &keys, index, garment)
            })
            .collect();
        for bearer in bearers {
            if known.variant != Some(bearer.variant) {
                known = Known { variant: Some(bearer.variant), states: BTreeMap::new() };
            }
            bearer.add(builder, &mut known);
        }
    }
}

/// The variant of the garments being added: they come variant by variant, and the map of all things is slow.
#[derive(Default)]
struct Known<'a> {
    variant: Option<&'a VariantId>,
    /// The first and last day of each state, and where the garments are listed that show it.
    states: BTreeMap<(FeatureId, StateId), ((Unknown, Unknown), usize)>,
}

impl Known<'_> {
    /// Notes that a garment shows a state; gives the first and last day of that.
    fn shown(
        &mut self,
        builder: &mut Builder<'_>,
        variant: &VariantId,
        garment: GarmentIndex,
        state: &(FeatureId, StateId),
    ) -> (Unknown, Unknown) {
        let (pair, place) = match self.states.get(state) {
            Some(known) => *known,
            None => {
                let thing = Builder::state(variant, &state.0, state.1.clone());
                let known = (builder.thing(&thing), builder.shown.len());
                builder.shown.push((thing, Vec::new()));
                self.states.insert(state.clone(), known);
                known
            }
        };
        builder.shown[place].1.push(garment);
        pair
    }
}

/// A garment that counts, with what it shows.
struct Bearer<'a> {
    index: GarmentIndex,
    garment: &'a Garment,
    variant: &'a VariantId,
    dates: Vec<MadeDate<'a>>,
    /// The codes that date it, where no entry does.
    codes: Vec<DatedCode>,
    /// The names of its placing.
    placing: SmallVec<[VoiceClaim; 1]>,
    shown: ByFeature<'a>,
    states: Vec<(FeatureId, StateId)>,
    landmarks: Vec<RecordIndex>,
}

/// A date of a garment.
struct MadeDate<'a> {
    record: RecordIndex,
    observation: &'a Observation,
    made: &'a Spanned<Edtf>,
}

impl MadeDate<'_> {
    fn is_estimate(&self) -> bool {
        matches!(self.observation.made_by.as_ref().map(|by| by.value), None | Some(MadeBy::Estimate))
    }

    fn spans(&self, catalog: &Catalog) -> Spans {
        Spans { widened: self.made.value.span(catalog.circa()), as_written: self.made.value.unwidened() }
    }

    fn place(&self, catalog: &Catalog) -> Place {
        Place { file: catalog.record(self.record).file, span: self.made.span }
    }
}

impl<'a> Bearer<'a> {
    fn new(
        catalog: &'a Catalog,
        keys: &[StandingKey<'a>],
        index: GarmentIndex,
        garment: &'a Garment,
    ) -> Option<Bearer<'a>> {
        let variant = garment.variant.as_ref()?;
        let shown = reading::of_garment(catalog, garment);
        Some(Bearer {
            index,
            garment,
            variant,
            dates: dates(catalog, garment),
            codes: codes::of_garment(
                catalog,
                keys,
                garment,
                CodeBearer { maker: Some(&variant.maker()), shown: &shown },
            ),
            placing: placing(catalog, garment),
            states: reading::states(catalog, &shown),
            landmarks: landmark::hard(catalog, &values(&shown), market(catalog, garment)),
            shown,
        })
    }

    fn add(self, builder: &mut Builder<'_>, known: &mut Known<'_>) {
        let made = builder.widened.unknown();
        builder.made.insert(self.index, made);
        self.add_dates(builder, made);
        if self.garment.observations.iter().any(|index| builder.catalog.is_set_aside(*index, "seen")) {
            return;
        }
        let mut pairs = vec![builder.thing(&Thing::of(Whole::Variant(self.variant.clone())))];
        for state in &self.states {
            let pair = known.shown(builder, self.variant, self.index, state);
            let shown = &self.shown[&state.0];
            if !shown.differs() && !shown.judged && !self.is_estimated_from(&state.0) {
                pairs.push(pair);
            }
        }
        let seen = self.add_seen(builder, made);
        for (begin, end) in pairs {
            builder.order(begin, made, &[seen]);
            builder.order(made, end, &[seen]);
        }
    }

    /// Says whether all its dates are estimates that this feature led to.
    fn is_estimated_from(&self, feature: &FeatureId) -> bool {
        let is_so = |date: &MadeDate<'_>| date.is_estimate() && reading::is_estimated_from(date.observation, feature);
        self.codes.is_empty() && !self.dates.is_empty() && self.dates.iter().all(is_so)
    }

    fn add_dates(&self, builder: &mut Builder<'_>, made: Unknown) {
        let mut own: Vec<(DaySpan, DraftIndex)> = Vec::new();
        let mut dates = Vec::new();
        for date in &self.dates {
            let (spans, place) = (date.spans(builder.catalog), date.place(builder.catalog));
            if date.is_estimate() {
                let span = spans.widened;
                let estimate =
                    Estimate { garment: self.index, record: date.record, span, place, fits: false, excluded_by: None };
                builder.estimates.push(estimate);
                continue;
            }
            let voice = self.made_voice(builder, date, &mut own);
            let key = self.key_of(builder, date);
            let voices: SmallVec<[DraftIndex; 2]> = std::iter::once(voice).chain(key).collect();
            builder.within(made, spans, &voices);
            dates.push(voices.into_iter().map(DraftIndex::unsorted).collect());
        }
        dates.extend(codes::add(builder, self.index, made, &self.codes));
        if !dates.is_empty() {
            builder.dates.insert(self.index, dates);
        }
    }

    /// The voice of a date: that of an earlier one of the same days, if there is one.
    fn made_voice(
        &self,
        builder: &mut Builder<'_>,
        date: &MadeDate<'_>,
        own: &mut Vec<(DaySpan, DraftIndex)>,
    ) -> DraftIndex {
        let weight = builder.catalog.about.weight.in_hand;
        let authority = Authority::in_hand(weight, date.made.value.is_uncertain());
        let name = VoiceName::new(eco_format!("{}#made", builder.catalog.record(date.record).path));
        let claim = VoiceClaim { name, record: Some(date.record), place: date.place(builder.catalog) };
        let spans = date.spans(builder.catalog);
        if let Some((_, voice)) = own.iter().find(|(span, _)| *span == spans.widened) {
            let made = builder.draft(*voice);
            made.authority.join(authority);
            made.claims.push(claim);
            return *voice;
        }
        let claims = SmallVec::from_elem(claim, 1);
        let voice =
            builder.new_voice(Draft { claims, ..Draft::new(Saying::Made(spans.widened), authority, Some(self.index)) });
        own.push((spans.widened, voice));
        voice
    }

    /// The voice of the key that a date was read through.
    fn key_of(&self, builder: &mut Builder<'_>, date: &MadeDate<'_>) -> Option<DraftIndex> {
        let source = key_source(builder.catalog, builder.catalog.record(date.record).file, date.observation)?;
        let authority = Authority::of_roots(source_roots(builder.catalog, source), false);
        let claims = key_claims(builder.catalog, source);
        Some(builder.voice(Key::Holds(source), || Draft { claims, ..Draft::new(Saying::Key, authority, None) }))
    }

    fn add_seen(self, builder: &mut Builder<'_>, made: Unknown) -> DraftIndex {
        let catalog = builder.catalog;
        let weights = &catalog.about.weight;
        let judged = self.garment.observations.iter().all(|index| reading::is_judged(catalog, *index));
        let weight = if judged { weights.statement } else { weights.in_hand };
        let limits = landmark_limits(catalog, &self.landmarks);
        let says = Saying::Seen(DaySpan::new(limits.0, limits.1).unwrap_or(DaySpan::OPEN));
        let authority = Authority::in_hand(weight, false);
        let (claims, landmarks, garment) = (self.placing, self.landmarks, Some(self.index));
        let seen = builder.new_voice(Draft { claims, landmarks, ..Draft::new(says, authority, garment) });
        builder.seen.insert(self.index, seen);
        for day in limits.0.into_iter() {
            builder.not_before(made, exact(Some(day), None), &[seen]);
        }
        for day in limits.1.into_iter() {
            builder.not_after(made, exact(None, Some(day)), &[seen]);
        }
        seen
    }
}

/// The dates of its observations, except those that a dispute removes or whose key is withheld or
/// set aside.
fn dates<'a>(catalog: &'a Catalog, garment: &'a Garment) -> Vec<MadeDate<'a>> {
    let dated = garment.observations.iter().filter_map(|index| {
        let record = catalog.record(*index);
        let observation = record.content.observation()?;
        let made = observation.made.as_ref().filter(|_| !catalog.is_set_aside(*index, "made"))?;
        let is_withheld = catalog.rests_on_withheld(record.file, observation.made_source.as_slice());
        if is_withheld || is_key_set_aside(catalog, record.file, observation) {
            return None;
        }
        Some(MadeDate { record: *index, observation, made })
    });
    dated.collect()
}

/// Says whether a settled dispute sets the key aside that a date was read through.
fn is_key_set_aside(catalog: &Catalog, file: FileId, observation: &Observation) -> bool {
    // Most knowledge bases settle few disputes or none.
    let source = (!catalog.set_aside.is_empty()).then(|| key_source(catalog, file, observation)).flatten();
    let key = source.and_then(|source| catalog.key_read_in(file, source));
    key.is_some_and(|key| catalog.set_aside.contains(&key))
}

/// The placings of all its observations, which are one voice.
fn placing(catalog: &Catalog, garment: &Garment) -> SmallVec<[VoiceClaim; 1]> {
    let claim = |index: &RecordIndex| {
        let record = catalog.record(*index);
        let span = record.content.observation().map_or(Span::default(), |observation| observation.basis.span);
        let name = VoiceName::new(eco_format!("{}#seen", record.path));
        VoiceClaim { name, record: Some(*index), place: Place { file: record.file, span } }
    };
    garment.observations.iter().map(claim).collect()
}

fn exact(first: Option<Day>, last: Option<Day>) -> Spans {
    let span = DaySpan::new(first, last).unwrap_or(DaySpan::OPEN);
    Spans { widened: span, as_written: span }
}

/// The values that landmarks may read: of each feature the one that all observations agree on.
pub fn values(shown: &ByFeature<'_>) -> Values {
    let agreed = shown.iter().filter_map(|(feature, entry)| Some((feature.clone(), entry.agreed()?.clone())));
    agreed.collect()
}

/// Where a garment was sold new, if its observations agree.
pub fn market<'a>(catalog: &'a Catalog, garment: &Garment) -> Option<&'a str> {
    let records = garment.observations.iter().map(|index| catalog.record(*index));
    reading::shared(records, |observation| observation.market())
}

fn landmark_limits(catalog: &Catalog, landmarks: &[RecordIndex]) -> (Option<Day>, Option<Day>) {
    let (circa, all) = (catalog.circa(), landmarks.iter().filter_map(|index| landmark::of(catalog, *index)));
    let first = all.clone().filter_map(|landmark| landmark::not_before(landmark, circa)).max();
    (first, all.filter_map(|landmark| landmark::not_after(landmark, circa)).min())
}

/// The source of the key that a date was read through.
fn key_source(catalog: &Catalog, file: FileId, observation: &Observation) -> Option<SourceIndex> {
    let is_by_key = observation.made_by.as_ref().is_some_and(|by| by.value == MadeBy::Key);
    let source = observation.made_source.as_ref().filter(|_| is_by_key)?;
    catalog.source_named(file, &source.value.id)
}

/// A key has the name of its source's file; a local source has the names of the files whose key no
/// dispute removes.
fn key_claims(catalog: &Catalog, source: SourceIndex) -> SmallVec<[VoiceClaim; 1]> {
    let record = catalog.cited(source).record;
    let kept = catalog.key_names(source).filter(|(name, _)| !catalog.set_aside.contains(name));
    kept.map(|(name, place)| VoiceClaim { name, record, place }).collect()
}
