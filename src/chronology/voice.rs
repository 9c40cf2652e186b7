//! Turns a catalog into voices and the constraints they impose.
//!
//! All voices come out, sorted by name; other modules find the conflicts among them.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use litemap::LiteMap;
use smallvec::SmallVec;

use crate::chronology::solver::constraint::{Support, System, Unknown};
use crate::chronology::voice::weight::Authority;
use crate::date::{Day, DaySpan};
use crate::knowledge::{Chain, Estimate, Saying, Standing, Voice, VoiceClaim, VoiceIndex};
use crate::record::id::{FeatureId, StateId, Thing, VariantId};
use crate::resolve::{Catalog, GarmentIndex, RecordIndex, SourceIndex};

mod claims;
mod codes;
mod documents;
mod garments;
mod structure;
mod weight;

/// The input of the conflict search and of the eras.
pub struct Voices {
    /// All voices, sorted by name.
    pub voices: Vec<Voice>,
    /// The constraints, with every `~` widened.
    pub widened: System,
    /// The constraints with no `~` widened, where there is one.
    pub as_written: Option<System>,
    /// First and last day made of everything that has them.
    pub things: BTreeMap<Thing, (Unknown, Unknown)>,
    /// The states that a garment shows, by the garments that show them; a state claimed or shown by a document is not here.
    pub shown_only: BTreeMap<Thing, Vec<GarmentIndex>>,
    /// The day made of each garment that counts.
    pub made: LiteMap<GarmentIndex, Unknown>,
    /// The placing of each garment that counts, unless a dispute took it out.
    pub seen: LiteMap<GarmentIndex, VoiceIndex>,
    /// The dates of garments by mark, paper or key: the voices of each, the date itself first.
    pub dates: LiteMap<GarmentIndex, Vec<Chain>>,
    /// Estimates of garments, not yet judged.
    pub estimates: Vec<Estimate>,
}

/// Collects the voices of a catalog.
pub fn collect(catalog: &Catalog) -> Voices {
    let mut builder = Builder::new(catalog);
    structure::add_wholes(&mut builder);
    claims::add(&mut builder);
    documents::add_documents(&mut builder);
    garments::add_garments(&mut builder);
    structure::add_orders(&mut builder);
    builder.finish()
}

/// The span of days that a document is of, as offered; nothing where it has no date.
pub fn document_span(catalog: &Catalog, document: RecordIndex) -> Option<DaySpan> {
    documents::document_span(catalog, document)
}

/// The names of what a document goes back to: copies of one document have the same.
pub fn document_roots(catalog: &Catalog, document: RecordIndex) -> BTreeSet<String> {
    let sources = catalog.record(document).content.observation().map_or(&[][..], |observation| &observation.sources);
    weight::roots(catalog, document, sources).keys().map(|root| root.name(catalog)).collect()
}

/// The key under which statements are one voice; a reading in hand is the voice of its garment alone.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Key {
    Began(Thing, Days),
    Ended(Thing, Days),
    Attested(Thing, Days),
    Before(Thing, Thing),
    Document(BTreeSet<weight::Root>, Days),
    Holds(SourceIndex),
    Reads(RecordIndex),
}

type Days = (Option<Day>, Option<Day>);

fn days(span: DaySpan) -> Days {
    (span.first(), span.last())
}

/// A voice while its claims are gathered.
struct Draft {
    claims: SmallVec<[VoiceClaim; 1]>,
    says: Saying,
    authority: Authority,
    garment: Option<GarmentIndex>,
    landmarks: Vec<RecordIndex>,
}

impl Draft {
    fn new(says: Saying, authority: Authority, garment: Option<GarmentIndex>) -> Draft {
        Draft { claims: SmallVec::new(), says, authority, garment, landmarks: Vec::new() }
    }
}

/// A span as it binds, and as it is written without any `~`.
#[derive(Clone, Copy)]
struct Spans {
    widened: DaySpan,
    as_written: DaySpan,
}

