//! A label line's page: its sign, in words and drawn, and its era, its models, what tells it from each other line, and
//! what changed in it when.

use serde::Serialize;

use crate::comparison::Verdict;
use crate::comparison::lines::{LineFeature, Subject};
use crate::explain;
use crate::page::{PageError, description};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::id::{FeatureId, LineId, Thing, VariantId, Whole};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::era_rows::{self, Chart};
use crate::view::figures::{self, Plate};
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
    drawn: Option<DrawnView>,
    chart: Option<Chart>,
    pairs: Vec<PairView>,
    histories: Option<HistoriesView>,
    claims: Vec<ClaimView>,
    said_elsewhere: Vec<ClaimView>,
}

/// The drawing of a line, with what it is drawn from.
#[derive(Serialize)]
struct DrawnView {
    title: &'static str,
    how: String,
    plates: Vec<Plate>,
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
        drawn: drawn(&leaf, id, &variants),
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

/// Draws what the label shows; if no drawing shows that, the detail that tells the line best from another.
fn drawn(leaf: &Leaf<'_>, id: &LineId, variants: &[VariantId]) -> Option<DrawnView> {
    let shows = leaf.catalog().line(id).into_iter().flat_map(|line| &line.shows);
    let label: Vec<(&FeatureId, &str)> = shows.map(|(feature, state)| (feature, state.value.as_str())).collect();
    let plates = figures::of_features(leaf, variants, &label);
    if plates.is_empty() {
        return telling(leaf, id).into_iter().find_map(|detail| drawn_detail(leaf, variants, detail));
    }
    let how = "Drawn from what the maker’s entry says of the label. The rest is left blank.".to_string();
    Some(DrawnView { title: "What its label looks like", how, plates })
}

fn drawn_detail<'a>(leaf: &Leaf<'a>, variants: &[VariantId], detail: (&'a FeatureId, &'a str)) -> Option<DrawnView> {
    let plates = figures::of_features(leaf, variants, &[detail]);
    let name = &leaf.catalog().vocabulary.feature(detail.0.as_str())?.name;
    let how = format!("Drawn: {name}, as most often seen on this line. It tells the line best from another.");
    (!plates.is_empty()).then_some(DrawnView { title: "What to look at", how, plates })
}

/// The details that tell a line from another, each in the state seen most on it: the sign of the line, then those that
/// differ most.
fn telling<'a>(leaf: &Leaf<'a>, id: &LineId) -> Vec<(&'a FeatureId, &'a str)> {
    let subject = Subject::Line(id.clone());
    let sides = line_pairs::listed(leaf.context).filter_map(|comparison| {
        let side = [&comparison.a, &comparison.b].into_iter().position(|one| *one == subject)?;
        Some((comparison, side))
    });
    let details = sides.flat_map(|(comparison, side)| {
        let telling = comparison.features.iter().filter(|found| found.compared.tells_apart());
        telling.filter_map(move |found| Some((found, found.typical[side].as_deref()?)))
    });
    let mut details: Vec<(&LineFeature, &str)> = details.collect();
    let difference = |found: &LineFeature| found.compared.crude.difference;
    details.sort_by(|(one, _), (other, _)| {
        let is_no_sign = |found: &LineFeature| found.compared.verdict != Verdict::ByDefinition;
        is_no_sign(one).cmp(&is_no_sign(other)).then(difference(other).total_cmp(&difference(one)))
    });
    details.into_iter().map(|(found, state)| (&found.compared.feature, state)).collect()
}
