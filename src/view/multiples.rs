//! The counts of a feature in each model on two lines or wearers, as small multiples: a row of dots
//! for each of the two, and the model's own difference.
//!
//! Every dot links to its garment. The verdicts are the comparison's.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::comparison::lines::LineFeature;
use crate::comparison::lines::group::{Counted, Shared};
use crate::comparison::lines::models::Stance;
use crate::explain::comparison::spread;
use crate::explain::lines as words;
use crate::record::id::{ModelId, Thing, Whole};
use crate::statistics::rank::Sample;
use crate::view::dots::{self, Dot, Room};
use crate::view::leaf::Leaf;
use crate::view::leaf::Link;
use crate::vocabulary::{Feature, Kind};

/// A feature of two lines or wearers, model by model.
#[derive(Debug, Serialize)]
pub struct Multiples {
    /// The meaning of a filled and of an empty dot; the second is empty if there is only one kind
    /// of dot.
    key: [String; 2],
    models: Vec<ModelView>,
}

/// One model.
#[derive(Debug, Serialize)]
struct ModelView {
    model: Link,
    /// The garments of the first and of the second.
    rows: [Row; 2],
    /// How it relates to the others: `agrees`, `goes the other way`.
    stance: &'static str,
    is_against: bool,
}

/// The garments of one line or wearer in one model.
#[derive(Debug, Serialize)]
struct Row {
    filled: Vec<Dot>,
    empty: Vec<Dot>,
    more: usize,
    count: String,
}

/// Draws every model that was counted on both.
pub fn of(leaf: &Leaf<'_>, found: &LineFeature, shared: &Shared<'_>, room: &mut Room) -> Multiples {
    let filled = filled_states(found, shared);
    let sides = Sides { leaf, feature: shared.feature, filled: &filled };
    let models = shared.models().into_iter().map(|model| sides.model(found, shared, model, room));
    Multiples { models: models.collect(), key: sides.key(shared) }
}

/// The states that are drawn as filled dots: those that speak for the first, or the one seen most.
fn filled_states(found: &LineFeature, shared: &Shared<'_>) -> BTreeSet<String> {
    if !found.compared.crude.group.is_empty() {
        return found.compared.crude.group.clone();
    }
    let typical = found.typical.iter().flatten().next().map(ToString::to_string);
    typical.or_else(|| states(shared).into_iter().next()).into_iter().collect()
}

fn states(shared: &Shared<'_>) -> BTreeSet<String> {
    let all = shared.settings.iter().flat_map(|setting| setting.a.iter().chain(&setting.b));
    all.filter_map(|counted| counted.item.seen.state().map(str::to_string)).collect()
}

/// Draws the dots of a feature.
struct Sides<'s, 'a> {
    leaf: &'s Leaf<'a>,
    feature: &'s Feature,
    filled: &'s BTreeSet<String>,
}

impl Sides<'_, '_> {
    fn key(&self, shared: &Shared<'_>) -> [String; 2] {
        if let Kind::Measure(measure) = &self.feature.kind {
            return [format!("one measured, in {}, smallest first", measure.unit.word()), String::new()];
        }
        let seen = states(shared);
        let labels = |is_filled: bool| -> String {
            let own = seen.iter().filter(|state| self.filled.contains(*state) == is_filled);
            own.map(|state| self.feature.label(state)).collect::<Vec<String>>().join("; ")
        };
        [labels(true), labels(false)]
    }

    fn model(&self, found: &LineFeature, shared: &Shared<'_>, id: &ModelId, room: &mut Room) -> ModelView {
        let settings = || shared.settings.iter().filter(|setting| setting.setting.model == *id);
        let a: Vec<Counted<'_>> = settings().flat_map(|setting| setting.a.iter().copied()).collect();
        let b: Vec<Counted<'_>> = settings().flat_map(|setting| setting.b.iter().copied()).collect();
        let voice = found.models.0.iter().find(|voice| voice.model == *id);
        ModelView {
            model: self.leaf.thing(&Thing::of(Whole::Model(id.clone()))),
            rows: [self.row(a, room), self.row(b, room)],
            stance: voice.map_or("too few to say by itself", words::stance),
            is_against: voice.is_some_and(|voice| voice.stance == Stance::Against),
        }
    }

    fn row(&self, mut counted: Vec<Counted<'_>>, room: &mut Room) -> Row {
        let measure = |counted: &Counted<'_>| counted.item.seen.measure().unwrap_or(0.0);
        counted.sort_by(|one, other| measure(one).total_cmp(&measure(other)));
        let (filled, empty): (Vec<Counted<'_>>, Vec<Counted<'_>>) =
            counted.iter().copied().partition(|counted| self.is_filled(counted));
        let count = self.count(&counted, filled.len());
        let taken = room.take(counted.len());
        let from_filled = taken.min(filled.len());
        let mut dots = |counted: &[Counted<'_>], taken: usize| -> Vec<Dot> {
            let dots = counted.iter().take(taken).filter_map(|one| {
                let dot = dots::dot(self.leaf, one.evidence, self.feature, one.item, room)?;
                Some(dot.showing(one.item.seen.state().map(|state| self.feature.label(state))))
            });
            dots.collect()
        };
        let (filled, empty) = (dots(&filled, from_filled), dots(&empty, taken - from_filled));
        Row { filled, empty, more: counted.len() - taken, count }
    }

    fn is_filled(&self, counted: &Counted<'_>) -> bool {
        counted.item.seen.state().is_none_or(|state| self.filled.contains(state))
    }

    /// Writes how many are filled, or the range of a measure.
    fn count(&self, counted: &[Counted<'_>], filled: usize) -> String {
        let measures = counted.iter().filter_map(|counted| counted.item.seen.measure()).collect();
        match (Sample::new(measures), &self.feature.kind) {
            (Some(sample), Kind::Measure(measure)) => spread(&sample, measure.unit),
            _ => format!("{filled} of {}", counted.len()),
        }
    }
}
