//! Rows of an era chart: each variant with its strip and the dated garments and documents under it.

use serde::Serialize;

use crate::chronology::voice;
use crate::date::Day;
use crate::explain;
use crate::knowledge::{Era, Side};
use crate::record::Content;
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::observation::Basis;
use crate::resolve::RecordIndex;
use crate::view::chart::{End, Mark, Scale, Shape};
use crate::view::leaf::{self, Leaf, Link};
use crate::view::path;
use crate::view::reasons;

/// The most garments whose marks are links; with more, no mark is a link.
const LED: usize = 60;

/// A chart: a scale of years and a strip for each variant under it.
#[derive(Debug, Serialize)]
pub struct Chart {
    ruler: String,
    rows: Vec<Row>,
    is_single: bool,
}

#[derive(Debug, Serialize)]
struct Row {
    variant: Link,
    line: String,
    sign: Option<String>,
    wearer: &'static str,
    strip: String,
    words: String,
    none_sure: bool,
    garments: usize,
    documents: usize,
}

/// Draws variants on a scale of their own; nothing where none of them has a date.
pub fn chart(leaf: &Leaf<'_>, variants: &[VariantId]) -> Option<Chart> {
    Some(on_scale(leaf, variants, scale(leaf, variants.iter())?))
}

/// Draws variants of several models on a scale of their own, each under its full name.
pub fn chart_over_models(leaf: &Leaf<'_>, variants: &[VariantId]) -> Option<Chart> {
    let mut chart = chart(leaf, variants)?;
    for (row, variant) in chart.rows.iter_mut().zip(variants) {
        row.variant = leaf.thing(&Thing::of(Whole::Variant(variant.clone())));
    }
    chart.is_single = false;
    Some(chart)
}

/// Draws variants on a scale that others share.
pub fn on_scale(leaf: &Leaf<'_>, variants: &[VariantId], scale: Scale) -> Chart {
    let rows = variants.iter().filter_map(|variant| {
        let strip = scale.strip(era(leaf, variant), &marks(leaf, variant), &ends(leaf, variant));
        row(leaf, variant, strip)
    });
    Chart { ruler: scale.ruler(), rows: rows.collect(), is_single: variants.len() == 1 }
}

/// Gives the scale that holds all of the variants.
pub fn scale<'a>(leaf: &Leaf<'_>, variants: impl Iterator<Item = &'a VariantId> + Clone) -> Option<Scale> {
    let marks: Vec<Mark> = variants.clone().flat_map(|variant| marks(leaf, variant)).collect();
    Scale::new(variants.filter_map(|variant| era(leaf, variant)), &marks)
}

/// The era of a variant.
pub fn era<'a>(leaf: &Leaf<'a>, variant: &VariantId) -> Option<&'a Era> {
    leaf.context.knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone())))
}

fn row(leaf: &Leaf<'_>, variant: &VariantId, strip: String) -> Option<Row> {
    let catalog = leaf.catalog();
    let entry = catalog.variants.get(variant)?;
    let Content::Variant(record) = &catalog.record(entry.record).content else { return None };
    let era = era(leaf, variant);
    let (line, sign) = line(leaf, variant);
    let documents = entry.observations.iter().filter(|index| basis(leaf, **index) == Some(Basis::Document)).count();
    Some(Row {
        variant: leaf.thing(&Thing::of(Whole::Variant(variant.clone()))).named(record.name.clone()),
        line,
        sign,
        wearer: record.wearer.word(),
        strip,
        words: era.map_or_else(|| "has no known dates".to_string(), explain::made),
        none_sure: era.is_some_and(|era| !era.is_open() && era.surely_made().is_none()),
        garments: leaf.context.index.garments_of(variant).len(),
        documents,
    })
}

fn basis(leaf: &Leaf<'_>, index: RecordIndex) -> Option<Basis> {
    leaf.catalog().record(index).content.observation().map(|observation| observation.basis.value)
}

/// The name of a variant's label line, and how to recognize its label.
pub fn line(leaf: &Leaf<'_>, variant: &VariantId) -> (String, Option<String>) {
    let catalog = leaf.catalog();
    let entry = catalog.variants.get(variant);
    let Some(id) = entry.and_then(|entry| entry.line.as_ref()) else { return ("unknown line".to_string(), None) };
    let line = catalog.line(id);
    line.map_or_else(|| (leaf::spaced(id.line()), None), |line| (line.name.clone(), line.sign.clone()))
}

/// The garments and documents of a variant whose dates are near enough to be drawn.
pub fn marks(leaf: &Leaf<'_>, variant: &VariantId) -> Vec<Mark> {
    let (knowledge, catalog) = (leaf.context.knowledge, leaf.catalog());
    let garments = leaf.context.index.garments_of(variant);
    let mut marks: Vec<(Mark, RecordIndex)> = garments
        .iter()
        .filter_map(|garment| {
            let mark = Mark::new(Shape::Garment, *knowledge.made.get(garment)?)?;
            Some((mark, *catalog.garment(*garment).observations.first()?))
        })
        .collect();
    let observations = catalog.variants.get(variant).map_or(&[][..], |entry| entry.observations.as_slice());
    let documents = observations.iter().filter(|index| !catalog.withheld.contains(index));
    let documents = documents.filter(|index| basis(leaf, **index) == Some(Basis::Document));
    marks.extend(
        documents
            .filter_map(|index| Some((Mark::new(Shape::Document, voice::document_span(catalog, *index)?)?, *index))),
    );
    // A comparison links each garment below its chart, and many links make a page heavy.
    let are_led = marks.len() <= LED && !leaf.path.starts_with("compare/");
    let lead = |(mark, index): (Mark, RecordIndex)| if are_led { mark.leading(leaf.observation(index)) } else { mark };
    marks.into_iter().map(lead).collect()
}

/// The bounds of a variant's era, each with its chain.
fn ends(leaf: &Leaf<'_>, variant: &VariantId) -> Vec<End> {
    let page = path::thing(&Thing::of(Whole::Variant(variant.clone())));
    let bounds = Side::ALL.iter().filter_map(|(side, _)| Some((*side, era(leaf, variant)?.bound(*side)?.day)));
    let end = |(side, day): (Side, Day)| {
        let to = format!("{page}#{}", reasons::bound_anchor(side));
        End { day, link: leaf.link(reasons::bound_words(side, day), &to) }
    };
    bounds.map(end).collect()
}
