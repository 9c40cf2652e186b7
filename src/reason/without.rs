//! What would be concluded if one claim or one garment were left out: the days of bounds, and what would count again.
//!
//! A piece that no contradiction touches is taken out of the network that stands; for any other the contradictions that
//! it shares are settled anew.

pub mod verdict;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use crate::date::Day;
use crate::reason::conclude::is_one;
use crate::reason::constraint::Unknown;
use crate::reason::era::{Direction, Pass, Reason};
use crate::reason::settle::{self, Contradictions};
use crate::reason::voice::{self, Voices};
use crate::reason::{Knowledge, Side, Standing, VoiceIndex};
use crate::record::id::Thing;
use crate::resolve::GarmentIndex;

/// The network that stands, laid out once for all that is asked of it.
pub struct Laid {
    collected: Voices,
    by_garment: BTreeMap<GarmentIndex, Vec<VoiceIndex>>,
    earliest: Way,
    latest: Way,
    contradictions: Option<Contradictions>,
    /// What was settled anew, by the voices that were left out.
    resettled: Mutex<BTreeMap<Vec<VoiceIndex>, Arc<Standings>>>,
}

/// What would become of voices; those that are not listed stay as they are.
type Standings = BTreeMap<VoiceIndex, Standing>;

/// A knowledge base, ready to have pieces left out.
#[derive(Clone, Copy)]
pub struct Without<'a> {
    knowledge: &'a Knowledge,
    laid: &'a Laid,
}

/// One direction: over what counts, with every unknown's day and reason once somebody asks for them, and over all.
struct Way {
    pass: Pass,
    over_all: Pass,
    days: OnceLock<Vec<Option<Reason>>>,
}

/// What may be left out: a garment with all its voices, or the voices of one claim.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// The garment, unless it is a claim.
    pub garment: Option<GarmentIndex>,
    /// Its voices, sorted.
    pub voices: Vec<VoiceIndex>,
}

/// A day that is asked about: the tightest of an unknown in one direction.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    unknown: Unknown,
    direction: Direction,
}

impl Laid {
    /// Lays out the network of what counts in a knowledge base.
    pub fn of(knowledge: &Knowledge) -> Laid {
        let collected = voice::collect(&knowledge.catalog);
        let network = Arc::new(collected.widened.network(|index| knowledge.voice(index).is_kept()));
        let all = Arc::new(collected.widened.network(|_| true));
        let pass = |network, direction| Pass::new(network, direction);
        let way =
            |direction| Way { pass: pass(&network, direction), over_all: pass(&all, direction), days: OnceLock::new() };
        let (earliest, latest) = (way(Direction::Earliest), way(Direction::Latest));
        let mut by_garment: BTreeMap<GarmentIndex, Vec<VoiceIndex>> = BTreeMap::new();
        for (voice, number) in knowledge.voices.iter().zip(0..) {
            if let Some(garment) = voice.garment {
                by_garment.entry(garment).or_default().push(VoiceIndex(number));
            }
        }
        let contradictions = if knowledge.entangled.is_empty() { None } else { Contradictions::of(&all) };
        Laid { collected, by_garment, earliest, latest, contradictions, resettled: Mutex::default() }
    }
}

impl Way {
    fn days(&self) -> &[Option<Reason>] {
        self.days.get_or_init(|| self.pass.days())
    }
}

