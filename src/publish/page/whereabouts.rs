//! What tells machines and lost readers where pages are: `sitemap.xml`, and `404.html` for hosts that show it.

use std::collections::BTreeSet;
use std::fmt::Write;

use serde::Serialize;

use crate::markup;
use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::output_log::{OutputLog, Turn};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf};

/// Writes both; the map only where the site's address is known, since it has to be whole addresses.
pub const PUBLISHER: Publisher = Publisher {
    name: "whereabouts",
    description: "a map of the site for search engines, and the page for what is not there",
    owns: &["sitemap.xml", "404.html"],
    publish,
};

/// So many addresses may be in one map (sitemaps.org, protocol 0.9).
const MOST: usize = 50_000;

#[derive(Serialize)]
struct View {
    frame: Frame,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let lost = OutputFile::new("404.html", move || lost(context));
    let map = context.address().map(|address| {
        OutputFile::after("sitemap.xml", Turn::Last, move |written| Ok::<_, String>(map(context, written, &address)))
    });
    std::iter::once(lost).chain(map).collect()
}

fn lost<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "404.html");
    leaf.render("404.html", &View { frame: leaf.frame("Not here", Vec::new()).shown_anywhere(context) })
}

/// Lists pages, those nearest the top first, without those that only lead on.
fn map<'a>(context: &'a Context<'a>, written: &OutputLog, address: &str) -> Vec<u8> {
    let moved = context.knowledge.catalog.moved.keys();
    let moved = moved.filter(|old| context.index.record(&format!("entries/{old}.md")).is_none());
    let moved: BTreeSet<String> = moved
        .flat_map(|old| [Some(old.as_str()), old.rsplit_once('/').map(|(folder, _)| folder)])
        .flatten()
        .map(|page| format!("{page}.html"))
        .collect();
    let pages = written.keys().filter(|path| path.ends_with(".html") && *path != "404.html" && !moved.contains(*path));
    let mut pages: Vec<&String> = pages.collect();
    pages.sort_by_key(|path| (path.matches('/').count(), *path));
    let mut xml = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
                   <urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n"
        .to_string();
    for page in pages.into_iter().take(MOST) {
        let page = if page == "index.html" { "" } else { page };
        let _ = writeln!(xml, "<url><loc>{}</loc></url>", markup::escape(&format!("{address}{page}")));
    }
    xml += "</urlset>\n";
    xml.into_bytes()
}
