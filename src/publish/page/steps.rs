//! A page to print for each model: in which order to look so that its variants are told apart soonest, each end with how
//! many recorded garments it is right for.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::comparison::Verdict;
use crate::comparison::steps::{self, End, Outcome, Step, Tried};
use crate::evidence::{self, Evidence};
use crate::explain;
use crate::page::{PageError, description};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{FeatureId, ModelId, Thing, VariantId, Whole};
use crate::resolve::Catalog;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, spaced};
use crate::view::pairs;
use crate::view::path;
use crate::vocabulary::Feature;

/// Writes the pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "steps",
    description: "a page to print for each model: the fewest looks that tell its variants apart",
    owns: &["steps/*/*.html"],
    publish,
};

/// So many variants are named where an end leaves several.
const MOST_NAMED: usize = 3;

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    model: Link,
    garment: String,
    field_sheet: Link,
    variants: usize,
    steps: Vec<StepView>,
    tried: TriedView,
    too_few: Vec<String>,
    followed: Vec<Followed>,
}

/// A feature that is not asked for, since it may only follow something else, such as the size.
#[derive(Serialize)]
struct Followed {
    feature: String,
    other: String,
}

#[derive(Serialize)]
struct StepView {
    feature: Link,
    look: String,
    outcomes: Vec<OutcomeView>,
}

#[derive(Serialize)]
struct OutcomeView {
    state: String,
    /// The number of the next step.
    next: Option<usize>,
    /// The variants that are left, those with most first.
    left: Vec<Left>,
    /// Whether more are left than are named.
    is_more: bool,
}

#[derive(Serialize)]
struct Left {
    variant: Link,
    garments: usize,
    of: usize,
}

#[derive(Serialize)]
struct TriedView {
    right: usize,
    wrong: usize,
    open: usize,
    all: usize,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let catalog = &context.knowledge.catalog;
    let models = catalog.models.keys().filter(|id| steps::can_be_grown(catalog, id));
    models.map(|id| OutputFile::new(path::steps(id), move || page(context, id))).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::steps(id));
    let catalog = leaf.catalog();
    let model = catalog.model(id).ok_or_else(|| PageError::Words(format!("no record of the model {id}")))?;
    let evidence: Vec<Evidence<'_>> = pairs::evidence(context, id).into_values().collect();
    let followed = followed(context, id);
    let is_asked = |feature: &&Feature| feature.is_of(&model.garment.value) && !followed.contains_key(&feature.id);
    let features = catalog.vocabulary.current().filter(is_asked);
    let found = steps::of(&evidence, features);
    let Tried { right, wrong, open } = found.tried;
    let whole = Whole::Model(id.clone());
    let about = format!(
        "Which of {} of the {} {} it is, in the fewest looks: a key to print, each end with its count of garments.",
        description::counted(found.variants.len(), "variant"),
        spaced(&model.garment.value),
        model.name
    );
    let view = View {
        frame: leaf.frame(
            format!("Step by step: {}", model.name),
            &about,
            vec![leaf.thing(&Thing::of(Whole::Maker(id.maker()))), leaf.thing(&Thing::of(whole.clone()))],
        ),
        caution: explain::CAUTION,
        model: leaf.thing(&Thing::of(whole)),
        garment: spaced(&model.garment.value),
        field_sheet: leaf.link("field sheet", &path::field_sheet(id)),
        variants: found.variants.len(),
        steps: found.steps.iter().filter_map(|step| self::step(&leaf, step)).collect(),
        tried: TriedView { right, wrong, open, all: right + wrong + open },
        followed: followed.iter().map(|(feature, other)| named(catalog, feature, other)).collect(),
        too_few: found.too_few.iter().map(|variant| pairs::short_name(&leaf, variant)).collect(),
    };
    leaf.render("steps.html", &view)
}

/// The features that two variants of a model differ in, with what explains that or cannot be separated from it: not when
/// or where a garment was made, which belongs to a variant, but what any garment of it may have, such as its size.
fn followed<'a>(context: &'a Context<'a>, id: &ModelId) -> BTreeMap<&'a FeatureId, &'a str> {
    let compared = context.analysis.comparisons(id).iter().flat_map(|comparison| &comparison.features);
    let others = compared.filter_map(|compared| match &compared.verdict {
        Verdict::Explained(other) | Verdict::CannotSeparate(other) => Some((&compared.feature, other.as_str())),
        _ => None,
    });
    others.filter(|(_, other)| ![evidence::DECADE, evidence::FACTORY].contains(other)).collect()
}

fn named(catalog: &Catalog, feature: &FeatureId, other: &str) -> Followed {
    let name = |id: &str| catalog.vocabulary.feature(id).map_or_else(|| id.to_string(), |found| found.name.clone());
    Followed { feature: name(feature.as_str()), other: name(other) }
}

fn step(leaf: &Leaf<'_>, step: &Step) -> Option<StepView> {
    let feature = leaf.catalog().vocabulary.feature(step.feature.as_str())?;
    Some(StepView {
        feature: leaf.link(feature.name.clone(), &path::feature(&feature.id)),
        look: feature.look.clone(),
        outcomes: step.outcomes.iter().map(|outcome| self::outcome(leaf, feature, outcome)).collect(),
    })
}

fn outcome(leaf: &Leaf<'_>, feature: &Feature, outcome: &Outcome) -> OutcomeView {
    let End { garments, is_named } = &outcome.end;
    let of = garments.iter().map(|(_, count)| count).sum();
    let shown = if *is_named { 1 } else { MOST_NAMED };
    let left = |(variant, count): &(VariantId, usize)| Left {
        variant: leaf.thing(&Thing::of(Whole::Variant(variant.clone()))).named(pairs::short_name(leaf, variant)),
        garments: *count,
        of,
    };
    OutcomeView {
        state: feature.label(&outcome.state),
        next: outcome.next.map(|next| next + 1),
        left: garments.iter().take(shown).map(left).collect(),
        is_more: !is_named && garments.len() > shown,
    }
}
