//! The changeovers that speak for the years of a garment in hand: it shows the state before one, or the state after it.
//!
//! They change no number of the answer, whose likelihoods already contain the same garments. `site/assets/speaking.js`
//! says the same in a browser.

use std::collections::BTreeSet;

use crate::changeover::{Change, History, Kind, Word};
use crate::dating::answer::garment::Garment;
use crate::dating::answer::{self, Answer};
use crate::explain::dating as words;
use crate::explain::{card, changes, lines};
use crate::knowledge::Knowledge;
use crate::record::id::{VariantId, Whole};
use crate::resolve::Catalog;

/// A change that a garment lies on one side of.
#[derive(Clone, Debug)]
pub struct Speaking {
    /// The feature's history, of the variant, its model or its line.
    pub history: History,
    /// Which of its changes, counted from 0.
    pub number: usize,
    /// The side on which the garment lies.
    pub side: Side,
}

/// A side of a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The garment shows what was seen most before it.
    Before,
    /// The garment shows what was seen most after it.
    After,
}

impl Side {
    /// The word of it.
    pub fn word(self) -> &'static str {
        match self {
            Side::Before => "before",
            Side::After => "after",
        }
    }
}

impl Speaking {
    /// The change.
    pub fn change(&self) -> &Change {
        &self.history.changes[self.number]
    }
}

/// Finds the changes for a garment: of each variant that the card names, the nearest history of what it shows.
///
/// If no maker is known, no variant is named and there is no change.
pub fn of<H>(knowledge: &Knowledge, histories: H, garment: &Garment, answer: &Answer) -> Vec<Speaking>
where
    H: Fn(&Whole) -> Vec<History>,
{
    if answer.is_contradiction || !garment.known.has_maker() {
        return Vec::new();
    }
    let mut found: Vec<Speaking> = Vec::new();
    for (variant, _) in card::named(&answer.variants) {
        let wholes: Vec<Vec<History>> = wholes(&knowledge.catalog, variant).iter().map(&histories).collect();
        for (feature, value) in &garment.features {
            let mut own =
                wholes.iter().flatten().filter(|history| history.feature == *feature && history.word.is_change());
            let Some(history) = own.next() else { continue };
            found.extend(sides(history, &answer::text(value)));
        }
    }
    let mut seen = BTreeSet::new();
    found.retain(|one| seen.insert((one.history.thing.clone(), one.history.feature.clone(), one.number)));
    found
}

/// A variant, its model and its line: the nearest that has a change is asked.
fn wholes(catalog: &Catalog, variant: &VariantId) -> Vec<Whole> {
    let line = catalog.variants.get(variant).and_then(|entry| entry.line.clone());
    let near = [Whole::Variant(variant.clone()), Whole::Model(variant.model())];
    near.into_iter().chain(line.map(Whole::Line)).collect()
}

fn sides(history: &History, shown: &str) -> Vec<Speaking> {
    let of = |number: usize| {
        let change = &history.changes[number];
        let is = |state: &Option<ecow::EcoString>| state.as_deref() == Some(shown);
        let side = if is(&change.before.state) {
            Side::Before
        } else if is(&change.after.state) {
            Side::After
        } else {
            return None;
        };
        Some(Speaking { history: history.clone(), number, side })
    };
    let is_real = |number: &usize| history.changes[*number].kind == Kind::Real;
    (0..history.changes.len()).filter(is_real).filter_map(of).collect()
}

/// Says which change it is, of what, and on which side of it the garment lies.
pub fn sentence(knowledge: &Knowledge, one: &Speaking) -> String {
    let catalog = &knowledge.catalog;
    let Speaking { history, side, .. } = one;
    let change = one.change();
    let feature = catalog.vocabulary.feature(history.feature.as_str());
    let name = feature.map_or(history.feature.as_str(), |feature| feature.name.as_str());
    let perhaps = if history.word == Word::MayHaveChanged { "perhaps " } else { "" };
    format!(
        "{name}: {perhaps}{} {} ({}); this one shows the state usual {} it.",
        changes::years(change.span),
        changes::gives_way(catalog, &history.feature, change),
        thing(knowledge, &history.thing),
        side.word()
    )
}

/// The names of a maker and of its line or model, or of model and variant.
fn thing(knowledge: &Knowledge, whole: &Whole) -> String {
    let catalog = &knowledge.catalog;
    match whole {
        Whole::Variant(variant) => words::name(knowledge, variant),
        Whole::Model(model) => {
            let of = catalog.maker(&model.maker()).map_or(String::new(), |maker| format!("{}, ", maker.name));
            of + &lines::model_name(catalog, model)
        }
        Whole::Line(line) => catalog.maker(&line.maker()).map_or(line.to_string(), |maker| {
            format!("{}, {}", maker.name, catalog.line(line).map_or(line.line(), |line| &line.name))
        }),
        Whole::Maker(_) => whole.as_str().to_string(),
    }
}
