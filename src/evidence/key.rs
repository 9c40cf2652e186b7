//! Reads a code with the keys of a knowledge base: every date it can mean, and whether the keys agree.
//!
//! It does not ask which of these dates a garment's conflicts and landmarks leave.

use smallvec::SmallVec;

use crate::code::form::Folded;
use crate::code::{CodeReading, Unread};
use crate::date::DaySpan;
use crate::evidence::reading::ByFeature;
use crate::record::Content;
use crate::record::citation::WeightClass;
use crate::record::id::{FeatureId, KeyId, MakerId};
use crate::record::key::CodeKey;
use crate::record::observation::{Basis, MadeBy, Observation, Value};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::Place;

/// A key that is neither withheld nor set aside by a settled dispute.
#[derive(Clone, Copy, Debug)]
pub struct StandingKey<'a> {
    /// Its id.
    pub id: &'a KeyId,
    /// Its record.
    pub index: RecordIndex,
    /// The key.
    pub key: &'a CodeKey,
}

/// A code, with what each key that covers its garment reads from it.
#[derive(Clone, Debug)]
pub struct CodeSeen<'a> {
    /// The feature that holds the code.
    pub feature: FeatureId,
    /// The code as it is written.
    pub code: &'a str,
    /// The keys that read it, by id.
    pub reads: Vec<KeyRead<'a>>,
    /// The keys that speak of it and cannot read it, by id.
    pub unread: Vec<(StandingKey<'a>, Unread)>,
}

/// The reading of a code by one key.
#[derive(Clone, Debug)]
pub struct KeyRead<'a> {
    /// The key.
    pub key: StandingKey<'a>,
    pub reading: CodeReading,
}

/// The key of a record.
pub fn of(catalog: &Catalog, index: RecordIndex) -> Option<&CodeKey> {
    match &catalog.record(index).content {
        Content::Key(key) => Some(key),
        _ => None,
    }
}

/// The keys that may be used, by id: neither withheld, nor resting on withheld sources alone, nor set aside.
pub fn standing(catalog: &Catalog) -> Vec<StandingKey<'_>> {
    let keys = catalog.keys.iter().filter_map(|(id, index)| {
        let key = of(catalog, *index)?;
        let is_out = catalog.withheld.contains(index)
            || catalog.rests_on_withheld(catalog.record(*index).file, &key.sources)
            || catalog.is_set_aside(*index, "key");
        (!is_out).then_some(StandingKey { id, index: *index, key })
    });
    keys.collect()
}

/// Reads a code with every key of its feature that speaks of a maker's garments; of any garment where no maker is given.
pub fn read<'a>(keys: &[StandingKey<'a>], feature: &FeatureId, code: &'a str, maker: Option<&MakerId>) -> CodeSeen<'a> {
    let mut seen = CodeSeen { feature: feature.clone(), code, reads: Vec::new(), unread: Vec::new() };
    let speaks = |key: &CodeKey| key.reads.value == *feature && maker.is_none_or(|maker| key.is_of(maker));
    let mut folded = Folded::new(code);
    for key in keys.iter().filter(|key| speaks(key.key)) {
        match key.key.notation.read_folded(&mut folded) {
            Ok(reading) => seen.reads.push(KeyRead { key: *key, reading }),
            Err(why) => seen.unread.push((*key, why)),
        }
    }
    seen
}

impl<'a> CodeSeen<'a> {
    /// Two keys that read the code differently, if there are any: then neither is used.
    pub fn at_odds(&self) -> Option<[&KeyRead<'a>; 2]> {
        // A reading that agrees with the first, and with the first that names a factory, agrees with all of them.
        let named = self.reads.iter().find(|read| !read.reading.factories.is_empty());
        self.reads.first().into_iter().chain(named).find_map(|one| {
            let other = self.reads.iter().find(|other| !one.reading.agrees_with(&other.reading))?;
            Some([one, other])
        })
    }

    /// The readings that may be used: all that there are, if they agree.
    pub fn used(&self) -> &[KeyRead<'a>] {
        if self.at_odds().is_some() { &[] } else { &self.reads }
    }

