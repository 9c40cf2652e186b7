//! A page for each pair of variants of a model: what tells them apart, and what only follows from size or age.
//!
//! The numbers and verdicts come from `comparison`, the sentences from `explain`.

use serde::Serialize;

use crate::comparison::pairs::Pair;
use crate::comparison::{Compared, Comparison, PairEvidence};
use crate::evidence::Evidence;
use crate::explain;
use crate::explain::comparison as words;
use crate::explain::verdict::{self, Case};
use crate::page::{self, PageError};
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::{Thing, Whole};
use crate::typography::with_minus;
use crate::view::context::Context;
use crate::view::dots::{self, Garment, Room, Side};
use crate::view::era_rows::{self, Chart};
use crate::view::figures::{self, Numbers, Plate};
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::pairs;
use crate::view::path;
use crate::view::reasons;
use crate::view::strata::{self, CovariateView};
use crate::vocabulary::{Feature, Kind, measure};

/// Writes the comparisons.
pub const PUBLISHER: Publisher = Publisher {
    name: "comparison",
    description: "a page for each two variants of a model: what tells them apart at equal age and size",
    owns: &["compare/*/*/*.html"],
    publish,
};

/// The groups that need no action.
const QUIET: [&str; 3] = ["The same", "Unclear", words::TOO_FEW];

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    a: Link,
    b: Link,
    short: [String; 2],
    advice: String,
    chart: Option<Chart>,
    plates: Vec<Plate>,
    groups: Vec<Group>,
    /// The garments behind the dots.
    garments: Vec<Garment>,
    one_only: Vec<OneOnly>,
}

#[derive(Serialize)]
struct Group {
    name: &'static str,
    /// Whether it needs no action: print then shows only its counts.
    is_quiet: bool,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    anchor: String,
    /// Its number on the drawings, where the two differ.
    number: Option<usize>,
    name: Link,
    look: String,
    /// The conclusion, without numbers.
    finding: String,
    sentence: String,
    sides: [Side; 2],
    numbers: Vec<Number>,
    covariates: Vec<CovariateView>,
    /// The steps to the verdict, and what would change it.
    why: Vec<String>,
}

#[derive(Serialize)]
struct Number {
    name: &'static str,
    value: String,
}

/// A feature counted in one of the two.
#[derive(Serialize)]
struct OneOnly {
    name: String,
    variant: String,
    seen: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let models = context.knowledge.catalog.models.keys();
    let pairs = models.flat_map(|model| context.analysis.pairs(model));
    let file = |pair: &'a Pair| OutputFile::new(pairs::path(&pair.a, &pair.b), move || page(context, pair));
    pairs.map(file).collect()
}

fn page<'a>(context: &'a Context<'a>, pair: &Pair) -> Result<Vec<u8>, PageError> {
    let Pair { a, b } = pair;
    let leaf = Leaf::new(context, pairs::path(a, b));
    let missing = || PageError::Words(format!("no comparison of {a} and {b}"));
    let comparison = pairs::between(context, pair).ok_or_else(missing)?;
    let seen = [a, b].map(|variant| context.analysis.evidence(variant));
    let evidence = [&seen[0], &seen[1]];
    let of = |whole: Whole| leaf.thing(&Thing::of(whole));
    let (first, second) = (of(Whole::Variant(a.clone())), of(Whole::Variant(b.clone())));
    let numbers = numbers_on_drawings(comparison);
    let case = Case { catalog: leaf.catalog(), comparison, sides: PairEvidence { a: &seen[0], b: &seen[1] } };
    let trail = vec![of(Whole::Maker(a.maker())), of(Whole::Model(a.model()))];
    let title = format!("{} beside {}", first.name, second.name);
    let advice = words::advice(comparison, leaf.catalog());
    let about = format!("{title}: {advice}");
    let mut room = Room::on_a_page();
    let groups = groups(&leaf, &case, &numbers, &mut room);
    let view = View {
        frame: leaf.frame(title, &about, trail),
        caution: explain::CAUTION,
        a: first,
        b: second,
        short: [a, b].map(|id| pairs::short_name(&leaf, id)),
        advice,
        chart: era_rows::chart(&leaf, &[a.clone(), b.clone()]),
        plates: figures::pair(&leaf, evidence, &numbers),
        groups,
        garments: room.garments(),
        one_only: one_only(&leaf, evidence),
    };
    leaf.render("comparison.html", &view)
}

