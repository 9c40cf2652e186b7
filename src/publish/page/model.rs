//! A model's page: all its variants side by side, when each was made and what was seen of each.

use serde::Serialize;

use crate::comparison::{Comparison, Verdict};
use crate::evidence::Evidence;
use crate::explain;
use crate::page::PageError;
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Content;
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, name, spaced};
use crate::view::pairs;
use crate::view::path;
use crate::view::reasons::{self, EraView};
use crate::view::seen::{self, Tally};
use crate::view::states::{self, StateView};
use crate::view::strips::{self, Chart};
use crate::view::turning;
use crate::view::uncounted::Uncounted;
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
    variants: Vec<Column>,
    zones: Vec<Zone>,
    comparisons: Vec<Link>,
    field_sheet: Link,
    states: Vec<StateView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

#[derive(Serialize)]
struct Column {
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
    /// The same of all other variants together, for pages too narrow for all columns.
    others: Tally,
    is_quantity: bool,
    uncounted: Vec<String>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.keys();
    let pages = models.map(|id| OutputFile::new(format!("makers/{id}.html"), move || page(context, id)));
    pages.chain(moved::pages(context, moved::Kind::Model)).collect()
}

fn page<'a>(context: &'a Context<'a>, id: &ModelId) -> Result<Vec<u8>, PageError> {
    let whole = Whole::Model(id.clone());
    let leaf = Leaf::new(context, path::thing(&Thing::of(whole.clone())));
    let missing = || PageError(format!("no record of the model {id}"));
    let entry = leaf.catalog().models.get(id).ok_or_else(missing)?;
    let record = leaf.catalog().record(entry.record);
    let Content::Model(model) = &record.content else { return Err(missing()) };
    let maker = leaf.thing(&Thing::of(Whole::Maker(id.maker())));
    let view = View {
        frame: leaf.frame(name(record), vec![maker]),
        caution: explain::CAUTION,
        name: model.name.clone(),
        garment: model.garment.value.clone(),
        body: leaf.prose(record),
        era: reasons::era_of(&leaf, &Thing::of(whole.clone())),
        chart: strips::chart(&leaf, &entry.variants),
        variants: entry.variants.iter().filter_map(|variant| column(&leaf, variant)).collect(),
        zones: zones(&leaf, id, &entry.variants),
        comparisons: pairs::links(&leaf, id, None),
        field_sheet: leaf.link("field sheet", &path::field_sheet(id)),
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
        variant: leaf.thing(&Thing::of(Whole::Variant(id.clone()))).named(variant.name.clone()),
        line: strips::line(leaf, id).0,
        wearer: variant.wearer.word(),
        era: reasons::era_alone(strips::era(leaf, id)),
    })
}

/// The features that were examined on any of the variants, by the part of the garment.
fn zones(leaf: &Leaf<'_>, id: &ModelId, variants: &[VariantId]) -> Vec<Zone> {
    let (evidence, comparisons) = (pairs::evidence(leaf.context, id), pairs::of(leaf.context, id));
    let seen: Vec<(&Evidence<'_>, Uncounted<'_>)> = variants
        .iter()
        .filter_map(|variant| evidence.get(variant))
        .map(|evidence| (evidence, Uncounted::new(leaf.catalog(), evidence)))
        .collect();
    let mut zones: Vec<Zone> = Vec::new();
    for feature in leaf.catalog().vocabulary.iter() {
        let row = row(feature, &seen, &comparisons);
        if row.cells.iter().all(|cell| cell.own.examined == 0 && cell.uncounted.is_empty()) {
            continue;
        }
        let name = feature.zone.as_deref().map_or_else(|| turning::ELSEWHERE.to_string(), spaced);
        match zones.iter_mut().find(|zone| zone.name == name) {
            Some(zone) => zone.rows.push(row),
            None => zones.push(Zone { name, tells: false, rows: vec![row] }),
        }
    }
    zones.sort_by_key(|zone| turning::place(&zone.name));
    zones.iter_mut().for_each(|zone| zone.tells = zone.rows.iter().any(|row| row.tells + row.leans > 0));
    zones
}

fn row(feature: &Feature, seen: &[(&Evidence<'_>, Uncounted<'_>)], comparisons: &[&Comparison]) -> FeatureRow {
    let others = |place: usize| -> Vec<&Evidence<'_>> {
        seen[..place].iter().chain(&seen[place + 1..]).map(|(evidence, _)| *evidence).collect()
    };
    let cells = seen.iter().enumerate().map(|(place, (evidence, uncounted))| Cell {
        own: seen::tally(&[evidence], feature),
        others: seen::tally(&others(place), feature),
        is_quantity: matches!(feature.kind, Kind::Measure(_) | Kind::Number),
        uncounted: uncounted.of(feature),
    });
    let compared = comparisons.iter().flat_map(|comparison| &comparison.features);
    let own: Vec<_> = compared.filter(|compared| compared.feature == feature.id).collect();
    // A sign of the label line that both show tells nothing.
    let is_sign = |verdict: &Verdict, difference: f64| *verdict == Verdict::ByDefinition && difference > 0.0;
    let tells = own
        .iter()
        .filter(|found| found.verdict == Verdict::Tell || is_sign(&found.verdict, found.crude.difference))
        .count();
    FeatureRow {
        anchor: format!("feature-{}", feature.id),
        name: feature.name.clone(),
        look: feature.look.clone(),
        defining: feature.defining,
        tells,
        leans: own.iter().filter(|found| found.verdict == Verdict::Leaning).count(),
        cells: cells.collect(),
    }
}
