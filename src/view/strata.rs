//! The covariates that could explain a difference, for a page: each with the difference left, and
//! the counts at each value.
//!
//! The numbers come from the comparison; words replace a number that does not exist.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::comparison::Compared;
use crate::comparison::strata::Covariate;
use crate::evidence::{Evidence, Item, Seen};
use crate::explain::comparison as words;
use crate::explain::verdict::equal;
use crate::page;
use crate::typography::{at_most, with_minus};
use crate::view::leaf::Leaf;
use crate::vocabulary::measure::{self, rounded};
use crate::vocabulary::{Kind, Unit};

/// A covariate of a feature.
#[derive(Debug, Serialize)]
pub struct CovariateView {
    /// The difference left at equal values of it.
    words: String,
    /// Of how many garments it is not known.
    unknown: usize,
    strata: Vec<StratumView>,
}

/// The garments that are alike in a covariate.
#[derive(Debug, Serialize)]
struct StratumView {
    value: String,
    sides: [String; 2],
}

/// Puts a covariate into words.
pub fn view(leaf: &Leaf<'_>, compared: &Compared, covariate: &Covariate, [a, b]: [&Evidence<'_>; 2]) -> CovariateView {
    let items = [a.items(&compared.feature), b.items(&compared.feature)];
    let known: usize = covariate.strata.values().map(|(a, b)| a.len() + b.len()).sum();
    let label = |state: &str| leaf.catalog().vocabulary.label(&compared.feature, state);
    let found = leaf.catalog().vocabulary.feature(compared.feature.as_str());
    let unit = found.and_then(|feature| match &feature.kind {
        Kind::Measure(measure) => Some(measure.unit),
        _ => None,
    });
    let strata = covariate.strata.iter().map(|(value, (a, b))| StratumView {
        value: words::stratum(leaf.catalog(), &covariate.name, value),
        sides: [shown(&label, unit, items[0], a), shown(&label, unit, items[1], b)],
    });
    CovariateView {
        words: page::with_minus_signs(&equal(leaf.catalog(), compared, covariate)),
        unknown: (items[0].len() + items[1].len()).saturating_sub(known),
        strata: strata.collect(),
    }
}

/// The states or measures at some places, in words.
fn shown(label: &impl Fn(&str) -> String, unit: Option<Unit>, items: &[Item], places: &[usize]) -> String {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut measures = Vec::new();
    for item in places.iter().filter_map(|place| items.get(*place)) {
        match &item.seen {
            Seen::State(state) => *counts.entry(state).or_default() += 1,
            Seen::Measure(number) => measures.push(*number),
        }
    }
    measures.sort_by(f64::total_cmp);
    let states = counts.into_iter().map(|(state, count)| format!("{count} × {}", label(state)));
    let all: Vec<String> = states
        .chain(
            measures
                .into_iter()
                .map(|number| unit.map_or_else(|| rounded(number), |unit| measure::words(number, unit))),
        )
        .collect();
    if all.is_empty() { "none".to_string() } else { all.join(", ") }
}

/// Writes a number with at most four decimals and a true minus.
pub fn number(number: f64) -> String {
    let written = at_most(number, 4);
    if written == "0" && number > 0.0 { "below 0.0001".to_string() } else { with_minus(&written) }
}

#[cfg(test)]
mod tests {
    use super::{number, shown};
    use crate::evidence::{Item, Seen};
    use crate::vocabulary::Unit;

    #[test]
    fn numbers_are_short_and_never_a_signed_zero() {
        assert_eq!([number(-0.0), number(0.25), number(-0.123_45)], ["0", "0.25", "−0.1235"]);
        assert_eq!(number(1e-9), "below 0.0001");
    }

    #[test]
    fn a_stratum_lists_its_states_or_measures() {
        let label = |state: &str| state.to_uppercase();
        let item = |seen| Item { seen, bearers: smallvec::smallvec![0], contested: false };
        let state = |name: &str| item(Seen::State(name.into()));
        assert_eq!(
            shown(&label, None, &[state("raw"), state("chain-stitch"), state("raw")], &[0, 1, 2]),
            "1 × CHAIN-STITCH, 2 × RAW"
        );
        let measures = [item(Seen::Measure(8.5)), item(Seen::Measure(7.0))];
        assert_eq!(shown(&label, None, &measures, &[0, 1]), "7, 8.5");
        // Worked out by hand from 25.4 mm to the inch.
        assert_eq!(shown(&label, Some(Unit::Inch), &measures, &[0, 1]), "7 in (17.8 cm), 8.5 in (21.6 cm)");
        assert_eq!(shown(&label, None, &[], &[]), "none");
    }
}
