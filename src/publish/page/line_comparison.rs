//! A page for each two label lines, and each two wearers, of a maker: what tells them apart over all their models.
//!
//! The numbers and verdicts come from `comparison`, the sentences from `explain`.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::comparison::lines::group::{Group, Setting, Shared};
use crate::comparison::lines::{LineComparison, LineFeature, Subject};
use crate::comparison::{Compared, Verdict};
use crate::evidence::Evidence;
use crate::explain;
use crate::explain::comparison as words;
use crate::explain::lines as line_words;
use crate::page::{self, PageError};
use crate::publish::output::{OutputFile, Publisher};
use crate::record::Content;
use crate::record::id::{FeatureId, ModelId, Thing, Whole};
use crate::view::context::Context;
use crate::view::dots::{Garment, Room};
use crate::view::era_rows;
use crate::view::figures::{self, Numbers, Plate};
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::line_pairs;
use crate::view::multiples::{self, Multiples};
use crate::view::reasons::{self, EraView};

/// Writes the comparisons of lines and wearers.
pub const PUBLISHER: Publisher = Publisher {
    name: "line-comparison",
    description: "a page for each two label lines or wearers of a maker: what tells them apart over all their models",
    owns: &["compare/*/*.html"],
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
    signs: Vec<String>,
    advice: String,
    other_models: &'static str,
    drawn_of: String,
    plates: Vec<Plate>,
    groups: Vec<GroupView>,
    /// The garments behind the dots.
    garments: Vec<Garment>,
    models: Vec<SharedModel>,
}

#[derive(Serialize)]
struct GroupView {
    name: &'static str,
    is_quiet: bool,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    anchor: String,
    /// Its number on the drawings, where the two differ.
    number: Option<usize>,
    name: String,
    look: String,
    /// The conclusion, without numbers.
    finding: String,
    sentence: String,
    /// The counts model by model; `None` if the feature needs no action.
    multiples: Option<Multiples>,
    why: Vec<String>,
}

/// A model that was sold in both, with the variants of each.
#[derive(Serialize)]
struct SharedModel {
    model: Link,
    sides: [Vec<VariantView>; 2],
}

#[derive(Serialize)]
struct VariantView {
    variant: Link,
    era: EraView,
}

/// The data of a page.
struct Pair<'p> {
    comparison: &'p LineComparison,
    a: Group<'p>,
    b: Group<'p>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let file = |comparison: &'a LineComparison| {
        OutputFile::new(line_pairs::path(comparison), move || page(context, comparison))
    };
    line_pairs::listed(context).map(file).collect()
}

fn page<'a>(context: &'a Context<'a>, comparison: &'a LineComparison) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, line_pairs::path(comparison));
    let [a, b] = [&comparison.a, &comparison.b].map(|subject| context.analysis.group(subject));
    let pair = Pair { comparison, a, b };
    let maker = leaf.thing(&Thing::of(Whole::Maker(comparison.a.maker())));
    let drawn = drawn(&pair);
    let numbers = numbers_on_drawings(&leaf, comparison, drawn.map(|(model, ..)| model));
    let [first, second] = [&comparison.a, &comparison.b].map(|subject| heading(&leaf, subject));
    let title = format!("{} beside {}", first.name, second.name);
    let advice = page::with_minus_signs(&line_words::advice(comparison, leaf.catalog()));
    let about = format!("{title}, {}: {advice}", maker.name);
    let mut room = Room::on_a_full_page();
    let groups = groups(&leaf, &pair, &numbers, &mut room);
    let view = View {
        frame: leaf.frame(title, &about, vec![maker]),
        caution: explain::CAUTION,
        a: first,
        b: second,
        short: [&comparison.a, &comparison.b].map(|subject| line_pairs::name(&leaf, subject)),
        signs: signs(&leaf, comparison),
        advice,
        other_models: line_words::OTHER_MODELS,
        drawn_of: drawn.map_or_else(String::new, |(model, ..)| line_words::model_name(leaf.catalog(), model)),
        plates: drawn.map_or_else(Vec::new, |(_, a, b)| figures::pair(&leaf, [a, b], &numbers)),
        groups,
        garments: room.garments(),
        models: models(&leaf, &pair),
    };
    leaf.render("line-comparison.html", &view)
}

fn heading(leaf: &Leaf<'_>, subject: &Subject) -> Link {
    match subject {
        Subject::Line(line) => leaf.thing(&Thing::of(Whole::Line(line.clone()))).named(line_pairs::name(leaf, subject)),
        Subject::Wearer(maker, _) => {
            leaf.thing(&Thing::of(Whole::Maker(maker.clone()))).named(line_pairs::name(leaf, subject))
        }
    }
}

/// How the labels of two lines are told, in words.
fn signs(leaf: &Leaf<'_>, comparison: &LineComparison) -> Vec<String> {
    let sign = |subject: &Subject| match subject {
        Subject::Line(line) => {
            Some(format!("{}: {}.", line_pairs::line_name(leaf, line), line_pairs::sign(leaf, line)?))
        }
        Subject::Wearer(..) => None,
    };
    [&comparison.a, &comparison.b].into_iter().filter_map(sign).collect()
}

/// The features of a group, those that tell best first; the sort keeps the vocabulary's order among equals.
fn in_group<'a>(comparison: &'a LineComparison, name: &str) -> Vec<&'a LineFeature> {
    let features = comparison.features.iter();
    let mut own: Vec<&LineFeature> = features.filter(|found| words::group(&found.compared.verdict) == name).collect();
    own.sort_by(|one, other| other.compared.crude.difference.total_cmp(&one.compared.crude.difference));
    own
}

