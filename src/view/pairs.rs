//! The variants of a model two by two: the pairs with a page, its path, and its content.
//!
//! The pairs and comparisons are computed elsewhere, once for all pages and exports.

use std::collections::BTreeMap;

use crate::comparison::Comparison;
use crate::comparison::pairs::Pair;
use crate::evidence::Evidence;
use crate::record::id::{ModelId, VariantId, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link, whole_name};

/// Gives the comparison of two variants of a model, the first by id first, if there is one.
pub fn between<'a>(context: &'a Context<'a>, pair: &Pair) -> Option<&'a Comparison> {
    let compared = context.analysis.comparisons(&pair.a.model());
    let found = compared.binary_search_by(|found| (&found.a, &found.b).cmp(&(&pair.a, &pair.b)));
    found.ok().map(|place| &compared[place])
}

/// The evidence on each variant of a model.
pub fn evidence<'a>(context: &'a Context<'a>, model: &ModelId) -> BTreeMap<VariantId, Evidence<'a>> {
    let variants = context.knowledge.catalog.models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
    variants.iter().map(|variant| (variant.clone(), context.analysis.evidence(variant))).collect()
}

/// The path of a pair's page; ids contain no dot, so no two pairs share a path.
pub fn path(a: &VariantId, b: &VariantId) -> String {
    format!("compare/{a}.{}.html", b.variant())
}

/// The name of a variant among others of its model.
pub fn short_name(leaf: &Leaf<'_>, id: &VariantId) -> String {
    let name = whole_name(leaf.catalog(), &Whole::Variant(id.clone()));
    let model = whole_name(leaf.catalog(), &Whole::Model(id.model()));
    name.strip_prefix(&model).and_then(|rest| rest.strip_prefix(", ")).unwrap_or(&name).to_string()
}

/// Links from a page to the comparisons of some pairs, each under both names.
pub fn links<'p>(leaf: &Leaf<'_>, pairs: impl IntoIterator<Item = &'p Pair>) -> Vec<Link> {
    let name = |pair: &Pair| format!("{} and {}", short_name(leaf, &pair.a), short_name(leaf, &pair.b));
    pairs.into_iter().map(|pair| leaf.link(name(pair), &path(&pair.a, &pair.b))).collect()
}

/// Links from a variant's page to its comparisons, each under the other's name.
pub fn links_of(leaf: &Leaf<'_>, variant: &VariantId) -> Vec<Link> {
    let other = |pair: &Pair| short_name(leaf, if pair.a == *variant { &pair.b } else { &pair.a });
    let pairs = leaf.context.analysis.pairs_of(variant);
    pairs.into_iter().map(|pair| leaf.link(other(pair), &path(&pair.a, &pair.b))).collect()
}

#[cfg(test)]
mod tests {
    use super::path;
    use crate::record::id::VariantId;

    #[test]
    fn every_pair_has_a_page_of_its_own() {
        let [a, b] = ["m/x/v00", "m/x/v01"].map(VariantId::new);
        assert_eq!(path(&a, &b), "compare/m/x/v00.v01.html");
    }
}
