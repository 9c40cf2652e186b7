//! Unknowns that contradict one another: where a search for conflicts can lead, and how far it may go there.

use crate::reason::VoiceIndex;
use crate::reason::constraint::Unknown;
use crate::reason::network::Network;
use crate::resolve::leaders::Leaders;

/// How many partial conflicts may be followed among unknowns that hang together, before all their voices are contested.
pub const PATHS: usize = 500_000;

/// The unknowns that are not before a day later than one they are not after, and how they hang together.
pub struct Tangles {
    /// The first unknown of each one's tangle.
    of: Vec<Option<u32>>,
    /// How many paths were followed, by the first unknown.
    followed: Vec<usize>,
}

impl Tangles {
    /// Finds them.
    pub fn new(network: &Network) -> Tangles {
        let (earliest, latest) = (network.earliest(), network.latest());
        let is_tangled = |at: usize| earliest[at].zip(latest[at]).is_some_and(|(earliest, latest)| earliest > latest);
        let tangled: Vec<bool> = (0..network.len()).map(is_tangled).collect();
        let mut leaders = Leaders::new(network.len());
        for order in network.after.all() {
            if tangled[order.from.0 as usize] && tangled[order.to.0 as usize] {
                leaders.unite(order.from.0, order.to.0);
            }
        }
        let of = (0_u32..).zip(&tangled).map(|(at, tangled)| tangled.then(|| leaders.of(at)));
        Tangles { of: of.collect(), followed: vec![0; network.len()] }
    }

    /// Counts a path that reached an unknown; says whether it was the last that may be followed there.
    pub fn follow(&mut self, unknown: Unknown) -> bool {
        let Some(tangle) = self.of[unknown.0 as usize] else { return false };
        let followed = &mut self.followed[tangle as usize];
        *followed += 1;
        *followed == PATHS
    }

    /// Says whether no more paths may be followed at an unknown.
    pub fn is_exhausted(&self, unknown: Unknown) -> bool {
        self.of[unknown.0 as usize].is_some_and(|tangle| self.followed[tangle as usize] >= PATHS)
    }

    /// The voices that say anything of the unknowns of one's tangle, sorted.
    pub fn voices(&self, network: &Network, unknown: Unknown) -> Vec<VoiceIndex> {
        let tangle = self.of[unknown.0 as usize];
        let is_of = |other: Unknown| tangle.is_some() && self.of[other.0 as usize] == tangle;
        let limits = network.not_before.all().iter().chain(network.not_after.all());
        let limits = limits.filter(|limit| is_of(limit.unknown)).map(|limit| limit.support);
        let orders = network.after.all().iter().filter(|order| is_of(order.from) && is_of(order.to));
        let mut voices: Vec<VoiceIndex> =
            limits.chain(orders.map(|order| order.support)).flat_map(|support| support.voices()).collect();
        voices.sort_unstable();
        voices.dedup();
        voices
    }
}
