//! The factories that codes name, for garments that state none.

use std::collections::{BTreeMap, BTreeSet};

use ecow::EcoString;
use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};

use crate::evidence::key::{self, CodeBearer, GarmentCode, StandingKey};
use crate::evidence::reading;
use crate::resolve::{Catalog, Garment, GarmentIndex, RecordIndex};

/// Reads the factories with every accepted key; conflicts set aside the keys in `doubted`.
pub fn named(catalog: &Catalog, doubted: &BTreeSet<RecordIndex>) -> BTreeMap<GarmentIndex, EcoString> {
    let mut keys = key::standing(catalog);
    keys.retain(|key| !doubted.contains(&key.index));
    if keys.is_empty() {
        return BTreeMap::new();
    }
    let numbered = catalog.garments.par_iter().enumerate();
    numbered
        .filter_map(|(number, garment)| Some((GarmentIndex(number as u32), factory(catalog, &keys, garment)?)))
        .collect()
}

fn factory(catalog: &Catalog, keys: &[StandingKey<'_>], garment: &Garment) -> Option<EcoString> {
    let maker = garment.variant.as_ref()?.maker();
    let entries = || garment.observations.iter().filter_map(|index| catalog.record(*index).content.observation());
    if entries().any(|entry| entry.factory.is_some()) {
        return None;
    }
    let shown = reading::of_garment(catalog, garment);
    let codes = key::of_garment(catalog, keys, CodeBearer { maker: Some(&maker), shown: &shown });
    let is_excluded = |code: &GarmentCode<'_>| !key::own_dates_against(catalog, &garment.observations, code).is_empty();
    let named = codes.iter().filter(|code| !is_excluded(code)).filter_map(|code| code.seen.factory());
    let named: BTreeSet<&str> = named.collect();
    named.first().filter(|_| named.len() == 1).map(|factory| EcoString::from(*factory))
}
