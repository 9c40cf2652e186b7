//! An independent HTML parser that is allowed exactly what we mean to emit.

use std::collections::{HashMap, HashSet};

use ammonia::{Builder, UrlRelative};

const HTML_TAGS: [&str; 27] = [
    "a",
    "blockquote",
    "br",
    "code",
    "del",
    "div",
    "em",
    "h3",
    "h4",
    "h5",
    "h6",
    "hr",
    "li",
    "ol",
    "p",
    "pre",
    "strong",
    "sup",
    "table",
    "tbody",
    "td",
    "th",
    "thead",
    "tr",
    "ul",
    "html",
    "body",
];

const SVG_TAGS: [&str; 21] = [
    "circle",
    "clipPath",
    "defs",
    "desc",
    "ellipse",
    "g",
    "line",
    "linearGradient",
    "path",
    "pattern",
    "polygon",
    "polyline",
    "radialGradient",
    "rect",
    "stop",
    "svg",
    "symbol",
    "text",
    "title",
    "tspan",
    "use",
];

const SVG_ATTRIBUTES: [&str; 25] = [
    "aria-label",
    "class",
    "clip-path",
    "cx",
    "d",
    "data-at",
    "data-feature",
    "data-nth",
    "data-state",
    "fill",
    "font-family",
    "font-size",
    "height",
    "href",
    "id",
    "opacity",
    "points",
    "r",
    "role",
    "stroke",
    "stroke-width",
    "transform",
    "viewBox",
    "width",
    "xmlns",
];

/// Allows exactly what a body of Markdown may become.
pub fn html_judge() -> Builder<'static> {
    let mut judge = Builder::empty();
    judge.tags(HashSet::from(HTML_TAGS)).link_rel(None).url_relative(UrlRelative::PassThrough).strip_comments(false);
    judge.url_schemes(HashSet::from(["http", "https", "mailto"]));
    judge.tag_attributes(HashMap::from([
        ("a", HashSet::from(["href", "title", "rel"])),
        ("ol", HashSet::from(["start"])),
        ("div", HashSet::from(["id", "class"])),
        ("sup", HashSet::from(["class"])),
        ("td", HashSet::from(["class"])),
        ("th", HashSet::from(["class"])),
        ("h3", HashSet::from(["id"])),
        ("h4", HashSet::from(["id"])),
        ("h5", HashSet::from(["id"])),
        ("h6", HashSet::from(["id"])),
    ]));
    judge
}

/// Allows exactly what a drawing may become.
pub fn svg_judge() -> Builder<'static> {
    let mut judge = Builder::empty();
    judge.tags(HashSet::from(SVG_TAGS)).generic_attributes(HashSet::from(SVG_ATTRIBUTES)).strip_comments(false);
    judge.link_rel(None).url_relative(UrlRelative::PassThrough);
    judge
}

/// Writes the same characters the same way: serialisers differ in which they name where there is no need.
fn even(html: &str) -> String {
    html.replace("&quot;", "\"").replace("&#39;", "'").replace("&nbsp;", "\u{A0}").replace("&gt;", ">")
}

/// Asserts that the judge finds nothing to change.
pub fn assert_inert(judge: &Builder<'_>, output: &str, input: &str) {
    assert_eq!(even(&judge.clean(output).to_string()), even(output), "from {input:?}");
}
