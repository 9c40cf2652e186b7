//! The network of all kept voices with its days, to ask what would be concluded without some of them.
//!
//! Eras are not made here: they are part of `Knowledge`.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use litemap::LiteMap;

use crate::chronology::settle::{self, Contradictions};
use crate::chronology::solver::bounds::{Direction, Pass, Reason};
use crate::chronology::solver::constraint::{System, Unknown};
use crate::chronology::solver::network::Network;
use crate::chronology::solver::removal;
use crate::chronology::voice::{self, Voices};
use crate::date::Day;
use crate::knowledge::{Knowledge, Standing, Voice, VoiceIndex};
use crate::record::id::Thing;
use crate::resolve::GarmentIndex;

/// The new standings of voices; voices not listed keep their standing.
pub type Standings = BTreeMap<VoiceIndex, Standing>;

/// The days in one direction that the voices give.
pub struct Days {
    /// The direction.
    pub direction: Direction,
    /// How they were found.
    pub pass: Pass,
    /// The day of each unknown.
    pub days: Vec<Option<Reason>>,
}

impl Days {
    /// Finds the days of a network without cycles.
    pub fn of(network: &Arc<Network>, direction: Direction) -> Days {
        let pass = Pass::new(network, direction);
        Days { direction, days: pass.days(), pass }
    }

    /// The day of an unknown, with the voices it depends on.
    pub fn reason(&self, unknown: Unknown) -> Option<&Reason> {
        self.days[unknown.0 as usize].as_ref()
    }

    /// The day of an unknown.
    pub fn day(&self, unknown: Unknown) -> Option<Day> {
        self.reason(unknown).map(|reason| reason.day)
    }
}

/// The kept voices solved, with what is needed to solve again without some of them.
pub struct SolvedNetwork {
    /// First and last day made of everything that has them.
    pub things: BTreeMap<Thing, (Unknown, Unknown)>,
    /// The day made of each garment that counts.
    pub made: LiteMap<GarmentIndex, Unknown>,
    /// The earliest days.
    pub earliest: Days,
    /// The latest days.
    pub latest: Days,
    by_garment: OnceLock<BTreeMap<GarmentIndex, Vec<VoiceIndex>>>,
    contested: Option<Contested>,
}

impl SolvedNetwork {
    /// Solves the constraints on the kept voices; keeps all constraints if there is any contradiction.
    pub fn of(knowledge: &Knowledge) -> SolvedNetwork {
        let Voices { widened, things, made, .. } = voice::collect(&knowledge.catalog);
        let network = Arc::new(widened.network(|voice| knowledge.voice(voice).is_kept()));
        let (earliest, latest) =
            rayon::join(|| Days::of(&network, Direction::Earliest), || Days::of(&network, Direction::Latest));
        let contested = (!knowledge.entangled.is_empty()).then_some(widened);
        let share = removal::share(knowledge.steps_left, knowledge.entangled.len());
        let contested = contested.map(|system| Contested::new(system, share));
        SolvedNetwork { things, made, earliest, latest, by_garment: OnceLock::new(), contested }
    }

    /// The days in one direction.
    pub fn days(&self, direction: Direction) -> &Days {
        match direction {
            Direction::Earliest => &self.earliest,
            Direction::Latest => &self.latest,
        }
    }

    /// The voices of a garment among all of the knowledge base, sorted.
    pub fn of_garment(&self, garment: GarmentIndex, voices: &[Voice]) -> &[VoiceIndex] {
        let by_garment = self.by_garment.get_or_init(|| {
            let mut by_garment: BTreeMap<GarmentIndex, Vec<VoiceIndex>> = BTreeMap::new();
            for (index, voice) in (0..).map(VoiceIndex).zip(voices) {
                voice.garment.into_iter().for_each(|garment| by_garment.entry(garment).or_default().push(index));
            }
            by_garment
        });
        by_garment.get(&garment).map_or(&[], Vec::as_slice)
    }

    /// Settles contradictions anew; `None` if there are none.
    pub fn contested(&self) -> Option<&Contested> {
        self.contested.as_ref()
    }
}

/// All constraints, including those of voices that are not kept, and the contradictions among them.
pub struct Contested {
    system: System,
    passes: OnceLock<[Pass; 2]>,
    contradictions: OnceLock<Contradictions>,
    /// How many steps one question may take.
    share: u64,
    /// The results of settling anew, by the voices that were left out.
    resettled: Mutex<BTreeMap<Vec<VoiceIndex>, Option<Arc<Standings>>>>,
}

impl Contested {
    /// Keeps a system; its contradictions are found when they are asked for.
    fn new(system: System, share: u64) -> Contested {
        let (passes, contradictions) = (OnceLock::new(), OnceLock::new());
        Contested { system, passes, contradictions, share, resettled: Mutex::default() }
    }

    /// A pass over all voices, kept or not.
    pub fn pass(&self, direction: Direction) -> &Pass {
        let passes = self.passes.get_or_init(|| {
            let all = Arc::new(self.system.network(|_| true));
            [Direction::Earliest, Direction::Latest].map(|direction| Pass::new(&all, direction))
        });
        match direction {
            Direction::Earliest => &passes[0],
            Direction::Latest => &passes[1],
        }
    }

    /// The standings that would change without some voices; `None` if that takes too many steps.
    pub fn without(&self, gone: &[VoiceIndex], voices: &[Voice]) -> Option<Arc<Standings>> {
        let known = || self.resettled.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(standings) = known().get(gone) {
            return standings.clone();
        }
        // The conclusions took the same steps before, so this repeats them within the same limit.
        let contradictions = self.contradictions.get_or_init(|| {
            settle::settle(&self.system, voices, |_| true, &mut removal::STEPS.clone()).0.contradictions
        });
        let standings = contradictions.without(gone, voices, self.share).map(Arc::new);
        known().insert(gone.to_vec(), standings.clone());
        standings
    }
}
