//! Whether another variant, another factory or another size explains what looks like a change.
//!
//! Unknown is not a value: an item whose covariate is unknown is left out.

use std::collections::BTreeMap;

use crate::changeover::items::Member;
use crate::changeover::search::{self, FEWEST, PROBABLE, SURE};
use crate::changeover::{History, Kind, Looked, Outcome};
use crate::comparison::strata;
use crate::evidence::FACTORY;
use crate::record::id::Whole;
use crate::resolve::Catalog;
use crate::statistics::limit;
use crate::statistics::segmentation::Partition;
use crate::vocabulary::Feature;

/// The name of the covariate that is no feature: which of its variants a garment is of.
const VARIANT: &str = "variant";

/// The limit for both tests: a change below this probability needs no explanation, and a covariate explains one that
/// falls below it at equal values.
const EVEN: f64 = 0.5;

/// Tests every covariate of a feature, in order: the setting (except for a variant), the factory, what it varies with.
pub(super) fn all(catalog: &Catalog, feature: &Feature, members: &[Member<'_>], history: &History) -> Vec<Looked> {
    let named = |id: &str| catalog.vocabulary.feature(id).filter(|feature| strata::is_covariate(feature));
    let varies: Vec<&Feature> = feature.varies_with.iter().filter_map(|id| named(id.as_str())).collect();
    let item = |place: usize| {
        let dated = &history.items[place];
        let evidence = members[dated.member].evidence;
        (evidence, &evidence.items(&feature.id)[dated.place])
    };
    let places = 0..history.items.len();
    let mut looked = Vec::new();
    if !matches!(history.thing, Whole::Variant(_)) {
        let settings = places.clone().map(|place| Some(members[history.items[place].member].setting.clone()));
        looked.push(Values::new(VARIANT, settings).look(history, Need::Must));
    }
    let factories = places.clone().map(|place| {
        let (evidence, item) = item(place);
        evidence.factory(item).map(str::to_string)
    });
    looked.push(Values::new(FACTORY, factories).look(history, Need::May));
    looked.extend(varies.into_iter().map(|covariate| {
        let values = places.clone().map(|place| {
            let (evidence, item) = item(place);
            evidence.covariate(item, covariate)
        });
        Values::new(covariate.id.as_str(), values).look(history, Need::Must)
    }));
    looked
}

/// Whether a change is reported if a covariate is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Need {
    /// It is not.
    Must,
    /// It is, with a note.
    May,
}

/// The values of a covariate, numbered, item by item.
struct Values {
    name: String,
    of_items: Vec<Option<usize>>,
}

impl Values {
    fn new(name: &str, values: impl Iterator<Item = Option<String>>) -> Values {
        let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
        let mut number = |value: String| {
            let next = numbers.len();
            *numbers.entry(value).or_insert(next)
        };
        Values { name: name.to_string(), of_items: values.map(|value| value.map(&mut number)).collect() }
    }

    fn look(&self, history: &History, need: Need) -> Looked {
        let known: Vec<usize> = (0..self.of_items.len()).filter(|place| self.of_items[*place].is_some()).collect();
        let mut looked = Looked {
            name: self.name.clone(),
            n: known.len(),
            probability: None,
            probability_within: None,
            outcome: if need == Need::Must { Outcome::CannotSeparate } else { Outcome::NotKnown },
        };
        let sequence = search::sequence(&history.items, &known, |place| self.of_items[place].unwrap_or_default());
        let Some(sequence) = sequence.filter(|sequence| sequence.blocks().len() > 1) else { return looked };
        if known.len() < FEWEST || search::states(&history.items, &known).len() < 2 {
            return looked;
        }
        let probability = Partition::new(&sequence.ungrouped()).changed();
        looked.probability = Some(probability);
        if limit::is_below(probability, EVEN) {
            return looked;
        }
        let within = Partition::new(&sequence).changed();
        looked.probability_within = Some(within);
        looked.outcome = self.outcome(history, probability, within);
        looked
    }

    fn outcome(&self, history: &History, probability: f64, within: f64) -> Outcome {
        let is_gone =
            limit::is_below(within, EVEN) || !limit::is_below(probability, SURE) && limit::is_below(within, PROBABLE);
        if !is_gone {
            return Outcome::Holds;
        }
        let has_real = history.real().next().is_some();
        let is_asked = |change: &usize| !has_real || history.changes[*change].kind == Kind::Real;
        if (0..history.changes.len()).filter(is_asked).all(|change| search::is_shared(history, &self.of_items, change))
        {
            Outcome::Explains
        } else {
            Outcome::CannotSeparate
        }
    }
}
