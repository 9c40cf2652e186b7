//! The features and states that readings are written in: types only.

pub mod count;
pub mod measure;

use std::collections::BTreeMap;

use crate::record::id::{FeatureId, StateId};
use crate::source::Span;

/// All features, from `schema/vocabulary.toml`.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    features: BTreeMap<FeatureId, Feature>,
    order: Vec<FeatureId>,
}

impl Vocabulary {
    /// Takes the features in the order of the file; of two with one id the first stays.
    pub fn new(list: Vec<Feature>) -> Vocabulary {
        let mut vocabulary = Vocabulary::default();
        for feature in list {
            if !vocabulary.features.contains_key(&feature.id) {
                vocabulary.order.push(feature.id.clone());
                vocabulary.features.insert(feature.id.clone(), feature);
            }
        }
        vocabulary
    }

    /// Finds a feature.
    pub fn feature(&self, id: &str) -> Option<&Feature> {
        self.features.get(id)
    }

    /// All features, retired ones included, in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = &Feature> {
        self.order.iter().map(|id| &self.features[id])
    }

    /// The features that people are asked to look at and that count, in the order of the file.
    pub fn current(&self) -> impl Iterator<Item = &Feature> {
        self.iter().filter(|feature| feature.retired.is_none())
    }

    /// Gives the words for a state of a feature, known or not, on a page.
    pub fn label(&self, feature: &FeatureId, state: &str) -> String {
        self.feature(feature.as_str()).map_or_else(|| state.replace('-', " "), |feature| feature.label(state))
    }

    /// Says whether a feature is retired: shown, but no longer counted.
    pub fn is_retired(&self, id: &str) -> bool {
        self.feature(id).is_some_and(|feature| feature.retired.is_some())
    }
}

/// A thing to look at.
#[derive(Clone, Debug)]
pub struct Feature {
    /// Its id, the table's key.
    pub id: FeatureId,
    pub name: String,
    pub synonyms: Vec<String>,
    /// The kind of its readings.
    pub kind: Kind,
    /// Other words for its states.
    pub state_synonyms: BTreeMap<StateId, Vec<String>>,
    /// The words for its states on a page, if they are not the id with spaces for hyphens.
    pub labels: BTreeMap<StateId, String>,
    /// States of earlier entries, each with the state that it is read as.
    pub replaced: BTreeMap<StateId, StateId>,
    /// Why it is no longer counted, if it is retired.
    pub retired: Option<Retired>,
    /// The part of the garment.
    pub zone: Option<String>,
    /// How to look, in one or two sentences.
    pub look: String,
    /// The sorts of garment that have it; empty for all.
    pub garments: Vec<String>,
    /// Features that could explain a difference in this one.
    pub varies_with: Vec<FeatureId>,
    /// Whether it is the sign of a label line.
    pub defining: bool,
    /// How often the part is replaced.
    pub replaceable: Replaceable,
    /// Cut points when it serves as a covariate; a value on a cut belongs above it.
    pub bands: Vec<f64>,
    /// The key in the vocabulary's file.
    pub span: Span,
}

impl Feature {
    /// Says whether a sort of garment has it.
    pub fn is_of(&self, garment: &str) -> bool {
        self.garments.is_empty() || self.garments.iter().any(|own| own == garment)
    }

    /// Returns the present state of a word: the one that replaced it, or itself.
    pub fn current_state(&self, word: &str) -> StateId {
        let state = StateId::new(word);
        self.replaced.get(&state).cloned().unwrap_or(state)
    }

    /// Gives the words for a state on a page.
    pub fn label(&self, state: &str) -> String {
        self.labels.get(state).cloned().unwrap_or_else(|| state.replace('-', " "))
    }

    /// Says whether its states have eras and likelihood tables: states and counts do.
    pub fn has_states(&self) -> bool {
        matches!(self.kind, Kind::State { .. } | Kind::Count)
    }
}

/// Why a feature is no longer counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Retired {
    /// The reason, in words.
    pub reason: String,
    /// The feature to record instead, if there is one.
    pub instead: Option<FeatureId>,
}

/// The kind of a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// One of a list of states.
    State {
        /// The states, in the order of the file.
        states: Vec<StateId>,
    },
    /// How many there are.
    Count,
    /// A quantity in a unit.
    Measure(Measure),
    /// A printed number; read by landmarks, and a covariate where it has bands.
    Number,
    /// Letters and digits; read by landmarks.
    Code,
}

