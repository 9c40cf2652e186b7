//! The changes of features in a variant, model or line: a chart for each feature that changed, with
//! people's claims. Features with less evidence are only named.
//!
//! The words are those of `explain::changes`.

mod chart;

use serde::Serialize;

use crate::changeover::claim;
use crate::changeover::items::Dated;
use crate::changeover::{History, Kind, Word};
use crate::explain::changes as words;
use crate::knowledge::Knowledge;
use crate::record::id::{MakerId, Thing, Whole};
use crate::view::chart::Scale;
use crate::view::context::Context;
use crate::view::histories::chart::{Claimed, Drawing, Mark};
use crate::view::leaf::{Leaf, Link};
use crate::view::path;
use crate::view::photographs::pictures::{self, RowPhotographs};
use crate::vocabulary::Feature;

/// The section of a page.
#[derive(Debug, Serialize)]
pub struct HistoriesView {
    ruler: String,
    /// Whether a photograph shows a garment of a chart.
    is_pictured: bool,
    rows: Vec<HistoryRow>,
    others: Vec<Others>,
}

#[derive(Debug, Serialize)]
struct HistoryRow {
    anchor: String,
    name: String,
    sentence: String,
    chart: String,
    claims: Vec<String>,
    is_contradicted: bool,
    why: Vec<String>,
    garments: Vec<Garment>,
    row: RowPhotographs,
}

#[derive(Debug, Serialize)]
struct Garment {
    observation: Link,
    shows: String,
    years: String,
}

/// Features with nothing more to say.
#[derive(Debug, Serialize)]
struct Others {
    word: &'static str,
    names: String,
}

/// A changeover in a list of them.
#[derive(Debug, Serialize)]
pub struct ChangeView {
    /// The years that hold it.
    pub years: String,
    /// Which state gave way to which.
    words: String,
    /// Where it is shown, under the name of the model or variant and the feature.
    shown: Link,
    is_sure: bool,
    strip: String,
}

/// The histories of a thing: those of one thing lie together, in order.
pub fn of_thing<'c>(context: &'c Context<'c>, thing: &Whole) -> &'c [History] {
    let all = context.analysis.histories();
    let start = all.partition_point(|history| history.thing < *thing);
    let end = all.partition_point(|history| history.thing <= *thing);
    &all[start..end]
}

/// Draws what changed when; `None` if no feature has a dated garment.
pub fn view(leaf: &Leaf<'_>, thing: &Whole) -> Option<HistoriesView> {
    let histories = of_thing(leaf.context, thing);
    let mut told: Vec<&History> = histories.iter().filter(|history| is_told(history)).collect();
    told.sort_by_key(|history| !history.word.is_change());
    let rows: Vec<HistoryRow> = match scale(&told) {
        Some(scale) => told.iter().filter_map(|history| row(leaf, scale, history)).collect(),
        None => Vec::new(),
    };
    let ruler = scale(&told).map_or_else(String::new, Scale::ruler);
    let is_pictured = rows.iter().any(|row| !row.row.is_empty());
    (!histories.is_empty()).then(|| HistoriesView { ruler, is_pictured, rows, others: others(leaf, histories) })
}

/// Says whether a change of a feature is mentioned, if only to say what explains it.
fn is_told(history: &History) -> bool {
    !history.changes.is_empty() && history.word != Word::Unclear
}

fn scale(histories: &[&History]) -> Option<Scale> {
    let spans = histories.iter().flat_map(|history| &history.items).map(|item| item.span);
    Scale::of_days(spans.flat_map(|span| [span.first(), span.last()]).flatten())
}

fn row(leaf: &Leaf<'_>, scale: Scale, history: &History) -> Option<HistoryRow> {
    let catalog = leaf.catalog();
    let feature = catalog.vocabulary.feature(history.feature.as_str())?;
    let sentence = words::sentence(catalog, history);
    let claims = claimed(leaf.context.knowledge, feature, history);
    let marks: Vec<Mark<'_>> = history.items.iter().filter_map(|item| mark(leaf, feature, item)).collect();
    let drawing = Drawing { scale, history, feature };
    let claim_sentences = words::claims(leaf.context.knowledge, history);
    Some(HistoryRow {
        anchor: anchor(history),
        name: feature.name.clone(),
        chart: drawing.svg(&marks, &claims, &format!("{}: {sentence}", feature.name)),
        sentence,
        is_contradicted: claims_contradict(leaf.context.knowledge, history),
        claims: claim_sentences.iter().map(|sentence| leaf.words(sentence, None)).collect(),
        row: pictures::in_row(leaf, history.items.iter().flat_map(|item| item.records.iter().copied()), &feature.id),
        why: words::reasons(catalog, history),
        garments: history.items.iter().filter_map(|item| garment(leaf, feature, item)).collect(),
    })
}

/// The anchor of a feature's history on the page of its thing.
pub fn anchor(history: &History) -> String {
    format!("change-{}", history.feature)
}