impl<'a> Without<'a> {
    /// Joins a knowledge base with its own layout.
    pub fn new(knowledge: &'a Knowledge, laid: &'a Laid) -> Without<'a> {
        Without { knowledge, laid }
    }

    /// The knowledge base that pieces are left out of.
    pub fn knowledge(&self) -> &'a Knowledge {
        self.knowledge
    }

    /// The day behind a side of an era.
    pub fn side(&self, thing: &Thing, side: Side) -> Option<Asked> {
        let (begin, end) = *self.laid.collected.things.get(thing)?;
        let (unknown, direction) = match side {
            Side::BeginEarliest => (begin, Direction::Earliest),
            Side::BeginLatest => (begin, Direction::Latest),
            Side::EndEarliest => (end, Direction::Earliest),
            Side::EndLatest => (end, Direction::Latest),
        };
        Some(Asked { unknown, direction })
    }

    /// The first or last day on which a garment can have been made.
    pub fn garment(&self, garment: GarmentIndex, direction: Direction) -> Option<Asked> {
        Some(Asked { unknown: *self.laid.collected.made.get(&garment)?, direction })
    }

    /// The day that the voices give, with the chain it stands on.
    pub fn reason(&self, asked: Asked) -> Option<&Reason> {
        self.way(asked.direction).days()[asked.unknown.0 as usize].as_ref()
    }

    /// Divides the voices of a chain into what can be left out.
    pub fn pieces(&self, voices: &[VoiceIndex]) -> Vec<Piece> {
        let mut pieces: BTreeSet<Piece> = BTreeSet::new();
        for index in voices {
            let own = self.knowledge.voice(*index);
            let shares = |other: &VoiceIndex| {
                let other = self.knowledge.voice(*other);
                other.garment.is_none() && is_one(&[own, other])
            };
            let all = match own.garment {
                Some(garment) => self.laid.by_garment.get(&garment).cloned().unwrap_or_default(),
                None => voices.iter().copied().filter(shares).collect(),
            };
            pieces.insert(Piece { garment: own.garment, voices: all });
        }
        pieces.into_iter().collect()
    }

    /// The day that would be left without a piece.
    pub fn day(&self, asked: Asked, piece: &Piece) -> Option<Day> {
        if !self.is_entangled(piece) {
            let way = self.way(asked.direction);
            return way.pass.without(asked.unknown, &piece.voices, way.days());
        }
        let standings = self.settled(piece);
        let counts = |voice: VoiceIndex| !piece.voices.contains(&voice) && self.is_kept(voice, &standings);
        self.way(asked.direction).over_all.tightest(asked.unknown, counts)
    }

    /// The voices that do not count now and would without a piece.
    pub fn returning(&self, piece: &Piece) -> Vec<VoiceIndex> {
        if !self.is_entangled(piece) {
            return Vec::new();
        }
        let standings = self.settled(piece);
        let returns = |voice: &VoiceIndex| !self.knowledge.voice(*voice).is_kept() && !piece.voices.contains(voice);
        let counting = standings.iter().filter(|(_, standing)| **standing == Standing::Kept).map(|(voice, _)| *voice);
        counting.filter(returns).collect()
    }

    /// Says whether a piece is part of any contradiction.
    fn is_entangled(&self, piece: &Piece) -> bool {
        piece.voices.iter().any(|voice| self.knowledge.entangled.contains(voice))
    }

    fn is_kept(&self, voice: VoiceIndex, standings: &Standings) -> bool {
        standings.get(&voice).map_or_else(|| self.knowledge.voice(voice).is_kept(), |new| *new == Standing::Kept)
    }

    /// What would become, without a piece, of all whose standing hangs on it.
    fn settled(&self, piece: &Piece) -> Arc<Standings> {
        let known = || self.laid.resettled.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(standings) = known().get(&piece.voices) {
            return Arc::clone(standings);
        }
        let voices = &self.laid.collected.voices;
        let standings = Arc::new(match &self.laid.contradictions {
            Some(contradictions) => contradictions.without(&piece.voices, voices),
            None => self.settled_whole(piece),
        });
        known().insert(piece.voices.clone(), Arc::clone(&standings));
        standings
    }

    /// Where contradictions are too many to list, all of them are settled anew.
    fn settled_whole(&self, piece: &Piece) -> Standings {
        let stays = |voice: &VoiceIndex| !piece.voices.contains(voice);
        let (found, _) =
            settle::settle(&self.laid.collected.widened, &self.laid.collected.voices, |voice| stays(&voice));
        let stands = |voice| found.standings.get(&voice).copied().unwrap_or(Standing::Kept);
        self.knowledge.entangled.iter().copied().filter(stays).map(|voice| (voice, stands(voice))).collect()
    }

    fn way(&self, direction: Direction) -> &Way {
        match direction {
            Direction::Earliest => &self.laid.earliest,
            Direction::Latest => &self.laid.latest,
        }
    }
}
