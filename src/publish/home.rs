//! The first page: what the knowledge base is, the makers with their models and eras, and what is open.

use serde::Serialize;

use crate::explain;
use crate::page::PageError;
use crate::publish::chart::Scale;
use crate::publish::leaf::{Frame, Leaf, Link};
use crate::publish::strips::{self, Chart};
use crate::publish::{Context, OutputFile, Publisher, open};
use crate::record::Content;
use crate::record::id::{MakerId, ModelId, Thing, Whole};

/// Writes the first page.
pub const PUBLISHER: Publisher = Publisher {
    name: "home",
    description: "the first page: makers, models and their eras, and what is open",
    owns: &["index.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    summary: String,
    body: String,
    makers: Vec<MakerView>,
    open: open::Questions,
    counts: Counts,
}

#[derive(Serialize)]
struct MakerView {
    maker: Link,
    models: Vec<ModelView>,
}

#[derive(Serialize)]
struct ModelView {
    model: Link,
    garment: String,
    chart: Option<Chart>,
    variants: Vec<Link>,
}

#[derive(Serialize)]
struct Counts {
    makers: usize,
    models: usize,
    variants: usize,
    garments: usize,
    observations: usize,
    sources: usize,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("index.html", move || page(context))]
}

fn page(context: &Context<'_>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "index.html");
    let catalog = leaf.catalog();
    let about = catalog.records.iter().find(|record| matches!(record.content, Content::About(_)));
    let scale = strips::scale(&leaf, catalog.variants.keys());
    let view = View {
        frame: leaf.frame("", Vec::new()),
        caution: explain::CAUTION,
        summary: catalog.about.summary.clone(),
        body: about.map_or_else(String::new, |record| leaf.prose(record)),
        makers: catalog.makers.keys().map(|id| maker(&leaf, id, scale)).collect(),
        open: open::questions(&leaf),
        counts: counts(&leaf),
    };
    leaf.render("home.html", &view)
}

fn maker(leaf: &Leaf<'_>, id: &MakerId, scale: Option<Scale>) -> MakerView {
    let models = leaf.catalog().makers.get(id).map_or(&[][..], |entry| entry.models.as_slice());
    MakerView {
        maker: leaf.thing(&Thing::of(Whole::Maker(id.clone()))),
        models: models.iter().filter_map(|model| model_view(leaf, model, scale)).collect(),
    }
}

fn model_view(leaf: &Leaf<'_>, id: &ModelId, scale: Option<Scale>) -> Option<ModelView> {
    let entry = leaf.catalog().models.get(id)?;
    let Content::Model(model) = &leaf.catalog().record(entry.record).content else { return None };
    let variants = entry.variants.iter();
    Some(ModelView {
        model: leaf.thing(&Thing::of(Whole::Model(id.clone()))),
        garment: model.garment.value.clone(),
        chart: scale.map(|scale| strips::on_scale(leaf, &entry.variants, scale)),
        variants: variants.map(|variant| leaf.thing(&Thing::of(Whole::Variant(variant.clone())))).collect(),
    })
}

fn counts(leaf: &Leaf<'_>) -> Counts {
    let catalog = leaf.catalog();
    let observations = catalog.records.iter().filter(|record| matches!(record.content, Content::Observation(_)));
    Counts {
        makers: catalog.makers.len(),
        models: catalog.models.len(),
        variants: catalog.variants.len(),
        garments: catalog.garments.len(),
        observations: observations.count(),
        sources: catalog.cited.len(),
    }
}
