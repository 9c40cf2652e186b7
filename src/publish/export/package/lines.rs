//! Writes `lines.csv`: every two lines and every two wearers of a maker, a row for each feature and covariate.

use crate::analysis::Analysis;
use crate::comparison::lines::{LineComparison, LineFeature};
use crate::knowledge::Knowledge;
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column};
use crate::publish::export::package::tells;

/// The table of lines.
pub const TABLE: Table = Table {
    name: "lines",
    summary: "which features tell two label lines, or two wearers, of a maker apart over all models",
    description: "A row for each pair of lines and of wearers of one maker, feature counted in both within a shared \
        setting, and covariate. The two are compared only within one setting, a model and a wearer or a model and a \
        line; the settings are then pooled. Columns that are also in tells.csv mean the same here. A \
        verdict says nothing about models that were not recorded, and is no authentication.",
    columns,
    key: &["a", "b", "feature", "covariate"],
    references: &[],
    rows,
};

fn columns(_: &Knowledge) -> Vec<Column> {
    let mut columns =
        tells::columns_of("The first line or wearer: maker/line:id or maker/wearer:word", "The other line or wearer");
    columns.extend([
        column("settings", Cells::Integer("settings"), "In how many settings both were counted").required(),
        column("models_speaking", Cells::Integer("models"), "Models with three garments of each or more").required(),
        column("models_agreeing", Cells::Integer("models"), "Of these, how many differ the same way").required(),
        column("models_against", Cells::Integer("models"), "Of these, how many differ the other way, or surely less")
            .required(),
    ]);
    columns
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    Box::new(analysis.lines().iter().flat_map(rows_of))
}

fn rows_of(comparison: &LineComparison) -> Vec<Vec<String>> {
    comparison.features.iter().flat_map(|found| rows_of_feature(comparison, found)).collect()
}

fn rows_of_feature(comparison: &LineComparison, found: &LineFeature) -> Vec<Vec<String>> {
    let models = &found.models;
    let counts = [found.settings.len(), models.speaking(), models.agreeing(), models.against()];
    let rows = found.compared.covariates.iter().map(|covariate| {
        let names = [comparison.a.to_string(), comparison.b.to_string()];
        let mut row = tells::row(names, &found.compared, covariate);
        row.extend(counts.iter().map(ToString::to_string));
        row
    });
    rows.collect()
}
