//! A maker's page: its label lines, its models with their eras, and claims about it.

use serde::Serialize;

use crate::explain;
use crate::page::{self, PageError, description};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::{LineId, MakerId, ModelId, Thing, Whole};
use crate::record::{Content, Line};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::era_rows::{self, Chart};
use crate::view::histories::{self, ChangeView};
use crate::view::leaf::{Frame, Leaf, Link, name};
use crate::view::line_pairs::{self, PairView};
use crate::view::model_overview;
use crate::view::path;
use crate::view::reasons::{self, EraView};
use crate::view::states::{self, StateView};

/// Writes the makers' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "maker",
    description: "a page for each maker, with its lines and models",
    owns: &["makers/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    body: String,
    era: EraView,
    lines: Vec<LineView>,
    models: Vec<ModelView>,
    /// The differences between each two lines, and each two wearers.
    pairs: Vec<PairView>,
    ruler: String,
    changes: Vec<ChangeView>,
    states: Vec<StateView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

#[derive(Serialize)]
struct LineView {
    anchor: String,
    line: Link,
    sign: Option<String>,
    era: EraView,
}

#[derive(Serialize)]
struct ModelView {
    model: Link,
    garment: String,
    chart: Option<Chart>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let makers = context.knowledge.catalog.makers.keys();
    let pages = makers.map(|id| OutputFile::new(format!("makers/{id}.html"), move || page(context, id)));
    pages.chain(moved::pages(context, moved::Kind::Maker)).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &MakerId) -> Result<Vec<u8>, PageError> {
    let whole = Whole::Maker(id.clone());
    let leaf = Leaf::new(context, path::thing(&Thing::of(whole.clone())));
    let missing = || PageError::Words(format!("no record of the maker {id}"));
    let entry = leaf.catalog().makers.get(id).ok_or_else(missing)?;
    let record = leaf.catalog().record(entry.record);
    let Content::Maker(maker) = &record.content else { return Err(missing()) };
    let (ruler, changes) = histories::time_line(&leaf, id).unwrap_or_default();
    let variants = entry.models.iter().filter_map(|model| leaf.catalog().models.get(model));
    let about = format!(
        "{}: {} in {}. It {}.",
        maker.name,
        description::counted(variants.map(|model| model.variants.len()).sum(), "variant"),
        description::counted(entry.models.len(), "model"),
        reasons::made(&leaf, &Thing::of(whole.clone()))
    );
    let view = View {
        frame: leaf.frame(name(record), &about, Vec::new()),
        caution: explain::CAUTION,
        name: maker.name.clone(),
        body: leaf.prose(record),
        era: reasons::era_of(&leaf, &Thing::of(whole.clone())),
        lines: maker.lines.iter().map(|line| line_view(&leaf, line)).collect(),
        models: model_overview::in_order(&entry.models).filter_map(|model| model_view(&leaf, model)).collect(),
        pairs: line_pairs::of_maker(&leaf, id),
        ruler,
        changes,
        states: states::of(&leaf, &whole),
        claims: claims::written_in(&leaf, entry.record),
        said_elsewhere: said_elsewhere(&leaf, &whole, entry.record, &maker.lines),
    };
    leaf.render("maker.html", &view)
}

fn said_elsewhere(leaf: &Leaf<'_>, whole: &Whole, own: crate::resolve::RecordIndex, lines: &[Line]) -> Vec<ClaimView> {
    let mut said = claims::about(leaf, whole, own);
    said.extend(lines.iter().flat_map(|line| claims::about(leaf, &Whole::Line(line.id.value.clone()), own)));
    said
}

fn line_view(leaf: &Leaf<'_>, line: &Line) -> LineView {
    let id: &LineId = &line.id.value;
    let thing = Thing::of(Whole::Line(id.clone()));
    LineView {
        anchor: format!("line-{}", page::anchor(id.line())),
        line: leaf.thing(&thing).named(line.name.clone()),
        sign: line.sign.clone(),
        era: reasons::era_of(leaf, &thing),
    }
}

fn model_view(leaf: &Leaf<'_>, id: &ModelId) -> Option<ModelView> {
    let entry = leaf.catalog().models.get(id)?;
    let Content::Model(model) = &leaf.catalog().record(entry.record).content else { return None };
    Some(ModelView {
        model: leaf.thing(&Thing::of(Whole::Model(id.clone()))),
        garment: model.garment.value.clone(),
        chart: era_rows::chart(leaf, &entry.variants),
    })
}
