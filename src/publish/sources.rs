//! The page of sources: what each is, what it repeats, and what it goes back to in the end.

use serde::Serialize;

use crate::page::{self, PageError};
use crate::publish::leaf::{Frame, Leaf, Link};
use crate::publish::{Context, OutputFile, Publisher};
use crate::record::citation::WeightClass;
use crate::resolve::{CitedSource, SourceIndex};

/// Writes the page of sources.
pub const PUBLISHER: Publisher =
    Publisher { name: "sources", description: "all sources, with what repeats what", owns: &["sources.html"], publish };

#[derive(Serialize)]
struct View {
    frame: Frame,
    kinds: Vec<Kind>,
}

#[derive(Serialize)]
struct Kind {
    anchor: &'static str,
    title: &'static str,
    sources: Vec<SourceView>,
}

#[derive(Serialize)]
struct SourceView {
    anchor: String,
    citation: String,
    kind: String,
    date: Option<String>,
    url: Option<String>,
    archived: Option<String>,
    repeats: Vec<Link>,
    repeated_by: Vec<Link>,
    roots: Vec<Link>,
    in_cycle: bool,
    written_in: Option<Link>,
    body: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("sources.html", move || page(context))]
}

fn page(context: &Context<'_>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "sources.html");
    let kinds = [
        (WeightClass::Contemporary, "contemporary", "Made at the time"),
        (WeightClass::Secondary, "secondary", "Written later"),
        (WeightClass::Statement, "statements", "Somebody says so"),
    ];
    let mut repeated_by = vec![Vec::new(); leaf.catalog().cited.len()];
    for (number, source) in (0_u32..).zip(&leaf.catalog().cited) {
        for repeated in &source.repeats {
            repeated_by[repeated.0 as usize].push(SourceIndex(number));
        }
    }
    let kinds = kinds.map(|(class, anchor, title)| {
        let sources = leaf.catalog().cited.iter().zip(&repeated_by);
        let sources = sources.filter(|(source, _)| source.kind.weight_class() == class);
        Kind { anchor, title, sources: sources.map(|(source, by)| view(&leaf, source, by)).collect() }
    });
    let frame = leaf.frame("Sources", Vec::new());
    leaf.render(
        "sources.html",
        &View { frame, kinds: kinds.into_iter().filter(|kind| !kind.sources.is_empty()).collect() },
    )
}

fn view(leaf: &Leaf<'_>, source: &CitedSource, repeated_by: &[SourceIndex]) -> SourceView {
    let links = |sources: &mut dyn Iterator<Item = &SourceIndex>| sources.map(|source| leaf.source(*source)).collect();
    let record = source.record.map(|index| leaf.catalog().record(index));
    let place = source.places.first().filter(|_| record.is_none());
    let path = place.map(|place| leaf.catalog().sources.file(place.file).path().as_str());
    SourceView {
        anchor: page::anchor(&source.name),
        citation: source.citation.clone(),
        kind: source.kind.word().replace('-', " "),
        date: source.date.as_ref().map(|date| date.as_str().to_string()),
        url: source.url.clone().filter(|url| is_web(url)),
        archived: source.archived.clone().filter(|url| is_web(url)),
        repeats: links(&mut source.repeats.iter()),
        repeated_by: links(&mut repeated_by.iter()),
        roots: if source.repeats.is_empty() { Vec::new() } else { links(&mut source.roots.iter()) },
        in_cycle: source.in_cycle,
        written_in: path.and_then(|path| leaf.claim(path)),
        body: record.map_or_else(String::new, |record| leaf.prose(record)),
    }
}

/// Links lead to the web or nowhere: an address with another scheme is not one that a reader can be sent to.
fn is_web(url: &str) -> bool {
    url.starts_with("https://") || url.starts_with("http://")
}
