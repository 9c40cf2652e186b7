//! Likelihoods as tables: cells of states, and the densities of measures by number.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::dating::likelihood::measure::MeasureTable;
use crate::dating::likelihood::{self, Cells, ModelTables};
use crate::publish::export::rules::sql::courses::{self, Course, Place};
use crate::publish::export::rules::sql::{Rows, Table, decades, models, one_or_zero, optional};
use crate::record::id::{FeatureId, ModelId};
use crate::statistics::student;
use crate::view::context::Context;

/// Cells of variants.
pub const CELLS: Table = Table {
    name: "cells",
    summary: "how far the likelihoods of states for variants are from those of their models",
    columns: &["variant", "feature", "state", "cell", "course"],
    rows: variant_cells,
};

/// Cells of models, which are the same in all years: without evidence, nothing ties a state to a time.
pub const MODEL_CELLS: Table = Table {
    name: "model_cells",
    summary: "likelihoods of states for models; those of variants are said relative to them",
    columns: &["model", "feature", "state", "cell"],
    rows: model_cells,
};

/// Densities of measures.
pub const MEASURES: Table = Table {
    name: "measures",
    summary: "densities of measures",
    columns: &[
        "density",
        "model",
        "feature",
        "degrees",
        "log2_constant",
        "slip",
        "width",
        "shrinks",
        "centre",
        "spread",
    ],
    rows: measures,
};

/// The readings garments need for densities to apply.
pub const STRATA: Table = Table {
    name: "strata",
    summary: "what garments must show for densities to apply to them",
    columns: &["density", "covariate", "state", "band"],
    rows: strata,
};

/// Centres and spreads of variants.
pub const CENTRES: Table = Table {
    name: "centres",
    summary: "centres and spreads of measures for variants, each with the years it holds in",
    columns: &["density", "variant", "course", "steady", "centre", "spread"],
    rows: centres,
};

/// The courses of cells and centres, which are numbered in this order.
pub const COURSES: Table = Table {
    name: "courses",
    summary: "how likelihoods differ in later years from the first one, by decades",
    columns: &["course", "decade", "y0", "y1", "y2", "y3", "y4", "y5", "y6", "y7", "y8", "y9"],
    rows: all_courses,
};

/// The cells of a state, with its feature.
#[derive(Clone, Copy)]
struct StateCells<'a> {
    feature: &'a FeatureId,
    /// The place of the state among the columns.
    column: usize,
    state: &'a str,
    /// A cell for each year.
    cells: &'a Cells,
}

fn columns<'a>(
    context: &'a Context<'a>,
    tables: &'a BTreeMap<FeatureId, Arc<likelihood::Table>>,
) -> impl Iterator<Item = StateCells<'a>> {
    tables.iter().flat_map(|(feature, table)| {
        let states = context.analysis.tables().pool.feature(feature).map_or(&[][..], |pooled| &pooled.columns);
        let columns = states.iter().zip(&table.columns).enumerate();
        columns.map(move |(column, (state, cells))| StateCells { feature, column, state: state.as_str(), cells })
    })
}

/// The variant that cells or places are of.
#[derive(Clone, Copy)]
struct Owner<'a> {
    number: usize,
    model: &'a ModelTables,
}

/// The cells of all variants that have their own.
fn cells<'a>(context: &'a Context<'a>) -> impl Iterator<Item = (Owner<'a>, StateCells<'a>)> {
    models::numbered(context).flat_map(move |(number, id, tables)| {
        let model = context.analysis.tables().models.get(&id.model());
        let owner = model.map(|model| Owner { number, model });
        owner.into_iter().flat_map(move |owner| columns(context, &tables.cells).map(move |cells| (owner, cells)))
    })
}

