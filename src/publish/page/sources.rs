//! The pages of sources: trees of sources that repeat one another, roots first, and every statement
//! that depends on each.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use crate::date::spoken;
use crate::page::{self, PageError};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::citation::WeightClass;
use crate::record::{Withheld, WithheldWhat};
use crate::resolve::{CitedSource, SourceIndex};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::path;
use crate::view::rests::{self, Group, Rests};
use crate::view::source_trees::{self, Place};

/// Writes the page of sources.
pub const PUBLISHER: Publisher = Publisher {
    name: "sources",
    description: "all sources, with what repeats what and what rests on each",
    owns: &["sources.html", "sources/**"],
    publish,
};

/// The description of the list of sources.
const ABOUT: &str = "What claims and dates were read from, with what repeats what and all that rests on each source.";

#[derive(Serialize)]
struct View {
    frame: Frame,
    kinds: Vec<Kind>,
}

#[derive(Default, Serialize)]
struct Kind {
    anchor: &'static str,
    title: &'static str,
    sources: Vec<SourceView>,
    /// The tags that close the last tree.
    after: String,
}

#[derive(Serialize)]
struct SourceView {
    /// The tags that set it below the one before.
    before: String,
    anchor: String,
    /// Its former names in addresses.
    aliases: Vec<String>,
    citation: String,
    kind: String,
    date: Option<String>,
    url: Option<String>,
    archived: Option<String>,
    repeats: Vec<Link>,
    repeated_by: Vec<Link>,
    roots: Vec<Link>,
    in_cycle: bool,
    /// Why it is withheld, if it is.
    withheld: Option<String>,
    written_in: Option<Link>,
    /// All that rests on it, if anything does.
    rests: Option<Link>,
    body: String,
}

/// The statements that depend on one source.
#[derive(Serialize)]
struct RestsView {
    frame: Frame,
    kind: String,
    citation: String,
    summary: String,
    entry: String,
    groups: Vec<Group>,
}

/// Found once for all pages, while they are planned.
type Resting = Arc<BTreeMap<SourceIndex, Rests>>;

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let resting: Resting = Arc::new(rests::on_sources(context));
    let sources: Vec<SourceIndex> = resting.keys().copied().collect();
    let all = Arc::clone(&resting);
    let list = OutputFile::new("sources.html", move || page(context, &all));
    let pages = sources.into_iter().flat_map(|source| {
        let cited = context.knowledge.catalog.cited(source);
        let (whole, parts) = (Arc::clone(&resting), resting[&source].pages());
        let whole = OutputFile::new(path::resting_on(cited), move || on_source(context, source, &whole));
        let resting = Arc::clone(&resting);
        let part = move |number| {
            let resting = Arc::clone(&resting);
            let path = path::resting_on_part(cited, number);
            OutputFile::new(path, move || part_on_source(context, source, number, &resting))
        };
        std::iter::once(whole).chain((1..=parts).map(part))
    });
    std::iter::once(list).chain(pages).collect()
}

/// A further page of what rests on a source.
fn part_on_source<'a>(
    context: &'a Context<'a>,
    index: SourceIndex,
    number: usize,
    resting: &Resting,
) -> Result<Vec<u8>, PageError> {
    let source = context.knowledge.catalog.cited(index);
    let leaf = Leaf::new(context, path::resting_on_part(source, number));
    let missing = || PageError::Words(format!("nothing of part {number} rests on {}", source.citation));
    let (group, said) = resting[&index].part(&leaf, number).ok_or_else(missing)?;
    let about = format!("What rests on {}: {said}.", source.citation);
    let whole = leaf.link(source.citation.clone(), &path::resting_on(source));
    let trail = vec![leaf.link("Sources", "sources.html"), whole];
    let view = RestsView {
        frame: leaf.frame(format!("{}: {said}", source.citation), &about, trail),
        kind: in_words(source),
        citation: source.citation.clone(),
        summary: format!("This page: {said}"),
        entry: leaf.href(&path::source(source)),
        groups: vec![group],
    };
    leaf.render("source.html", &view)
}

fn on_source<'a>(context: &'a Context<'a>, index: SourceIndex, resting: &Resting) -> Result<Vec<u8>, PageError> {
    let source = context.knowledge.catalog.cited(index);
    let leaf = Leaf::new(context, path::resting_on(source));
    let about = format!("What rests on {}: {}.", source.citation, resting[&index].summary());
    let view = RestsView {
        frame: leaf.frame(source.citation.clone(), &about, vec![leaf.link("Sources", "sources.html")]),
        kind: in_words(source),
        citation: source.citation.clone(),
        summary: resting[&index].summary(),
        entry: leaf.href(&path::source(source)),
        groups: resting[&index].groups(&leaf, |number| path::resting_on_part(source, number)),
    };
    leaf.render("source.html", &view)
}

