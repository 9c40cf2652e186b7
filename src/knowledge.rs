//! What was concluded from the records: voices, conflicts, what is set aside, and eras.
//!
//! It has no words for a reader; every conclusion carries what it rests on.

use std::collections::{BTreeMap, BTreeSet};

use ecow::EcoString;
use litemap::LiteMap;
use smallvec::SmallVec;

use crate::date::{Day, DaySpan};
use crate::fault::Fault;
use crate::record::id::{Thing, VoiceName};
use crate::resolve::{Catalog, GarmentIndex, RecordIndex, SourceIndex};
use crate::source::Place;

/// The records and everything concluded from them.
#[derive(Clone, Debug)]
pub struct Knowledge {
    /// The records.
    pub catalog: Catalog,
    /// What earlier stages could not use.
    pub faults: Vec<Fault>,
    /// All voices, sorted by name.
    pub voices: Vec<Voice>,
    /// For each voice that is set aside or contested, its smallest conflict; sorted by knot and id.
    pub conflicts: Vec<Conflict>,
    /// Knots that were too large to search exactly, by the first of their voices' names.
    pub unsearched: Vec<VoiceName>,
    /// How many steps of the run's budget the search for conflicts left for questions about them.
    pub steps_left: u64,
    /// Every voice of any contradiction, listed or not.
    pub entangled: BTreeSet<VoiceIndex>,
    /// Conflicts that open among the kept voices when no `~` is widened.
    pub strains: Vec<Conflict>,
    /// The era of everything that has one.
    pub eras: BTreeMap<Thing, Era>,
    /// Every estimate, and whether it fits the kept voices.
    pub estimates: Vec<Estimate>,
    /// The placing of each garment that counts.
    pub placings: LiteMap<GarmentIndex, VoiceIndex>,
    /// The dates of each garment by mark, paper or key: the voices of each, the date itself first, then its key.
    pub dates: LiteMap<GarmentIndex, Vec<Chain>>,
    /// The days on which each counted garment can have been made, by the kept voices.
    pub made: LiteMap<GarmentIndex, DaySpan>,
    /// The span of each document whose date counts, as offered: neither set aside nor contested.
    pub documents: BTreeMap<RecordIndex, DaySpan>,
    /// The keys to codes that conflicts set aside; those that settled disputes take out have no voice.
    pub doubted_keys: BTreeSet<RecordIndex>,
    /// The factories that codes name, for garments that state none.
    pub code_factories: BTreeMap<GarmentIndex, EcoString>,
}

/// A voice's place in [`Knowledge::voices`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct VoiceIndex(pub u32);

/// Voices that a conclusion rests on, sorted; most chains are short.
pub type Chain = SmallVec<[VoiceIndex; 4]>;

/// A weight in quarters, so that sums and comparisons are exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Weight {
    /// Quarters of one.
    pub quarters: u32,
}

/// A voice: the unit that the conflict search may set aside.
#[derive(Clone, Debug)]
pub struct Voice {
    /// The first of its claims by name.
    pub name: VoiceName,
    /// Its parts, sorted by name: claims, or the dates or placings of a garment's entries.
    pub claims: SmallVec<[VoiceClaim; 1]>,
    /// What it says.
    pub says: Saying,
    /// What it weighs.
    pub weight: Weight,
    /// The sources it goes back to; empty for what was seen in hand or had no source.
    pub roots: Vec<SourceIndex>,
    /// The garment, where it is a placing or a date of one.
    pub garment: Option<GarmentIndex>,
    /// The hard landmarks that a placing implies.
    pub landmarks: Vec<RecordIndex>,
    /// What became of it.
    pub standing: Standing,
}

/// One claim of a voice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VoiceClaim {
    /// Its name: `<path>#start`.
    pub name: VoiceName,
    /// The record it stands in; the source's record for a key.
    pub record: Option<RecordIndex>,
    /// Where.
    pub place: Place,
}

/// The statement of a voice, without words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Saying {
    /// A thing began within the span.
    Began(Box<Thing>, DaySpan),
    /// A thing ended within the span.
    Ended(Box<Thing>, DaySpan),
    /// A thing was made at some day of the span.
    Attested(Box<Thing>, DaySpan),
    /// The first ended before the second began.
    Before(Box<Thing>, Box<Thing>),
    /// A document of this span shows its variant.
    Document(DaySpan),
    /// A garment was made within the span.
    Made(DaySpan),
    /// A garment is of its variant and bears what was seen; the span is what its landmarks allow.
    Seen(DaySpan),
    /// A key to date codes holds.
    Key,
}