/// Numbers the features in which the two differ and that the drawn model has, in the order of their rows.
fn numbers_on_drawings(leaf: &Leaf<'_>, comparison: &LineComparison, drawn: Option<&ModelId>) -> Numbers {
    let model = drawn.and_then(|id| leaf.catalog().models.get(id)).map(|entry| leaf.catalog().record(entry.record));
    let Some(Content::Model(model)) = model.map(|record| &record.content) else { return Numbers::new() };
    let loud = words::GROUPS.into_iter().filter(|name| !QUIET.contains(name));
    let rows = loud.flat_map(|name| in_group(comparison, name)).map(|found| &found.compared);
    let has_it = |compared: &&Compared| {
        let feature = leaf.catalog().vocabulary.feature(compared.feature.as_str());
        feature.is_some_and(|feature| feature.retired.is_none() && feature.is_of(&model.garment.value))
    };
    let differing = rows.filter(|compared| compared.crude.difference > 0.0).filter(has_it);
    differing.zip(1..).map(|(compared, number): (&Compared, usize)| (compared.feature.clone(), number)).collect()
}

/// The setting with most counted in both, whose two variants are drawn: there the drawings show most.
fn drawn<'p>(pair: &'p Pair<'p>) -> Option<(&'p ModelId, &'p Evidence<'p>, &'p Evidence<'p>)> {
    let counted = |evidence: &Evidence<'_>| -> usize { evidence.features.values().map(Vec::len).sum() };
    let most = |group: &'p Group<'p>| {
        let mut most: BTreeMap<&'p Setting, &'p Evidence<'p>> = BTreeMap::new();
        for member in &group.members {
            let known = most.entry(&member.setting).or_insert(&member.evidence);
            if counted(&member.evidence) > counted(known) {
                *known = &member.evidence;
            }
        }
        most
    };
    let (of_a, of_b) = (most(&pair.a), most(&pair.b));
    let shared = of_a.into_iter().filter_map(|(setting, a)| Some((&setting.model, a, *of_b.get(setting)?)));
    let shared = shared.filter(|(_, a, b)| counted(a) > 0 && counted(b) > 0);
    // The first by name among equals: `max_by_key` would give the last.
    shared.rev().max_by_key(|(_, a, b)| counted(a).min(counted(b)))
}

fn groups(leaf: &Leaf<'_>, pair: &Pair<'_>, numbers: &Numbers, room: &mut Room) -> Vec<GroupView> {
    let group = |name: &'static str| {
        let is_quiet = QUIET.contains(&name);
        let rows = in_group(pair.comparison, name).into_iter().filter_map(|found| {
            let number = numbers.get(&found.compared.feature).copied();
            let multiples = if is_quiet { None } else { multiples(leaf, pair, found, room) };
            Some(Row { number, multiples, ..row(leaf, found)? })
        });
        GroupView { name, is_quiet, rows: rows.collect() }
    };
    words::GROUPS.into_iter().map(group).filter(|group| !group.rows.is_empty()).collect()
}

/// Draws each model; of the sign of a line only counts, since every garment was placed by it.
fn multiples(leaf: &Leaf<'_>, pair: &Pair<'_>, found: &LineFeature, room: &mut Room) -> Option<Multiples> {
    let feature = leaf.catalog().vocabulary.feature(found.compared.feature.as_str())?;
    let shared = Shared::of(feature, &pair.a, &pair.b)?;
    let mut none = Room::none();
    let room = if found.compared.verdict == Verdict::ByDefinition { &mut none } else { room };
    Some(multiples::of(leaf, found, &shared, room))
}

fn row(leaf: &Leaf<'_>, found: &LineFeature) -> Option<Row> {
    let id: &FeatureId = &found.compared.feature;
    let feature = leaf.catalog().vocabulary.feature(id.as_str())?;
    let why = line_words::reasons(found, feature, leaf.catalog());
    Some(Row {
        anchor: format!("feature-{id}"),
        number: None,
        name: feature.name.clone(),
        look: feature.look.clone(),
        // A hyphen before a figure is a minus.
        finding: line_words::finding(found, leaf.catalog()),
        sentence: page::with_minus_signs(&line_words::sentence(found, leaf.catalog())),
        multiples: None,
        why: reasons::sentences(leaf, &why).iter().map(|reason| page::with_minus_signs(reason)).collect(),
    })
}

fn models(leaf: &Leaf<'_>, pair: &Pair<'_>) -> Vec<SharedModel> {
    let of = |group: &Group<'_>| -> BTreeMap<ModelId, Vec<VariantView>> {
        let mut models: BTreeMap<ModelId, Vec<VariantView>> = BTreeMap::new();
        for member in &group.members {
            let id = &member.evidence.variant;
            let view = VariantView {
                variant: leaf
                    .thing(&Thing::of(Whole::Variant(id.clone())))
                    .named(crate::view::pairs::short_name(leaf, id)),
                era: reasons::era_alone(era_rows::era(leaf, id)),
            };
            models.entry(id.model()).or_default().push(view);
        }
        models
    };
    let (of_a, mut of_b) = (of(&pair.a), of(&pair.b));
    let shared = of_a.into_iter().filter_map(|(model, a)| {
        let b = of_b.remove(&model)?;
        Some(SharedModel { model: leaf.thing(&Thing::of(Whole::Model(model))), sides: [a, b] })
    });
    shared.collect()
}
