//! Sources as a tree, landmarks on a scale, anchors that outlive a change of name, the first page.

use std::collections::BTreeSet;

use crate::site::{DEMO, built, page};

fn source(name: &str, more: &str) -> String {
    format!("--- entries/sources/{name}.md\n+++\ncitation = \"Book {name}\"\nkind = \"book\"\n{more}\n+++\n")
}

/// How deep in lists an anchor stands.
fn depth(html: &str, id: &str) -> usize {
    let before = &html[..html.find(&format!("<li id=\"source-{id}\"")).unwrap_or_else(|| panic!("no {id}: {html}"))];
    let before = &before[before.find("<main").unwrap()..];
    before.matches("<ul").count() - before.matches("</ul>").count()
}

#[test]
fn what_repeats_a_source_stands_indented_below_it_and_roots_stand_first() {
    let text = [
        source("a", "repeats = [\"b\"]"),
        source("b", "repeats = [\"root\"]"),
        source("c", "repeats = [\"b\", \"other\"]"),
        source("other", ""),
        source("root", ""),
    ];
    let output = built(&text.concat());
    let html = page(&output, "sources.html");
    let depths = ["root", "b", "a", "c", "other"].map(|id| depth(html, id));
    assert_eq!(depths, [1, 2, 3, 3, 1], "{html}");
    assert_eq!(html.matches("<ul").count(), html.matches("</ul>").count());
    assert_eq!(html.matches("<li>").count() + html.matches("<li ").count(), html.matches("</li>").count());
}

#[test]
fn sources_that_repeat_each_other_are_listed_once_and_nothing_runs_on() {
    let text = [source("a", "repeats = [\"b\"]"), source("b", "repeats = [\"a\"]"), source("c", "repeats = [\"a\"]")];
    let html = built(&text.concat());
    let html = page(&html, "sources.html");
    assert_eq!(["a", "b", "c"].map(|id| depth(html, id)), [1, 2, 2], "{html}");
    assert!(html.contains("It repeats itself through others."));
}

#[test]
fn earlier_names_of_sources_landmarks_and_disputes_stay_as_anchors() {
    let landmark = "--- entries/landmarks/new-mark.md\n+++\ntitle = \"Mark\"\nformerly = [\"landmarks/old-mark\"]\nwhen = { feature = \"hem\", state = \"raw\" }\nnot-before = \"1960\"\nforce = \"hard\"\nsources = [\"new\"]\n+++\n";
    let dispute = "--- entries/disputes/new-quarrel.md\n+++\nstatus = \"open\"\nformerly = [\"disputes/old-quarrel\"]\nclaims = [{ claim = \"entries/sources/new.md#key\", says = \"key\" }]\n+++\n";
    let text = [
        dispute.to_string(),
        source("new", "formerly = [\"sources/old\", \"sources/taken\"]"),
        source("taken", ""),
        landmark.to_string(),
    ];
    let output = built(&text.concat());
    let html = page(&output, "sources.html");
    assert!(html.contains("<li id=\"source-new\"><a id=\"source-old\"></a>"), "{html}");
    assert_eq!(html.matches("id=\"source-taken\"").count(), 1, "what stands there today keeps its anchor");
    let html = page(&output, "conflicts.html");
    assert!(html.contains("<article id=\"dispute-new-quarrel\"><a id=\"dispute-old-quarrel\"></a>"), "{html}");
    let html = page(&output, "landmarks.html");
    assert!(html.contains("<li id=\"landmark-new-mark\"><a id=\"landmark-old-mark\"></a>"), "{html}");
}

#[test]
fn landmarks_and_models_stand_under_one_scale() {
    let html = page(&DEMO, "landmarks.html");
    let years =
        |html: &str| html.split("<text class=\"year").skip(1).map(|text| text[..40].to_string()).collect::<Vec<_>>();
    let rulers: Vec<Vec<String>> =
        html.split("<svg class=\"ruler\"").skip(1).map(|part| years(part.split("</svg>").next().unwrap())).collect();
    assert!(rulers.len() == 2 && rulers[0] == rulers[1] && rulers[0].len() > 4, "{rulers:?}");
    let landmarks = html.matches("class=\"strip bound ").count();
    assert_eq!(landmarks, html.matches("<h2>").count());
    assert!(html.contains("aria-label=\"not before ") && html.contains("href=\"makers/quillander/"));
}

#[test]
fn the_first_page_names_models_the_latest_and_what_is_open_with_counts() {
    let html = page(&DEMO, "index.html");
    assert_eq!(html.matches("<svg class=\"ruler\"").count(), 1, "one scale for all");
    assert_eq!(html.matches("<svg class=\"strip\"").count(), 10, "a strip for each model");
    assert_eq!(html.matches("<time datetime=").count(), 6);
    assert_eq!(html.matches(": look at ").count(), 3);
    let unplaced = page(&DEMO, "questions.html").split("id=\"unplaced\"").nth(1).unwrap();
    let unplaced = unplaced.split("</section>").next().unwrap().matches("<li>").count();
    assert!(html.contains(&format!("<b>{unplaced}</b> <a href=\"questions.html#unplaced\">garment")), "{html}");
    assert!(html.len() < 60_000 && html.contains("None of them ever existed"));
    let empty = built("--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n");
    let html = page(&empty, "index.html");
    assert!(html.contains("<b>0</b> <a href=\"conflicts.html\">conflicts") && !html.contains("<time"), "{html}");
}

