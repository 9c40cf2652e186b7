//! The variants of a model two by two: which pairs have a page, where it stands, and what is shown on it.
//!
//! What comparing them came to is worked out in `reason`, once for all pages and exports; here it is only looked up.

use std::collections::BTreeMap;

use crate::comparison::Comparison;
use crate::evidence::Evidence;
use crate::record::id::{ModelId, VariantId, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link, whole_name};

/// A model with more variants than this has pages for neighbours only.
const ALL_PAIRS: usize = 12;

/// Gives the comparisons of a model that have a page, in the order of its variants.
pub fn of<'a>(context: &'a Context<'a>, model: &ModelId) -> Vec<&'a Comparison> {
    let pairs = pairs(variants(context, model));
    let mut compared = context.analysis.comparisons(model).iter();
    // Both are in the order of the variants, so that one passes over the other.
    pairs.into_iter().filter_map(|(a, b)| compared.find(|found| found.a == *a && found.b == *b)).collect()
}

/// Gives the comparison of two variants of a model, if there is one.
pub fn between<'a>(context: &'a Context<'a>, a: &VariantId, b: &VariantId) -> Option<&'a Comparison> {
    context.analysis.comparisons(&a.model()).iter().find(|found| found.a == *a && found.b == *b)
}

/// What was seen of each variant of a model.
pub fn evidence<'a>(context: &'a Context<'a>, model: &ModelId) -> BTreeMap<VariantId, Evidence<'a>> {
    let variants = variants(context, model).iter();
    variants.map(|variant| (variant.clone(), context.analysis.evidence(variant))).collect()
}

fn variants<'a>(context: &'a Context<'a>, model: &ModelId) -> &'a [VariantId] {
    context.knowledge.catalog.models.get(model).map_or(&[][..], |entry| entry.variants.as_slice())
}

/// The pairs of a model that have a page: all of them, or neighbours where there are many.
pub fn pairs(variants: &[VariantId]) -> Vec<(&VariantId, &VariantId)> {
    let reach = if variants.len() > ALL_PAIRS { 1 } else { variants.len() };
    let from = |place: usize| variants[place + 1..].iter().take(reach).map(move |b| (&variants[place], b));
    (0..variants.len()).flat_map(from).collect()
}

/// Where the page of a pair stands; a dot is in no id, so no two pairs share one.
pub fn path(a: &VariantId, b: &VariantId) -> String {
    format!("compare/{a}.{}.html", b.variant())
}

/// What a variant is called beside others of its model.
pub fn short_name(leaf: &Leaf<'_>, id: &VariantId) -> String {
    let name = whole_name(leaf.catalog(), &Whole::Variant(id.clone()));
    let model = whole_name(leaf.catalog(), &Whole::Model(id.model()));
    name.strip_prefix(&model).and_then(|rest| rest.strip_prefix(", ")).unwrap_or(&name).to_string()
}

/// Links from a page to the comparisons of a model, or of one variant of it, under the other's name.
pub fn links(leaf: &Leaf<'_>, model: &ModelId, only: Option<&VariantId>) -> Vec<Link> {
    let variants = leaf.catalog().models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
    let wanted = pairs(variants).into_iter().filter(|(a, b)| only.is_none_or(|only| only == *a || only == *b));
    let link = |(a, b): (&VariantId, &VariantId)| match only {
        Some(only) => leaf.link(short_name(leaf, if only == a { b } else { a }), &path(a, b)),
        None => leaf.link(format!("{} and {}", short_name(leaf, a), short_name(leaf, b)), &path(a, b)),
    };
    wanted.map(link).collect()
}

#[cfg(test)]
mod tests {
    use super::{ALL_PAIRS, pairs, path};
    use crate::record::id::VariantId;

    fn variants(count: usize) -> Vec<VariantId> {
        (0..count).map(|number| VariantId::new(format!("m/x/v{number:02}"))).collect()
    }

    #[test]
    fn many_variants_are_compared_with_their_neighbours_only() {
        assert_eq!(pairs(&variants(1)).len(), 0);
        assert_eq!(pairs(&variants(ALL_PAIRS)).len(), 66);
        assert_eq!(pairs(&variants(ALL_PAIRS + 1)).len(), 12);
    }

    #[test]
    fn every_pair_has_a_page_of_its_own() {
        let variants = variants(2);
        assert_eq!(path(&variants[0], &variants[1]), "compare/m/x/v00.v01.html");
    }
}
