//! The A–Z: complete, in order, and divided by letter where there is much.

use std::fmt::Write;

use crate::site::{DEMO, built, page};
use crate::support::{repository, site};

#[test]
fn the_page_of_names_lists_all_of_the_demo() {
    let html = page(&DEMO, "index-a-z.html");
    let (compilation, _) = site::compiled(&repository(""));
    let catalog = &compilation.knowledge.catalog;
    let count = |sort: &str| html.matches(&format!("<span class=\"gloss\">{sort}")).count();
    assert_eq!(count("maker"), catalog.makers.len());
    assert_eq!(count("model"), catalog.models.len());
    assert_eq!(count("variant"), catalog.variants.len());
    assert_eq!(count("line"), catalog.lines.len());
    assert_eq!(count("source"), catalog.cited.len());
    assert_eq!(count("landmark"), catalog.landmarks.len());
    assert_eq!(count("feature"), catalog.vocabulary.iter().count());
    assert!(html.contains("Seen on <a href=\"makers/"), "features say where");
}

#[test]
fn many_names_have_a_page_for_each_letter_and_search_leads_there() {
    let mut text = String::new();
    for number in 0..450 {
        let name = ["Harl", "orrin", "9 Mill", "Écru"][number % 4];
        write!(text, "--- entries/makers/m{number:03}/maker.md\n+++\nname = \"{name} {number}\"\n+++\n").unwrap();
    }
    let output = built(&text);
    let whole = page(&output, "index-a-z.html");
    assert!(whole.contains("<a href=\"a-z/0-9.html\">0–9</a>") && !whole.contains("makers/m001.html"), "{whole}");
    let pages = ["a-z/h.html", "a-z/o.html", "a-z/0-9.html", "a-z/u00c9.html"].map(|path| page(&output, path));
    let listed: usize = pages.iter().map(|html| html.matches(">maker</span>").count()).sum();
    assert_eq!(listed, 450);
    assert!(pages[1].contains("<a href=\"../makers/m001.html\">orrin 1</a>"), "{}", pages[1]);
    let index = page(&output, "search.js");
    assert!(index.contains("\"features/hem.html\""), "{index}");
    assert!(page(&output, "a-z/h.html").contains("href=\"../features/hem.html\""), "a feature has a page of its own");
    assert!(page(&output, "features/hem.html").contains("<h1"), "features stand where search leads");
}
