//! Models and variants as tables: their names, when they were likely made, how far their tables are trusted.

use crate::dating::likelihood::{VariantTables, years};
use crate::publish::export::rules::sql::{Rows, Table, decades, one_or_zero, optional};
use crate::record::Content;
use crate::record::id::VariantId;
use crate::view::context::Context;

/// The years that are considered.
pub const YEARS: Table = Table {
    name: "years",
    summary: "the years that are considered, with their decades",
    columns: &["year", "decade"],
    rows: all_years,
};

/// Models with their tempers.
pub const MODELS: Table = Table {
    name: "models",
    summary: "models with their tempers",
    columns: &["model", "garment_type", "counted", "temper"],
    rows: models,
};

/// The features that garments of models were examined for.
pub const EXAMINED: Table = Table {
    name: "examined",
    summary: "which features were examined on garments of models",
    columns: &["model", "feature"],
    rows: examined,
};

/// Variants with what a garment may be known to be.
pub const VARIANTS: Table = Table {
    name: "variants",
    summary: "variants with what a garment may be known to be",
    columns: &["variant", "number", "model", "maker", "line", "wearer", "bounded"],
    rows: variants,
};

/// The production weight of each year.
pub const WEIGHTS: Table = Table {
    name: "weights",
    summary: "the prior probability of each year for each variant",
    columns: &["variant", "decade", "y0", "y1", "y2", "y3", "y4", "y5", "y6", "y7", "y8", "y9"],
    rows: weights,
};

fn all_years<'a>(_: &'a Context<'a>) -> Rows<'a> {
    Box::new(years::all().map(|year| vec![year.to_string(), decades::of(year).to_string()]))
}

fn models<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let models = context.analysis.tables().models.iter();
    Box::new(models.map(|(id, model)| {
        vec![id.to_string(), model.garment.clone(), one_or_zero(model.is_counted), model.choice.temper.to_string()]
    }))
}

fn examined<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let models = context.analysis.tables().models.iter();
    Box::new(
        models.flat_map(|(id, model)| {
            model.examined.iter().map(move |feature| vec![id.to_string(), feature.to_string()])
        }),
    )
}

/// Every variant with its number and its tables, sorted by model and id.
pub fn numbered<'a>(context: &'a Context<'a>) -> impl Iterator<Item = (usize, &'a VariantId, &'a VariantTables)> {
    let variants = context.analysis.tables().models.values().flat_map(|model| &model.variants);
    variants.enumerate().map(|(number, (id, tables))| (number, id, tables))
}

fn variants<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let catalog = &context.knowledge.catalog;
    Box::new(numbered(context).map(|(number, id, tables)| {
        let entry = catalog.variants.get(id);
        let wearer = entry.and_then(|entry| match &catalog.record(entry.record).content {
            Content::Variant(variant) => Some(variant.wearer.word()),
            _ => None,
        });
        let line = entry.and_then(|entry| entry.line.as_ref());
        vec![
            id.to_string(),
            number.to_string(),
            id.model().to_string(),
            id.maker().to_string(),
            optional(line),
            optional(wearer),
            one_or_zero(tables.is_bounded),
        ]
    }))
}

fn weights<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(numbered(context).flat_map(|(number, _, tables)| decades::rows(number, &tables.weights)))
}
