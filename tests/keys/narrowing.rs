//! Codes that can mean several years: each reading counts as one unknown day, and everything else known narrows it.

use crate::keys::world::{ONE_FIGURE, SOURCES, claimed, coded, garment, key, known, made};

/// A landmark that no garment with a raw hem was made before.
const LANDMARK: &str = r#"--- entries/landmarks/raw-hems.md
+++
title = "Raw hems were allowed"
when = { feature = "hem", state = "raw" }
not-before = "1965-07-01"
force = "hard"
sources = ["list"]
+++
"#;

fn world(parts: &[&str]) -> String {
    SOURCES.to_string() + &key("waistband", "\"talk\"", ONE_FIGURE) + &parts.concat()
}

#[test]
fn one_figure_spans_every_year_of_the_key_that_ends_in_it() {
    assert_eq!(made(&known(&world(&[&coded("a", "8")])), "a"), "1958-01-01..1988-12-31");
    assert_eq!(made(&known(&world(&[&coded("a", "0")])), "a"), "1950-01-01..1980-12-31");
}

#[test]
fn a_landmark_narrows_it_from_below_and_a_claim_from_above() {
    let raw = garment("a", "", "date-code = \"8\"\nhem = \"raw\"");
    assert_eq!(made(&known(&world(&[LANDMARK, &raw])), "a"), "1965-07-01..1988-12-31");
    let ended = claimed(&[["discontinued", "1980", "list"]]);
    assert_eq!(made(&known(&world(&[LANDMARK, &raw, &ended])), "a"), "1965-07-01..1980-12-31");
}

#[test]
fn an_era_that_other_garments_leave_open_is_bounded_by_the_outermost_years() {
    let knowledge = known(&world(&[&coded("a", "8"), &coded("b", "9")]));
    assert_eq!(crate::keys::world::era(&knowledge), "- 1988-12-31 1959-01-01 -");
}