impl Spans {
    fn map<T>(self, of: fn(DaySpan) -> T) -> [T; 2] {
        [of(self.widened), of(self.as_written)]
    }
}

/// A voice's number while they are gathered, before they are sorted.
#[derive(Clone, Copy, PartialEq, Eq)]
struct DraftIndex(u32);

impl DraftIndex {
    /// The voice in constraints that are renumbered once voices are sorted.
    fn unsorted(self) -> VoiceIndex {
        VoiceIndex(self.0)
    }
}

struct Builder<'a> {
    catalog: &'a Catalog,
    drafts: Vec<Draft>,
    by_key: HashMap<Key, DraftIndex>,
    widened: System,
    /// The limits as written; orders and unknowns come from the widened system.
    as_written: System,
    /// Whether any limit is written otherwise than it binds.
    is_widened: bool,
    things: BTreeMap<Thing, (Unknown, Unknown)>,
    /// States of models and makers that somebody claims, and states of variants that exist.
    firm: BTreeSet<Thing>,
    /// The garments that show each state; a variant may come up more than once.
    shown: Vec<(Thing, Vec<GarmentIndex>)>,
    made: LiteMap<GarmentIndex, Unknown>,
    seen: LiteMap<GarmentIndex, DraftIndex>,
    dates: LiteMap<GarmentIndex, Vec<Chain>>,
    estimates: Vec<Estimate>,
}

