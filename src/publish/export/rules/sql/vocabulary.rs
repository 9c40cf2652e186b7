//! The vocabulary as tables: features, the garments they are found on, and the columns of their readings.

use crate::publish::export::rules::sql::{Rows, Table};
use crate::publish::export::rules::vocabulary::kind;
use crate::view::context::Context;
use crate::vocabulary::Feature;

/// Features with their kinds.
pub const FEATURES: Table =
    Table { name: "features", summary: "features with their kinds", columns: &["feature", "kind"], rows: features };

/// The kinds of garment that have each feature.
pub const GARMENT_TYPES: Table = Table {
    name: "garment_types",
    summary: "which kinds of garment have each feature",
    columns: &["feature", "garment_type"],
    rows: garment_types,
};

/// The columns of tables.
pub const COLUMNS: Table = Table {
    name: "columns",
    summary: "which values have a column in a table",
    columns: &["feature", "state"],
    rows: columns,
};

/// Where bands are cut.
pub const BANDS: Table = Table {
    name: "bands",
    summary: "where bands of numbers and measures are cut",
    columns: &["feature", "edge"],
    rows: bands,
};

fn features<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let features = context.knowledge.catalog.vocabulary.current();
    Box::new(features.map(|feature| vec![feature.id.to_string(), kind(&feature.kind).to_string()]))
}

fn garment_types<'a>(context: &'a Context<'a>) -> Rows<'a> {
    each(context, |feature| feature.garments.clone())
}

fn bands<'a>(context: &'a Context<'a>) -> Rows<'a> {
    each(context, |feature| feature.bands.iter().map(ToString::to_string).collect())
}

fn columns<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let pooled = context.analysis.tables().pool.iter();
    Box::new(pooled.flat_map(|(feature, pooled)| {
        pooled.columns.iter().map(move |column| vec![feature.to_string(), column.clone()])
    }))
}

/// A row for each of the texts that each feature has.
fn each<'a>(context: &'a Context<'a>, texts: fn(&Feature) -> Vec<String>) -> Rows<'a> {
    let features = context.knowledge.catalog.vocabulary.current();
    Box::new(
        features
            .flat_map(move |feature| texts(feature).into_iter().map(move |text| vec![feature.id.to_string(), text])),
    )
}
