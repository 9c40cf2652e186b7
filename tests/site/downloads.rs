//! The page of downloads against the files themselves, and the page of how to contribute.

use std::collections::BTreeSet;

use regex::Regex;

use crate::site::{DEMO, built, page};

/// The cells of a column of a table.
fn column(table: &str, name: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(DEMO[table].as_slice());
    let at = reader.headers().unwrap().iter().position(|header| header == name).unwrap();
    reader.records().map(|row| row.unwrap()[at].to_string()).collect()
}

fn different(cells: Vec<String>) -> usize {
    cells.into_iter().filter(|cell| !cell.is_empty()).collect::<BTreeSet<_>>().len()
}

#[test]
fn the_counts_of_the_page_are_those_of_the_tables() {
    let html = page(&DEMO, "downloads.html");
    let shown = |what: &str| {
        let found = Regex::new(&format!("<li><b>([0-9]+)</b> {what} ")).unwrap().captures(html);
        found.unwrap_or_else(|| panic!("no {what}: {html}"))[1].parse::<usize>().unwrap()
    };
    let things = column("data/eras.csv", "thing").into_iter();
    let variants = things.filter(|thing| thing.matches('/').count() == 2 && !thing.contains(':'));
    assert_eq!(shown("observations"), column("data/observations.csv", "observation").len());
    assert_eq!(shown("garments"), different(column("data/observations.csv", "garment")));
    assert_eq!(shown("variants"), variants.count());
    assert_eq!(shown("conflicts"), different(column("data/conflicts.csv", "conflict")));
    assert_eq!(shown("sources"), column("data/sources.csv", "source").len());
    assert!(shown("garments") > 100 && shown("conflicts") > 1);
}

#[test]
fn every_export_is_listed_with_what_it_really_weighs() {
    let html = page(&DEMO, "downloads.html");
    // What changed is published only where a build is told since when.
    for (path, _) in bartack::publish::downloads().into_iter().filter(|(path, _)| path != "data/changes.json") {
        let line =
            html.lines().find(|line| line.contains(&format!("href=\"{path}\""))).unwrap_or_else(|| panic!("{path}"));
        let bytes = DEMO[&path].len() as u64;
        assert!(
            line.contains(&format!(
                "<span class=\"n\" itemprop=\"contentSize\">{}</span>",
                bartack::publish::output_log::weight(bytes)
            )),
            "{line}"
        );
    }
    assert!(html.contains("CC-BY-4.0") && html.contains("garment.html"));
}

#[test]
fn a_new_entry_is_begun_only_where_the_web_address_of_that_is_known() {
    let html = page(&DEMO, "contribute.html");
    assert!(html.contains("<a href=\"https://example.org/bartack/edit/\" rel=\"noreferrer\">Begin a new entry</a>"));
    let output = built(
        "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\nedit-url = \"javascript:alert(1)\"\n+++\n",
    );
    let html = page(&output, "contribute.html");
    assert!(!html.contains("javascript:") && html.contains("Every record is one small text file"), "{html}");
}
