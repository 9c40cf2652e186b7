//! The feed held to RFC 4287, the map of the site, the page for what is not there, the one address of each page.

use std::collections::{BTreeMap, BTreeSet};

use quick_xml::NsReader;
use quick_xml::events::Event;
use quick_xml::name::ResolveResult;
use regex::Regex;

use crate::site::{DEMO, built, page};
use crate::support::site::Output;

const ATOM: &str = "http://www.w3.org/2005/Atom";

/// What stands in an Atom feed: for the feed and each entry, the texts of its elements; links by relation.
fn parsed(xml: &str) -> Vec<BTreeMap<String, Vec<String>>> {
    let mut reader = NsReader::from_str(xml);
    let (mut parts, mut open, mut text) = (vec![BTreeMap::<String, Vec<String>>::new()], Vec::new(), String::new());
    loop {
        let (namespace, event) = reader.read_resolved_event().unwrap();
        match event {
            Event::Start(_) | Event::Empty(_) => {
                assert!(
                    matches!(namespace, ResolveResult::Bound(name) if name.as_ref() == ATOM),
                    "not an element of Atom"
                );
                let (element, is_empty) = match &event {
                    Event::Start(element) => (element, false),
                    Event::Empty(element) => (element, true),
                    _ => unreachable!(),
                };
                let name = element.local_name().as_ref().to_string();
                let of = |key: &str| {
                    let found = element.attributes().map(Result::unwrap).find(|one| one.key.as_ref() == key);
                    found.map(|one| one.value.to_string())
                };
                if name == "link" {
                    let key = format!("link {}", of("rel").unwrap());
                    parts.last_mut().unwrap().entry(key).or_default().push(of("href").unwrap());
                }
                if name == "entry" {
                    parts.push(BTreeMap::new());
                }
                if !is_empty {
                    open.push(name);
                }
                text.clear();
            }
            Event::Text(part) => text += &part,
            Event::GeneralRef(part) => text += &format!("&{};", &*part),
            Event::End(_) => {
                let name = open.pop().unwrap();
                if !["feed", "entry", "author"].contains(&name.as_str()) {
                    let key = if open.last().is_some_and(|up| up == "author") { "author".to_string() } else { name };
                    parts.last_mut().unwrap().entry(key).or_default().push(text.clone());
                }
            }
            Event::Eof => break,
            _ => (),
        }
    }
    assert!(open.is_empty(), "closed as it was opened");
    parts
}

/// What RFC 4287, 4.1.1 and 4.1.2, asks of a feed and its entries.
fn assert_atom(parts: &[BTreeMap<String, Vec<String>>]) {
    // RFC 3339, 5.6, as far as it is written here; RFC 9562, 4.
    let moment = Regex::new("^[0-9]{4}-[0-9]{2}-[0-9]{2}T00:00:00Z$").unwrap();
    let name = Regex::new("^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$").unwrap();
    let mut ids = BTreeSet::new();
    for (place, part) in parts.iter().enumerate() {
        for element in ["id", "title", "updated"] {
            assert_eq!(part.get(element).map(Vec::len), Some(1), "{element} once: {part:?}");
        }
        assert!(moment.is_match(&part["updated"][0]) && name.is_match(&part["id"][0]), "{part:?}");
        assert!(ids.insert(part["id"][0].clone()), "an id of its own");
        assert!(place > 0 || part.contains_key("author"), "the feed has an author, so that entries need none");
        assert_eq!(part["link alternate"].len(), 1);
        assert!(part.get("author").into_iter().flatten().all(|author| !author.trim().is_empty()));
        assert!(place == 0 || part["updated"] <= parts[0]["updated"], "the feed is as new as its newest entry");
    }
}

#[test]
fn the_feed_of_the_demo_is_atom_with_the_latest_first() {
    let parts = parsed(page(&DEMO, "feed.xml"));
    assert_atom(&parts);
    assert_eq!(parts.len(), 51);
    assert!(parts[1..].windows(2).all(|two| two[0]["updated"] >= two[1]["updated"]));
    for part in &parts[1..] {
        let path = part["link alternate"][0].strip_prefix("https://example.org/bartack/").unwrap();
        assert!(DEMO.contains_key(path), "{path}");
    }
    assert_eq!(parts[0]["link self"], ["https://example.org/bartack/feed.xml"]);
}

