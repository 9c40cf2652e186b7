//! The demo knowledge base: no errors, no dead link, nothing that a page would load from a network.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

use crate::support;
use crate::support::site::{self, Output};
use bartack::diagnostic::Level;
use regex::Regex;

static OUTPUT: LazyLock<Output> = LazyLock::new(|| site::output(&support::repository("")));

/// The start tags of a page, each with its attributes; in our pages `>` never stands in an attribute.
struct Tag {
    name: String,
    attributes: BTreeMap<String, String>,
}

fn pages() -> impl Iterator<Item = (&'static str, &'static str)> {
    let pages = OUTPUT.iter().filter(|(path, _)| path.ends_with(".html"));
    pages.map(|(path, content)| (path.as_str(), std::str::from_utf8(content).unwrap()))
}

fn tags(html: &str) -> Vec<Tag> {
    let tag = Regex::new(r"<([a-zA-Z][a-zA-Z0-9]*)((?:\s[^<>]*)?)>").unwrap();
    let attribute = Regex::new(r#"([a-zA-Z:-]+)="([^"]*)""#).unwrap();
    let attributes =
        |text: &str| attribute.captures_iter(text).map(|found| (found[1].to_string(), unescaped(&found[2]))).collect();
    tag.captures_iter(html).map(|found| Tag { name: found[1].to_string(), attributes: attributes(&found[2]) }).collect()
}

fn unescaped(text: &str) -> String {
    let pairs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    pairs.iter().fold(text.to_string(), |text, (from, to)| text.replace(from, to))
}

/// Resolves a relative link from a page; nothing where it leaves the site.
fn resolved(page: &str, link: &str) -> Option<String> {
    let mut folders: Vec<&str> = page.split('/').collect();
    folders.pop();
    for segment in link.split('/') {
        match segment {
            ".." => folders.pop().map(|_| ())?,
            "." => (),
            name => folders.push(name),
        }
    }
    Some(folders.join("/"))
}

fn is_outside(link: &str) -> bool {
    link.starts_with("https://") || link.starts_with("http://") || link.starts_with("mailto:")
}

#[test]
fn entries_have_no_errors() {
    let (compilation, _) = site::compiled(&support::repository(""));
    let errors = compilation.diagnostics.iter().filter(|found| found.level() == Level::Error);
    let errors: Vec<_> = errors.map(|error| format!("{}: {}", error.lint().code, error.message())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert!(compilation.knowledge.catalog.records.len() > 120, "the demo is there at all");
}

#[test]
fn every_link_leads_to_a_page_and_an_anchor_that_are_there() {
    let anchors: BTreeMap<&str, BTreeSet<String>> = pages()
        .map(|(path, html)| (path, tags(html).iter().filter_map(|tag| tag.attributes.get("id").cloned()).collect()))
        .collect();
    let (mut dead, mut count) = (BTreeSet::new(), 0);
    for (path, html) in pages() {
        let links = tags(html)
            .into_iter()
            .filter_map(|tag| ["href", "src"].iter().find_map(|name| tag.attributes.get(*name).cloned()));
        for link in links.filter(|link| !is_outside(link)) {
            count += 1;
            let (file, anchor) = link.split_once('#').unwrap_or((&link, ""));
            // The page for what is not there is shown at any address, so its links begin at the top of the host.
            let top = file.strip_prefix("/bartack/").filter(|_| path == "404.html");
            let target = match top {
                Some(target) => Some(target.to_string()),
                None if file.is_empty() => Some(path.to_string()),
                None => resolved(path, file),
            };
            let is_there = target.as_ref().is_some_and(|target| OUTPUT.contains_key(target));
            // What has an equals sign is an answer kept in the address, and `correct/…` an entry, for a script.
            let has_anchor = anchor.is_empty()
                || anchor.contains('=')
                || anchor.starts_with("correct/")
                || target.and_then(|target| anchors.get(target.as_str()).map(|ids| ids.contains(anchor))) == Some(true);
            if !is_there || !has_anchor {
                dead.insert(format!("{path}: {link}"));
            }
        }
    }
    assert!(dead.is_empty(), "{} of {count} links: {dead:#?}", dead.len());
    assert!(count > 3000, "links were found at all: {count}");
}

#[test]
fn nothing_is_loaded_from_a_network_and_nothing_runs_from_within_a_page() {
    for (path, html) in pages() {
        for tag in tags(html) {
            let is_link = tag.name == "a";
            for (name, value) in &tag.attributes {
                let is_own_name = tag.name == "link" && tag.attributes.get("rel").is_some_and(|rel| rel == "canonical");
                let loads =
                    !is_own_name && ["href", "src", "srcset", "poster", "data", "action"].contains(&name.as_str());
                assert!(!loads || is_link || !is_outside(value) && !value.starts_with("//"), "{path}: {name}={value}");
                assert!(!name.starts_with("on") && name != "style", "{path}: {name}={value}");
            }
        }
        // The single file, and the page that is shown at any address, have their styles within them, named by their
        // hashes in their policies.
        assert!(["garment.html", "404.html"].contains(&path) || !html.contains("<style"), "{path}");
        assert!(!html.contains("@import"), "{path}");
    }
    let styles = OUTPUT.iter().filter(|(path, _)| path.ends_with(".css"));
    for (path, style) in styles {
        let style = String::from_utf8_lossy(style);
        assert!(!style.contains("url(") && !style.contains("@import"), "{path}");
    }
}

#[test]
fn every_page_has_a_policy_a_language_a_title_and_one_heading_of_the_first_level() {
    for (path, html) in pages() {
        let tags = tags(html);
        let named = |name: &str| tags.iter().filter(|tag| tag.name == name).collect::<Vec<_>>();
        assert!(named("html")[0].attributes["lang"] == "en", "{path}");
        let policy = named("meta")
            .into_iter()
            .find(|tag| tag.attributes.get("http-equiv").is_some_and(|name| name == "Content-Security-Policy"));
        assert!(policy.unwrap().attributes["content"].starts_with("default-src 'none'"), "{path}");
        // Drawings have titles of their own.
        let titles = tags.iter().take_while(|tag| tag.name != "body").filter(|tag| tag.name == "title").count();
        // The file that works alone holds two pages, of which its script shows one.
        let headings = if path == "garment.html" { 2 } else { 1 };
        assert_eq!((titles, named("h1").len(), named("main").len()), (1, headings, 1), "{path}");
    }
}

#[test]
fn no_page_prints_data_where_words_belong() {
    // A template that names a group of values instead of one of them prints it as JSON.
    let code = "<(?:pre|code|script|textarea)[ >].*?</(?:pre|code|script|textarea)>";
    let no_words = Regex::new(&format!("(?s){code}|<[^>]*>")).unwrap();
    for (path, html) in pages() {
        let words = no_words.replace_all(html, "");
        assert!(!words.contains("{&quot;") && !words.contains("{\""), "{path}");
    }
}

#[test]
fn anchors_are_unique_on_their_page() {
    for (path, html) in pages() {
        let mut seen = BTreeSet::new();
        for id in tags(html).iter().filter_map(|tag| tag.attributes.get("id")) {
            assert!(seen.insert(id.clone()), "{path}: {id} twice");
        }
    }
}

#[test]
fn every_answer_has_the_caution_beside_it() {
    let answers = pages().filter(|(path, _)| {
        path.starts_with("makers/") || ["index.html", "conflicts.html", "landmarks.html"].contains(path)
    });
    for (path, html) in answers.filter(|(_, html)| !html.contains("http-equiv=\"refresh\"")) {
        assert!(html.contains("not an authentication"), "{path}");
    }
}

/// Names of real places that once stood in invented entries or drawings, or could: the states of the United States and
/// of Australia, provinces of Canada, counties of Britain and Ireland, and states of Germany.
const REAL_PLACES: &str = "alabama alaska arizona arkansas california colorado connecticut delaware florida georgia \
    hawaii idaho illinois indiana iowa kansas kentucky louisiana maine maryland massachusetts michigan minnesota \
    mississippi missouri montana nebraska nevada hampshire jersey mexico york carolina dakota ohio oklahoma oregon \
    pennsylvania rhode tennessee texas utah vermont virginia washington wisconsin wyoming queensland tasmania victoria \
    alberta manitoba brunswick newfoundland ontario quebec saskatchewan bedfordshire berkshire buckinghamshire \
    cambridgeshire cheshire cornwall cumbria cumberland derbyshire devon dorset durham essex gloucestershire \
    herefordshire hertfordshire kent lancashire leicestershire lincolnshire norfolk northamptonshire northumberland \
    nottinghamshire oxfordshire rutland shropshire somerset staffordshire suffolk surrey sussex warwickshire \
    westmorland wiltshire worcestershire yorkshire cork kerry donegal galway bavaria saxony hesse thuringia";

fn files(path: PathBuf) -> Vec<PathBuf> {
    if path.is_dir() { support::entries(&path).into_iter().flat_map(files).collect() } else { vec![path] }
}

/// Invented texts: all of the demo but landmarks and the public texts they cite, and all drawings.
fn invented() -> impl Iterator<Item = (String, String)> {
    let folders = ["entries", "site/figures", "site/start"].map(support::repository);
    let files = folders.into_iter().flat_map(files);
    let texts = files.filter_map(|path| Some((path.display().to_string(), fs::read_to_string(path).ok()?)));
    let is_public = |path: &str, text: &str| {
        let law = text.contains("kind = \"law\"") || text.contains("kind = \"standard\"");
        path.contains("/landmarks/") || path.contains("/sources/") && law
    };
    texts.filter(move |(path, text)| !is_public(path, text))
}

#[test]
fn no_real_state_or_county_stands_in_invented_prose_or_in_a_drawing() {
    let mut texts = 0;
    for (path, text) in invented() {
        let text = text.to_lowercase();
        let words: BTreeSet<&str> = text.split(|letter: char| !letter.is_alphabetic()).collect();
        // `origin = "mexico"` and the drawing of it are a country's name on a label.
        let found: Vec<&str> =
            REAL_PLACES.split(' ').filter(|place| words.contains(place) && *place != "mexico").collect();
        assert!(found.is_empty(), "{path}: {found:?}");
        texts += 1;
    }
    assert!(texts > 250, "only {texts}");
}

#[test]
fn a_landmark_that_contradicts_a_paper_is_shown_where_visitors_see_it() {
    let page = String::from_utf8_lossy(&OUTPUT["conflicts.html"]);
    assert!(page.contains("its landmarks allow only dates on or after 28 November 1962, if the label is original"));
    assert!(page.contains("landmarks.html#landmark-us-five-digit-code"));
}

#[test]
fn features_that_follow_one_thing_are_named_together() {
    let page = &OUTPUT["compare/thessop-yarrick/ropestaithe/second-bell-unisex.yarricks-own-men.html"];
    let page = String::from_utf8_lossy(page);
    let advice = "do not rely on the statement of fibre content, the belt loops, the back adjuster and the inside leg seam: \
                  they may only follow the decade it was made in.";
    assert!(page.contains(advice), "said once, not four times");
}

#[test]
fn one_garment_is_unlike_its_variant_and_no_observer_at_odds() {
    let (compilation, _) = site::compiled(&support::repository(""));
    let knowledge = &compilation.knowledge;
    let models = knowledge.catalog.models.keys().cloned().collect();
    let analysis = bartack::analysis::Analysis::new(knowledge);
    let found = analysis.unlikely(&models);
    let named = |index| knowledge.catalog.record(index).path.stem();
    let entries: Vec<&str> =
        found.iter().map(|one| named(knowledge.catalog.garment(one.garment).observations[0])).collect();
    assert_eq!(entries, ["stage-pair"]);
    assert!(std::ptr::eq(found[0], analysis.unlikely(&models)[0]), "two lints ask, and garments are judged once");
}

#[test]
fn every_garment_that_nobody_could_place_stands_with_what_dating_makes_of_it() {
    let page = String::from_utf8_lossy(&OUTPUT["questions.html"]);
    let part = &page[page.find("id=\"unplaced\"").unwrap()..];
    let unplaced = support::entries(&support::repository("entries/unplaced"));
    for path in &unplaced {
        assert!(part.contains(&format!("href=\"unplaced/{}.html\"", support::stem(path))), "{}", path.display());
    }
    assert_eq!(part.matches("in-hand.html#").count(), unplaced.len());
    // A five-figure code could be printed from its announcement on; no end of a code is hard.
    assert!(part.contains("Not made before 28 November 1962, if the label is original to the garment and not a copy"));
    assert!(!part.contains("Not made after"));
}
