//! A page for each pair of variants of a model: what tells them apart, and what only follows size or age.
//!
//! The numbers and their verdicts come from `reason`, the sentences from `explain`; here they are laid side by side.

use serde::Serialize;

use crate::explain;
use crate::explain::comparison as words;
use crate::page::PageError;
use crate::publish::leaf::{Frame, Leaf, Link, spaced, whole_name};
use crate::publish::strips::{self, Chart};
use crate::publish::{Context, OutputFile, Publisher};
use crate::reason::comparison::strata::Covariate;
use crate::reason::comparison::{self, Compared, Comparison};
use crate::reason::evidence::{self, Evidence, Item, Seen};
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::vocabulary::Feature;

/// Writes the comparisons.
pub const PUBLISHER: Publisher = Publisher {
    name: "comparison",
    description: "a page for each two variants of a model: what tells them apart at equal age and size",
    owns: &["compare/*/*/*.html"],
    publish,
};

/// A model with more variants than this has pages for neighbours only.
const ALL_PAIRS: usize = 12;

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    a: Link,
    b: Link,
    advice: String,
    chart: Option<Chart>,
    groups: Vec<Group>,
}

#[derive(Serialize)]
struct Group {
    name: &'static str,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    anchor: String,
    name: String,
    look: String,
    sentence: String,
    sides: [Side; 2],
    numbers: Vec<Number>,
    covariates: Vec<CovariateRow>,
}

#[derive(Serialize)]
struct Side {
    words: String,
    dots: Vec<Dot>,
}

/// One count, with the observation it stands on.
#[derive(Serialize)]
struct Dot {
    observation: Link,
    shows: String,
    contested: bool,
}

#[derive(Serialize)]
struct Number {
    name: &'static str,
    value: String,
}

#[derive(Serialize)]
struct CovariateRow {
    name: String,
    matched: &'static str,
    garments: u64,
    difference: String,
    p: String,
    strata: Vec<String>,
}

/// The pairs of a model that have a page: all of them, or neighbours where there are many.
pub fn pairs(variants: &[VariantId]) -> Vec<(&VariantId, &VariantId)> {
    let reach = if variants.len() > ALL_PAIRS { 1 } else { variants.len() };
    let from = |place: usize| variants[place + 1..].iter().take(reach).map(move |b| (&variants[place], b));
    (0..variants.len()).flat_map(from).collect()
}

/// Where the page of a pair stands; a dot is in no id, so no two pairs share one.
pub fn path(a: &VariantId, b: &VariantId) -> String {
    format!("compare/{a}.{}.html", b.variant())
}

/// Links from a page to the comparisons of a model, or of one variant of it, under the other's name.
pub fn links(leaf: &Leaf<'_>, model: &ModelId, only: Option<&VariantId>) -> Vec<Link> {
    let variants = leaf.catalog().models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
    let short = |id: &VariantId| {
        let name = whole_name(leaf.catalog(), &Whole::Variant(id.clone()));
        name.split_once(", ").map_or(name.clone(), |(_, variant)| variant.to_string())
    };
    let wanted = pairs(variants).into_iter().filter(|(a, b)| only.is_none_or(|only| only == *a || only == *b));
    let link = |(a, b): (&VariantId, &VariantId)| match only {
        Some(only) => leaf.link(short(if only == a { b } else { a }), &path(a, b)),
        None => leaf.link(format!("{} and {}", short(a), short(b)), &path(a, b)),
    };
    wanted.map(link).collect()
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.values();
    let pairs = models.flat_map(|entry| pairs(&entry.variants));
    pairs.map(|(a, b)| OutputFile::new(path(a, b), move || page(context, (a, b)))).collect()
}

fn page(context: &Context<'_>, (a, b): (&VariantId, &VariantId)) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path(a, b));
    let evidence = [a, b].map(|variant| evidence::of(context.knowledge, variant));
    let comparison = comparison::of(leaf.catalog(), &evidence[0], &evidence[1]);
    let of = |id: &VariantId| leaf.thing(&Thing::of(Whole::Variant(id.clone())));
    let model = leaf.thing(&Thing::of(Whole::Model(a.model())));
    let maker = leaf.thing(&Thing::of(Whole::Maker(a.maker())));
    let view = View {
        frame: leaf.frame(format!("{} beside {}", of(a).name, of(b).name), vec![maker, model]),
        caution: explain::CAUTION,
        a: of(a),
        b: of(b),
        advice: words::advice(&comparison, leaf.catalog()),
        chart: strips::chart(&leaf, &[a.clone(), b.clone()]),
        groups: groups(&leaf, &comparison, &evidence),
    };
    leaf.render("comparison.html", &view)
}

