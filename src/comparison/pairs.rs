//! The comparisons of each model: which pairs of variants there are, and each result, computed once when first asked
//! for.
//!
//! Up to twelve variants, every two of a model are a pair. With more, only neighbours in time are, so that the work
//! grows with the number of variants. How a pair is shown is not decided here.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::comparison::{self, Comparison};
use crate::date::Day;
use crate::evidence::CountedEvidence;
use crate::knowledge::Knowledge;
use crate::record::id::{ModelId, Thing, VariantId, Whole, natural_order};
use crate::resolve::Catalog;

/// A model with more variants than this has pairs of neighbours only.
pub const ALL_PAIRS: usize = 12;

/// Two variants of a model that are compared.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pair {
    /// The first, by id.
    pub a: VariantId,
    /// The second.
    pub b: VariantId,
}

/// Room for the comparisons of every model.
#[derive(Clone, Debug)]
pub struct Pairs {
    models: BTreeMap<ModelId, Model>,
}

#[derive(Clone, Debug, Default)]
struct Model {
    /// In order of id.
    variants: Vec<VariantId>,
    listed: OnceLock<Listed>,
    compared: OnceLock<Vec<Comparison>>,
}

/// The variants of a model in time, its pairs, and the places of those that a variant is in.
#[derive(Clone, Debug)]
struct Listed {
    in_time: Vec<VariantId>,
    pairs: Vec<Pair>,
    of_variants: BTreeMap<VariantId, Vec<usize>>,
}

impl Pairs {
    /// Makes room for the comparisons; compares nothing yet.
    pub fn new(catalog: &Catalog) -> Pairs {
        let mut models: BTreeMap<ModelId, Model> = BTreeMap::new();
        for variant in catalog.variants.keys() {
            models.entry(variant.model()).or_default().variants.push(variant.clone());
        }
        Pairs { models }
    }

    /// Gives the variants of a model by their first possible day, then their last; variants without
    /// days come last.
    pub fn in_time(&self, knowledge: &Knowledge, model: &ModelId) -> &[VariantId] {
        self.models.get(model).map_or(&[][..], |model| &model.listed(knowledge).in_time)
    }

    /// Gives the pairs of a model, sorted.
    pub fn listed(&self, knowledge: &Knowledge, model: &ModelId) -> &[Pair] {
        self.models.get(model).map_or(&[][..], |model| &model.listed(knowledge).pairs)
    }

    /// Gives the pairs of a model that a variant is in, sorted.
    pub fn of_variant(&self, knowledge: &Knowledge, variant: &VariantId) -> Vec<&Pair> {
        let Some(model) = self.models.get(&variant.model()) else { return Vec::new() };
        let listed = model.listed(knowledge);
        listed.of_variants.get(variant).into_iter().flatten().map(|place| &listed.pairs[*place]).collect()
    }

    /// Gives the comparisons of a model in the order of its pairs.
    pub fn of(&self, counted: CountedEvidence<'_>, model: &ModelId) -> &[Comparison] {
        let Some(model) = self.models.get(model) else { return &[] };
        model.compared.get_or_init(|| compare(counted, &model.listed(counted.knowledge).pairs))
    }
}

impl Model {
    fn listed(&self, knowledge: &Knowledge) -> &Listed {
        self.listed.get_or_init(|| Listed::new(in_time(knowledge, &self.variants)))
    }
}

impl Listed {
    fn new(in_time: Vec<VariantId>) -> Listed {
        let pairs = pairs(&in_time);
        let mut of_variants: BTreeMap<VariantId, Vec<usize>> = BTreeMap::new();
        for (place, pair) in pairs.iter().enumerate() {
            for end in [&pair.a, &pair.b] {
                of_variants.entry(end.clone()).or_default().push(place);
            }
        }
        Listed { in_time, pairs, of_variants }
    }
}

fn in_time(knowledge: &Knowledge, variants: &[VariantId]) -> Vec<VariantId> {
    let days = |variant: &VariantId| -> (bool, Option<Day>, Option<Day>) {
        let era = knowledge.eras.get(&Thing::of(Whole::Variant(variant.clone())));
        let (first, last) = era.map_or((None, None), |era| era.possibly_made());
        (first.is_none() && last.is_none(), first.or(last), last.or(first))
    };
    let mut sorted = variants.to_vec();
    // Two variants with the same days are sorted by name.
    sorted.sort_by(|one, other| natural_order(one.as_str(), other.as_str()));
    sorted.sort_by_cached_key(days);
    sorted
}

