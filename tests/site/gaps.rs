//! The page of gaps and overlaps of a model's variants, and the ways to it.

use super::{DEMO, built, page};

const HEAD: &str = "--- entries/makers/m/maker.md\n+++\nname = \"M\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n\
    --- entries/makers/m/x/model.md\n+++\nname = \"X\"\ngarment = \"trousers\"\n+++\n";

/// A variant that was surely made from the last day of the first year to the first of the last.
fn variant(name: &str, first: u16, last: u16) -> String {
    format!(
        "--- entries/makers/m/x/{name}/variant.md\n+++\nname = \"V {name}\"\nline = \"best\"\nwearer = \"men\"\n\
         [[claims]]\nevent = \"introduced\"\nwhen = \"{first}\"\n\
         [[claims]]\nevent = \"discontinued\"\nwhen = \"{last}\"\n+++\n"
    )
}

/// Dated garments of one decade, which then cannot explain how the hems differ.
fn garments(variant: &str, year: u16, hem: &str) -> String {
    let garment = |number| {
        format!(
            "--- entries/makers/m/x/{variant}/g{number}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n\
             made = \"{year}\"\nmade-by = \"mark\"\n[features]\nhem = \"{hem}\"\n+++\n"
        )
    };
    (0..9).map(garment).collect()
}

#[test]
fn a_page_says_where_no_variant_was_made_and_which_overlap() {
    let text = HEAD.to_string() + &variant("a", 1950, 1955) + &variant("b", 1953, 1956) + &variant("c", 1965, 1969);
    let site = built(&text);
    let html = page(&site, "gaps/m/x.html");
    for part in [
        "A variant may be missing here, or a date may be wrong.</p>\n<ul><li>From 1957 to 1964</li></ul>",
        "<li>From 31 December 1953 to 1 January 1955: <a href=\"../../makers/m/x/a.html\">V a</a> and \
         <a href=\"../../makers/m/x/b.html\">V b</a></li>",
        "too few garments were looked at",
        "An opinion from records, not an authentication.",
    ] {
        assert!(html.contains(part), "{part}: {html}");
    }
    assert!(page(&site, "makers/m/x.html").contains("href=\"../../gaps/m/x.html\""));
    let questions = page(&site, "questions.html");
    let told =
        "<a href=\"gaps/m/x.html\">X</a>: 2 gaps, 1 overlap and 1 set of variants that nothing recorded tells apart";
    assert!(questions.contains(told), "{questions}");
}

#[test]
fn variants_that_a_detail_tells_apart_are_no_set_and_one_variant_has_no_page() {
    let two = HEAD.to_string() + &variant("a", 1950, 1955) + &variant("b", 1956, 1959);
    let vocabulary = "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"folded\", \"raw\"]\nlook = \"Turn it up.\"\n";
    let text = two + vocabulary + &garments("a", 1952, "folded") + &garments("b", 1957, "raw");
    let site = built(&text);
    let html = page(&site, "gaps/m/x.html");
    assert!(html.contains("Every two variants that were compared are told apart by some detail."), "{html}");
    assert!(html.contains("No two variants were surely made on the same day."), "{html}");
    let one = built(&(HEAD.to_string() + &variant("a", 1950, 1955)));
    assert!(!one.contains_key("gaps/m/x.html") && !page(&one, "makers/m/x.html").contains("gaps/"));
}

#[test]
fn every_model_of_the_demo_with_several_variants_has_a_page() {
    let pages: Vec<&String> = DEMO.keys().filter(|path| path.starts_with("gaps/")).collect();
    assert!(pages.len() > 4, "{pages:?}");
    for path in pages {
        let html = page(&DEMO, path);
        assert!(html.matches("<h2").count() >= 3 && !html.contains("None</li>"), "{path}: {html}");
    }
}