/// The kind of source, as a sentence names it.
fn in_words(source: &CitedSource) -> String {
    let kind = source.kind.word().replace('-', " ");
    let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    let date = source.date.as_ref().map_or_else(String::new, |date| {
        format!(" of {}", spoken::date(date).unwrap_or_else(|| "unknown date".to_string()))
    });
    format!("{article} {kind}{date}")
}

fn page<'a>(context: &'a Context<'a>, resting: &Resting) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "sources.html");
    let kinds = [
        (WeightClass::Contemporary, "contemporary", "Made at the time"),
        (WeightClass::Secondary, "secondary", "Written later"),
        (WeightClass::Statement, "statements", "Somebody says so"),
    ];
    let sources = &leaf.catalog().cited;
    let (trees, repeaters) = (source_trees::trees(sources), source_trees::repeaters(sources));
    let mut views: Vec<SourceView> =
        trees.iter().map(|place| view(&leaf, place.source, &repeaters[place.source.0 as usize])).collect();
    for (view, place) in views.iter_mut().zip(&trees) {
        let found = resting.get(&place.source);
        view.rests =
            found.map(|found| leaf.link(found.summary(), &path::resting_on(leaf.catalog().cited(place.source))));
    }
    moved::settle(&mut views, |view| (&view.anchor, &mut view.aliases));
    let mut views = views.into_iter();
    let mut groups = kinds.map(|(_, anchor, title)| (Vec::new(), Kind { anchor, title, ..Kind::default() }));
    for tree in trees.chunk_by(|_, next| next.depth > 0) {
        let class = sources[tree[0].source.0 as usize].kind.weight_class();
        let Some(at) = kinds.iter().position(|(of, _, _)| *of == class) else { continue };
        groups[at].0.extend_from_slice(tree);
        groups[at].1.sources.extend(views.by_ref().take(tree.len()));
    }
    let kinds = groups.into_iter().map(|(places, kind)| nested(&places, kind));
    let frame = leaf.frame("Sources", ABOUT, Vec::new());
    leaf.render("sources.html", &View { frame, kinds: kinds.filter(|kind| !kind.sources.is_empty()).collect() })
}

fn nested(places: &[Place], mut kind: Kind) -> Kind {
    let (before, after) = source_trees::nesting(places);
    kind.sources.iter_mut().zip(before).for_each(|(source, before)| source.before = before);
    kind.after = after;
    kind
}

fn withheld(leaf: &Leaf<'_>, index: SourceIndex) -> Option<String> {
    let catalog = leaf.catalog();
    let name = &catalog.cited(index).name;
    let is_own = |withheld: &&Withheld| withheld.what.value == WithheldWhat::Source(name.clone());
    let found = catalog.about.withheld.iter().find(is_own).map(|withheld| withheld.reason.clone());
    catalog.withheld_sources.contains(&index).then(|| found.unwrap_or_default())
}

fn view(leaf: &Leaf<'_>, index: SourceIndex, repeated_by: &[SourceIndex]) -> SourceView {
    let source = leaf.catalog().cited(index);
    let links = |sources: &mut dyn Iterator<Item = &SourceIndex>| sources.map(|source| leaf.source(*source)).collect();
    let record = source.record.map(|index| leaf.catalog().record(index));
    let place = source.places.first().filter(|_| record.is_none());
    let written_in = place.map(|place| leaf.catalog().sources.file(place.file).path().as_str());
    SourceView {
        before: String::new(),
        aliases: record.map_or_else(Vec::new, |record| moved::aliases(leaf.context, record)),
        anchor: path::source_anchor(source),
        citation: source.citation.clone(),
        kind: source.kind.word().replace('-', " "),
        date: source.date.as_ref().and_then(spoken::date),
        url: source.url.clone().filter(|url| page::is_web(url)),
        archived: source.archived.clone().filter(|url| page::is_web(url)),
        repeats: links(&mut source.repeats.iter()),
        repeated_by: links(&mut repeated_by.iter()),
        roots: if source.repeats.is_empty() { Vec::new() } else { links(&mut source.roots.iter()) },
        in_cycle: source.in_cycle,
        withheld: withheld(leaf, index),
        written_in: written_in.and_then(|path| leaf.claim(path)),
        rests: None,
        body: record.map_or_else(String::new, |record| leaf.prose(record)),
    }
}
