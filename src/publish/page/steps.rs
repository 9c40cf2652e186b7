//! A page to print for each model: in which order to look so that its variants are told apart soonest, each end with how
//! many recorded garments it is right for.

use serde::Serialize;

use crate::comparison::steps::{self, Outcome, Step};
use crate::explain;
use crate::page::{PageError, description};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{ModelId, Thing, VariantId, Whole};
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

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    model: Link,
    garment: String,
    field_sheet: Link,
    lead: String,
    steps: Vec<StepView>,
    notes: Vec<String>,
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

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let catalog = &context.knowledge.catalog;
    let models = catalog.models.keys().filter(|id| steps::can_be_grown(catalog, id));
    models.map(|id| OutputFile::new(path::steps(id), move || page(context, id))).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::steps(id));
    let catalog = leaf.catalog();
    let model = catalog.model(id).ok_or_else(|| PageError::Words(format!("no record of the model {id}")))?;
    let steps = context.analysis.steps(id).ok_or_else(|| PageError::Words(format!("no order of looks for {id}")))?;
    let found = &steps.found;
    let too_few: Vec<String> = found.too_few.iter().map(|variant| pairs::short_name(&leaf, variant)).collect();
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
        lead: explain::steps::lead(found),
        steps: found.steps.iter().filter_map(|step| self::step(&leaf, step)).collect(),
        notes: explain::steps::notes(catalog, steps, &too_few),
    };
    leaf.render("steps.html", &view)
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
    let left = |(variant, count): &(VariantId, usize)| Left {
        variant: leaf.thing(&Thing::of(Whole::Variant(variant.clone()))).named(pairs::short_name(leaf, variant)),
        garments: *count,
        of: outcome.end.count(),
    };
    OutcomeView {
        state: feature.label(&outcome.state),
        next: outcome.next.map(|next| next + 1),
        left: outcome.end.shown().iter().map(left).collect(),
        is_more: outcome.end.is_cut(),
    }
}