fn mark<'i>(leaf: &Leaf<'_>, feature: &Feature, item: &'i Dated) -> Option<Mark<'i>> {
    let observation = leaf.record(*item.records.first()?);
    let pictured = item.records.iter().any(|index| pictures::has(leaf, *index, &feature.id));
    let photograph = if pictured { ", with a photograph" } else { "" };
    let (state, years) = (feature.label(&item.state), words::years(item.span));
    let words = format!("{}: {state}, {years}{photograph}", observation.name);
    Some(Mark { item, href: observation.href, words, pictured })
}

fn garment(leaf: &Leaf<'_>, feature: &Feature, item: &Dated) -> Option<Garment> {
    let observation = leaf.record(*item.records.first()?);
    Some(Garment { observation, shows: feature.label(&item.state), years: words::years(item.span) })
}

/// The claims about the changes of a feature, each once, with the words of its lane.
fn claimed(knowledge: &Knowledge, feature: &Feature, history: &History) -> Vec<Claimed> {
    if !history.word.is_change() {
        return Vec::new();
    }
    let found = history.changes.iter().flat_map(|change| claim::beside(knowledge, history, change));
    let claimed = found.map(|beside| {
        let against = if beside.contradicts { "; the garments contradict it" } else { "" };
        let event = match beside.event {
            claim::End::Began => "began",
            claim::End::Ended => "ended",
        };
        let words =
            format!("claimed: {} {event} {}{against}", feature.label(beside.state.as_str()), words::years(beside.span));
        Claimed { words, span: beside.span }
    });
    claimed.collect()
}

fn claims_contradict(knowledge: &Knowledge, history: &History) -> bool {
    let mut found = history.changes.iter().flat_map(|change| claim::beside(knowledge, history, change));
    history.word.is_change() && found.any(|beside| beside.contradicts)
}

fn others(leaf: &Leaf<'_>, histories: &[History]) -> Vec<Others> {
    let words =
        [(Word::NoChangeSeen, "No change seen"), (Word::Unclear, "Unclear"), (Word::TooFew, "Too few dated garments")];
    let others = words.into_iter().map(|(wanted, word)| {
        let own = histories.iter().filter(|history| history.word == wanted);
        let names: Vec<String> = own.map(|history| words::heading(leaf.catalog(), &history.feature)).collect();
        Others { word, names: names.join(", ") }
    });
    others.filter(|others| !others.names.is_empty()).collect()
}

/// The histories of a maker in which a state gives way to another: those of its models, and those of variants that
/// their model does not show.
pub fn changed_of_maker<'c>(context: &'c Context<'c>, maker: &MakerId) -> Vec<&'c History> {
    let Some(entry) = context.knowledge.catalog.makers.get(maker) else { return Vec::new() };
    let mut found: Vec<&History> = Vec::new();
    for model in &entry.models {
        let own = changed(context, &Whole::Model(model.clone()));
        let variants = context.knowledge.catalog.models.get(model).map_or(&[][..], |entry| entry.variants.as_slice());
        let further = variants.iter().flat_map(|variant| changed(context, &Whole::Variant(variant.clone())));
        let further: Vec<&History> =
            further.filter(|history| own.iter().all(|shown| shown.feature != history.feature)).collect();
        found.extend(own.iter().chain(&further));
    }
    found
}

fn changed<'c>(context: &'c Context<'c>, thing: &Whole) -> Vec<&'c History> {
    of_thing(context, thing).iter().filter(|history| history.word.is_change()).collect()
}

/// The changeovers of a maker in order of time, on a scale of their own.
pub fn time_line(leaf: &Leaf<'_>, maker: &MakerId) -> Option<(String, Vec<ChangeView>)> {
    let histories = changed_of_maker(leaf.context, maker);
    let real = histories.iter().flat_map(|history| history.real().map(move |change| (*history, change)));
    let mut changes: Vec<_> = real.collect();
    changes.sort_by_key(|(history, change)| (change.span.first(), change.span.last(), &history.thing));
    let days = changes.iter().flat_map(|(_, change)| [change.span.first(), change.span.last()]);
    let scale = Scale::of_days(days.flatten())?;
    let views = changes.into_iter().map(|(history, change)| {
        let feature = words::heading(leaf.catalog(), &history.feature);
        let thing = leaf.thing(&Thing::of(history.thing.clone())).name;
        let place = format!("{}#{}", path::thing(&Thing::of(history.thing.clone())), anchor(history));
        let said = words::gives_way(leaf.catalog(), &history.feature, change);
        ChangeView {
            years: words::years(change.span),
            strip: scale.bound(
                change.span.first(),
                change.span.last(),
                &format!("{} {said}", words::years(change.span)),
                "",
            ),
            words: said,
            shown: leaf.link(format!("{thing}: {}", feature.to_lowercase()), &place),
            is_sure: history.word == Word::Changed && change.kind == Kind::Real,
        }
    });
    Some((scale.ruler(), views.collect()))
}