/// Pairs each variant with the next in time.
fn pairs(variants: &[VariantId]) -> Vec<Pair> {
    let reach = if variants.len() > ALL_PAIRS { 1 } else { variants.len() };
    let pair = |one: &VariantId, other: &VariantId| {
        let (a, b) = if one < other { (one, other) } else { (other, one) };
        Pair { a: a.clone(), b: b.clone() }
    };
    let from = |place: usize| variants[place + 1..].iter().take(reach).map(move |other| pair(&variants[place], other));
    let mut pairs: Vec<Pair> = (0..variants.len()).flat_map(from).collect();
    pairs.sort();
    pairs
}

fn compare(counted: CountedEvidence<'_>, pairs: &[Pair]) -> Vec<Comparison> {
    let mut seen = BTreeMap::new();
    for variant in pairs.iter().flat_map(|pair| [&pair.a, &pair.b]) {
        seen.entry(variant).or_insert_with(|| (counted.of)(variant));
    }
    pairs.iter().map(|pair| comparison::of(&counted.knowledge.catalog, &seen[&pair.a], &seen[&pair.b])).collect()
}

#[cfg(test)]
mod tests {
    use super::{ALL_PAIRS, pairs};
    use crate::analysis::Analysis;
    use crate::compile::example;
    use crate::record::id::{ModelId, VariantId};

    fn variants(count: usize) -> Vec<VariantId> {
        (0..count).map(|number| VariantId::new(format!("m/x/v{number:02}"))).collect()
    }

    #[test]
    fn many_variants_are_paired_with_their_neighbours_only() {
        assert_eq!(pairs(&variants(1)).len(), 0);
        assert_eq!(pairs(&variants(ALL_PAIRS)).len(), 66);
        assert_eq!(pairs(&variants(ALL_PAIRS + 1)).len(), 12);
    }

    #[test]
    fn neighbours_are_those_in_time_and_not_in_spelling() {
        let variant = |number: usize| {
            let year = 1970 - number;
            let claim = format!("[[claims]]\nevent = \"introduced\"\nwhen = \"{year}\"\n");
            let dated = if number == 3 { "" } else { claim.as_str() };
            format!(
                "--- entries/makers/m/x/v{number:02}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n{dated}+++\n"
            )
        };
        let knowledge = example::compile(&(0..13).map(variant).collect::<String>()).knowledge;
        let analysis = Analysis::new(&knowledge);
        let pairs = analysis.pairs(&ModelId::new("m/x"));
        let names: Vec<_> = pairs.iter().map(|pair| (pair.a.variant(), pair.b.variant())).collect();
        assert_eq!(names.len(), 12);
        assert!(names.contains(&("v02", "v04")), "v03 is not dated: {names:?}");
        assert!(names.contains(&("v00", "v03")), "what is not dated comes last: {names:?}");
        assert_eq!(analysis.comparisons(&ModelId::new("m/x")).len(), 12);
        assert_eq!(analysis.pairs_of(&VariantId::new("m/x/v03")).len(), 1);
    }

    #[test]
    fn every_two_variants_are_compared_once_and_in_order() {
        let head = "+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
        let variant = |id: &str| format!("--- entries/makers/{id}/variant.md\n{head}");
        let text: String = ["m/x/c", "m/x/a", "m/x/b", "m/x-1/a"].map(variant).concat();
        let knowledge = example::compile(&text).knowledge;
        let analysis = Analysis::new(&knowledge);
        let compared = analysis.comparisons(&ModelId::new("m/x"));
        let pairs: Vec<_> = compared.iter().map(|found| (found.a.variant(), found.b.variant())).collect();
        assert_eq!(pairs, [("a", "b"), ("a", "c"), ("b", "c")]);
        assert!(std::ptr::eq(compared, analysis.comparisons(&ModelId::new("m/x"))), "worked out again");
        assert!(analysis.comparisons(&ModelId::new("m/x-1")).is_empty());
        assert!(analysis.comparisons(&ModelId::new("m/none")).is_empty());
    }
}
