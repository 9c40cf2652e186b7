//! The garments without a known variant, each with its answer.
//!
//! They are not evidence; the answer is the one that *Garment in hand* gives for the same readings.

use std::fmt::Write;

use serde::Serialize;

use crate::dating::answer::garment::{Garment, Known};
use crate::dating::answer::{Dating, text};
use crate::explain::card;
use crate::explain::dating as words;
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::observation::{Observation, Placement, Unplaced, Value};
use crate::resolve::RecordIndex;
use crate::view::leaf::{Leaf, Link};

/// How many variants are named, and from what share on.
const NAMED: usize = 3;
const WORTHWHILE: f64 = 0.005;

/// A garment with its answer.
#[derive(Debug, Serialize)]
pub struct Answered {
    entry: Link,
    bounds: Vec<String>,
    contradicts: bool,
    years: Option<String>,
    nearest: Vec<Likely>,
    /// Whether its maker is known: else the variants are only the nearest.
    has_maker: bool,
    unlike: bool,
    hand: String,
}

#[derive(Debug, Serialize)]
struct Likely {
    variant: Link,
    percent: u32,
}

/// Dates all of them, in order of path.
pub fn all(leaf: &Leaf<'_>) -> Vec<Answered> {
    let unplaced = &leaf.catalog().unplaced;
    if unplaced.is_empty() {
        return Vec::new();
    }
    let dating = Dating::new(leaf.context.knowledge, leaf.context.analysis.tables());
    unplaced.iter().filter_map(|index| answered(leaf, &dating, *index)).collect()
}

fn answered(leaf: &Leaf<'_>, dating: &Dating<'_>, index: RecordIndex) -> Option<Answered> {
    let knowledge = leaf.context.knowledge;
    let observation = leaf.catalog().record(index).content.observation()?;
    let Placement::Unplaced(known) = &observation.placement else { return None };
    let garment = garment(observation, known);
    let answer = dating.answer_without_advice(&garment);
    let worthwhile = answer.variants.iter().filter(|(_, probability)| *probability >= WORTHWHILE).take(NAMED);
    let likely = |(variant, probability): &(VariantId, f64)| Likely {
        variant: leaf.thing(&Thing::of(Whole::Variant(variant.clone()))).named(words::name(knowledge, variant)),
        percent: words::percent(*probability),
    };
    Some(Answered {
        entry: leaf.record(index),
        bounds: words::bounds(knowledge, &answer.hard),
        contradicts: answer.is_contradiction,
        years: answer.years.as_ref().map(card::years_of),
        nearest: worthwhile.map(likely).collect(),
        has_maker: garment.known.has_maker(),
        unlike: answer.is_unlike(),
        hand: format!("{}{}", leaf.href("in-hand.html"), fragment(&garment)),
    })
}

/// The readings that count: nothing altered, doubtful or lost.
fn garment(observation: &Observation, known: &Unplaced) -> Garment {
    let readings = observation
        .features
        .iter()
        .filter(|(_, reading)| !reading.altered && !reading.unsure && reading.value != Value::Lost);
    Garment {
        known: Known {
            maker: known.maker.as_ref().map(|maker| maker.value.clone()),
            model: known.model.as_ref().map(|model| model.value.clone()),
            line: known.line.as_ref().map(|line| line.value.clone()),
            wearer: known.wearer,
            variant: None,
        },
        market: observation.market().map(str::to_string),
        in_hand: observation.observed.as_ref().map(|day| day.value),
        features: readings.map(|(feature, reading)| (feature.clone(), reading.value.clone())).collect(),
    }
}

/// The part of an address that *Garment in hand* keeps its answers in.
fn fragment(garment: &Garment) -> String {
    let known = &garment.known;
    let facts = [
        ("maker", known.maker.as_ref().map(ToString::to_string)),
        ("model", known.model.as_ref().map(ToString::to_string)),
        ("line", known.line.as_ref().map(ToString::to_string)),
        ("wearer", known.wearer.map(|wearer| wearer.word().to_string())),
        ("market", garment.market.clone()),
    ];
    let facts = facts.into_iter().filter_map(|(name, value)| Some((name.to_string(), value?)));
    let seen = garment.features.iter().map(|(feature, value)| (feature.to_string(), value_text(value)));
    let parts: Vec<String> = facts.chain(seen).map(|(name, value)| format!("{name}={}", escaped(&value))).collect();
    if parts.is_empty() { String::new() } else { format!("#{}", parts.join("&")) }
}

/// A value as the page reads it; one without a word in the vocabulary becomes `other`.
fn value_text(value: &Value) -> String {
    match value {
        Value::Other(_) => "other".to_string(),
        value => text(value),
    }
}

/// Percent-encodes characters that have a meaning in an address (RFC 3986, 2.1).
fn escaped(text: &str) -> String {
    text.bytes().fold(String::new(), |mut escaped, byte| {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            escaped.push(char::from(byte));
        } else {
            write!(escaped, "%{byte:02X}").expect("text takes all that is written to it");
        }
        escaped
    })
}
