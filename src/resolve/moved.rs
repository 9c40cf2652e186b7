//! Earlier addresses of all records, each with the one record that had it.
//!
//! What a reference through them becomes is the business of `forward`.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Fault, FaultKind, ReferenceFault};
use crate::record::Record;
use crate::resolve::Catalog;
use crate::resolve::references::UnusableRecords;
use crate::source::{Place, Spanned};

/// Returns earlier addresses with the present address, and a fault for each that two records claim.
///
/// An address that a record has today means that record and nothing else.
pub fn addresses(catalog: &Catalog, unusable: &UnusableRecords) -> (BTreeMap<String, String>, Vec<Fault>) {
    let today: BTreeSet<&str> = catalog.records.iter().map(|record| record.path.address()).collect();
    let (mut moved, mut faults) = (BTreeMap::new(), Vec::new());
    for record in &catalog.records {
        for earlier in &record.formerly {
            if today.contains(earlier.value.as_str()) || unusable.holds(&earlier.value) {
                continue;
            }
            let now = record.path.address();
            match moved.entry(earlier.value.clone()) {
                Entry::Vacant(free) => drop(free.insert(now.to_string())),
                Entry::Occupied(taken) if taken.get() == now => {}
                Entry::Occupied(taken) => faults.push(taken_twice(record, earlier, taken.get())),
            }
        }
    }
    (moved, faults)
}

fn taken_twice(record: &Record, earlier: &Spanned<String>, other: &str) -> Fault {
    let fault = ReferenceFault {
        wanted: "earlier address",
        found: earlier.value.clone(),
        nearest: Vec::new(),
        problem: Some(format!("`entries/{other}.md` gives the same former address")),
    };
    Fault::new(Place { file: record.file, span: earlier.span }, FaultKind::Reference(fault))
}
