//! A page for each model of several variants: gaps and overlaps in time, and the variants that nothing tells apart.

use serde::Serialize;

use crate::comparison::succession::{Alike, Stretch};
use crate::date::spoken;
use crate::explain;
use crate::page::PageError;
use crate::page::batches::{self, Batch};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::typography::capital;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::pairs;
use crate::view::path;

/// Writes the pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "succession",
    description: "a page for each model: gaps and overlaps of its variants in time, and variants that nothing tells apart",
    owns: &["gaps/*/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    model: Link,
    impossible: Vec<String>,
    unsure: Vec<Batch<StretchView>>,
    overlaps: Vec<Batch<StretchView>>,
    alike: Vec<Batch<AlikeView>>,
}

#[derive(Serialize)]
struct StretchView {
    when: String,
    variants: Vec<Link>,
    more: usize,
}

#[derive(Serialize)]
struct AlikeView {
    variants: Vec<Link>,
    /// None; a stretch of time may have some that are not named.
    more: usize,
    is_thin: bool,
    /// The comparison, if there are two.
    comparison: Option<Link>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.iter().filter(|(_, entry)| entry.variants.len() > 1);
    models.map(|(id, _)| OutputFile::new(path::succession(id), move || page(context, id))).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::succession(id));
    let model = leaf.thing(&Thing::of(Whole::Model(id.clone())));
    let found = context.analysis.succession(id);
    let about = format!(
        "Years in which no variant of {} was surely made, years in which several were, and variants that nothing \
         recorded tells apart.",
        model.name
    );
    let stretches = |found: &[Stretch]| batches::of(found.iter().map(|one| stretch(&leaf, one)).collect(), ends);
    let view = View {
        frame: leaf.frame(
            format!("Gaps and overlaps: {}", model.name),
            &about,
            vec![leaf.thing(&Thing::of(Whole::Maker(id.maker()))), model.clone()],
        ),
        caution: explain::CAUTION,
        model,
        impossible: found.impossible.iter().map(|days| capital(&spoken::within(*days))).collect(),
        unsure: stretches(&found.unsure),
        overlaps: stretches(&found.overlaps),
        alike: batches::of(found.alike.iter().map(|set| alike(&leaf, set)).collect(), |_| String::new()),
    };
    leaf.render("gaps.html", &view)
}

fn ends(stretches: &[StretchView]) -> String {
    stretches.first().map_or_else(String::new, |first| first.when.clone())
}

fn variant(leaf: &Leaf<'_>, id: &VariantId) -> Link {
    leaf.thing(&Thing::of(Whole::Variant(id.clone()))).named(pairs::short_name(leaf, id))
}

fn stretch(leaf: &Leaf<'_>, stretch: &Stretch) -> StretchView {
    StretchView {
        when: capital(&spoken::within(stretch.days)),
        variants: stretch.variants.iter().map(|id| variant(leaf, id)).collect(),
        more: stretch.more,
    }
}

fn alike(leaf: &Leaf<'_>, set: &Alike) -> AlikeView {
    let comparison = match &set.variants[..] {
        [one, other] => {
            let (a, b) = if one < other { (one, other) } else { (other, one) };
            Some(leaf.link("compare them", &pairs::path(a, b)))
        }
        _ => None,
    };
    AlikeView {
        variants: set.variants.iter().map(|id| variant(leaf, id)).collect(),
        more: 0,
        is_thin: set.is_thin,
        comparison,
    }
}
