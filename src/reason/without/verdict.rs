//! Which verdicts would fall if one garment had not been counted.
//!
//! Garments that show the same and are alike in all that is held equal are tried once.

use std::collections::BTreeMap;

use crate::reason::comparison::{self, Compared, Comparison, Verdict};
use crate::reason::evidence::{Evidence, Seen};
use crate::record::id::VariantId;
use crate::resolve::{Catalog, RecordIndex};
use crate::vocabulary::Feature;

/// Garments of which any one, left out, would change a verdict.
#[derive(Clone, Debug)]
pub struct Fall {
    /// The variant they are of.
    pub variant: VariantId,
    /// The observations of each.
    pub garments: Vec<Vec<RecordIndex>>,
    /// The verdict without it; nothing where no garment of the variant would be left.
    pub verdict: Option<Verdict>,
}

/// Leaves out the garments of both variants one by one; gives those without which the verdict would be another.
pub fn falls(
    catalog: &Catalog,
    comparison: &Comparison,
    (feature, compared): (&Feature, &Compared),
    (a, b): (&Evidence<'_>, &Evidence<'_>),
) -> Vec<Fall> {
    let mut falls = Vec::new();
    for (side, evidence) in [a, b].into_iter().enumerate() {
        for places in alike(compared, evidence, side).into_values() {
            let mut items = evidence.items(&feature.id).to_vec();
            items.remove(places[0]);
            let rest = evidence.of_one(&feature.id, items);
            let sides = if side == 0 { (&rest, b) } else { (a, &rest) };
            let verdict = comparison::reconsidered(catalog, comparison, feature, sides);
            if verdict.as_ref() != Some(&compared.verdict) {
                let garments = places.iter().map(|place| observations(evidence, feature, *place)).collect();
                falls.push(Fall { variant: evidence.variant.clone(), garments, verdict });
            }
        }
    }
    falls
}

/// The places of a side's items by what they show and by the strata they lie in.
fn alike(compared: &Compared, evidence: &Evidence<'_>, side: usize) -> BTreeMap<(String, Vec<String>), Vec<usize>> {
    let mut alike: BTreeMap<(String, Vec<String>), Vec<usize>> = BTreeMap::new();
    for (place, item) in evidence.items(&compared.feature).iter().enumerate() {
        let shown = match &item.seen {
            Seen::State(state) => state.clone(),
            Seen::Measure(number) => number.to_string(),
        };
        let strata = compared.covariates.iter().map(|covariate| {
            let own = covariate.strata.iter().find(|(_, (a, b))| [a, b][side].contains(&place));
            own.map(|(value, _)| value.clone()).unwrap_or_default()
        });
        alike.entry((shown, strata.collect())).or_default().push(place);
    }
    alike
}

fn observations(evidence: &Evidence<'_>, feature: &Feature, place: usize) -> Vec<RecordIndex> {
    let bearers = evidence.items(&feature.id)[place].bearers.iter();
    bearers.flat_map(|bearer| evidence.bearers[*bearer].records.iter().copied()).collect()
}
