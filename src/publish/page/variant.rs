//! A variant's page: its era with what each bound rests on, what is said of it, and everything recorded of it.

use serde::Serialize;

use crate::date::{Day, spoken};
use crate::explain;
use crate::page::batches::{self, Batch};
use crate::page::{self, PageError, description};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Content;
use crate::record::id::{Thing, VariantId, Whole};
use crate::resolve::RecordIndex;
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::era_rows::{self, Chart};
use crate::view::figures::{self, Plate};
use crate::view::histories::{self, HistoriesView};
use crate::view::leaf::{Frame, Leaf, Link, name};
use crate::view::pairs;
use crate::view::path;
use crate::view::photographs::pictures::{self, RowPhotographs};
use crate::view::readings;
use crate::view::reasons::{self, EraView};
use crate::view::states::{self, StateView};

/// Writes the variants' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "variant",
    description: "a page for each variant: its era, what each bound rests on, and all that was recorded",
    owns: &["makers/*/*/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    body: String,
    line: String,
    sign: Option<String>,
    line_href: Option<String>,
    wearer: &'static str,
    revives: Option<Link>,
    revived_by: Vec<Link>,
    chart: Option<Chart>,
    era: EraView,
    comparisons: Vec<Link>,
    plates: Vec<Plate>,
    histories: Option<HistoriesView>,
    states: Vec<StateView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
    photographs: Vec<FeatureRow>,
    observations: Vec<Batch<ObservationRow>>,
}

/// A feature with the photographs of it.
#[derive(Serialize)]
struct FeatureRow {
    feature: Link,
    row: RowPhotographs,
}

#[derive(Serialize)]
struct ObservationRow {
    anchor: String,
    observation: Link,
    basis: &'static str,
    dated: Option<String>,
    dated_by: Option<&'static str>,
    observer: Option<String>,
    examined: usize,
    withheld: bool,
    /// From the first to the last day, for the order of long lists.
    #[serde(skip)]
    days: Option<(Day, Day)>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let variants = context.knowledge.catalog.variants.keys();
    let pages = variants.map(|id| OutputFile::new(format!("makers/{id}.html"), move || page(context, id)));
    pages.chain(moved::pages(context, moved::Kind::Variant)).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &VariantId) -> Result<Vec<u8>, PageError> {
    let whole = Whole::Variant(id.clone());
    let leaf = Leaf::new(context, path::thing(&Thing::of(whole.clone())));
    let missing = || PageError::Words(format!("no record of the variant {id}"));
    let entry = leaf.catalog().variants.get(id).ok_or_else(missing)?;
    let record = leaf.catalog().record(entry.record);
    let Content::Variant(variant) = &record.content else { return Err(missing()) };
    let of = |whole: Whole| leaf.thing(&Thing::of(whole));
    let (line, sign) = era_rows::line(&leaf, id);
    let view = View {
        frame: leaf.frame(
            name(record),
            &about(&leaf, id, variant.wearer.word()),
            vec![of(Whole::Maker(id.maker())), of(Whole::Model(id.model()))],
        ),
        caution: explain::CAUTION,
        name: variant.name.clone(),
        body: leaf.prose(record),
        line,
        sign,
        line_href: entry.line.as_ref().map(|line| of(Whole::Line(line.clone())).href),
        wearer: variant.wearer.word(),
        revives: variant.revives.as_ref().map(|old| of(Whole::Variant(old.value.clone()))),
        revived_by: revived_by(&leaf, id),
        chart: era_rows::chart(&leaf, std::slice::from_ref(id)),
        era: reasons::era_of(&leaf, &Thing::of(whole.clone())),
        comparisons: pairs::links_of(&leaf, id),
        plates: figures::of(&leaf, &context.analysis.evidence(id)),
        histories: histories::view(&leaf, &whole),
        states: states::of(&leaf, &whole),
        claims: claims::written_in(&leaf, entry.record),
        said_elsewhere: claims::about(&leaf, &whole, entry.record),
        photographs: photographs(&leaf, &entry.observations),
        observations: observations(&leaf, &entry.observations),
    };
    leaf.render("variant.html", &view)
}

/// The photographs of the variant's garments, feature by feature.
fn photographs(leaf: &Leaf<'_>, observations: &[RecordIndex]) -> Vec<FeatureRow> {
    let rows = leaf.catalog().vocabulary.iter().map(|feature| FeatureRow {
        feature: leaf.link(&feature.name, &path::feature(&feature.id)),
        row: pictures::in_row(leaf, observations.iter().copied(), &feature.id),
    });
    rows.filter(|row| !row.row.is_empty()).collect()
}

/// The variant in one sentence: how many garments of it were recorded, and when it was made.
fn about(leaf: &Leaf<'_>, id: &VariantId, wearer: &str) -> String {
    let thing = Thing::of(Whole::Variant(id.clone()));
    let [variant, maker] = [thing.clone(), Thing::of(Whole::Maker(id.maker()))].map(|thing| leaf.thing(&thing).name);
    let garments = description::counted(leaf.context.index.garments_of(id).len(), "garment");
    format!("{variant} ({maker}), cut for {wearer}: {garments} recorded. It {}.", reasons::made(leaf, &thing))
}

fn revived_by(leaf: &Leaf<'_>, id: &VariantId) -> Vec<Link> {
    let others = leaf.context.index.revived_by(id).iter();
    others.map(|other| leaf.thing(&Thing::of(Whole::Variant((*other).clone())))).collect()
}

/// The entries in the order of their files. If they do not fit together, they are in order of date, so that each batch
/// can say which years are in it.
fn observations(leaf: &Leaf<'_>, indexes: &[RecordIndex]) -> Vec<Batch<ObservationRow>> {
    let mut rows: Vec<ObservationRow> = indexes.iter().filter_map(|index| observation(leaf, *index)).collect();
    if rows.len() > batches::TOGETHER {
        rows.sort_by_key(|row| (row.days.is_none(), row.days));
    }
    batches::of(rows, dated)
}

/// The years of a batch in words, and that some have none.
fn dated(rows: &[ObservationRow]) -> String {
    let days = |row: &ObservationRow| row.days.map(|days| days.0.year());
    let years = rows.iter().filter_map(days).min().zip(rows.iter().filter_map(days).max());
    let is_undated = rows.iter().any(|row| row.days.is_none());
    match (years, is_undated) {
        (None, _) => "undated".to_string(),
        (Some((first, last)), false) if first == last => format!("dated {first}"),
        (Some((first, last)), false) => format!("dated {first} to {last}"),
        (Some((first, last)), true) if first == last => format!("dated {first}, and undated"),
        (Some((first, last)), true) => format!("dated {first} to {last}, and undated"),
    }
}

fn observation(leaf: &Leaf<'_>, index: RecordIndex) -> Option<ObservationRow> {
    let record = leaf.catalog().record(index);
    let observation = record.content.observation()?;
    let dated = readings::date(leaf.catalog(), record.file, observation);
    let days = dated.map(|date| date.span(leaf.catalog().circa()));
    Some(ObservationRow {
        anchor: format!("entry-{}", page::anchor(record.path.stem())),
        days: days.and_then(|span| span.first().or(span.last()).zip(span.last().or(span.first()))),
        observation: leaf.record(index),
        basis: readings::basis(observation.basis.value),
        dated: dated.and_then(spoken::date),
        dated_by: dated.and_then(|_| readings::dated_by(observation)),
        observer: observation.observer.as_ref().map(|observer| observer.value.clone()),
        examined: observation.features.len(),
        withheld: leaf.catalog().withheld.contains(&index),
    })
}
