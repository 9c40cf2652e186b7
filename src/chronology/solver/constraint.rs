//! A simple temporal problem over single unknown days (Dechter, Meiri and Pearl 1991): bounds on
//! unknowns, and orders between them.
//!
//! Every constraint names the voices it depends on. The solver does not know which event an unknown
//! day belongs to.

use crate::date::Day;
use crate::knowledge::{Chain, VoiceIndex};

/// One unknown day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Unknown(pub u32);

/// The voices that must all hold for a constraint to bind; none for structure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Support {
    /// The numbers of the voices and one; nought is none.
    voices: [u32; 2],
}

impl Support {
    /// Binds always.
    pub const STRUCTURE: Support = Support { voices: [0, 0] };

    /// Binds while the voice holds.
    pub fn one(voice: VoiceIndex) -> Support {
        Support { voices: [voice.0 + 1, 0] }
    }

    /// Binds while both voices hold.
    pub fn both(one: VoiceIndex, other: VoiceIndex) -> Support {
        Support { voices: [one.0 + 1, other.0 + 1] }
    }

    /// The voices.
    pub fn voices(self) -> impl Iterator<Item = VoiceIndex> {
        self.voices.into_iter().filter_map(|next| next.checked_sub(1)).map(VoiceIndex)
    }

    /// Adds its voices to a sorted list.
    pub fn joined_to(self, voices: &[VoiceIndex]) -> Chain {
        let mut all = Chain::from_slice(voices);
        for voice in self.voices() {
            if let Err(at) = all.binary_search(&voice) {
                all.insert(at, voice);
            }
        }
        all
    }

    /// Names other voices in place of its own.
    pub fn renumbered(mut self, number: impl Fn(VoiceIndex) -> VoiceIndex) -> Support {
        for next in self.voices.iter_mut().filter(|next| **next > 0) {
            *next = number(VoiceIndex(*next - 1)).0 + 1;
        }
        self
    }
}

/// A day that an unknown is not before, or not after.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// The unknown.
    pub unknown: Unknown,
    /// The day.
    pub day: Day,
    /// The voices it depends on.
    pub support: Support,
}

/// One unknown is not after another.
#[derive(Clone, Copy, Debug)]
pub struct Order {
    /// The unknown that is not after.
    pub from: Unknown,
    /// The unknown that is not before.
    pub to: Unknown,
    /// Whether they are different days.
    pub strict: bool,
    /// The voices it depends on.
    pub support: Support,
}

/// All constraints.
#[derive(Clone, Debug, Default)]
pub struct System {
    pub(super) unknowns: u32,
    pub(super) not_before: Vec<Limit>,
    pub(super) not_after: Vec<Limit>,
    pub(super) orders: Vec<Order>,
}

impl System {
    /// Adds an unknown.
    pub fn unknown(&mut self) -> Unknown {
        self.unknowns += 1;
        Unknown(self.unknowns - 1)
    }

    /// Adds a day that an unknown is not before.
    pub fn not_before(&mut self, unknown: Unknown, day: Day, support: Support) {
        self.not_before.push(Limit { unknown, day, support });
    }

    /// Adds a day that an unknown is not after.
    pub fn not_after(&mut self, unknown: Unknown, day: Day, support: Support) {
        self.not_after.push(Limit { unknown, day, support });
    }

    /// Adds that one unknown is not after another.
    pub fn order(&mut self, from: Unknown, to: Unknown, support: Support) {
        self.orders.push(Order { from, to, strict: false, support });
    }

    /// Adds that one unknown is before another.
    pub fn strict_order(&mut self, from: Unknown, to: Unknown, support: Support) {
        self.orders.push(Order { from, to, strict: true, support });
    }

    /// Makes room for so many orders, so that they need not move when there are more.
    pub fn expect_orders(&mut self, count: usize) {
        self.orders.reserve_exact(count);
    }

    /// Takes over the unknowns and orders of another system.
    pub fn ordered_as(&mut self, other: &System) {
        self.unknowns = other.unknowns;
        self.orders.clone_from(&other.orders);
    }

    /// Gives each voice another number: that at the place of its own.
    pub fn renumber(&mut self, numbers: &[VoiceIndex]) {
        let number = |voice: VoiceIndex| numbers[voice.0 as usize];
        self.orders.iter_mut().for_each(|order| order.support = order.support.renumbered(number));
        let limits = self.not_before.iter_mut().chain(&mut self.not_after);
        limits.for_each(|limit| limit.support = limit.support.renumbered(number));
    }

    /// Counts the unknowns.
    pub fn len(&self) -> usize {
        self.unknowns as usize
    }

    /// Says whether there are no unknowns.
    pub fn is_empty(&self) -> bool {
        self.unknowns == 0
    }
}
