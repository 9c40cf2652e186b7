//! Any two to four variants, models or lines side by side: states, counts, eras and photographs, and no verdict.
//!
//! Their data is a script, since a page from a folder may fetch nothing; `site/assets/side-by-side.js` makes the table
//! of the chosen ones.

use serde::Serialize;

use crate::evidence::Evidence;
use crate::explain;
use crate::page::PageError;
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{Thing, VariantId, Whole, natural_order};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf};
use crate::view::photographs::pictures;
use crate::view::reasons;
use crate::view::tallies;
use crate::vocabulary::Feature;

/// Writes the page and what it knows.
pub const PUBLISHER: Publisher = Publisher {
    name: "side-by-side",
    description: "any two to four variants, models or label lines of any maker side by side, without a verdict",
    owns: &["compare.html", "side-by-side-data.js"],
    publish,
};

/// The most photographs shown of each.
const PHOTOGRAPHS: usize = 3;

/// The description of the page.
const ABOUT: &str =
    "Two to four variants, models or label lines of any maker side by side: what was counted, and no verdict.";

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
}

/// Everything that can be chosen.
#[derive(Serialize)]
struct Data<'a> {
    features: Vec<&'a str>,
    things: Vec<ThingView>,
}

/// A variant, a model or a line.
#[derive(Serialize)]
struct ThingView {
    id: String,
    sort: &'static str,
    maker: String,
    name: String,
    href: String,
    made: String,
    garments: usize,
    /// The counts, by place of the feature.
    seen: Vec<(usize, String)>,
    photographs: Vec<PhotographView>,
}

#[derive(Serialize)]
struct PhotographView {
    href: String,
    picture: String,
    text: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![
        OutputFile::new("compare.html", move || page(context)),
        OutputFile::new("side-by-side-data.js", move || script(context)),
    ]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "compare.html");
    let view = View { frame: leaf.frame("Side by side", ABOUT, Vec::new()), caution: explain::CAUTION };
    leaf.render("side-by-side.html", &view)
}

/// The data as a script, with nothing in it that could end a script element.
fn script<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, serde_json::Error> {
    let json = serde_json::to_string(&data(context))?;
    let json = json.replace('<', "\\u003c").replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    Ok(format!("window.bartackSideBySide = {json};\n").into_bytes())
}

fn data<'a>(context: &'a Context<'a>) -> Data<'a> {
    let leaf = Leaf::new(context, "compare.html");
    let catalog = &context.knowledge.catalog;
    let features: Vec<&Feature> = catalog.vocabulary.iter().collect();
    let of_line = |line: &crate::record::id::LineId| -> Vec<VariantId> {
        let own = catalog.variants.iter().filter(|(_, entry)| entry.line.as_ref() == Some(line));
        own.map(|(id, _)| id.clone()).collect()
    };
    let lines = catalog.lines.keys().map(|line| (Whole::Line(line.clone()), of_line(line)));
    let models = catalog.models.iter().map(|(id, entry)| (Whole::Model(id.clone()), entry.variants.clone()));
    let variants = catalog.variants.keys().map(|id| (Whole::Variant(id.clone()), vec![id.clone()]));
    let things = variants.chain(models).chain(lines);
    let mut things: Vec<ThingView> = things.map(|(whole, own)| thing(&leaf, &features, &whole, &own)).collect();
    things.sort_by(|one, other| natural_order(&one.id, &other.id));
    Data { features: features.iter().map(|feature| feature.name.as_str()).collect(), things }
}

fn thing(leaf: &Leaf<'_>, features: &[&Feature], whole: &Whole, variants: &[VariantId]) -> ThingView {
    let of = Thing::of(whole.clone());
    let link = leaf.thing(&of);
    let evidence: Vec<Evidence<'_>> = variants.iter().map(|id| leaf.context.analysis.evidence(id)).collect();
    let evidence: Vec<&Evidence<'_>> = evidence.iter().collect();
    let seen = features.iter().enumerate().filter_map(|(place, feature)| {
        let tally = tallies::tally(&evidence, feature);
        (tally.examined > 0).then(|| (place, tally.words()))
    });
    let (sort, maker) = match whole {
        Whole::Line(id) => ("label line", id.maker()),
        Whole::Model(id) => ("model", id.maker()),
        Whole::Variant(id) => ("variant", id.maker()),
        Whole::Maker(id) => ("maker", id.clone()),
    };
    let era = leaf.context.knowledge.eras.get(&of).map(|era| era.possibly_made());
    ThingView {
        id: whole.as_str().to_string(),
        sort,
        maker: leaf.thing(&Thing::of(Whole::Maker(maker))).name,
        name: link.name,
        href: link.href,
        made: era.map_or_else(|| "any year".to_string(), |(first, last)| reasons::years(first, last)),
        garments: variants.iter().map(|id| leaf.context.index.garments_of(id).len()).sum(),
        seen: seen.collect(),
        photographs: photographs(leaf, variants),
    }
}

fn photographs(leaf: &Leaf<'_>, variants: &[VariantId]) -> Vec<PhotographView> {
    let catalog = leaf.catalog();
    let entries = variants.iter().filter_map(|id| catalog.variants.get(id)).flat_map(|entry| &entry.observations);
    let found = entries.filter_map(|index| Some((*index, catalog.record(*index).content.observation()?)));
    let pictures = found.flat_map(|(index, observation)| {
        let href = leaf.record(index).href;
        let small = pictures::small(leaf, index, observation).into_iter();
        small.map(move |(picture, text)| PhotographView { href: href.clone(), picture, text })
    });
    pictures.take(PHOTOGRAPHS).collect()
}