/// How a quantity is measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The unit all readings are turned into.
    pub unit: Unit,
    /// How far two readings of one garment may lie apart by the tape alone, in the unit.
    pub tolerance: f64,
    /// The least and the greatest value that can be.
    pub range: (f64, f64),
    /// Whether the measure gets smaller as worn cloth shrinks.
    pub shrinks: bool,
}

/// The mean of decimals as a decimal of thirteen digits, without what computing with binary numbers adds beyond: means
/// are equal where those of the decimals are. Of none it is 0.
///
/// ```
/// assert!((22.2 + 22.9) / 2.0 != 22.55 && bartack::vocabulary::mean(&[22.2, 22.9]) == 22.55);
/// ```
pub fn mean(values: &[f64]) -> f64 {
    if let [value] = values {
        return *value;
    }
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    format!("{mean:.12e}").parse().unwrap_or(mean)
}

/// Says whether a distance is no greater than a limit, both written as decimals: 5.2 and 4.6 lie within 0.6, though
/// their difference as a binary number is a little more.
///
/// ```
/// assert!(5.2 - 4.6 > 0.6 && bartack::vocabulary::is_within(5.2 - 4.6, 0.6));
/// ```
pub fn is_within(distance: f64, limit: f64) -> bool {
    distance <= limit + 1e-9
}

/// A unit of measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// International inch, 25.4 mm exactly (yard and pound agreement of 1959).
    Inch,
    Centimetre,
    Millimetre,
    /// Gram for each square metre.
    GramPerSquareMetre,
    /// Ounce for each square yard.
    OuncePerSquareYard,
    /// Stitches for each inch.
    PerInch,
    /// Stitches for each centimetre.
    PerCentimetre,
}

impl Unit {
    /// Every unit with its word.
    pub const ALL: [(Unit, &'static str); 7] = [
        (Unit::Inch, "in"),
        (Unit::Centimetre, "cm"),
        (Unit::Millimetre, "mm"),
        (Unit::GramPerSquareMetre, "g/m2"),
        (Unit::OuncePerSquareYard, "oz/yd2"),
        (Unit::PerInch, "1/in"),
        (Unit::PerCentimetre, "1/cm"),
    ];

    /// Reads the word.
    pub fn parse(word: &str) -> Option<Unit> {
        Unit::ALL.iter().find(|(_, name)| *name == word).map(|(unit, _)| *unit)
    }

    /// Finds a unit by its word or by what people write for it.
    pub fn named(word: &str) -> Option<Unit> {
        let word = word.trim().trim_end_matches('.').to_lowercase();
        match word.as_str() {
            "inch" | "inches" | "\"" | "″" | "”" | "''" => Some(Unit::Inch),
            "centimetre" | "centimetres" | "centimeter" | "centimeters" => Some(Unit::Centimetre),
            "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some(Unit::Millimetre),
            other => Unit::parse(other),
        }
    }

    /// The word.
    pub fn word(self) -> &'static str {
        Unit::ALL.iter().find(|(unit, _)| *unit == self).map_or("", |(_, word)| word)
    }

    /// The units of what it measures, by their words.
    pub fn alike(self) -> Vec<&'static str> {
        Unit::ALL.iter().filter(|(unit, _)| unit.dimension().0 == self.dimension().0).map(|(_, word)| *word).collect()
    }

    /// Converts a value of this unit into another; `None` if they measure different things.
    pub fn convert(self, value: f64, to: Unit) -> Option<f64> {
        if self == to {
            return Some(value);
        }
        let ((one, scale), (other, to_scale)) = (self.dimension(), to.dimension());
        (one == other).then(|| value * scale / to_scale)
    }

    /// The dimension (0 length, 1 weight of cloth, 2 density of stitches), and this unit in mm, g/m² or stitches for
    /// each mm.
    fn dimension(self) -> (u8, f64) {
        match self {
            Unit::Inch => (0, 25.4),
            Unit::Centimetre => (0, 10.0),
            Unit::Millimetre => (0, 1.0),
            Unit::GramPerSquareMetre => (1, 1.0),
            // Avoirdupois ounce 28.349523125 g, yard 0.9144 m, both exact since 1959.
            Unit::OuncePerSquareYard => (1, 28.349_523_125 / (0.9144 * 0.9144)),
            Unit::PerInch => (2, 1.0 / 25.4),
            Unit::PerCentimetre => (2, 0.1),
        }
    }
}

/// How often a part is replaced in a garment's life.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Replaceable {
    /// Never, or with the garment.
    No,
    /// Now and then.
    #[default]
    Sometimes,
    /// Commonly.
    Often,
}
