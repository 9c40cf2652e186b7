//! The guide: a page for each Markdown file of `site/guide/`, in the order in which `index.md` links to them.

use std::sync::LazyLock;

use regex::{Captures, Regex};
use serde::Serialize;

use crate::markup::{self, Above};
use crate::page::{PageError, description};
use crate::publish::output::{OutputFile, Publisher};
use crate::view::context::Context;
use crate::view::guide;
use crate::view::leaf::{Frame, Leaf, Link};

/// Writes the pages of the guide.
pub const PUBLISHER: Publisher = Publisher {
    name: "guide",
    description: "the guide: how to date, record, review and publish, every command, and a glossary",
    owns: &["guide/*.html"],
    publish,
};

static LINK: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r#"href="([a-z-]+)\.md(?:#([a-z-]+))?""#).expect("the expression is well formed"));

#[derive(Serialize)]
struct GuidePage {
    frame: Frame,
    heading: String,
    text: String,
    pages: Vec<Link>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let guide = context.site.guide();
    guide.keys().map(|name| OutputFile::new(guide::path(name), move || page(context, name, &guide[name]))).collect()
}

fn page<'a>(context: &'a Context<'a>, name: &str, text: &str) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, guide::path(name));
    let trail = if name == "index" { Vec::new() } else { vec![leaf.link("Guide", guide::FIRST)] };
    let others = guide::listed(context.site).into_iter().filter(|other| *other != name && name != "index");
    let link = |other: &str| leaf.link(guide::split(&context.site.guide()[other]).0, &guide::path(other));
    let pages = others.map(link).collect();
    let (heading, body) = guide::split(text);
    let about = format!("{heading}: {}", description::of_markdown(body));
    let view =
        GuidePage { frame: leaf.frame(heading, &about, trail), heading: heading.to_string(), text: html(body), pages };
    leaf.render("guide.html", &view)
}

/// Turns Markdown into HTML whose links to other files of the guide lead to their pages.
fn html(text: &str) -> String {
    let html = markup::html(text, guide::SCOPE, Above::Page);
    let page_link = |found: &Captures<'_>| match found.get(2) {
        Some(heading) => {
            format!("href=\"{}.html#{}\"", &found[1], markup::heading_id(guide::SCOPE, heading.as_str()))
        }
        None => format!("href=\"{}.html\"", &found[1]),
    };
    LINK.replace_all(&html, page_link).into_owned()
}