/// The features of a group, those that tell best first; the sort keeps the vocabulary's order among equals.
fn in_group<'a>(comparison: &'a Comparison, name: &str) -> Vec<&'a Compared> {
    let features = comparison.features.iter();
    let mut compared: Vec<&Compared> = features.filter(|compared| words::group(&compared.verdict) == name).collect();
    compared.sort_by(|one, other| other.crude.difference.total_cmp(&one.crude.difference));
    compared
}

/// Numbers the features in which the two differ, in the order of their rows.
fn numbers_on_drawings(comparison: &Comparison) -> Numbers {
    let loud = words::GROUPS.into_iter().filter(|name| !QUIET.contains(name));
    let rows = loud.flat_map(|name| in_group(comparison, name));
    let differing = rows.filter(|compared| compared.crude.difference > 0.0);
    differing.zip(1..).map(|(compared, number)| (compared.feature.clone(), number)).collect()
}

fn groups(leaf: &Leaf<'_>, case: &Case<'_>, numbers: &Numbers, room: &mut Room) -> Vec<Group> {
    let group = |name: &'static str| {
        let rows = in_group(case.comparison, name).into_iter().filter_map(|compared| {
            let number = numbers.get(&compared.feature).copied();
            Some(Row { number, ..row(leaf, case, compared, room)? })
        });
        Group { name, is_quiet: QUIET.contains(&name), rows: rows.collect() }
    };
    words::GROUPS.into_iter().map(group).filter(|group| !group.rows.is_empty()).collect()
}

fn row(leaf: &Leaf<'_>, case: &Case<'_>, compared: &Compared, room: &mut Room) -> Option<Row> {
    let evidence = [case.sides.a, case.sides.b];
    let feature = leaf.catalog().vocabulary.feature(compared.feature.as_str())?;
    let covariates = compared.covariates.iter();
    let why = reasons::sentences(leaf, &verdict::reasons(case, feature, compared)).into_iter();
    Some(Row {
        anchor: format!("feature-{}", feature.id),
        number: None,
        name: leaf.link(&feature.name, &path::feature(&feature.id)),
        look: feature.look.clone(),
        // A hyphen before a figure is a minus.
        finding: words::finding(compared, leaf.catalog()),
        sentence: page::with_minus_signs(&words::sentence(compared, leaf.catalog())),
        sides: evidence.map(|evidence| dots::side(leaf, evidence, feature, room)),
        numbers: numbers(compared, feature),
        covariates: covariates.map(|covariate| strata::view(leaf, compared, covariate, evidence)).collect(),
        why: why.map(|reason| page::with_minus_signs(&reason)).collect(),
    })
}

/// The numbers that no sentence has.
fn numbers(compared: &Compared, feature: &Feature) -> Vec<Number> {
    let crude = &compared.crude;
    let number = strata::number;
    let interval = format!("{} ({} to {})", number(crude.difference), number(crude.low), number(crude.high));
    let mut numbers = vec![Number { name: "difference, 95 % interval", value: interval }];
    let right = crude.right.map(|right| Number { name: "alone right", value: number(right) });
    let shift = |shift| {
        let value = match &feature.kind {
            Kind::Measure(measure) => with_minus(&measure::words(shift, measure.unit)),
            _ => number(shift),
        };
        Number { name: "shift from first to second", value }
    };
    numbers.extend(right.into_iter().chain(crude.shift.map(shift)));
    numbers
}

/// Features that were counted in one variant and not in the other: no verdict, but worth a look.
fn one_only(leaf: &Leaf<'_>, [a, b]: [&Evidence<'_>; 2]) -> Vec<OneOnly> {
    let of = |feature: &Feature| {
        let seen = match (a.items(&feature.id).is_empty(), b.items(&feature.id).is_empty()) {
            (false, true) => a,
            (true, false) => b,
            _ => return None,
        };
        Some(OneOnly {
            name: feature.name.clone(),
            variant: pairs::short_name(leaf, &seen.variant),
            seen: words::seen(seen, feature),
        })
    };
    leaf.catalog().vocabulary.iter().filter_map(of).collect()
}