    /// The factory that the code names, if it may be used.
    pub fn factory(&self) -> Option<&str> {
        self.used().iter().find_map(|read| read.reading.factory())
    }
}

impl KeyRead<'_> {
    /// From the first to the last day that is read.
    pub fn span(&self) -> DaySpan {
        let dates = &self.reading.dates;
        let last = dates.iter().map(|date| date.last).max();
        DaySpan::new(dates.first().map(|date| date.first), last).expect("dates are in order")
    }

    /// Says whether a span shares a day with what is read.
    pub fn shares_a_day(&self, span: DaySpan) -> bool {
        self.reading
            .dates
            .iter()
            .any(|date| DaySpan::new(Some(date.first), Some(date.last)).is_some_and(|days| days.overlaps(span)))
    }
}

/// How many times less likely a key makes the years that none of its readings allows, by the best class among its
/// sources.
pub fn odds(catalog: &Catalog, key: StandingKey<'_>) -> f64 {
    let file = catalog.record(key.index).file;
    let named = key.key.sources.iter().filter_map(|source| catalog.source_named(file, &source.value.id));
    let standing = named.filter(|source| catalog.standing_roots(*source).next().is_some());
    let classes: SmallVec<[WeightClass; 4]> =
        standing.map(|source| catalog.cited(source).kind.weight_class()).collect();
    if classes.contains(&WeightClass::Contemporary) {
        20.0
    } else if classes.contains(&WeightClass::Secondary) {
        10.0
    } else {
        5.0
    }
}

/// A code on a garment, with the first of its observations that records it.
#[derive(Clone, Debug)]
pub struct GarmentCode<'a> {
    /// The code and its readings.
    pub seen: CodeSeen<'a>,
    /// The observation.
    pub record: RecordIndex,
    /// The place of the code in the garment.
    pub place: Place,
}

/// A garment that may bear codes.
#[derive(Clone, Copy)]
pub struct CodeBearer<'s, 'a> {
    /// Its maker, if it is known.
    pub maker: Option<&'s MakerId>,
    /// Its readings, by feature.
    pub shown: &'s ByFeature<'a>,
}

/// The codes of a garment that some key speaks of, by feature.
pub fn of_garment<'a>(catalog: &Catalog, keys: &[StandingKey<'a>], bearer: CodeBearer<'_, 'a>) -> Vec<GarmentCode<'a>> {
    let codes = bearer.shown.iter().filter_map(|(feature, shown)| {
        let agreed = shown.agreed().filter(|agreed| matches!(agreed, Value::Code(_)))?;
        let (record, reading) = shown.readings.iter().find(|(_, reading)| reading.value == *agreed)?;
        let Value::Code(code) = &reading.value else { return None };
        let seen = read(keys, feature, code, bearer.maker);
        let place = Place { file: catalog.record(*record).file, span: reading.span };
        let is_spoken_of = !(seen.reads.is_empty() && seen.unread.is_empty());
        is_spoken_of.then_some(GarmentCode { seen, record: *record, place })
    });
    codes.collect()
}

/// Says whether a specimen's entry gives a date by mark, paper or key.
pub fn has_own_date(observation: &Observation) -> bool {
    let is_known = observation.made_by.as_ref().is_some_and(|by| by.value != MadeBy::Estimate);
    observation.basis.value == Basis::Specimen && observation.made.is_some() && is_known
}

/// The entries whose own date shares no day with what its keys read from a code.
pub fn own_dates_against(catalog: &Catalog, observations: &[RecordIndex], code: &GarmentCode<'_>) -> Vec<RecordIndex> {
    let Some(read) = code.seen.used().first() else { return Vec::new() };
    let is_against = |index: &&RecordIndex| {
        let observation = catalog.record(**index).content.observation();
        let dated = observation.filter(|observation| has_own_date(observation));
        let made = dated.and_then(|observation| observation.made.as_ref());
        made.is_some_and(|made| !read.shares_a_day(made.value.span(catalog.circa())))
    };
    observations.iter().filter(is_against).copied().collect()
}