const ABOUT: &str = "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n";

fn seen(name: &str, more: &str) -> String {
    format!("--- entries/unplaced/{name}.md\n+++\nbasis = \"specimen\"\nobserved = 2024-02-29\n{more}\n+++\n")
}

fn entry_id(output: &Output) -> String {
    parsed(page(output, "feed.xml"))[1]["id"][0].clone()
}

#[test]
fn an_entry_keeps_its_id_through_a_change_of_name() {
    let (before, after) = (seen("first", ""), seen("second", "formerly = [\"unplaced/first\"]"));
    let (before, after) = (built(&format!("{ABOUT}{before}")), built(&format!("{ABOUT}{after}")));
    assert_eq!(entry_id(&before), entry_id(&after));
    assert_eq!(parsed(page(&after, "feed.xml"))[1]["link alternate"], ["unplaced/second.html"]);
}

#[test]
fn what_xml_cannot_hold_does_not_reach_the_feed() {
    let text = format!("{ABOUT}{}", seen("odd", "observer = \"a\\u0001\\u001b<b>&\\uFFFE\""))
        .replace("title = \"T\"", "title = \"]]>\\u0000<x>\"");
    let output = built(&text);
    let xml = page(&output, "feed.xml");
    assert_atom(&parsed(xml));
    assert!(!xml.chars().any(|one| (one < ' ' && !"\t\n\r".contains(one)) || one == '\u{fffe}'), "{xml:?}");
    assert!(!xml.contains("<b>") && !xml.contains("<x>"));
}

#[test]
fn a_feed_of_nothing_is_a_feed_and_has_no_clock() {
    let output = built(ABOUT);
    let parts = parsed(page(&output, "feed.xml"));
    assert_atom(&parts);
    assert_eq!((parts.len(), parts[0]["updated"][0].as_str()), (1, "1970-01-01T00:00:00Z"));
    assert!(!parts[0].contains_key("link self") && !output.contains_key("sitemap.xml"));
}

#[test]
fn the_map_has_every_page_once_and_none_that_only_leads_on() {
    let map = page(&DEMO, "sitemap.xml");
    let place = Regex::new("<loc>https://example.org/bartack/([^<]*)</loc>").unwrap();
    let listed: Vec<&str> = place.captures_iter(map).map(|found| found.get(1).unwrap().as_str()).collect();
    let leads_on = |html: &[u8]| String::from_utf8_lossy(html).contains("http-equiv=\"refresh\"");
    let pages = DEMO.iter().filter(|(path, html)| path.ends_with(".html") && *path != "404.html" && !leads_on(html));
    let expected: BTreeSet<&str> =
        pages.map(|(path, _)| if path == "index.html" { "" } else { path.as_str() }).collect();
    assert_eq!(listed.len(), expected.len());
    assert_eq!(listed.into_iter().collect::<BTreeSet<_>>(), expected);
}

#[test]
fn pages_name_their_one_address_and_what_is_not_there_is_told_from_anywhere() {
    let name =
        |path: &str| format!("<link rel=\"canonical\" itemprop=\"url\" href=\"https://example.org/bartack/{path}\">");
    for (path, own) in [("index.html", ""), ("makers/quillander.html", "makers/quillander.html")] {
        assert!(page(&DEMO, path).contains(&name(own)), "{path}");
    }
    let lost = page(&DEMO, "404.html");
    assert!(!lost.contains("canonical") && lost.contains("href=\"/bartack/index-a-z.html\""), "{lost}");
    // Whatever its address, it loads nothing before its script has found the site.
    assert!(!lost.contains("<link") && !lost.contains(" src=") && lost.contains("<style>"), "{lost}");
    let output = built(ABOUT);
    assert!(!page(&output, "index.html").contains("canonical"));
    assert!(page(&output, "404.html").contains("href=\"/index-a-z.html\""));
}
