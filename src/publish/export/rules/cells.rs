//! Exports tables of likelihoods as runs of years in which nothing changes.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::Number;

use crate::dating::likelihood::measure::MeasureTable;
use crate::dating::likelihood::{Cells, Table};
use crate::publish::export::rules::format::{Measure, Runs};
use crate::record::id::FeatureId;
use crate::statistics::student;

/// Exports tables by feature.
pub fn export(tables: &BTreeMap<FeatureId, Arc<Table>>) -> BTreeMap<&str, Vec<Runs>> {
    tables.iter().map(|(feature, table)| (feature.as_str(), table.columns.iter().map(runs).collect())).collect()
}

/// Exports the densities of measures by feature.
pub fn measures(measures: &BTreeMap<FeatureId, Vec<MeasureTable>>) -> BTreeMap<&str, Vec<Measure<'_>>> {
    measures.iter().map(|(feature, tables)| (feature.as_str(), tables.iter().map(measure).collect())).collect()
}

fn runs(cells: &Cells) -> Runs {
    let runs = cells.chunk_by(|one, next| one == next);
    runs.flat_map(|run| [run.len() as i32, i32::from(run[0])]).collect()
}

fn measure(table: &MeasureTable) -> Measure<'_> {
    let runs = |years: &Vec<(f64, f64)>| -> Vec<Number> {
        let years: Vec<(f64, f64)> = years.iter().map(|(centre, spread)| (digits(*centre), digits(*spread))).collect();
        let runs = years.chunk_by(|one, next| one == next);
        runs.flat_map(|run| [run.len().into(), number(run[0].0), number(run[0].1)]).collect()
    };
    Measure {
        stratum: table.stratum.iter().map(|(feature, value)| (feature.as_str(), value.as_str())).collect(),
        degrees: table.degrees,
        log2_constant: student::log2_constant(table.degrees),
        slip: table.slip,
        width: table.width,
        shrinks: table.shrinks,
        centre: table.general.0,
        spread: table.general.1,
        variants: table.variants.iter().map(|(variant, years)| (variant.as_str(), runs(years))).collect(),
    }
}

/// A number to twelve digits: less than readers could notice, and a third of the file lighter than all of them.
pub fn digits(number: f64) -> f64 {
    format!("{number:.11e}").parse().expect("a number that was written can be read")
}

/// A number as JSON, a whole one without a point.
pub fn number(number: f64) -> Number {
    let whole = number as i32;
    match f64::from(whole) == number {
        true => whole.into(),
        false => Number::from_f64(number).expect("centres and spreads are finite"),
    }
}

#[cfg(test)]
mod tests {
    use super::{digits, runs};
    use crate::dating::likelihood::years;

    #[test]
    fn twelve_digits_are_kept() {
        assert_eq!(digits(16.159166666666668), 16.1591666667);
        assert_eq!(digits(-0.1), -0.1);
        assert_eq!(digits(0.0), 0.0);
    }

    #[test]
    fn runs_add_up_to_all_years() {
        let mut cells = [-3; years::COUNT];
        cells[100] = 7;
        assert_eq!(runs(&cells), [100, -3, 1, 7, 80, -3]);
    }
}