impl<'a> Builder<'a> {
    fn new(catalog: &'a Catalog) -> Builder<'a> {
        Builder {
            catalog,
            drafts: Vec::new(),
            by_key: HashMap::new(),
            widened: System::default(),
            as_written: System::default(),
            is_widened: false,
            things: BTreeMap::new(),
            firm: BTreeSet::new(),
            shown: Vec::new(),
            made: LiteMap::new(),
            seen: LiteMap::new(),
            dates: LiteMap::new(),
            estimates: Vec::new(),
        }
    }

    /// Gives the first and last day of a thing, which exists from then on.
    fn thing(&mut self, thing: &Thing) -> (Unknown, Unknown) {
        if let Some(pair) = self.things.get(thing) {
            return *pair;
        }
        let pair = (self.widened.unknown(), self.widened.unknown());
        self.things.insert(thing.clone(), pair);
        pair
    }

    /// Gives the voice of a key; the given function makes it if it is new.
    fn voice(&mut self, key: Key, make: impl FnOnce() -> Draft) -> DraftIndex {
        if let Some(index) = self.by_key.get(&key) {
            return *index;
        }
        let index = self.new_voice(make());
        self.by_key.insert(key, index);
        index
    }

    /// Adds a voice that no other statement can join unasked.
    fn new_voice(&mut self, draft: Draft) -> DraftIndex {
        self.drafts.push(draft);
        DraftIndex(self.drafts.len() as u32 - 1)
    }

    fn draft(&mut self, index: DraftIndex) -> &mut Draft {
        &mut self.drafts[index.0 as usize]
    }

    fn not_before(&mut self, unknown: Unknown, spans: Spans, voices: &[DraftIndex]) {
        let (support, [widened, as_written]) = (support(voices), spans.map(DaySpan::first));
        widened.into_iter().for_each(|day| self.widened.not_before(unknown, day, support));
        as_written.into_iter().for_each(|day| self.as_written.not_before(unknown, day, support));
        self.is_widened |= widened != as_written;
    }

    fn not_after(&mut self, unknown: Unknown, spans: Spans, voices: &[DraftIndex]) {
        let (support, [widened, as_written]) = (support(voices), spans.map(DaySpan::last));
        widened.into_iter().for_each(|day| self.widened.not_after(unknown, day, support));
        as_written.into_iter().for_each(|day| self.as_written.not_after(unknown, day, support));
        self.is_widened |= widened != as_written;
    }

    fn within(&mut self, unknown: Unknown, spans: Spans, voices: &[DraftIndex]) {
        self.not_before(unknown, spans, voices);
        self.not_after(unknown, spans, voices);
    }

    /// Some day of the span lies between the first and the last day of a thing.
    fn attested(&mut self, thing: (Unknown, Unknown), spans: Spans, voice: DraftIndex) {
        self.not_after(thing.0, spans, &[voice]);
        self.not_before(thing.1, spans, &[voice]);
    }

    fn order(&mut self, from: Unknown, to: Unknown, voices: &[DraftIndex]) {
        self.widened.order(from, to, support(voices));
    }

    fn state(variant: &VariantId, feature: &FeatureId, state: StateId) -> Thing {
        let whole = crate::record::id::Whole::Variant(variant.clone());
        Thing { whole, state: Some((feature.clone(), state)) }
    }

    fn finish(mut self) -> Voices {
        for draft in &mut self.drafts {
            draft.claims.sort_by(|one, other| one.name.cmp(&other.name));
            draft.claims.dedup_by(|one, other| one.name == other.name);
        }
        let mut order: Vec<u32> = (0..self.drafts.len() as u32).collect();
        let name = |draft: &u32| &self.drafts[*draft as usize].claims[0].name;
        order.sort_by(|one, other| name(one).cmp(name(other)));
        let mut numbers = vec![VoiceIndex(0); order.len()];
        order.iter().enumerate().for_each(|(at, draft)| numbers[*draft as usize] = VoiceIndex(at as u32));
        let as_written = self.is_widened.then(|| {
            self.as_written.ordered_as(&self.widened);
            self.as_written
        });
        let renumbered = |mut system: System| {
            system.renumber(&numbers);
            system
        };
        let number = |draft: VoiceIndex| numbers[draft.0 as usize];
        let chains = |chains: Vec<Chain>| chains.into_iter().map(|chain| chain.into_iter().map(number).collect());
        let mut drafts: Vec<Option<Draft>> = self.drafts.into_iter().map(Some).collect();
        let mut voices = Vec::with_capacity(order.len());
        let sorted = order.iter().filter_map(|at| drafts[*at as usize].take());
        voices.extend(sorted.map(|draft| voice(draft, self.catalog)));
        drop(drafts);
        Voices {
            voices,
            widened: renumbered(self.widened),
            as_written: as_written.map(renumbered),
            shown_only: shown_only(self.shown, &self.firm),
            things: self.things,
            made: self.made,
            seen: self.seen.into_iter().map(|(garment, draft)| (garment, number(draft.unsorted()))).collect(),
            dates: self.dates.into_iter().map(|(garment, dates)| (garment, chains(dates).collect())).collect(),
            estimates: self.estimates,
        }
    }
}

/// The support of a constraint: two voices for a date read through a key, otherwise one.
fn support(voices: &[DraftIndex]) -> Support {
    match voices {
        [] => Support::STRUCTURE,
        [one] => Support::one(one.unsorted()),
        [one, other, ..] => Support::both(one.unsorted(), other.unsorted()),
    }
}

fn shown_only(shown: Vec<(Thing, Vec<GarmentIndex>)>, firm: &BTreeSet<Thing>) -> BTreeMap<Thing, Vec<GarmentIndex>> {
    let mut by_thing: BTreeMap<Thing, Vec<GarmentIndex>> = BTreeMap::new();
    for (thing, garments) in shown.into_iter().filter(|(thing, _)| !firm.contains(thing)) {
        by_thing.entry(thing).or_default().extend(garments);
    }
    by_thing
}

fn voice(draft: Draft, catalog: &Catalog) -> Voice {
    Voice {
        name: draft.claims[0].name.clone(),
        weight: draft.authority.weight(&catalog.about.weight),
        roots: draft.authority.sources(),
        claims: draft.claims,
        says: draft.says,
        garment: draft.garment,
        landmarks: draft.landmarks,
        standing: Standing::Kept,
    }
}
