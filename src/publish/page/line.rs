//! A label line's page: its sign and era, its models, what tells it from each other line, and what changed in it when.

use serde::Serialize;

use crate::explain;
use crate::page::{PageError, description};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{LineId, Thing, VariantId, Whole};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::era_rows::{self, Chart};
use crate::view::histories::{self, HistoriesView};
use crate::view::leaf::{Frame, Leaf};
use crate::view::line_pairs::{self, PairView};
use crate::view::path;
use crate::view::reasons::{self, EraView};

/// Writes the lines' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "line",
    description: "a page for each label line: its sign, its models, and what tells it from the maker's other lines",
    owns: &["lines/*/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    sign: Option<String>,
    era: EraView,
    chart: Option<Chart>,
    pairs: Vec<PairView>,
    histories: Option<HistoriesView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let lines = context.knowledge.catalog.lines.keys();
    lines.map(|id| OutputFile::new(path::line(id), move || page(context, id))).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &LineId) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::line(id));
    let whole = Whole::Line(id.clone());
    let name = line_pairs::line_name(&leaf, id);
    let maker = leaf.thing(&Thing::of(Whole::Maker(id.maker())));
    let variants: Vec<VariantId> = variants(&leaf, id);
    let about = format!(
        "{name}, a label line of {}: {}. It {}.",
        maker.name,
        description::counted(variants.len(), "variant"),
        reasons::made(&leaf, &Thing::of(whole.clone()))
    );
    let view = View {
        frame: leaf.frame(name.clone(), &about, vec![maker]),
        caution: explain::CAUTION,
        name,
        sign: line_pairs::sign(&leaf, id),
        era: reasons::era_of(&leaf, &Thing::of(whole.clone())),
        chart: era_rows::chart_over_models(&leaf, &variants),
        pairs: line_pairs::of_line(&leaf, id),
        histories: histories::view(&leaf, &whole),
        claims: Vec::new(),
        said_elsewhere: claims::all_about(&leaf, &whole),
    };
    leaf.render("line.html", &view)
}

fn variants(leaf: &Leaf<'_>, id: &LineId) -> Vec<VariantId> {
    let all = leaf.catalog().variants.iter();
    all.filter(|(_, entry)| entry.line.as_ref() == Some(id)).map(|(variant, _)| variant.clone()).collect()
}
