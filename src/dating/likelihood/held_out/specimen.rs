//! Which garments of a model are judged, what each shows, and which counts are left out with it.

use std::collections::BTreeMap;
use std::sync::Arc;

use smallvec::smallvec;

use crate::dating::likelihood::gather::{CountedValue, Gathered, Stratum};
use crate::dating::likelihood::held_out::{Shown, Specimen};
use crate::dating::likelihood::measure::{self, alike::Alike};
use crate::dating::likelihood::share::LeftOut;
use crate::evidence::{Item, Seen};
use crate::record::observation::Value;
use crate::resolve::Catalog;
use crate::vocabulary::Feature;

/// Every garment that shows something that counts, variant by variant.
pub fn all(catalog: &Catalog, gathered: &Gathered<'_>, alike: &[Alike<'_>]) -> Vec<Specimen> {
    let places = alike.iter().enumerate().map(|(place, alike)| ((alike.feature, alike.stratum), place));
    let places: BTreeMap<(usize, &Stratum), usize> = places.collect();
    let finds = finds(gathered);
    let mut specimens = Vec::new();
    for (member, variant) in gathered.members.iter().enumerate() {
        // By bearer: the features it is counted in, each with the number of the one count that it is part of.
        let mut counts = vec![Vec::new(); variant.evidence.bearers.len()];
        for (feature, items) in variant.items.iter().enumerate() {
            for (count, counted) in items.iter().enumerate() {
                counted.bearers.iter().for_each(|bearer| counts[*bearer].push((feature, count)));
            }
        }
        for (bearer, counts) in counts.into_iter().enumerate() {
            let seen = &variant.evidence.bearers[bearer];
            if seen.garment.is_none() || counts.is_empty() {
                continue;
            }
            let shown = counts.into_iter().map(|(feature, count)| {
                let shown = match shown(catalog, gathered, &Place { member, bearer, feature, count }) {
                    CountedValue::Column(column) => Shown::Column { column, count },
                    CountedValue::Measure(reading, stratum) => {
                        let alike = stratum.and_then(|stratum| places.get(&(feature, &stratum)).copied());
                        Shown::Measure { reading, alike }
                    }
                };
                (feature, shown)
            });
            let left_out = seen.find().and_then(|find| finds.get(find).cloned());
            let left_out = left_out.unwrap_or_else(|| Arc::from([(member, bearer)]));
            specimens.push(Specimen { member, bearer, readings: shown.collect(), left_out });
        }
    }
    specimens
}

/// The garments that were found together, by the name of their find; all of a find share one list.
fn finds<'g>(gathered: &'g Gathered<'_>) -> BTreeMap<&'g str, Arc<LeftOut>> {
    let mut finds: BTreeMap<&str, Vec<(usize, usize)>> = BTreeMap::new();
    for (member, variant) in gathered.members.iter().enumerate() {
        for (number, bearer) in variant.evidence.bearers.iter().enumerate() {
            if let Some(find) = bearer.find() {
                finds.entry(find).or_default().push((member, number));
            }
        }
    }
    finds.into_iter().map(|(find, garments)| (find, Arc::from(garments))).collect()
}

/// Where a garment is counted: its variant, its place there, a feature and a count of it.
struct Place {
    member: usize,
    bearer: usize,
    feature: usize,
    count: usize,
}

/// A garment's own reading of a feature that it is counted in.
fn shown(catalog: &Catalog, gathered: &Gathered<'_>, place: &Place) -> CountedValue {
    let Place { member, bearer, feature, count } = *place;
    let variant = &gathered.members[member];
    let counted = &variant.items[feature][count];
    let examined = &gathered.features[feature];
    // Counted readings agree. But a count of several garments of a find is their mean, and this garment's own reading
    // is wanted.
    let agreed = variant.evidence.bearers[bearer].shown.get(&examined.feature.id).and_then(|shown| shown.agreed());
    let Some(Value::Measure(own)) = agreed.filter(|_| counted.bearers.len() > 1) else { return counted.value.clone() };
    let item = Item { seen: Seen::Measure(*own), bearers: smallvec![bearer], contested: false };
    let covariate = |other: &Feature| {
        catalog.vocabulary.feature(other.id.as_str()).and_then(|other| variant.evidence.covariate(&item, other))
    };
    CountedValue::Measure(*own, measure::stratum_of(examined, covariate))
}
