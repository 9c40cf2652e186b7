//! A model's page: all its variants side by side, when each was made and what was seen of each.

use serde::Serialize;

use crate::explain;
use crate::page::PageError;
use crate::publish::claims::{self, ClaimView};
use crate::publish::comparison;
use crate::publish::leaf::{Frame, Leaf, Link, name, spaced};
use crate::publish::reasons::{self, EraView};
use crate::publish::seen;
use crate::publish::states::{self, StateView};
use crate::publish::strips::{self, Chart};
use crate::publish::{Context, OutputFile, Publisher, moved, path};
use crate::reason::evidence::{self, Evidence};
use crate::record::Content;
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::vocabulary::Feature;

/// Writes the models' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "model",
    description: "a page for each model, with all its variants side by side",
    owns: &["makers/*/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    garment: String,
    body: String,
    era: EraView,
    chart: Option<Chart>,
    variants: Vec<Column>,
    zones: Vec<Zone>,
    comparisons: Vec<Link>,
    states: Vec<StateView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

#[derive(Serialize)]
struct Column {
    variant: Link,
    line: String,
    wearer: &'static str,
    era: EraView,
}

#[derive(Serialize)]
struct Zone {
    name: String,
    rows: Vec<FeatureRow>,
}

#[derive(Serialize)]
struct FeatureRow {
    anchor: String,
    name: String,
    look: String,
    defining: bool,
    cells: Vec<Cell>,
}

#[derive(Serialize)]
struct Cell {
    examined: usize,
    lines: Vec<String>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.keys();
    let pages = models.map(|id| OutputFile::new(format!("makers/{id}.html"), move || page(context, id)));
    pages.chain(moved::pages(context, moved::Kind::Model)).collect()
}

fn page(context: &Context<'_>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let whole = Whole::Model(id.clone());
    let leaf = Leaf::new(context, path::thing(&Thing::of(whole.clone())));
    let missing = || PageError(format!("no record of the model {id}"));
    let entry = leaf.catalog().models.get(id).ok_or_else(missing)?;
    let record = leaf.catalog().record(entry.record);
    let Content::Model(model) = &record.content else { return Err(missing()) };
    let maker = leaf.thing(&Thing::of(Whole::Maker(id.maker())));
    let view = View {
        frame: leaf.frame(name(record), vec![maker]),
        caution: explain::CAUTION,
        name: model.name.clone(),
        garment: model.garment.value.clone(),
        body: leaf.prose(record),
        era: reasons::era(&leaf, context.knowledge.eras.get(&Thing::of(whole.clone()))),
        chart: strips::chart(&leaf, &entry.variants),
        variants: entry.variants.iter().filter_map(|variant| column(&leaf, variant)).collect(),
        zones: zones(&leaf, &entry.variants),
        comparisons: comparison::links(&leaf, id, None),
        states: states::of(&leaf, &whole),
        claims: claims::written_in(&leaf, entry.record),
        said_elsewhere: claims::about(&leaf, &whole, entry.record),
    };
    leaf.render("model.html", &view)
}

fn column(leaf: &Leaf<'_>, id: &VariantId) -> Option<Column> {
    let record = leaf.catalog().record(leaf.catalog().variants.get(id)?.record);
    let Content::Variant(variant) = &record.content else { return None };
    Some(Column {
        variant: leaf.thing(&Thing::of(Whole::Variant(id.clone()))).named(variant.name.clone()),
        line: strips::line(leaf, id).0,
        wearer: variant.wearer.word(),
        era: reasons::era(leaf, strips::era(leaf, id)),
    })
}

/// The features that were examined on any of the variants, by the part of the garment, in the vocabulary's order.
fn zones(leaf: &Leaf<'_>, variants: &[VariantId]) -> Vec<Zone> {
    let evidence: Vec<_> = variants.iter().map(|variant| evidence::of(leaf.context.knowledge, variant)).collect();
    let mut zones: Vec<Zone> = Vec::new();
    for feature in leaf.catalog().vocabulary.iter() {
        let row = row(feature, &evidence);
        if row.cells.iter().all(|cell| cell.examined == 0) {
            continue;
        }
        let name = feature.zone.as_deref().map_or_else(|| "elsewhere".to_string(), spaced);
        match zones.iter_mut().find(|zone| zone.name == name) {
            Some(zone) => zone.rows.push(row),
            None => zones.push(Zone { name, rows: vec![row] }),
        }
    }
    zones
}

fn row(feature: &Feature, evidence: &[Evidence<'_>]) -> FeatureRow {
    let cells = evidence.iter().map(|evidence| match seen::tally(evidence, feature) {
        Some(tally) => Cell { examined: tally.examined, lines: tally.lines },
        None => Cell { examined: 0, lines: Vec::new() },
    });
    FeatureRow {
        anchor: format!("feature-{}", feature.id),
        name: feature.name.clone(),
        look: feature.look.clone(),
        defining: feature.defining,
        cells: cells.collect(),
    }
}
