//! All models at a glance: a strip for each on one scale of years, by maker.
//!
//! The strip of a model is its own era; those of its variants, with garments and documents, are on its page.

use serde::Serialize;

use crate::knowledge::Era;
use crate::record::Content;
use crate::record::id::{MakerId, ModelId, Thing, Whole, natural_order};
use crate::view::chart::{Mark, Scale};
use crate::view::leaf::{Leaf, Link};
use crate::view::line_pairs;

/// The most pairs of lines or wearers to name for each maker.
const PAIRS: usize = 2;

/// A maker with the strips of its models.
#[derive(Debug, Serialize)]
pub struct MakerView {
    maker: Link,
    /// Its lines and wearers two by two, as far as a first page has room.
    pairs: Vec<Link>,
    models: Vec<ModelView>,
}

#[derive(Debug, Serialize)]
struct ModelView {
    model: Link,
    garment: String,
    variants: usize,
    garments: usize,
    /// `None` if no model has a date.
    strip: Option<String>,
}

/// The scale that covers the eras of all models, and the given marks.
pub fn scale(leaf: &Leaf<'_>, marks: &[Mark]) -> Option<Scale> {
    Scale::new(leaf.catalog().models.keys().filter_map(|model| era(leaf, model)), marks)
}

/// All makers with their models.
pub fn makers(leaf: &Leaf<'_>, scale: Option<Scale>) -> Vec<MakerView> {
    leaf.catalog().makers.keys().map(|id| maker(leaf, id, scale)).collect()
}

/// Models in the order of their names, 2 before 10.
pub fn in_order(models: &[ModelId]) -> impl Iterator<Item = &ModelId> {
    let mut sorted: Vec<&ModelId> = models.iter().collect();
    sorted.sort_by(|one, other| natural_order(one.as_str(), other.as_str()));
    sorted.into_iter()
}

fn era<'a>(leaf: &Leaf<'a>, model: &ModelId) -> Option<&'a Era> {
    leaf.context.knowledge.eras.get(&Thing::of(Whole::Model(model.clone())))
}

fn maker(leaf: &Leaf<'_>, id: &MakerId, scale: Option<Scale>) -> MakerView {
    let models = leaf.catalog().makers.get(id).map_or(&[][..], |entry| entry.models.as_slice());
    MakerView {
        maker: leaf.thing(&Thing::of(Whole::Maker(id.clone()))),
        pairs: line_pairs::links(leaf, id).take(PAIRS).collect(),
        models: in_order(models).filter_map(|model| model_view(leaf, model, scale)).collect(),
    }
}

fn model_view(leaf: &Leaf<'_>, id: &ModelId, scale: Option<Scale>) -> Option<ModelView> {
    let entry = leaf.catalog().models.get(id)?;
    let Content::Model(model) = &leaf.catalog().record(entry.record).content else { return None };
    Some(ModelView {
        model: leaf.thing(&Thing::of(Whole::Model(id.clone()))),
        garment: model.garment.value.clone(),
        variants: entry.variants.len(),
        garments: entry.variants.iter().map(|variant| leaf.context.index.garments_of(variant).len()).sum(),
        strip: scale.map(|scale| scale.strip(era(leaf, id), &[], &[])),
    })
}
