//! Garments, joined from the observations that say they are of the same one.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use smallvec::SmallVec;

use crate::fault::{Fault, FaultKind, ReferenceFault};
use crate::record::id::VariantId;
use crate::record::observation::{Basis, Observation, Placement};
use crate::resolve::leaders::Leaders;
use crate::resolve::references::UnusableRecords;
use crate::resolve::{Catalog, Garment, RecordIndex};
use crate::source::{FilePath, Place};

/// Fills in the catalog's garments; gives the `same-as` that lead nowhere.
pub fn join(catalog: &mut Catalog, unusable: &UnusableRecords) -> Vec<Fault> {
    let mut leaders = Leaders::new(catalog.records.len());
    let by_address = OnceCell::new();
    let mut faults = Vec::new();
    for (index, observation) in specimens(catalog) {
        let Some(same_as) = &observation.same_as else { continue };
        let by_address = by_address.get_or_init(|| by_address_of(catalog));
        let record = catalog.record(index);
        let target = address(catalog, &record.path, &same_as.value);
        match by_address.get(target.as_str()).filter(|other| is_specimen(catalog, **other)) {
            Some(other) => leaders.unite(index.0, other.0),
            None => {
                let place = Place { file: record.file, span: same_as.span };
                let problem = obstacle(&target, by_address, unusable).map(str::to_string);
                let nearest = match problem {
                    Some(_) => Vec::new(),
                    None => nearest(&same_as.value, record.path.address(), by_address),
                };
                let reference =
                    ReferenceFault { wanted: "observation", found: same_as.value.clone(), problem, nearest };
                faults.push(Fault::new(place, FaultKind::Reference(reference)));
            }
        }
    }
    catalog.garments = garments(catalog, &mut leaders);
    faults
}

/// All observations, which only those need that name another.
fn by_address_of(catalog: &Catalog) -> BTreeMap<&str, RecordIndex> {
    let records = catalog.records.iter().enumerate();
    let observations = records.filter(|(_, record)| record.content.observation().is_some());
    observations.map(|(number, record)| (record.path.address(), RecordIndex(number as u32))).collect()
}

fn specimens(catalog: &Catalog) -> impl Iterator<Item = (RecordIndex, &Observation)> {
    let records = catalog.records.iter().enumerate();
    let observations =
        records.filter_map(|(number, record)| Some((RecordIndex(number as u32), record.content.observation()?)));
    observations.filter(|(_, observation)| observation.basis.value == Basis::Specimen)
}

/// The target of `same-as`: an address under `entries/`, or the name of a file in the same folder.
pub fn address(catalog: &Catalog, path: &FilePath, same_as: &str) -> String {
    let address = if same_as.contains('/') {
        same_as.to_string()
    } else {
        let folder = path.folder().strip_prefix("entries/").unwrap_or(path.folder());
        format!("{folder}/{same_as}")
    };
    catalog.moved.get(&address).cloned().unwrap_or(address)
}

fn is_specimen(catalog: &Catalog, index: RecordIndex) -> bool {
    let observation = catalog.record(index).content.observation();
    observation.is_some_and(|observation| observation.basis.value == Basis::Specimen)
}

/// Why an entry that exists cannot be the same garment.
fn obstacle(
    target: &str,
    by_address: &BTreeMap<&str, RecordIndex>,
    unusable: &UnusableRecords,
) -> Option<&'static str> {
    if by_address.contains_key(target) {
        return Some("it is not a specimen, so it cannot be the same garment");
    }
    unusable.holds(target).then_some("that file has an error of its own; correct it first")
}

/// The names nearest in spelling, apart from that of the entry itself.
fn nearest(found: &str, own: &str, by_address: &BTreeMap<&str, RecordIndex>) -> Vec<String> {
    let others = by_address.keys().filter(|address| **address != own);
    let names = others.map(|address| address.rsplit_once('/').map_or(*address, |(_, name)| name));
    super::references::nearest(found, names)
}

/// The garments that have a placed observation which is not withheld, with those observations.
fn garments(catalog: &Catalog, leaders: &mut Leaders) -> Vec<Garment> {
    let mut members: Vec<(u32, RecordIndex, &VariantId)> = Vec::with_capacity(catalog.records.len());
    for (index, observation) in specimens(catalog) {
        if let (Placement::Variant(variant), false) = (&observation.placement, catalog.withheld.contains(&index)) {
            members.push((leaders.of(index.0), index, variant));
        }
    }
    members.sort();
    let mut garments: Vec<Garment> = members.chunk_by(|one, other| one.0 == other.0).map(garment).collect();
    garments.sort_by_key(|garment| garment.observations[0]);
    garments
}

fn garment(members: &[(u32, RecordIndex, &VariantId)]) -> Garment {
    let mut variants: SmallVec<[VariantId; 1]> = members.iter().map(|(_, _, variant)| (*variant).clone()).collect();
    variants.sort();
    variants.dedup();
    let variant = if variants.len() == 1 { variants.first().cloned() } else { None };
    Garment { observations: members.iter().map(|(_, index, _)| *index).collect(), variant, variants }
}