fn groups(leaf: &Leaf<'_>, comparison: &Comparison, evidence: &[Evidence<'_>; 2]) -> Vec<Group> {
    let in_group = |name: &'static str| {
        let mut compared: Vec<&Compared> =
            comparison.features.iter().filter(|compared| words::group(&compared.verdict) == name).collect();
        // Those that tell best come first; the sort keeps the vocabulary's order among equals.
        compared.sort_by(|one, other| other.crude.difference.total_cmp(&one.crude.difference));
        let rows: Vec<Row> = compared.into_iter().filter_map(|compared| row(leaf, compared, evidence)).collect();
        Group { name, rows }
    };
    words::GROUPS.into_iter().map(in_group).filter(|group| !group.rows.is_empty()).collect()
}

fn row(leaf: &Leaf<'_>, compared: &Compared, evidence: &[Evidence<'_>; 2]) -> Option<Row> {
    let feature = leaf.catalog().vocabulary.feature(compared.feature.as_str())?;
    Some(Row {
        anchor: format!("feature-{}", feature.id),
        name: feature.name.clone(),
        look: feature.look.clone(),
        sentence: words::sentence(compared, leaf.catalog()),
        sides: [0, 1].map(|place| side(leaf, &evidence[place], feature)),
        numbers: numbers(compared),
        covariates: compared.covariates.iter().map(|covariate| covariate_row(leaf, covariate)).collect(),
    })
}

fn side(leaf: &Leaf<'_>, evidence: &Evidence<'_>, feature: &Feature) -> Side {
    let dots = evidence.items(&feature.id).iter().filter_map(|item| dot(leaf, evidence, item));
    Side { words: words::seen(evidence, feature), dots: dots.collect() }
}

fn dot(leaf: &Leaf<'_>, evidence: &Evidence<'_>, item: &Item) -> Option<Dot> {
    let bearer = evidence.bearers.get(*item.bearers.first()?)?;
    let shows = match &item.seen {
        Seen::State(state) => spaced(state),
        Seen::Measure(number) => short(*number),
    };
    Some(Dot { observation: leaf.record(*bearer.records.first()?), shows, contested: item.contested })
}

fn numbers(compared: &Compared) -> Vec<Number> {
    let crude = &compared.crude;
    let interval = format!("{} ({} to {})", short(crude.difference), short(crude.low), short(crude.high));
    let mut numbers = vec![
        Number { name: "difference, 95 % interval", value: interval },
        Number { name: "p", value: format!("{} ({})", short(crude.p), crude.p_method) },
        Number { name: "p by Holm", value: compared.p_holm.map_or("not in the family".to_string(), short) },
    ];
    let right = crude.right.map(|right| Number { name: "alone right", value: short(right) });
    let shift = crude.shift.map(|shift| Number { name: "shift", value: short(shift) });
    numbers.extend(right.into_iter().chain(shift));
    numbers
}

fn covariate_row(leaf: &Leaf<'_>, covariate: &Covariate) -> CovariateRow {
    let strata =
        covariate.strata.iter().map(|(value, (a, b))| format!("{}: {} and {}", spaced(value), a.len(), b.len()));
    let feature = leaf.catalog().vocabulary.feature(&covariate.name);
    CovariateRow {
        name: feature.map_or(covariate.name.clone(), |feature| feature.name.clone()),
        matched: if covariate.is_matched { "matched" } else { "not matched" },
        garments: covariate.matched,
        difference: covariate.difference.map_or("–".to_string(), short),
        p: covariate.p.map_or("–".to_string(), short),
        strata: strata.collect(),
    }
}

/// A number in at most four digits behind the point.
fn short(number: f64) -> String {
    let rounded = (number * 10_000.0).round() / 10_000.0 + 0.0;
    if rounded == 0.0 && number > 0.0 { "below 0.0001".to_string() } else { rounded.to_string() }
}

#[cfg(test)]
mod tests {
    use super::{ALL_PAIRS, pairs, path};
    use crate::record::id::VariantId;

    fn variants(count: usize) -> Vec<VariantId> {
        (0..count).map(|number| VariantId::new(format!("m/x/v{number:02}"))).collect()
    }

    #[test]
    fn many_variants_are_compared_with_their_neighbours_only() {
        assert_eq!(pairs(&variants(1)).len(), 0);
        assert_eq!(pairs(&variants(ALL_PAIRS)).len(), 66);
        assert_eq!(pairs(&variants(ALL_PAIRS + 1)).len(), 12);
    }

    #[test]
    fn every_pair_has_a_page_of_its_own() {
        let variants = variants(2);
        assert_eq!(path(&variants[0], &variants[1]), "compare/m/x/v00.v01.html");
    }
}
