//! The pages of the guide and the terms of its glossary, with their headings, addresses and order.
//!
//! Writes no page and checks no link: a test of the built site does.

use crate::markup;
use crate::page::Site;

/// The first page of the guide.
pub const FIRST: &str = "guide/index.html";

/// The prefix of every anchor on a page of the guide.
pub const SCOPE: &str = "guide";

/// The page whose third-level headings are terms.
const GLOSSARY: &str = "glossary";

/// A page of the guide or a term of its glossary, as the search lists it.
pub struct Entry {
    /// Its heading.
    pub name: String,
    /// Its path in the site, with the anchor of a term.
    pub path: String,
    /// The place of a term's page in the list of pages.
    pub page: Option<usize>,
}

/// Lists the pages of the guide, and after the glossary its terms.
pub fn entries(site: &Site) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (name, text) in site.guide() {
        let place = entries.len();
        entries.push(Entry { name: split(text).0.to_string(), path: path(name), page: None });
        if name == GLOSSARY {
            let terms = text.lines().filter_map(|line| line.strip_prefix("### "));
            let anchored = |term: &str| format!("{}#{}", path(name), markup::heading_id(SCOPE, term));
            entries.extend(terms.map(|term| Entry { name: term.to_string(), path: anchored(term), page: Some(place) }));
        }
    }
    entries
}

/// Gives the path of a page in the site.
pub fn path(name: &str) -> String {
    format!("guide/{name}.html")
}

/// Gives the names of the pages that `index.md` links to and that exist, in its order.
pub fn listed(site: &Site) -> Vec<&str> {
    let Some(index) = site.guide().get("index") else { return Vec::new() };
    let links = index.split("](").skip(1).filter_map(|rest| rest.split_once(".md)"));
    links.map(|(name, _)| name).filter(|name| site.guide().contains_key(*name)).collect()
}

/// Splits a page at its first line, the heading.
pub fn split(text: &str) -> (&str, &str) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    match first.strip_prefix("# ") {
        Some(heading) => (heading.trim(), rest),
        None => ("Guide", text),
    }
}
