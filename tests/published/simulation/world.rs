//! The invented worlds of the simulation: what differs between two variants, what follows it, and what is promised.
//!
//! Twelve features of two states; sizes lie on either side of one cut, years in two decades. A feature that follows size
//! or age shows one state with 0.9 or 0.1, one that follows both with 0.9, 0.5 or 0.1; of what it follows, the variants
//! have 0.8 and 0.2.

use std::fmt::Write;

pub const FEATURES: usize = 12;

/// Chance: an xorshift generator (Marsaglia 2003, Journal of Statistical Software 8/14), the same on every run.
pub struct Chance(u64);

impl Chance {
    /// Begins far apart for near seeds: the first draws of those are near each other.
    pub fn new(seed: u64) -> Chance {
        let mut chance = Chance(0x9e37_79b9_7f4a_7c15 ^ seed);
        for _ in 0..20 {
            chance.draw();
        }
        chance
    }

    fn draw(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn falls(&mut self, probability: f64) -> bool {
        self.draw() < probability
    }
}

/// How a world is made.
#[derive(Clone, Copy)]
pub struct World {
    pub name: &'static str,
    /// Whether the variants differ in size, and features follow it.
    pub size: bool,
    /// Whether the variants differ in age, and features follow it.
    pub age: bool,
    /// How many features, from the first on, follow these.
    pub followers: usize,
    /// The share of garments without a date.
    pub undated: f64,
    /// The years of early and late garments.
    pub years: [u32; 2],
    /// The share of the first state on the first variant where the first feature is a true tell; 1 less on the other.
    pub tell: Option<f64>,
    /// What is promised of it.
    pub promise: Promise,
}

#[derive(Clone, Copy, PartialEq)]
pub enum Promise {
    /// False tells are rare.
    RareFalse,
    /// False tells come up, as the guide says, in a share of pairs between these two at the largest size.
    Limit { least: f64, most: f64 },
    /// The true tell is found.
    Found,
}

const PLAIN: World = World {
    name: "nothing differs",
    size: false,
    age: false,
    followers: 0,
    undated: 0.0,
    years: [1966, 1976],
    tell: None,
    promise: Promise::RareFalse,
};

pub const WORLDS: [World; 14] = [
    PLAIN,
    World { name: "nothing differs, half undated", undated: 0.5, ..PLAIN },
    World { name: "one by size", size: true, followers: 1, ..PLAIN },
    World { name: "one by age", age: true, followers: 1, ..PLAIN },
    World { name: "one by age, half undated", age: true, followers: 1, undated: 0.5, ..PLAIN },
    World { name: "all by size", size: true, followers: FEATURES, ..PLAIN },
    World { name: "all by size, half undated", size: true, followers: FEATURES, undated: 0.5, ..PLAIN },
    World { name: "all by age", age: true, followers: FEATURES, ..PLAIN },
    World { name: "all by age, half undated", age: true, followers: FEATURES, undated: 0.5, ..PLAIN },
    World {
        name: "one by size and age",
        size: true,
        age: true,
        followers: 1,
        promise: Promise::Limit { least: 0.05, most: 0.12 },
        ..PLAIN
    },
    World {
        name: "all by size and age",
        size: true,
        age: true,
        followers: FEATURES,
        promise: Promise::Limit { least: 0.15, most: 0.27 },
        ..PLAIN
    },
    World {
        name: "one changes in a decade",
        age: true,
        followers: 1,
        years: [1971, 1978],
        promise: Promise::Limit { least: 0.17, most: 0.33 },
        ..PLAIN
    },
    World { name: "a tell of 0.9", tell: Some(0.9), promise: Promise::Found, ..PLAIN },
    World { name: "a tell of 0.8", tell: Some(0.8), promise: Promise::Found, ..PLAIN },
];

impl World {
    pub fn garment(&self, chance: &mut Chance, is_first: bool) -> String {
        let leaning = if is_first { 0.8 } else { 0.2 };
        let is_large = chance.falls(if self.size { leaning } else { 0.5 });
        let is_late = chance.falls(if self.age { leaning } else { 0.5 });
        let mut text = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n".to_string();
        if !chance.falls(self.undated) {
            writeln!(text, "made = \"{}\"\nmade-by = \"mark\"", self.years[usize::from(is_late)]).unwrap();
        }
        writeln!(text, "[features]\nwaist = {}", if is_large { 36 } else { 30 }).unwrap();
        for feature in 0..FEATURES {
            let share = match self.tell {
                Some(tell) if feature == 0 => {
                    if is_first {
                        tell
                    } else {
                        1.0 - tell
                    }
                }
                _ if feature < self.followers => self.following(is_large, is_late),
                _ => 0.5,
            };
            writeln!(text, "f{feature:02} = \"{}\"", if chance.falls(share) { "one" } else { "two" }).unwrap();
        }
        text + "+++\n"
    }

    /// The share of the first state of a feature that follows what the variants differ in.
    fn following(&self, is_large: bool, is_late: bool) -> f64 {
        let causes: Vec<bool> =
            [(self.size, is_large), (self.age, is_late)].iter().filter(|cause| cause.0).map(|cause| cause.1).collect();
        let shares = causes.iter().map(|is_there| if *is_there { 0.9 } else { 0.1 });
        shares.sum::<f64>() / causes.len() as f64
    }
}

pub fn vocabulary() -> String {
    let mut text = "--- schema/vocabulary.toml\n[waist]\nname = \"Waist\"\nkind = \"number\"\nlook = \"Read it.\"\n\
                    bands = [34]\n"
        .to_string();
    for feature in 0..FEATURES {
        write!(text, "[f{feature:02}]\nname = \"Feature\"\nkind = \"state\"\nstates = [\"one\", \"two\"]\n").unwrap();
        text.push_str("look = \"Look.\"\nvaries-with = [\"waist\"]\n");
    }
    text
}
