//! A model's page: all its variants side by side, when each was made and what was seen of each.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::comparison::pairs::Pair;
use crate::comparison::steps;
use crate::comparison::{Comparison, Verdict};
use crate::evidence::Evidence;
use crate::explain;
use crate::page::{PageError, description};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Content;
use crate::record::id::{ModelId, Thing, VariantId, Whole, natural_order};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::era_rows::{self, Chart};
use crate::view::histories::{self, HistoriesView};
use crate::view::leaf::{Frame, Leaf, Link, name, spaced};
use crate::view::pairs;
use crate::view::path;
use crate::view::readings::uncounted::Uncounted;
use crate::view::reasons::{self, EraView};
use crate::view::states::{self, StateView};
use crate::view::tallies::{self, Tally};
use crate::view::zone_order;
use crate::vocabulary::{Feature, Kind};

/// Writes the models' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "model",
    description: "a page for each model, with all its variants side by side",
    owns: &["makers/*/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    garment: String,
    body: String,
    era: EraView,
    chart: Option<Chart>,
    /// The other pages of the model, where it has too many variants for one.
    parts: Vec<Link>,
    /// How many variants it has on all pages.
    count: usize,
    variants: Vec<Column>,
    zones: Vec<Zone>,
    comparisons: Vec<Link>,
    field_sheet: Link,
    steps: Option<Link>,
    succession: Option<Link>,
    histories: Option<HistoriesView>,
    states: Vec<StateView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

#[derive(Serialize)]
struct Column {
    id: String,
    variant: Link,
    line: String,
    wearer: &'static str,
    era: EraView,
}

#[derive(Serialize)]
struct Zone {
    name: String,
    tells: bool,
    rows: Vec<FeatureRow>,
}

#[derive(Serialize)]
struct FeatureRow {
    anchor: String,
    name: String,
    look: String,
    defining: bool,
    /// How many pairs of variants it tells apart, and how many it leans toward telling apart.
    tells: usize,
    leans: usize,
    cells: Vec<Cell>,
}

#[derive(Serialize)]
struct Cell {
    own: Tally,
    /// The same for all other variants together, for pages too narrow for all columns.
    others: Tally,
    is_quantity: bool,
    uncounted: Vec<String>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.keys();
    let pages = models.flat_map(|id| {
        let file = move |part| OutputFile::new(part_path(id, part), move || page(context, id, part));
        (0..parts(context, id)).map(file)
    });
    pages.chain(moved::pages(context, moved::Kind::Model)).collect()
}

/// How many variants stand side by side on one page; those of a model with more stand on several, in order of time.
const SIDE_BY_SIDE: usize = 24;

/// How many pages a model has.
fn parts(context: &Context<'_>, id: &ModelId) -> usize {
    let count = context.knowledge.catalog.models.get(id).map_or(0, |entry| entry.variants.len());
    count.div_ceil(SIDE_BY_SIDE).max(1)
}

/// Where a page of a model stands: the first under the model's own address, the others with a number, which no id has.
fn part_path(id: &ModelId, part: usize) -> String {
    if part == 0 { format!("makers/{id}.html") } else { format!("makers/{id}.{}.html", part + 1) }
}

/// The variants of a page of a model.
fn of_part(context: &Context<'_>, id: &ModelId, part: usize) -> Vec<VariantId> {
    let variants = context.analysis.in_time(id);
    if variants.len() <= SIDE_BY_SIDE {
        let mut sorted = variants.to_vec();
        sorted.sort_by(|one, other| natural_order(one.as_str(), other.as_str()));
        return sorted;
    }
    variants.iter().skip(part * SIDE_BY_SIDE).take(SIDE_BY_SIDE).cloned().collect()
}

/// Links from one page of a model to the one before, the one after and the last.
fn other_parts(leaf: &Leaf<'_>, id: &ModelId, part: usize) -> Vec<Link> {
    let last = parts(leaf.context, id) - 1;
    let link = |name: &str, to: usize| leaf.link(name, &part_path(id, to));
    let before = part.checked_sub(1).map(|before| link("earlier variants", before));
    let after = (part < last).then(|| link("later variants", part + 1));
    let end = (part + 1 < last).then(|| link("the last variants", last));
    before.into_iter().chain(after).chain(end).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId, part: usize) -> Result<Vec<u8>, PageError> {
    let whole = Whole::Model(id.clone());
    let leaf = Leaf::new(context, part_path(id, part));
    let missing = || PageError::Words(format!("no record of the model {id}"));
    let entry = leaf.catalog().models.get(id).ok_or_else(missing)?;
    let record = leaf.catalog().record(entry.record);
    let Content::Model(model) = &record.content else { return Err(missing()) };
    let maker = leaf.thing(&Thing::of(Whole::Maker(id.maker())));
    let variants = of_part(context, id, part);
    let shown: BTreeSet<&VariantId> = variants.iter().collect();
    let pairs: Vec<&Pair> = variants.iter().flat_map(|variant| context.analysis.pairs_of(variant)).collect();
    let pairs: BTreeSet<&Pair> = pairs.into_iter().filter(|pair| shown.contains(&pair.a)).collect();
    let about = format!(
        "{}, {} by {}{}: {}. It {}.",
        model.name,
        spaced(&model.garment.value),
        maker.name,
        if part == 0 { String::new() } else { format!(", page {}", part + 1) },
        description::counted(entry.variants.len(), "variant"),
        reasons::made(&leaf, &Thing::of(whole.clone())),
    );
    let view = View {
        frame: leaf.frame(name(record), &about, vec![maker]),
        caution: explain::CAUTION,
        name: model.name.clone(),
        garment: model.garment.value.clone(),
        body: leaf.prose(record),
        era: reasons::era_of(&leaf, &Thing::of(whole.clone())),
        chart: era_rows::chart(&leaf, &variants),
        parts: other_parts(&leaf, id, part),
        count: entry.variants.len(),
        variants: variants.iter().filter_map(|variant| column(&leaf, variant)).collect(),
        zones: zones(&leaf, &pairs, &variants),
        comparisons: pairs::links(&leaf, pairs.iter().copied()),
        field_sheet: leaf.link("field sheet", &path::field_sheet(id)),
        steps: steps::can_be_grown(leaf.catalog(), id).then(|| leaf.link("step by step", &path::steps(id))),
        succession: (entry.variants.len() > 1).then(|| leaf.link("gaps and overlaps", &path::succession(id))),
        histories: histories::view(&leaf, &whole),
        states: states::of(&leaf, &whole),
        claims: claims::written_in(&leaf, entry.record),
        said_elsewhere: claims::about(&leaf, &whole, entry.record),
    };
    leaf.render("model.html", &view)
}

fn column(leaf: &Leaf<'_>, id: &VariantId) -> Option<Column> {
    let record = leaf.catalog().record(leaf.catalog().variants.get(id)?.record);
    let Content::Variant(variant) = &record.content else { return None };
    Some(Column {
        id: id.to_string(),
        variant: leaf.thing(&Thing::of(Whole::Variant(id.clone()))).named(variant.name.clone()),
        line: era_rows::line(leaf, id).0,
        wearer: variant.wearer.word(),
        era: reasons::era_alone(era_rows::era(leaf, id)),
    })
}

/// The features that were examined on any of the variants, by the part of the garment.
fn zones(leaf: &Leaf<'_>, pairs: &BTreeSet<&Pair>, variants: &[VariantId]) -> Vec<Zone> {
    let evidence: Vec<Evidence<'_>> = variants.iter().map(|variant| leaf.context.analysis.evidence(variant)).collect();
    let comparisons: Vec<&Comparison> = pairs.iter().filter_map(|pair| pairs::between(leaf.context, pair)).collect();
    let seen: Vec<(&Evidence<'_>, Uncounted<'_>)> =
        evidence.iter().map(|evidence| (evidence, Uncounted::new(leaf.catalog(), evidence))).collect();
    let mut zones: Vec<Zone> = Vec::new();
    for feature in leaf.catalog().vocabulary.iter() {
        let row = row(feature, &seen, &comparisons);
        if row.cells.iter().all(|cell| cell.own.examined == 0 && cell.uncounted.is_empty()) {
            continue;
        }
        let name = feature.zone.as_deref().map_or_else(|| zone_order::ELSEWHERE.to_string(), spaced);
        match zones.iter_mut().find(|zone| zone.name == name) {
            Some(zone) => zone.rows.push(row),
            None => zones.push(Zone { name, tells: false, rows: vec![row] }),
        }
    }
    zones.sort_by_key(|zone| zone_order::place(&zone.name));
    zones.iter_mut().for_each(|zone| zone.tells = zone.rows.iter().any(|row| row.tells + row.leans > 0));
    zones
}

fn row(feature: &Feature, seen: &[(&Evidence<'_>, Uncounted<'_>)], comparisons: &[&Comparison]) -> FeatureRow {
    let others = |place: usize| -> Vec<&Evidence<'_>> {
        seen[..place].iter().chain(&seen[place + 1..]).map(|(evidence, _)| *evidence).collect()
    };
    let cells = seen.iter().enumerate().map(|(place, (evidence, uncounted))| Cell {
        own: tallies::tally(&[evidence], feature),
        others: tallies::tally(&others(place), feature),
        is_quantity: matches!(feature.kind, Kind::Measure(_) | Kind::Number),
        uncounted: uncounted.of(feature),
    });
    let compared = comparisons.iter().flat_map(|comparison| &comparison.features);
    let own: Vec<_> = compared.filter(|compared| compared.feature == feature.id).collect();
    FeatureRow {
        anchor: format!("feature-{}", feature.id),
        name: feature.name.clone(),
        look: feature.look.clone(),
        defining: feature.defining,
        tells: own.iter().filter(|found| found.tells_apart()).count(),
        leans: own.iter().filter(|found| found.verdict == Verdict::Leaning).count(),
        cells: cells.collect(),
    }
}
