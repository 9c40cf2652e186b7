//! Likelihoods to tables: cells of states in runs of years, and the densities of measures by number.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::dating::likelihood::measure::MeasureTable;
use crate::dating::likelihood::{self, Cells, years};
use crate::publish::export::rules::sql::{Rows, Table, models, one_or_zero};
use crate::record::id::{FeatureId, ModelId};
use crate::statistics::student;
use crate::view::context::Context;

/// Cells of variants.
pub const CELLS: Table = Table {
    name: "cells",
    summary: "likelihoods of states for variants, in runs of years",
    columns: &["variant", "feature", "state", "first_year", "last_year", "cell"],
    rows: variant_cells,
};

/// Cells of models, which are the same in all years: without evidence of its own, nothing ties a state to a time.
pub const MODEL_CELLS: Table = Table {
    name: "model_cells",
    summary: "likelihoods of states for variants that have none of their own",
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

/// What garments must show for densities to speak of them.
pub const STRATA: Table = Table {
    name: "strata",
    summary: "what garments must show for densities to speak of them",
    columns: &["density", "covariate", "state", "band"],
    rows: strata,
};

/// Centres and spreads of variants.
pub const CENTRES: Table = Table {
    name: "centres",
    summary: "centres and spreads of measures for variants, in runs of years",
    columns: &["density", "variant", "first_year", "last_year", "centre", "spread"],
    rows: centres,
};

/// A state's cells, with its feature.
type Column<'a> = (&'a FeatureId, &'a str, &'a Cells);

fn columns<'a>(
    context: &'a Context<'a>,
    tables: &'a BTreeMap<FeatureId, Arc<likelihood::Table>>,
) -> impl Iterator<Item = Column<'a>> {
    tables.iter().flat_map(|(feature, table)| {
        let states = context.analysis.tables().pool.feature(feature).map_or(&[][..], |pooled| &pooled.columns);
        states.iter().zip(&table.columns).map(move |(state, cells)| (feature, state.as_str(), cells))
    })
}

fn variant_cells<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(models::all(context).flat_map(move |(id, tables)| {
        columns(context, &tables.cells).flat_map(move |(feature, state, cells)| {
            runs(cells).map(move |([first, last], cell)| {
                vec![id.to_string(), feature.to_string(), state.to_string(), first, last, cell.to_string()]
            })
        })
    }))
}

fn model_cells<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(context.analysis.tables().models.iter().flat_map(move |(id, model)| {
        columns(context, &model.cells).map(move |(feature, state, cells)| {
            vec![id.to_string(), feature.to_string(), state.to_string(), cells[0].to_string()]
        })
    }))
}

/// Runs of years in which nothing changes: first and last year, and what does not change.
fn runs<T: PartialEq>(values: &[T]) -> impl Iterator<Item = ([String; 2], &T)> {
    let mut next = years::FIRST;
    values.chunk_by(|one, other| one == other).map(move |run| {
        let first = next;
        next += run.len() as i32;
        ([first.to_string(), (next - 1).to_string()], &run[0])
    })
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

fn centres<'a>(context: &'a Context<'a>) -> Rows<'a> {
    Box::new(densities(context).flat_map(|(number, (_, _, table))| {
        table.variants.iter().flat_map(move |(variant, years)| {
            let number = number.clone();
            runs(years).map(move |([first, last], (centre, spread))| {
                vec![number.clone(), variant.to_string(), first, last, centre.to_string(), spread.to_string()]
            })
        })
    }))
}

#[cfg(test)]
mod tests {
    use super::runs;
    use crate::dating::likelihood::years;

    #[test]
    fn runs_name_their_first_and_last_year() {
        let mut cells = [-3; years::COUNT];
        cells[100] = 7;
        let found: Vec<_> = runs(&cells).map(|([first, last], cell)| format!("{first} {last} {cell}")).collect();
        assert_eq!(found, ["1850 1949 -3", "1950 1950 7", "1951 2030 -3"]);
    }
}