fn variant_cells<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(cells(context).enumerate().filter_map(|(course, (owner, cell))| {
        let table = owner.model.cells.get(cell.feature);
        let general = table.and_then(|table| table.columns.get(cell.column)?.first().copied()).unwrap_or(0);
        let has_course = courses::changes(&courses::of_cells(cell.cells));
        let difference = cell.cells[0] - general;
        (has_course || difference != 0).then(|| {
            vec![
                owner.number.to_string(),
                cell.feature.to_string(),
                cell.state.to_string(),
                difference.to_string(),
                optional(Some(course).filter(|_| has_course)),
            ]
        })
    }))
}

fn model_cells<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(context.analysis.tables().models.iter().flat_map(move |(id, model)| {
        columns(context, &model.cells).map(move |cell| {
            vec![id.to_string(), cell.feature.to_string(), cell.state.to_string(), cell.cells[0].to_string()]
        })
    }))
}

/// Every density with its number.
fn densities<'a>(
    context: &'a Context<'a>,
) -> impl Iterator<Item = (String, (&'a ModelId, &'a FeatureId, &'a MeasureTable))> {
    let models = context.analysis.tables().models.iter();
    let features = models.flat_map(|(id, model)| model.measures.iter().map(move |measure| (id, measure)));
    let tables = features.flat_map(|(id, (feature, tables))| tables.iter().map(move |table| (id, feature, table)));
    tables.enumerate().map(|(number, density)| (number.to_string(), density))
}

fn measures<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(densities(context).map(|(number, (model, feature, table))| {
        vec![
            number,
            model.to_string(),
            feature.to_string(),
            table.degrees.to_string(),
            student::log2_constant(table.degrees).to_string(),
            table.slip.to_string(),
            table.width.to_string(),
            one_or_zero(table.shrinks),
            table.general.0.to_string(),
            table.general.1.to_string(),
        ]
    }))
}

fn strata<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(densities(context).flat_map(|(number, (_, _, table))| {
        table.stratum.iter().map(move |(covariate, value)| {
            let (state, band) = value.strip_prefix("band ").map_or((value.as_str(), ""), |band| ("", band));
            vec![number.clone(), covariate.to_string(), state.to_string(), band.to_string()]
        })
    }))
}

/// The places of all measures of all variants that have their own, with the number of the density.
fn places<'a>(context: &'a Context<'a>) -> impl Iterator<Item = (PlaceOwner, Place, Course)> {
    let numbers: BTreeMap<_, _> = models::numbered(context).map(|(number, id, _)| (id, number)).collect();
    densities(context).flat_map(move |(density, (_, _, table))| {
        let variants = table.variants.iter().filter_map(|(id, years)| Some((*numbers.get(id)?, years)));
        let places = variants.flat_map(|(variant, years)| {
            let places = courses::of_places(years).into_iter().enumerate();
            places.map(move |(at, (place, course))| (variant, at == 0, place, course))
        });
        let places = places.map(|(variant, is_steady, place, course)| {
            (PlaceOwner { density: density.clone(), variant, is_steady }, place, course)
        });
        places.collect::<Vec<_>>()
    })
}

/// The density and variant that a place is of.
struct PlaceOwner {
    density: String,
    variant: usize,
    /// Whether it is the place of the first year.
    is_steady: bool,
}

fn centres<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let before = cells(context).count();
    Box::new(places(context).enumerate().map(move |(at, (owner, place, _))| {
        vec![
            owner.density,
            owner.variant.to_string(),
            (before + at).to_string(),
            one_or_zero(owner.is_steady),
            place.centre.to_string(),
            place.spread.to_string(),
        ]
    }))
}

fn all_courses<'a>(context: &'a Context<'a>) -> Rows<'a> {
    let cells = cells(context).map(|(_, cell)| courses::of_cells(cell.cells));
    let places = places(context).map(|(_, _, course)| course);
    Box::new(cells.chain(places).enumerate().flat_map(|(number, course)| {
        let is_zero = |row: &Vec<String>| row[2..].iter().all(|value| value == "0");
        decades::rows(number, &course).filter(move |row| !is_zero(row)).collect::<Vec<_>>()
    }))
}
