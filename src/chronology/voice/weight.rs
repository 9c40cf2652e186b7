//! The roots of a voice, and their weight.

use std::collections::BTreeMap;

use crate::knowledge::Weight;
use crate::record::citation::WeightClass;
use crate::record::claim::SourceReference;
use crate::record::observation::Observation;
use crate::record::{Record, Weights};
use crate::resolve::{Catalog, RecordIndex, SourceIndex};
use crate::source::Spanned;

/// The root of a statement.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Root {
    /// A source that repeats nothing.
    Source(SourceIndex),
    /// The observer, where no source is named.
    Observer(String),
    /// The file, where no observer is named either.
    File(RecordIndex),
}

impl Root {
    /// A name that no other root has.
    pub fn name(&self, catalog: &Catalog) -> String {
        match self {
            Root::Source(index) => format!("source {}", catalog.cited(*index).name),
            Root::Observer(name) => format!("observer {name}"),
            Root::File(index) => format!("file {}", catalog.record(*index).path),
        }
    }
}

/// The parts of a voice's weight.
#[derive(Clone, Debug)]
pub struct Authority {
    roots: BTreeMap<Root, WeightClass>,
    /// Weights of what was read in hand, in quarters; the largest counts.
    in_hand: u32,
    /// Whether every claim is halved by `?` or `%`.
    halved: bool,
}

impl Authority {
    /// Rests on roots.
    pub fn of_roots(roots: BTreeMap<Root, WeightClass>, uncertain: bool) -> Authority {
        Authority { roots, in_hand: 0, halved: uncertain }
    }

    /// Rests on something read in hand, of a whole weight.
    pub fn in_hand(weight: u32, uncertain: bool) -> Authority {
        let quarters = if uncertain { weight * 2 } else { weight * 4 };
        Authority { roots: BTreeMap::new(), in_hand: quarters, halved: false }
    }

    /// Takes in another claim of the same voice.
    pub fn join(&mut self, other: Authority) {
        self.roots.extend(other.roots);
        self.in_hand = self.in_hand.max(other.in_hand);
        self.halved &= other.halved;
    }

    /// The sources it goes back to.
    pub fn sources(&self) -> Vec<SourceIndex> {
        let source = |root: &Root| if let Root::Source(index) = root { Some(*index) } else { None };
        self.roots.keys().filter_map(source).collect()
    }

    /// Adds up the classes of its roots: statements at most twice their weight, secondary at most one and a half times.
    pub fn weight(&self, weights: &Weights) -> Weight {
        let count = |class| self.roots.values().filter(|other| **other == class).count() as u32;
        let contemporary = count(WeightClass::Contemporary) * weights.contemporary * 4;
        let secondary = (count(WeightClass::Secondary) * weights.secondary * 4).min(weights.secondary * 6);
        let statements = count(WeightClass::Statement).min(2) * weights.statement * 4;
        let sum = contemporary + secondary + statements;
        Weight { quarters: if self.halved { sum / 2 } else { sum } + self.in_hand }
    }
}

/// The roots of what a record says on the word of some sources; its observer or itself where it names none.
pub fn roots(
    catalog: &Catalog,
    index: RecordIndex,
    sources: &[Spanned<SourceReference>],
) -> BTreeMap<Root, WeightClass> {
    let record = catalog.record(index);
    let named = sources.iter().filter_map(|source| catalog.source_named(record.file, &source.value.id));
    let roots: BTreeMap<Root, WeightClass> = named.flat_map(|source| source_roots(catalog, source)).collect();
    if roots.is_empty() { BTreeMap::from([(own_root(record, index), WeightClass::Statement)]) } else { roots }
}

/// The roots of a source that count, with their classes.
pub fn source_roots(catalog: &Catalog, source: SourceIndex) -> BTreeMap<Root, WeightClass> {
    let roots = catalog.standing_roots(source);
    roots.map(|root| (Root::Source(root), catalog.cited(root).kind.weight_class())).collect()
}

fn own_root(record: &Record, index: RecordIndex) -> Root {
    let observer = record.content.observation().and_then(|observation: &Observation| observation.observer.as_ref());
    observer.map_or(Root::File(index), |observer| Root::Observer(observer.value.clone()))
}
