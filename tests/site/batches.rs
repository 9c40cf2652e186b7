//! Long lists are folded, each part under what it holds; short ones are not.

use std::fmt::Write;

use super::{built, page};

const VARIANT: &str =
    "--- entries/makers/m/x/v/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n";

/// A variant with so many garments, of which every tenth is undated and the others are of 1960 to 1979 in turn.
fn garments(count: usize) -> String {
    let mut text = VARIANT.to_string();
    for at in 0..count {
        let year = 1960 + at % 20;
        let made = if at % 10 == 9 { String::new() } else { format!("made = \"{year}\"\nmade-by = \"mark\"\n") };
        let head = format!("--- entries/makers/m/x/v/g{at:04}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n");
        writeln!(text, "{head}{made}+++").unwrap();
    }
    text
}

fn summaries(html: &str) -> Vec<&str> {
    html.split("<details class=\"batch\"")
        .skip(1)
        .filter_map(|part| Some(part.split_once("<summary>")?.1.split_once("</summary>")?.0))
        .collect()
}

#[test]
fn a_hundred_garments_are_one_list_and_one_more_is_folded() {
    let [one, two] = [100, 101].map(|count| built(&garments(count)));
    assert!(summaries(page(&one, "makers/m/x/v.html")).is_empty());
    let html = page(&two, "makers/m/x/v.html");
    assert_eq!(summaries(html).len(), 2);
    assert_eq!(html.matches("assets/batches.js").count(), 1);
}

#[test]
fn each_part_says_which_years_are_in_it_and_only_the_first_is_open() {
    let site = built(&garments(300));
    let html = page(&site, "makers/m/x/v.html");
    let said = ["1–100, dated 1960 to 1966", "101–200, dated 1966 to 1974", "201–300, dated 1974 to 1978, and undated"];
    assert_eq!(summaries(html), said);
    assert_eq!(html.matches("<details class=\"batch\" open>").count(), 1);
    assert_eq!(html.matches("<tr id=\"entry-").count(), 300);
}
