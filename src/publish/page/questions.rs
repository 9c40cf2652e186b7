//! The page of open questions: what to look at on which garment, first where an observation would settle most.
//!
//! The questions come from `comparison::question`; this page ranks them over the whole knowledge base and words them.

use serde::Serialize;

use crate::comparison::pairs::Pair;
use crate::comparison::question::{Gap, Look, Question, Wait, Why};
use crate::explain;
use crate::explain::comparison as words;
use crate::knowledge::Side;
use crate::page::PageError;
use crate::page::batches::{self, Batch};
use crate::page::description::counted;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::{ModelId, Thing, Whole};
use crate::resolve::Catalog;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, whole_name};
use crate::view::pairs;
use crate::view::path;
use crate::view::reasons;
use crate::view::unplaced::{self, Answered};
use crate::view::unresolved;

/// Writes the page of open questions.
pub const PUBLISHER: Publisher = Publisher {
    name: "questions",
    description: "open questions: what to look at on which garment, ranked by how much it would settle",
    owns: &["questions.html"],
    publish,
};

/// The most variants that are asked about in full; the others are only named.
const IN_FULL: usize = 24;

/// The most features of each.
const LOOKS: usize = 6;

/// The description of the page.
const ABOUT: &str =
    "What one more observation would settle: which garment to find, what to look at, and what is undecided.";

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    open: unresolved::Questions,
    unplaced: Vec<Batch<Answered>>,
    asked: Vec<QuestionView>,
    others: Vec<Batch<Link>>,
    never_sure: Vec<Batch<Link>>,
    successions: Vec<Batch<SuccessionView>>,
}

/// A model with gaps, overlaps or variants that nothing tells apart.
#[derive(Serialize)]
struct SuccessionView {
    model: Link,
    says: String,
}

#[derive(Serialize)]
struct QuestionView {
    anchor: String,
    variant: Link,
    request: Option<String>,
    looks: Vec<LookView>,
    more: usize,
    dates: Vec<Link>,
}

#[derive(Serialize)]
struct LookView {
    feature: String,
    look: String,
    counted: usize,
    waits: Vec<WaitView>,
}

#[derive(Serialize)]
struct WaitView {
    other: Link,
    why: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("questions.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "questions.html");
    let ranked = context.analysis.questions();
    let (full, others) = ranked.split_at(ranked.len().min(IN_FULL));
    let variant = |question: &Question| leaf.thing(&Thing::of(Whole::Variant(question.variant.clone())));
    let named = |links: Vec<Link>| batches::of(links, Link::ends);
    let open = unresolved::questions(&leaf);
    let view = View {
        frame: leaf.frame("Open questions", ABOUT, Vec::new()),
        caution: explain::CAUTION,
        never_sure: named(open.never_sure().to_vec()),
        open,
        unplaced: batches::of(unplaced::all(&leaf), |_| String::new()),
        asked: full.iter().map(|question| asked(&leaf, question)).collect(),
        others: named(others.iter().map(variant).collect()),
        successions: batches::of(successions(&leaf), |models| {
            Link::ends(&models.iter().map(|one| one.model.clone()).collect::<Vec<Link>>())
        }),
    };
    leaf.render("questions.html", &view)
}

fn successions(leaf: &Leaf<'_>) -> Vec<SuccessionView> {
    let models = leaf.catalog().models.iter().filter(|(_, entry)| entry.variants.len() > 1);
    let view = |id: &ModelId| {
        let found = leaf.context.analysis.succession(id);
        let parts = [
            (found.impossible.len() + found.unsure.len(), "gap"),
            (found.overlaps.len(), "overlap"),
            (found.alike.len(), "set"),
        ];
        let mut said: Vec<String> =
            parts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| counted(*count, what)).collect();
        if let Some(sets) = said.last_mut().filter(|_| !found.alike.is_empty()) {
            *sets += " of variants that nothing recorded tells apart";
        }
        let model = whole_name(leaf.catalog(), &Whole::Model(id.clone()));
        (!said.is_empty())
            .then(|| SuccessionView { model: leaf.link(model, &path::succession(id)), says: words::join(&said) })
    };
    models.filter_map(|(id, _)| view(id)).collect()
}

