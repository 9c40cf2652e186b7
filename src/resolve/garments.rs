//! Garments, joined from the observations that say they are of the same one.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Fault, FaultKind, ReferenceFault};
use crate::record::id::VariantId;
use crate::record::observation::{Basis, Observation, Placement};
use crate::resolve::{Catalog, Garment, RecordIndex};
use crate::source::{FilePath, Place};

/// Fills in the catalog's garments; gives the `same-as` that lead nowhere.
pub fn join(catalog: &mut Catalog) -> Vec<Fault> {
    let specimens: Vec<RecordIndex> = specimens(catalog).map(|(index, _)| index).collect();
    let by_address: BTreeMap<String, RecordIndex> = catalog
        .records
        .iter()
        .enumerate()
        .filter(|(_, record)| record.content.observation().is_some())
        .map(|(number, record)| (record.path.address().to_string(), RecordIndex(number as u32)))
        .collect();
    let mut leaders: BTreeMap<RecordIndex, RecordIndex> = specimens.iter().map(|index| (*index, *index)).collect();
    let mut faults = Vec::new();
    for (index, observation) in specimens_of(catalog, &specimens) {
        let Some(same_as) = &observation.same_as else { continue };
        let record = catalog.record(index);
        let target = address(catalog, &record.path, &same_as.value);
        match by_address.get(&target).filter(|other| leaders.contains_key(other)) {
            Some(other) => unite(&mut leaders, index, *other),
            None => {
                let known = by_address.contains_key(&target);
                let place = Place { file: record.file, span: same_as.span };
                faults.push(no_garment(place, (&same_as.value, known), &by_address));
            }
        }
    }
    catalog.garments = garments(catalog, &mut leaders);
    faults
}

fn specimens(catalog: &Catalog) -> impl Iterator<Item = (RecordIndex, &Observation)> {
    let records = catalog.records.iter().enumerate();
    let observations =
        records.filter_map(|(number, record)| Some((RecordIndex(number as u32), record.content.observation()?)));
    observations.filter(|(_, observation)| observation.basis.value == Basis::Specimen)
}

fn specimens_of<'a>(
    catalog: &'a Catalog,
    specimens: &'a [RecordIndex],
) -> impl Iterator<Item = (RecordIndex, &'a Observation)> {
    specimens.iter().filter_map(|index| Some((*index, catalog.record(*index).content.observation()?)))
}

/// What `same-as` names: an address under `entries/`, or the name of a file in the same folder.
fn address(catalog: &Catalog, path: &FilePath, same_as: &str) -> String {
    let address = if same_as.contains('/') {
        same_as.to_string()
    } else {
        let folder = path.folder().strip_prefix("entries/").unwrap_or(path.folder());
        format!("{folder}/{same_as}")
    };
    catalog.moved.get(&address).cloned().unwrap_or(address)
}

fn no_garment(place: Place, (found, known): (&str, bool), by_address: &BTreeMap<String, RecordIndex>) -> Fault {
    let problem = known.then(|| "it is no specimen, so it cannot be the same garment".to_string());
    let names = by_address.keys().map(|address| address.rsplit_once('/').map_or(address.as_str(), |(_, name)| name));
    let nearest = if known { Vec::new() } else { super::references::nearest(found, names) };
    Fault::new(
        place,
        FaultKind::Reference(ReferenceFault { wanted: "observation", found: found.to_string(), nearest, problem }),
    )
}

fn leader(leaders: &mut BTreeMap<RecordIndex, RecordIndex>, index: RecordIndex) -> RecordIndex {
    let mut at = index;
    while leaders[&at] != at {
        at = leaders[&at];
    }
    leaders.insert(index, at);
    at
}

fn unite(leaders: &mut BTreeMap<RecordIndex, RecordIndex>, one: RecordIndex, other: RecordIndex) {
    let (one, other) = (leader(leaders, one), leader(leaders, other));
    leaders.insert(one.max(other), one.min(other));
}

/// The garments that have a placed observation which is not withheld, with those observations.
fn garments(catalog: &Catalog, leaders: &mut BTreeMap<RecordIndex, RecordIndex>) -> Vec<Garment> {
    let mut members: BTreeMap<RecordIndex, Vec<(RecordIndex, VariantId)>> = BTreeMap::new();
    for (index, observation) in specimens(catalog) {
        let leader = leader(leaders, index);
        if let (Placement::Variant(variant), false) = (&observation.placement, catalog.withheld.contains(&index)) {
            members.entry(leader).or_default().push((index, variant.clone()));
        }
    }
    let mut garments: Vec<Garment> = members.into_values().map(garment).collect();
    garments.sort_by_key(|garment| garment.observations[0]);
    garments
}

fn garment(members: Vec<(RecordIndex, VariantId)>) -> Garment {
    let variants: BTreeSet<VariantId> = members.iter().map(|(_, variant)| variant.clone()).collect();
    let variant = if variants.len() == 1 { variants.first().cloned() } else { None };
    Garment { observations: members.into_iter().map(|(index, _)| index).collect(), variant, variants }
}
