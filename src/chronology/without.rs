//! The conclusions without one claim or garment: the days of bounds, and the voices that would
//! count again.
//!
//! A piece without contradictions is removed from the solved network; for any other piece, its
//! contradictions are settled anew.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::chronology::is_one;
use crate::chronology::solved_network::{Contested, SolvedNetwork, Standings};
use crate::chronology::solver::bounds::{Direction, Reason};
use crate::chronology::solver::constraint::Unknown;
use crate::date::Day;
use crate::knowledge::{Conflict, Knowledge, Side, Standing, VoiceIndex};
use crate::record::id::Thing;
use crate::resolve::GarmentIndex;

/// A knowledge base, ready to have pieces left out.
#[derive(Clone, Copy)]
pub struct Without<'a> {
    knowledge: &'a Knowledge,
    network: &'a SolvedNetwork,
}

/// A piece to leave out: a garment with all its voices, or the voices of one claim.
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

impl<'a> Without<'a> {
    /// Takes the knowledge base that pieces are left out of, with its network.
    pub fn new(knowledge: &'a Knowledge, network: &'a SolvedNetwork) -> Without<'a> {
        Without { knowledge, network }
    }

    /// The knowledge base before anything is left out.
    pub fn knowledge(&self) -> &'a Knowledge {
        self.knowledge
    }

    /// The day behind a side of an era.
    pub fn side(&self, thing: &Thing, side: Side) -> Option<Asked> {
        let (begin, end) = *self.network.things.get(thing)?;
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
        Some(Asked { unknown: *self.network.made.get(&garment)?, direction })
    }

    /// The day that the voices give, with the chain of voices behind it.
    pub fn reason(&self, asked: Asked) -> Option<&Reason> {
        self.network.days(asked.direction).reason(asked.unknown)
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
                Some(garment) => self.network.of_garment(garment, &self.knowledge.voices).to_vec(),
                None => voices.iter().copied().filter(shares).collect(),
            };
            pieces.insert(Piece { garment: own.garment, voices: all });
        }
        pieces.into_iter().collect()
    }

    /// Says whether a piece is part of too many contradictions to leave it out.
    pub fn is_too_entangled(&self, piece: &Piece) -> bool {
        self.contested(piece).is_some_and(|contested| self.standings(contested, piece).is_none())
    }

    /// The day that would be left without a piece.
    pub fn day(&self, asked: Asked, piece: &Piece) -> Option<Day> {
        let Some(contested) = self.contested(piece) else {
            let days = self.network.days(asked.direction);
            return days.pass.without(asked.unknown, &piece.voices, &days.days);
        };
        let standings = self.standings(contested, piece)?;
        let counts = |voice: VoiceIndex| !piece.voices.contains(&voice) && self.is_kept(voice, &standings);
        contested.pass(asked.direction).tightest(asked.unknown, counts)
    }

    /// The voices that do not count now and would without a piece.
    pub fn returning(&self, piece: &Piece) -> Vec<VoiceIndex> {
        let standings = self.contested(piece).and_then(|contested| self.standings(contested, piece));
        let Some(standings) = standings else { return Vec::new() };
        let returns = |voice: &VoiceIndex| !self.knowledge.voice(*voice).is_kept() && !piece.voices.contains(voice);
        let counting = standings.iter().filter(|(_, standing)| **standing == Standing::Kept).map(|(voice, _)| *voice);
        counting.filter(returns).collect()
    }

    /// Settles contradictions anew, if a piece is part of any.
    fn contested(&self, piece: &Piece) -> Option<&'a Contested> {
        let is_entangled = piece.voices.iter().any(|voice| self.knowledge.entangled.contains(voice));
        self.network.contested().filter(|_| is_entangled)
    }

    /// The standings of voices without a piece; `None` if that takes too many steps, as in a knot
    /// that the solver gave up.
    fn standings(&self, contested: &Contested, piece: &Piece) -> Option<Arc<Standings>> {
        let is_its = |conflict: &&Conflict| conflict.members.iter().any(|voice| piece.voices.contains(voice));
        let given_up = |conflict: &Conflict| self.knowledge.unsearched.contains(&conflict.knot);
        if !self.knowledge.unsearched.is_empty() && self.knowledge.conflicts.iter().filter(is_its).any(given_up) {
            return None;
        }
        contested.without(&piece.voices, &self.knowledge.voices)
    }

    fn is_kept(&self, voice: VoiceIndex, standings: &Standings) -> bool {
        standings.get(&voice).map_or_else(|| self.knowledge.voice(voice).is_kept(), |new| *new == Standing::Kept)
    }
}
