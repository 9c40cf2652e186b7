//! The comparisons of each model, every two of its variants: worked out once, when something first asks for them.
//!
//! Which of them anyone is shown, and how, is not decided here.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::comparison::{self, Comparison};
use crate::evidence::{CountedEvidence, Evidence};
use crate::record::id::{ModelId, VariantId};
use crate::resolve::Catalog;

/// Room for the comparisons of every model.
#[derive(Clone, Debug)]
pub struct Pairs {
    models: BTreeMap<ModelId, Model>,
}

#[derive(Clone, Debug, Default)]
struct Model {
    /// In order of id.
    variants: Vec<VariantId>,
    compared: OnceLock<Vec<Comparison>>,
}

impl Pairs {
    /// Makes room; nothing is compared yet.
    pub fn new(catalog: &Catalog) -> Pairs {
        let mut models: BTreeMap<ModelId, Model> = BTreeMap::new();
        for variant in catalog.variants.keys() {
            models.entry(variant.model()).or_default().variants.push(variant.clone());
        }
        Pairs { models }
    }

    /// Gives the comparisons of a model, the first variant of each pair before the second, in order of id.
    pub fn of(&self, counted: CountedEvidence<'_>, model: &ModelId) -> &[Comparison] {
        let Some(model) = self.models.get(model) else { return &[] };
        model.compared.get_or_init(|| compare(counted, &model.variants))
    }
}

fn compare(counted: CountedEvidence<'_>, variants: &[VariantId]) -> Vec<Comparison> {
    let seen: Vec<Evidence<'_>> = variants.iter().map(|variant| (counted.of)(variant)).collect();
    let pairs = seen.iter().enumerate().flat_map(|(place, a)| seen[place + 1..].iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| comparison::of(&counted.knowledge.catalog, a, b)).collect()
}

#[cfg(test)]
mod tests {
    use crate::analysis::Analysis;
    use crate::compile::example;
    use crate::record::id::ModelId;

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
