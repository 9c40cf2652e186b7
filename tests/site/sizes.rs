//! Lists that grow with a knowledge base are divided: no page of theirs is over 100 KB, and old addresses lead on.

use std::fmt::Write;

use crate::site::{built, page};

/// The most bytes of a page that lists names.
const MOST: usize = 100_000;

const SOURCE: &str = "--- entries/sources/list.md\n+++\ncitation = \"List\"\nkind = \"price-list\"\n+++\n";

/// Makers, each with two claims that rest on one source; names are long and begin alike.
fn many(count: usize) -> String {
    let mut text = SOURCE.to_string();
    for number in 0..count {
        write!(
            text,
            "--- entries/makers/m{number:04}/maker.md\n+++\nname = \"Harl and daughters, outfitters {number:04}\"\n\n\
             [[claims]]\nevent = \"introduced\"\nwhen = \"1950\"\nsources = [\"list\"]\n+++\n"
        )
        .unwrap();
    }
    text
}

#[test]
fn what_rests_on_a_source_is_divided_into_pages_and_old_anchors_lead_to_them() {
    let output = built(&many(950));
    let paths: Vec<&String> = output.keys().filter(|path| path.starts_with("sources/")).collect();
    assert!(paths.len() > 4, "{paths:?}");
    for path in &paths {
        let bytes = page(&output, path).len();
        assert!(bytes <= MOST, "{path}: {bytes}");
    }
    let whole = page(&output, "sources/list.html");
    assert!(whole.contains("id=\"group-1\"") && whole.contains("href=\"list.part-1.html\""), "{whole}");
    assert!(!whole.contains("makers/m0001"), "the further pages hold the links: {whole}");
    let links: usize = (1..=4).map(|number| claims(page(&output, &format!("sources/list.part-{number}.html")))).sum();
    assert_eq!(links, 950, "every claim is listed once");
}

fn claims(html: &str) -> usize {
    html.matches("<li><a href=\"../makers/").count()
}

#[test]
fn a_letter_with_many_names_has_several_pages_that_lead_to_one_another() {
    let output = built(&many(950));
    let paths: Vec<&String> = output.keys().filter(|path| path.starts_with("a-z/h")).collect();
    assert_eq!(paths, ["a-z/h.2.html", "a-z/h.3.html", "a-z/h.html"]);
    let mut listed = 0;
    for path in paths {
        let html = page(&output, path);
        assert!(html.len() <= MOST, "{path}: {}", html.len());
        assert!(html.contains("aria-label=\"Pages of this letter\""), "{path}");
        listed += html.matches(">maker</span>").count();
    }
    assert_eq!(listed, 950);
    assert!(page(&output, "a-z/h.html").contains("<a href=\"h.2.html\">Harl and daughters, outfitters "));
}

#[test]
fn what_fits_on_one_page_stays_there() {
    let output = built(&many(20));
    assert!(page(&output, "sources/list.html").contains("../makers/m0001"));
    assert!(!output.keys().any(|path| path.contains("part-")));
}
