//! A catalog to voices and the constraints that stand on them.
//!
//! Voices come out sorted by name, all of them kept; which cannot all hold is found elsewhere.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::date::{Day, DaySpan};
use crate::reason::constraint::{Support, System, Unknown};
use crate::reason::voice::weight::Authority;
use crate::reason::{Estimate, Saying, Standing, Voice, VoiceClaim, VoiceIndex};
use crate::record::id::{FeatureId, StateId, Thing, VariantId};
use crate::resolve::{Catalog, GarmentIndex, RecordIndex, SourceIndex};

mod claims;
mod garments;
mod structure;
mod weight;

/// Everything the conflict search and the eras stand on.
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
    pub made: BTreeMap<GarmentIndex, Unknown>,
    /// The placing of each garment that counts, unless a dispute took it out.
    pub seen: BTreeMap<GarmentIndex, VoiceIndex>,
    /// The dates of garments by mark, paper or key: the voices of each, the date itself first.
    pub dates: BTreeMap<GarmentIndex, Vec<Vec<VoiceIndex>>>,
    /// What is guessed of garments; whether it fits is not known yet.
    pub estimates: Vec<Estimate>,
}

/// Collects the voices of a catalog.
pub fn collect(catalog: &Catalog) -> Voices {
    let mut builder = Builder::new(catalog);
    structure::add_wholes(&mut builder);
    claims::add(&mut builder);
    garments::add_documents(&mut builder);
    garments::add_garments(&mut builder);
    structure::add_orders(&mut builder);
    builder.finish()
}

/// The span of days that a document is of, as offered; nothing where it has no date.
pub fn document_span(catalog: &Catalog, document: RecordIndex) -> Option<DaySpan> {
    garments::document_span(catalog, document)
}

/// The names of what a document goes back to: copies of one document have the same.
pub fn document_roots(catalog: &Catalog, document: RecordIndex) -> BTreeSet<String> {
    let sources = catalog.record(document).content.observation().map_or(&[][..], |observation| &observation.sources);
    weight::roots(catalog, document, sources).keys().map(|root| root.name(catalog)).collect()
}

/// What makes two statements one voice.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Key {
    Began(Thing, Days),
    Ended(Thing, Days),
    Attested(Thing, Days),
    Before(Thing, Thing),
    Document(BTreeSet<weight::Root>, Days),
    Made(GarmentIndex, Days),
    Seen(GarmentIndex),
    Holds(SourceIndex),
}

type Days = (Option<Day>, Option<Day>);

fn days(span: DaySpan) -> Days {
    (span.first(), span.last())
}

/// A voice while its claims are gathered.
struct Draft {
    claims: Vec<VoiceClaim>,
    says: Saying,
    authority: Authority,
    garment: Option<GarmentIndex>,
    landmarks: Vec<RecordIndex>,
}

/// A span as it binds, and as it is written without any `~`.
#[derive(Clone, Copy)]
struct Spans {
    widened: DaySpan,
    as_written: DaySpan,
}

#[derive(Clone, Copy)]
enum Constraint {
    NotBefore(Unknown, [Option<Day>; 2]),
    NotAfter(Unknown, [Option<Day>; 2]),
    Order(Unknown, Unknown),
    StrictOrder(Unknown, Unknown),
}

/// A voice's number while they are gathered, before they are sorted.
#[derive(Clone, Copy, PartialEq, Eq)]
struct DraftIndex(usize);

struct Builder<'a> {
    catalog: &'a Catalog,
    drafts: Vec<Draft>,
    by_key: HashMap<Key, DraftIndex>,
    constraints: Vec<(Constraint, Vec<DraftIndex>)>,
    unknowns: System,
    things: BTreeMap<Thing, (Unknown, Unknown)>,
    /// States of models and makers that somebody claims, and states of variants that exist.
    firm: BTreeSet<Thing>,
    shown: BTreeMap<Thing, Vec<GarmentIndex>>,
    made: BTreeMap<GarmentIndex, Unknown>,
    seen: BTreeMap<GarmentIndex, DraftIndex>,
    dates: BTreeMap<GarmentIndex, Vec<Vec<DraftIndex>>>,
    estimates: Vec<Estimate>,
}

