//! Where pages are, for search engines and lost readers: `sitemap.xml`, and `404.html` for hosts that show it.

use std::collections::BTreeSet;
use std::fmt::Write;

use serde::Serialize;

use crate::markup;
use crate::page::PageError;
use crate::publish::inline;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::output_log::{OutputLog, Turn};
use crate::view::context::Context;

/// Writes both; the map only where the site's address is known, since it has to be whole addresses.
pub const PUBLISHER: Publisher = Publisher {
    name: "whereabouts",
    description: "a map of the site for search engines, and the page for what is not there",
    owns: &["sitemap.xml", "404.html"],
    publish,
};

/// The most addresses in one map (sitemaps.org, protocol 0.9).
const MOST: usize = 50_000;

#[derive(Serialize)]
struct Lost<'a> {
    language: &'a str,
    title: &'a str,
    licence: &'a str,
    policy: String,
    /// Where its links lead before its script has found the site, and without it.
    root: String,
    style: String,
    script: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let lost = OutputFile::new("404.html", move || lost(context));
    let map = context.address().map(|address| {
        OutputFile::after("sitemap.xml", Turn::Last, move |written| Ok::<_, String>(map(context, written, &address)))
    });
    std::iter::once(lost).chain(map).collect()
}

/// A host shows this page at any address, so it has its style and script within it.
fn lost<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let about = &context.knowledge.catalog.about;
    let style = inline::asset(context, "assets/site.css")?;
    let script = inline::asset(context, "assets/lost.js")?;
    let view = Lost {
        language: &about.language,
        title: &about.title,
        licence: &about.licence,
        policy: markup::policy_with_own_and(&script, &style),
        root: top(context),
        style,
        script,
    };
    context.site.render("404.html", &view)
}

/// The path of the site on its host; the top of the host where its address is not known.
fn top<'a>(context: &'a Context<'a>) -> String {
    let top = context.address().and_then(|address| {
        let (_, rest) = address.split_once("://")?;
        rest.find('/').map(|slash| rest[slash..].to_string())
    });
    top.unwrap_or_else(|| "/".to_string())
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