/// What became of a voice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It counts.
    Kept,
    /// It is in some of the lightest removals.
    Contested,
    /// It is in every one of them.
    SetAside,
}

/// A smallest set of contradictory voices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// A stable id made from its members' names.
    pub id: String,
    /// The first name among all voices of listed conflicts in its knot.
    pub knot: VoiceName,
    /// Its voices, sorted by name.
    pub members: Vec<VoiceIndex>,
}

/// Surely and possibly made, with what each bound rests on.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Era {
    /// The bounds, in the order of [`Side`].
    bounds: [Option<Bound>; 4],
}

/// Which bound of an era.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Not begun before.
    BeginEarliest,
    /// Begun by.
    BeginLatest,
    /// Not ended before.
    EndEarliest,
    /// Ended by.
    EndLatest,
}

impl Side {
    /// All sides with their names in the exports.
    pub const ALL: [(Side, &'static str); 4] = [
        (Side::BeginEarliest, "begin_earliest"),
        (Side::BeginLatest, "begin_latest"),
        (Side::EndEarliest, "end_earliest"),
        (Side::EndLatest, "end_latest"),
    ];
}

/// One bound of an era.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// The day.
    pub day: Day,
    /// The voices of the chain that gives it, sorted by name.
    pub because: Chain,
    /// The estimate that gives it, if no kept voice does: a place in [`Knowledge::estimates`].
    pub estimate: Option<usize>,
    /// Whether it would be open, or move by more than a year, without one claim or one garment.
    pub rests_on_one: bool,
}

/// Somebody's judgement of when a garment was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Estimate {
    /// The garment.
    pub garment: GarmentIndex,
    /// The entry it stands in.
    pub record: RecordIndex,
    /// What it says.
    pub span: DaySpan,
    /// Where.
    pub place: Place,
    /// Whether it is consistent with the kept voices.
    pub fits: bool,
    /// Another estimate that fits and contradicts this one: a place in [`Knowledge::estimates`].
    pub excluded_by: Option<usize>,
}

impl Estimate {
    /// Says whether it may bound an era: it fits the kept voices, and no other fitting estimate excludes it.
    pub fn counts(&self) -> bool {
        self.fits && self.excluded_by.is_none()
    }
}

impl Knowledge {
    /// The voice at an index of this knowledge.
    pub fn voice(&self, index: VoiceIndex) -> &Voice {
        &self.voices[index.0 as usize]
    }

    /// Finds a voice by the name of any of its claims.
    pub fn voice_of(&self, claim: &str) -> Option<&Voice> {
        self.voices.iter().find(|voice| voice.claims.iter().any(|part| part.name.as_str() == claim))
    }
}

impl Era {
    /// Joins four bounds, in the order of [`Side`].
    pub fn new(bounds: [Option<Bound>; 4]) -> Era {
        Era { bounds }
    }

    /// The bound of a side, if there is one.
    pub fn bound(&self, side: Side) -> Option<&Bound> {
        self.bounds[side as usize].as_ref()
    }

    /// The day of a side, if it is bounded.
    pub fn day(&self, side: Side) -> Option<Day> {
        self.bound(side).map(|bound| bound.day)
    }

    /// The days on which it was possibly made.
    pub fn possibly_made(&self) -> (Option<Day>, Option<Day>) {
        (self.day(Side::BeginEarliest), self.day(Side::EndLatest))
    }

    /// The days on which it was surely made, if any is sure.
    pub fn surely_made(&self) -> Option<DaySpan> {
        let (first, last) = (self.day(Side::BeginLatest)?, self.day(Side::EndEarliest)?);
        DaySpan::new(Some(first), Some(last))
    }

    /// Says whether no side is bounded.
    pub fn is_open(&self) -> bool {
        self.bounds.iter().all(Option::is_none)
    }
}

impl Weight {
    /// A whole weight.
    pub fn whole(number: u32) -> Weight {
        Weight { quarters: number * 4 }
    }

    /// The weight as a number.
    pub fn as_f64(self) -> f64 {
        f64::from(self.quarters) / 4.0
    }
}

impl Voice {
    /// Says whether it counts toward eras.
    pub fn is_kept(&self) -> bool {
        self.standing == Standing::Kept
    }
}
