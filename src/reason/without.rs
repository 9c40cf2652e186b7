//! What would be concluded if one claim or one garment were left out: the days of bounds, and what would count again.
//!
//! A piece that no contradiction touches is taken out of the network that stands; for any other its contradictions are
//! settled anew.

pub mod verdict;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use crate::date::Day;
use crate::reason::conclude::is_one;
use crate::reason::constraint::Unknown;
use crate::reason::era::{Direction, Pass, Reason};
use crate::reason::settle::{self, Knots};
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
    whole: Option<Whole>,
}

/// All contradictions, and passes over the network of all voices; only where no knot is too large and nothing is before itself.
struct Whole {
    knots: Knots,
    earliest: Pass,
    latest: Pass,
}

impl Whole {
    fn of(collected: &Voices) -> Option<Whole> {
        let network = Arc::new(collected.widened.network(|_| true));
        if network.in_order().len() < network.len() {
            return None;
        }
        let pass = |direction| Pass::new(&network, direction);
        let knots = Knots::of(&collected.widened)?;
        Some(Whole { knots, earliest: pass(Direction::Earliest), latest: pass(Direction::Latest) })
    }

    fn pass(&self, direction: Direction) -> &Pass {
        match direction {
            Direction::Earliest => &self.earliest,
            Direction::Latest => &self.latest,
        }
    }
}

/// A knowledge base, ready to have pieces left out.
#[derive(Clone, Copy)]
pub struct Without<'a> {
    knowledge: &'a Knowledge,
    laid: &'a Laid,
}

/// One direction, with every unknown's day and reason once somebody asks for them.
struct Way {
    pass: Pass,
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
        let way = |direction| Way { pass: Pass::new(&network, direction), days: OnceLock::new() };
        let (earliest, latest) = (way(Direction::Earliest), way(Direction::Latest));
        let mut by_garment: BTreeMap<GarmentIndex, Vec<VoiceIndex>> = BTreeMap::new();
        for (voice, number) in knowledge.voices.iter().zip(0..) {
            if let Some(garment) = voice.garment {
                by_garment.entry(garment).or_default().push(VoiceIndex(number));
            }
        }
        let whole = Whole::of(&collected);
        Laid { collected, by_garment, earliest, latest, whole }
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
        let way = self.way(asked.direction);
        way.days.get_or_init(|| way.pass.days())[asked.unknown.0 as usize].as_ref()
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
            return self.way(asked.direction).pass.without(asked.unknown, &piece.voices);
        }
        let standings = self.settled(piece);
        let holds = |voice: VoiceIndex| !piece.voices.contains(&voice) && !standings.contains_key(&voice);
        if let Some(whole) = &self.laid.whole {
            return whole.pass(asked.direction).where_holding(asked.unknown, holds);
        }
        let network = self.laid.collected.widened.network(holds);
        Pass::new(&Arc::new(network), asked.direction).without(asked.unknown, &[])
    }

    /// The voices that do not count now and would without a piece.
    pub fn returning(&self, piece: &Piece) -> Vec<VoiceIndex> {
        if !self.is_entangled(piece) {
            return Vec::new();
        }
        let standings = self.settled(piece);
        let out = self.knowledge.entangled.iter().filter(|voice| !self.knowledge.voice(**voice).is_kept());
        out.filter(|voice| !piece.voices.contains(voice) && !standings.contains_key(voice)).copied().collect()
    }

    /// Says whether a piece is part of any contradiction.
    fn is_entangled(&self, piece: &Piece) -> bool {
        piece.voices.iter().any(|voice| self.knowledge.entangled.contains(voice))
    }

    fn settled(&self, piece: &Piece) -> BTreeMap<VoiceIndex, Standing> {
        if let Some(whole) = &self.laid.whole {
            return whole.knots.without(&self.knowledge.voices, &piece.voices);
        }
        let stays = |voice: VoiceIndex| !piece.voices.contains(&voice);
        settle::settle(&self.laid.collected.widened, &self.laid.collected.voices, stays).standings
    }

    fn way(&self, direction: Direction) -> &Way {
        match direction {
            Direction::Earliest => &self.laid.earliest,
            Direction::Latest => &self.laid.latest,
        }
    }
}