fn asked(leaf: &Leaf<'_>, question: &Question) -> QuestionView {
    let looks: Vec<&Look> = question.looks.iter().take(LOOKS).collect();
    QuestionView {
        anchor: unresolved::anchor(question),
        variant: leaf.thing(&Thing::of(Whole::Variant(question.variant.clone()))),
        request: unresolved::request(leaf, question),
        looks: looks.into_iter().filter_map(|look| look_view(leaf, question, look)).collect(),
        more: question.looks.len().saturating_sub(LOOKS),
        dates: question.gaps.iter().map(|(side, gap)| date(leaf, question, *side, *gap)).collect(),
    }
}

fn look_view(leaf: &Leaf<'_>, question: &Question, look: &Look) -> Option<LookView> {
    let feature = leaf.catalog().vocabulary.feature(look.feature.as_str())?;
    Some(LookView {
        feature: feature.name.clone(),
        look: feature.look.clone(),
        counted: look.counted,
        waits: look.waits.iter().map(|wait| wait_view(leaf, question, look, wait)).collect(),
    })
}

fn wait_view(leaf: &Leaf<'_>, question: &Question, look: &Look, wait: &Wait) -> WaitView {
    let (a, b) =
        if question.variant < wait.other { (&question.variant, &wait.other) } else { (&wait.other, &question.variant) };
    let compared = pairs::between(leaf.context, &Pair { a: a.clone(), b: b.clone() });
    let has_row = compared.is_some_and(|found| found.features.iter().any(|row| row.feature == look.feature));
    let page = pairs::path(a, b);
    let to = if has_row { format!("{page}#feature-{}", look.feature) } else { page };
    WaitView { other: leaf.link(pairs::short_name(leaf, &wait.other), &to), why: why(leaf.catalog(), &wait.why) }
}

fn why(catalog: &Catalog, why: &Why) -> String {
    match why {
        Why::Thin(1) => "one more and they can be compared".to_string(),
        Why::Thin(missing) => format!("{missing} more between the two and they can be compared"),
        Why::Flip(now, others) => {
            let others: Vec<String> = others.iter().map(|verdict| words::verdict_words(verdict, catalog)).collect();
            let now = words::verdict_words(now, catalog);
            format!("now {now}; one more garment could make it {}", others.join(", or "))
        }
    }
}

/// The missing date, with a link to the bound on the variant's page.
fn date(leaf: &Leaf<'_>, question: &Question, side: Side, gap: Gap) -> Link {
    let page = path::thing(&Thing::of(Whole::Variant(question.variant.clone())));
    leaf.link(wanted(side, gap), &format!("{page}#{}", reasons::bound_anchor(side)))
}

/// The evidence an era lacks, and how to supply it.
fn wanted(side: Side, gap: Gap) -> &'static str {
    match (side, gap) {
        (Side::BeginEarliest, Gap::Open) => "nothing limits how early it began: a list without it would",
        (Side::BeginLatest, Gap::Open) => "nothing shows by when it had begun: an early date on a garment would",
        (Side::EndEarliest, Gap::Open) => "nothing shows how long it was made: a late date on a garment would",
        (Side::EndLatest, Gap::Open) => "nothing limits how late it ended: a list saying it was dropped would",
        (Side::BeginEarliest, Gap::Estimated) => "how early it began is only estimated",
        (Side::BeginLatest, Gap::Estimated) => {
            "by when it had begun is only estimated: an early date on a garment would count more"
        }
        (Side::EndEarliest, Gap::Estimated) => {
            "how long it was made is only estimated: a late date on a garment would count more"
        }
        (Side::EndLatest, Gap::Estimated) => "how late it ended is only estimated",
        (Side::BeginEarliest, Gap::OneVoice) => "only one voice limits how early it began",
        (Side::BeginLatest, Gap::OneVoice) => {
            "only one voice shows by when it had begun: another early date would confirm it"
        }
        (Side::EndEarliest, Gap::OneVoice) => {
            "only one voice shows how long it was made: another late date would confirm it"
        }
        (Side::EndLatest, Gap::OneVoice) => "only one voice limits how late it ended",
    }
}