/// A cell of each row of a table of the demo.
fn rows<const COLUMNS: usize>(table: &str, columns: [&str; COLUMNS]) -> Vec<[String; COLUMNS]> {
    let mut reader = csv::Reader::from_reader(DEMO[table].as_slice());
    let headers = reader.headers().unwrap().clone();
    let places = columns.map(|column| headers.iter().position(|own| own == column).unwrap());
    reader.records().map(|row| row.unwrap()).map(|row| places.map(|place| row[place].to_string())).collect()
}

/// The names under which a group of a page of a source lists what rests on it.
fn group(html: &str, title: &str) -> Vec<String> {
    let Some((_, rest)) = html.split_once(&format!("\">{title}</h2>")) else { return Vec::new() };
    let list = rest.split("</section>").next().unwrap();
    let names = list.split("</a>").filter_map(|part| part.rsplit_once('>').map(|(_, name)| name.trim().to_string()));
    names.filter(|name| !name.is_empty()).collect()
}

#[test]
fn every_claim_of_the_data_is_listed_under_each_source_it_names() {
    let mut count = 0;
    for [source] in rows("data/sources.csv", ["source"]) {
        let named = |list: &str| list.split('|').any(|one| one.trim().split(' ').next() == Some(source.as_str()));
        // A claim of a beginning and an end has a row for each.
        let claim = |claim: &str| claim.trim_end_matches(":begin").trim_end_matches(":end").to_string();
        let all = rows("data/claims.csv", ["claim", "sources"]);
        let own: BTreeSet<String> = all.iter().filter(|[_, list]| named(list)).map(|[name, _]| claim(name)).collect();
        let expected = own.len();
        let path = format!("sources/{}.html", source.trim_start_matches("entries/").replacen(".md#", "/", 1));
        let html = DEMO.get(&path).map_or_else(String::new, |html| String::from_utf8(html.clone()).unwrap());
        assert_eq!(group(&html, "Claims").len(), expected, "{source}");
        count += expected;
    }
    assert!(count > 20, "{count}");
}

#[test]
fn a_source_lists_claims_dates_entries_keys_landmarks_and_bounds_that_rest_on_it() {
    let variant = "+++\nname = \"Mole in blue\"\nline = \"blue\"\nwearer = \"men\"\n\n[[claims]]\nevent = \"introduced\"\nwhen = \"1961\"\n\
                   sources = [\"copy\"]\n+++\n";
    let garment = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1964\"\nmade-by = \"key\"\n\
                   made-source = \"root\"\nsources = [\"root\"]\n[features]\nhem = \"raw\"\n+++\n";
    let text = [
        "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n".to_string(),
        "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"raw\", \"turned\"]\n\
         look = \"Look.\"\n"
            .to_string(),
        source("root", ""),
        source("copy", "repeats = [\"root\"]"),
        source("alone", ""),
        "--- entries/landmarks/mark.md\n+++\ntitle = \"Mark\"\nwhen = { feature = \"hem\", state = \"turned\" }\n\
         not-before = \"1960\"\nforce = \"hard\"\nsources = [\"root\"]\n+++\n"
            .to_string(),
        "--- entries/makers/a/maker.md\n+++\nname = \"Ansel\"\n\n[[lines]]\nid = \"blue\"\nname = \"Blue\"\nsign = \"woven\"\n+++\n"
            .to_string(),
        "--- entries/makers/a/m/model.md\n+++\nname = \"Mole\"\ngarment = \"trousers\"\n+++\n".to_string(),
        format!("--- entries/makers/a/m/v/variant.md\n{variant}"),
        format!("--- entries/makers/a/m/v/one.md\n{garment}"),
    ];
    let output = built(&text.concat());
    let root = page(&output, "sources/root.html");
    assert_eq!(group(root, "Dates of garments, read by its key").len(), 1, "{root}");
    assert_eq!(group(root, "Garments whose entries name it").len(), 1, "{root}");
    assert_eq!(group(root, "Landmarks"), ["Mark"]);
    assert_eq!(group(root, "Claims"), Vec::<String>::new(), "the claim names the copy alone");
    // The copy is named, and the root is what it goes back to.
    let copy = page(&output, "sources/copy.html");
    let [claim] = &group(copy, "Claims")[..] else { panic!("{copy}") };
    assert!(claim.contains("Mole") && claim.contains("introduced in 1961"), "{claim}");
    for html in [root, copy] {
        let bounds = group(html, "Bounds of eras that go back to it");
        assert!(bounds.iter().any(|bound| bound.ends_with("not begun before 1961")), "{bounds:?}");
    }
    let all = page(&output, "sources.html");
    assert!(all.contains("href=\"sources/copy.html\">1 claim, "), "{all}");
    assert!(!all.contains("sources/alone.html") && !output.contains_key("sources/alone.html"));
}