impl<'a> Builder<'a> {
    fn new(catalog: &'a Catalog) -> Builder<'a> {
        Builder {
            catalog,
            drafts: Vec::new(),
            by_key: HashMap::new(),
            constraints: Vec::new(),
            unknowns: System::default(),
            things: BTreeMap::new(),
            firm: BTreeSet::new(),
            shown: BTreeMap::new(),
            made: BTreeMap::new(),
            seen: BTreeMap::new(),
            dates: BTreeMap::new(),
            estimates: Vec::new(),
        }
    }

    /// Gives the first and last day of a thing, which exists from then on.
    fn thing(&mut self, thing: &Thing) -> (Unknown, Unknown) {
        if let Some(pair) = self.things.get(thing) {
            return *pair;
        }
        let pair = (self.unknowns.unknown(), self.unknowns.unknown());
        self.things.insert(thing.clone(), pair);
        pair
    }

    /// Gives the voice of a key, made by the given function where it is new.
    fn voice(&mut self, key: Key, make: impl FnOnce() -> Draft) -> DraftIndex {
        if let Some(index) = self.by_key.get(&key) {
            return *index;
        }
        self.drafts.push(make());
        let index = DraftIndex(self.drafts.len() - 1);
        self.by_key.insert(key, index);
        index
    }

    fn draft(&mut self, index: DraftIndex) -> &mut Draft {
        &mut self.drafts[index.0]
    }

    fn not_before(&mut self, unknown: Unknown, spans: Spans, voices: &[DraftIndex]) {
        if spans.widened.first().is_some() || spans.as_written.first().is_some() {
            let days = [spans.widened.first(), spans.as_written.first()];
            self.constraints.push((Constraint::NotBefore(unknown, days), voices.to_vec()));
        }
    }

    fn not_after(&mut self, unknown: Unknown, spans: Spans, voices: &[DraftIndex]) {
        if spans.widened.last().is_some() || spans.as_written.last().is_some() {
            let days = [spans.widened.last(), spans.as_written.last()];
            self.constraints.push((Constraint::NotAfter(unknown, days), voices.to_vec()));
        }
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
        self.constraints.push((Constraint::Order(from, to), voices.to_vec()));
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
        let mut order: Vec<usize> = (0..self.drafts.len()).collect();
        order.sort_by(|one, other| self.drafts[*one].claims[0].name.cmp(&self.drafts[*other].claims[0].name));
        let mut index = vec![VoiceIndex(0); order.len()];
        order.iter().enumerate().for_each(|(at, draft)| index[*draft] = VoiceIndex(at as u32));
        let is_widened = |(constraint, _): &(Constraint, _)| match constraint {
            Constraint::NotBefore(_, days) | Constraint::NotAfter(_, days) => days[0] != days[1],
            Constraint::Order(..) | Constraint::StrictOrder(..) => false,
        };
        let widened = self.system(0, &index);
        let as_written = self.constraints.iter().any(is_widened).then(|| self.system(1, &index));
        let firm = self.firm;
        let shown_only = self.shown.into_iter().filter(|(thing, _)| !firm.contains(thing)).collect();
        let mut drafts: Vec<Option<Draft>> = self.drafts.into_iter().map(Some).collect();
        let sorted = order.iter().filter_map(|at| drafts[*at].take());
        Voices {
            voices: sorted.map(|draft| voice(draft, self.catalog)).collect(),
            widened,
            as_written,
            things: self.things,
            shown_only,
            made: self.made,
            seen: self.seen.into_iter().map(|(garment, draft)| (garment, index[draft.0])).collect(),
            dates: self.dates.into_iter().map(|(garment, dates)| (garment, renumbered(dates, &index))).collect(),
            estimates: self.estimates,
        }
    }

    fn system(&self, width: usize, index: &[VoiceIndex]) -> System {
        let mut system = self.unknowns.clone();
        for (constraint, voices) in &self.constraints {
            let support = match voices[..] {
                [] => Support::STRUCTURE,
                [one] => Support::one(index[one.0]),
                [one, other, ..] => Support::both(index[one.0], index[other.0]),
            };
            match *constraint {
                Constraint::NotBefore(unknown, days) => {
                    days[width].into_iter().for_each(|day| system.not_before(unknown, day, support));
                }
                Constraint::NotAfter(unknown, days) => {
                    days[width].into_iter().for_each(|day| system.not_after(unknown, day, support));
                }
                Constraint::Order(from, to) => system.order(from, to, support),
                Constraint::StrictOrder(from, to) => system.strict_order(from, to, support),
            }
        }
        system
    }
}

fn renumbered(dates: Vec<Vec<DraftIndex>>, index: &[VoiceIndex]) -> Vec<Vec<VoiceIndex>> {
    dates.into_iter().map(|voices| voices.into_iter().map(|draft| index[draft.0]).collect()).collect()
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
