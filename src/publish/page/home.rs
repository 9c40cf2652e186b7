//! The first page: the models of all makers at a glance, what was seen last, what is open, and what it is about.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use serde::Serialize;

use crate::date::spoken;
use crate::explain;
use crate::figure::Setting;
use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Content;
use crate::record::id::{Thing, Whole};
use crate::record::observation::Placement;
use crate::resolve::RecordIndex;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, spaced};
use crate::view::letters::makers::{self, LetterView};
use crate::view::model_overview;
use crate::view::unresolved;

/// Writes the first page.
pub const PUBLISHER: Publisher = Publisher {
    name: "home",
    description: "the first page: all models at a glance, what was seen last, and what is open",
    owns: &["index.html"],
    publish,
};

/// The most observations named as the latest, and the most variants named to look at first.
const LATEST: usize = 6;
const ASKED: usize = 3;

/// With more models than this, makers are listed by letter: one scale has no room.
const ON_ONE_SCALE: usize = 40;

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    summary: String,
    body: String,
    garments: Vec<GarmentView>,
    ruler: Option<String>,
    /// The models of all makers on one scale, where there are few.
    makers: Vec<model_overview::MakerView>,
    /// The makers by letter, where there are many.
    letters: Vec<LetterView>,
    latest: Vec<Latest>,
    open: unresolved::Questions,
    asked: Vec<OpenQuestion>,
    counts: Counts,
}

/// A kind of garment to begin with.
#[derive(Serialize)]
struct GarmentView {
    dated: Link,
    /// Its front, without a mark; `None` if there is no drawing of such a garment.
    figure: Option<String>,
}

#[derive(Serialize)]
struct Latest {
    day: String,
    /// The day in words.
    said: String,
    observation: Link,
    variant: Option<Link>,
}

#[derive(Serialize)]
struct OpenQuestion {
    question: Link,
    request: String,
}

/// The description of the site, unless the knowledge base has its own.
const ABOUT: &str =
    "Garments recorded by many people: when each variant was made, what tells it apart, and who says so.";

#[derive(Serialize)]
struct Counts {
    makers: usize,
    models: usize,
    variants: usize,
    garments: usize,
    observations: usize,
    sources: usize,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("index.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "index.html");
    let catalog = leaf.catalog();
    let about = catalog.records.iter().find(|record| matches!(record.content, Content::About(_)));
    let is_small = catalog.models.len() <= ON_ONE_SCALE;
    let scale = model_overview::scale(&leaf, &[]).filter(|_| is_small);
    let summary = catalog.about.summary.as_str();
    let about_site = if summary.is_empty() { ABOUT } else { summary };
    let view = View {
        frame: leaf.frame("", about_site, Vec::new()),
        caution: explain::CAUTION,
        summary: catalog.about.summary.clone(),
        body: about.map_or_else(String::new, |record| leaf.prose(record)),
        ruler: scale.map(|scale| scale.ruler()),
        garments: garments(&leaf),
        makers: if is_small { model_overview::makers(&leaf, scale) } else { Vec::new() },
        letters: if is_small { Vec::new() } else { makers::of(&leaf) },
        latest: latest(&leaf),
        open: unresolved::questions(&leaf),
        asked: asked(&leaf),
        counts: counts(&leaf),
    };
    leaf.render("home.html", &view)
}

/// The kinds of garment that the models are, each with its front and the way to date one.
fn garments(leaf: &Leaf<'_>) -> Vec<GarmentView> {
    let models = leaf.catalog().models.values();
    let kinds: BTreeSet<&str> = models
        .filter_map(|entry| match &leaf.catalog().record(entry.record).content {
            Content::Model(model) => Some(model.garment.value.as_str()),
            _ => None,
        })
        .collect();
    let view = |kind: &str| {
        let front = leaf.context.site.drawings(kind).into_iter().next();
        let scope = format!("garment-{kind}-");
        let setting = Setting { scope: &scope, shares: None, of: "", around: None };
        GarmentView {
            dated: leaf.link(spaced(kind), &format!("in-hand.html#garment={kind}")),
            figure: front.map(|(_, drawing)| drawing.filled(&[], &setting)),
        }
    };
    kinds.into_iter().map(view).collect()
}

/// The observations of the latest days, first the last.
fn latest(leaf: &Leaf<'_>) -> Vec<Latest> {
    let numbered = (0_u32..).map(RecordIndex).zip(&leaf.catalog().records);
    let mut dated: Vec<_> = numbered
        .filter_map(|(index, record)| {
            Some((record.content.observation()?.observed.as_ref()?.value, &record.path, index))
        })
        .collect();
    dated.sort_by_key(|(day, path, _)| (Reverse(*day), *path));
    let view = |(day, _, index): (crate::date::Day, _, RecordIndex)| {
        let placement = leaf.catalog().record(index).content.observation().map(|found| &found.placement);
        let variant = match placement {
            Some(Placement::Variant(variant)) => Some(leaf.thing(&Thing::of(Whole::Variant(variant.clone())))),
            _ => None,
        };
        Latest { day: day.to_string(), said: spoken::day(day), observation: leaf.observation(index), variant }
    };
    dated.into_iter().take(LATEST).map(view).collect()
}

/// The variants for which one more observation would settle most.
fn asked(leaf: &Leaf<'_>) -> Vec<OpenQuestion> {
    let questions = leaf.context.analysis.questions().iter();
    let asked = questions.filter_map(|question| {
        let variant = leaf.thing(&Thing::of(Whole::Variant(question.variant.clone())));
        let question_link = leaf.link(variant.name, &format!("questions.html#{}", unresolved::anchor(question)));
        Some(OpenQuestion { question: question_link, request: unresolved::request(leaf, question)? })
    });
    asked.take(ASKED).collect()
}

fn counts(leaf: &Leaf<'_>) -> Counts {
    let catalog = leaf.catalog();
    let observations = catalog.records.iter().filter(|record| matches!(record.content, Content::Observation(_)));
    Counts {
        makers: catalog.makers.len(),
        models: catalog.models.len(),
        variants: catalog.variants.len(),
        garments: catalog.garments.len(),
        observations: observations.count(),
        sources: catalog.cited.len(),
    }
}
