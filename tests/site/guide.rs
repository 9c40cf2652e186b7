//! The guide: every page listed, every link to a heading that exists, terms found by search, own pages in place of ours.

use std::fs;

use regex::Regex;

use crate::site::{DEMO, built, page};
use crate::support::{entries, repository, stem};

#[test]
fn the_first_page_of_the_guide_links_to_every_other() {
    let index = page(&DEMO, "guide/index.html");
    let files = entries(&repository("site/guide"));
    let pages =
        files.iter().filter(|path| path.extension().is_some_and(|ending| ending == "md")).map(|path| stem(path));
    for name in pages.filter(|name| name != "index") {
        assert!(index.contains(&format!("href=\"{name}.html\"")), "{name}");
        assert!(page(&DEMO, &format!("guide/{name}.html")).contains("href=\"index.html\""), "{name} links back");
    }
}

#[test]
fn links_to_headings_of_other_pages_lead_to_headings() {
    let link = Regex::new("href=\"([a-z-]+\\.html)#([^\"]+)\"").unwrap();
    let mut met = 0;
    for path in DEMO.keys().filter(|path| path.starts_with("guide/")) {
        for found in link.captures_iter(page(&DEMO, path)) {
            let target = page(&DEMO, &format!("guide/{}", &found[1]));
            assert!(target.contains(&format!("id=\"{}\"", &found[2])), "{path}: {}", &found[0]);
            met += 1;
        }
    }
    assert!(met >= 2, "the guide links to its glossary");
}

#[test]
fn no_link_of_the_guide_leads_to_a_markdown_file() {
    let link = Regex::new("href=\"[^\"]*\\.md[\"#]").unwrap();
    let pages = DEMO.keys().filter(|path| path.starts_with("guide/"));
    let left: Vec<&String> = pages.filter(|path| link.is_match(page(&DEMO, path))).collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn the_search_knows_pages_of_the_guide_and_terms_of_its_glossary() {
    let index = page(&DEMO, "search.js");
    for name in ["Write an entry", "Label line", "Mann–Whitney test"] {
        assert!(index.contains(name), "{name}");
    }
    assert!(page(&DEMO, "guide/glossary.html").contains("id=\"guide-section-mann-whitney-test\""));
}

#[test]
fn the_glossary_stands_in_the_order_of_the_alphabet() {
    let html = page(&DEMO, "guide/glossary.html");
    let of = |part: &str| -> Vec<String> {
        let terms = part.split("<h3").skip(1).filter_map(|rest| rest.split_once('>')?.1.split_once("</h3>"));
        terms.map(|(term, _)| term.to_lowercase()).collect()
    };
    let parts: Vec<Vec<String>> = html.split("<h2").map(of).filter(|terms| !terms.is_empty()).collect();
    assert!(parts.len() == 2 && parts.iter().all(|terms| terms.len() > 10 && terms.is_sorted()), "{parts:?}");
}

#[test]
fn a_page_of_the_knowledge_base_takes_the_place_of_the_built_in_one() {
    let own = built("--- site/guide/changes.md\n# What our club changed\n\nOnly <b>words</b>.\n");
    let html = page(&own, "guide/changes.html");
    assert!(html.contains("<h1>What our club changed</h1>") && html.contains("&lt;b&gt;"), "{html}");
    assert!(page(&own, "guide/index.html").contains("<h1>Guide</h1>"));
}

#[test]
fn the_readme_is_one_screen_and_its_links_lead_somewhere() {
    let text = fs::read_to_string(repository("README.md")).unwrap();
    assert!(text.lines().count() < 120);
    let paths = text.split("](").skip(1).map(|rest| rest.split(')').next().unwrap().to_string());
    for path in paths {
        assert!(repository(&path).exists(), "README.md links to {path}");
    }
    let developers = fs::read_to_string(repository("DEVELOPERS.md")).unwrap();
    assert!(developers.split_whitespace().count() < 3000);
}
