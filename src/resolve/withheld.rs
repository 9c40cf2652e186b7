//! The entries that `about.md` withholds from all conclusions, and a fault for each word there that
//! names nothing.
//!
//! Withheld records and sources stay published; each conclusion decides how to leave them out.

use std::collections::BTreeSet;

use crate::fault::{Fault, FaultKind, ReferenceFault};
use crate::record::{Content, Record, Withheld, WithheldWhat};
use crate::resolve::references::{self, UnusableRecords};
use crate::resolve::{Catalog, RecordIndex, SourceIndex};
use crate::source::Place;

/// Notes in the catalog what is withheld.
pub fn take_out(catalog: &mut Catalog, unusable: &UnusableRecords) -> Vec<Fault> {
    let mut faults = Vec::new();
    let (mut records, mut sources) = (BTreeSet::new(), BTreeSet::new());
    for withheld in &catalog.about.withheld {
        let found = named(catalog, &withheld.what.value);
        if found.is_empty() && !may_be_unusable(unusable, &withheld.what.value) {
            faults.extend(names_nothing(catalog, withheld));
        }
        records.extend(found.records);
        sources.extend(found.sources);
    }
    (catalog.withheld, catalog.withheld_sources) = (records, sources);
    faults
}

/// The target of one entry of the list.
#[derive(Default)]
struct Named {
    records: Vec<RecordIndex>,
    sources: Vec<SourceIndex>,
}

impl Named {
    fn is_empty(&self) -> bool {
        self.records.is_empty() && self.sources.is_empty()
    }
}

fn named(catalog: &Catalog, what: &WithheldWhat) -> Named {
    match what {
        WithheldWhat::Path(path) => {
            let now = path_of_today(catalog, path);
            let records = records_where(catalog, |record| is_at_or_below(record.path.address(), &now));
            Named { records, ..Named::default() }
        }
        WithheldWhat::Observer(name) => {
            Named { records: records_where(catalog, |record| is_of_observer(record, name)), ..Named::default() }
        }
        WithheldWhat::Source(name) => {
            let moved = catalog.moved.get(&format!("sources/{name}"));
            let now = moved.and_then(|address| address.strip_prefix("sources/")).unwrap_or(name);
            let numbered = catalog.cited.iter().enumerate().filter(|(_, source)| source.name == now);
            let sources = numbered.map(|(number, _)| SourceIndex(number as u32)).collect();
            Named { sources, ..Named::default() }
        }
    }
}

/// The path after all renamings: that of a record, or of the folder of a maker, model or variant.
fn path_of_today(catalog: &Catalog, path: &str) -> String {
    let of_folder = |name: &str| {
        let now = catalog.moved.get(&format!("{path}/{name}"))?;
        now.strip_suffix(name)?.strip_suffix('/')
    };
    let moved = catalog.moved.get(path).map(String::as_str);
    moved.or_else(|| ["maker", "model", "variant"].into_iter().find_map(of_folder)).unwrap_or(path).to_string()
}

fn records_where(catalog: &Catalog, is_named: impl Fn(&Record) -> bool) -> Vec<RecordIndex> {
    let records = (0_u32..).map(RecordIndex).zip(&catalog.records);
    records.filter(|(_, record)| is_named(record)).map(|(index, _)| index).collect()
}

fn is_of_observer(record: &Record, name: &str) -> bool {
    let observer = record.content.observation().and_then(|observation| observation.observer.as_ref());
    observer.is_some_and(|observer| observer.value == name)
}

fn is_at_or_below(address: &str, path: &str) -> bool {
    address.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// Says whether it may name a record that exists and cannot be read; who observed such a one is not known.
fn may_be_unusable(unusable: &UnusableRecords, what: &WithheldWhat) -> bool {
    match what {
        WithheldWhat::Path(path) => unusable.addresses().any(|address| is_at_or_below(address, path)),
        WithheldWhat::Observer(_) => {
            unusable.addresses().any(|address| address.starts_with("makers/") || address.starts_with("unplaced/"))
        }
        WithheldWhat::Source(name) => {
            let file =
                name.split_once('#').map(|(path, _)| path.trim_start_matches("entries/").trim_end_matches(".md"));
            file.map_or_else(|| unusable.holds(&format!("sources/{name}")), |address| unusable.holds(address))
        }
    }
}

fn names_nothing(catalog: &Catalog, withheld: &Withheld) -> Option<Fault> {
    let about = catalog.records.iter().find(|record| matches!(record.content, Content::About(_)))?;
    let addresses = || catalog.records.iter().map(|record| record.path.address());
    let observers = || {
        let observations = catalog.records.iter().filter_map(|record| record.content.observation());
        let names: BTreeSet<&str> =
            observations.filter_map(|seen| seen.observer.as_ref()).map(|name| name.value.as_str()).collect();
        names.into_iter()
    };
    let (wanted, found, nearest) = match &withheld.what.value {
        WithheldWhat::Path(path) => ("entry or folder", path, references::nearest(path, addresses())),
        WithheldWhat::Observer(name) => ("observer", name, references::nearest(name, observers())),
        WithheldWhat::Source(name) => {
            let names = catalog.cited.iter().map(|source| source.name.as_str());
            ("source", name, references::nearest(name, names))
        }
    };
    let fault = ReferenceFault { wanted, found: found.clone(), nearest, problem: None };
    let place = Place { file: about.file, span: withheld.what.span };
    Some(Fault::new(place, FaultKind::Reference(fault)))
}
