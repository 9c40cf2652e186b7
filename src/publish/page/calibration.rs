//! The page that says how often the answer is right: each counted garment judged by the others of its model.
//!
//! The judgements come from `dating::likelihood::calibration`; this page counts and shows them.

use serde::Serialize;

use crate::dating::likelihood::calibration::{self, Calibration, Judged};
use crate::explain;
use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::{Thing, Whole};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};

/// Writes the page.
pub const PUBLISHER: Publisher = Publisher {
    name: "calibration",
    description: "how often the answer is right: each counted garment judged by the others of its model",
    owns: &["calibration.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    all: Row,
    models: Vec<Row>,
    claims: Vec<Claimed>,
}

/// The description of the page.
const ABOUT: &str =
    "How often garments were placed and dated rightly when judged by all others, and how sure the answers were.";

/// One model, or all together.
#[derive(Serialize)]
struct Row {
    model: Option<Link>,
    variants: usize,
    garments: usize,
    right: String,
    claimed: String,
    dated: usize,
    within50: String,
    within95: String,
}

/// The garments whose first variant was claimed with a probability in one tenth of the range.
#[derive(Serialize)]
struct Claimed {
    range: String,
    garments: usize,
    claimed: String,
    right: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("calibration.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "calibration.html");
    let models = &context.analysis.tables().calibrations;
    let told: Vec<Judged> = telling(models).flat_map(|model| model.judged.clone()).collect();
    let years: Vec<Judged> = models.iter().flat_map(|model| model.judged.clone()).collect();
    let view = View {
        frame: leaf.frame("How often is this right?", ABOUT, Vec::new()),
        caution: explain::CAUTION,
        all: row(None, 0, &told, &years),
        models: models.iter().map(|model| of_model(&leaf, model)).collect(),
        claims: claims(&told),
    };
    leaf.render("calibration.html", &view)
}

/// The models with more than one variant: naming the only one would prove nothing.
fn telling(models: &[Calibration]) -> impl Iterator<Item = &Calibration> {
    models.iter().filter(|model| model.variants > 1)
}

fn of_model(leaf: &Leaf<'_>, model: &Calibration) -> Row {
    let link = leaf.thing(&Thing::of(Whole::Model(model.model.clone())));
    let told = if model.variants > 1 { &model.judged[..] } else { &[] };
    row(Some(link), model.variants, told, &model.judged)
}

fn row(model: Option<Link>, variants: usize, told: &[Judged], judged: &[Judged]) -> Row {
    let (right, garments) = calibration::count(told.iter().map(|judged| judged.is_right));
    let dated: Vec<(bool, bool)> = judged.iter().filter_map(|judged| judged.year_within).collect();
    let (within50, _) = calibration::count(dated.iter().map(|(half, _)| *half));
    let (within95, _) = calibration::count(dated.iter().map(|(_, most)| *most));
    Row {
        model,
        variants,
        garments,
        right: share(right, garments),
        claimed: mean(told),
        dated: dated.len(),
        within50: share(within50, dated.len()),
        within95: share(within95, dated.len()),
    }
}

fn claims(told: &[Judged]) -> Vec<Claimed> {
    let tenth = |tenth: u32| {
        let within = |judged: &&Judged| ((judged.claimed * 10.0).floor() as u32).min(9) == tenth;
        let own: Vec<Judged> = told.iter().filter(within).copied().collect();
        let (right, garments) = calibration::count(own.iter().map(|judged| judged.is_right));
        let range = format!("{} to {}\u{a0}%", tenth * 10, tenth * 10 + 10);
        (garments > 0).then(|| Claimed { range, garments, claimed: mean(&own), right: share(right, garments) })
    };
    (0..10).filter_map(tenth).collect()
}

fn mean(judged: &[Judged]) -> String {
    let sum: f64 = judged.iter().map(|judged| judged.claimed).sum();
    if judged.is_empty() { String::new() } else { format!("{:.0}\u{a0}%", 100.0 * sum / judged.len() as f64) }
}

fn share(count: usize, of: usize) -> String {
    if of == 0 { String::new() } else { format!("{:.0}\u{a0}%", 100.0 * count as f64 / of as f64) }
}
