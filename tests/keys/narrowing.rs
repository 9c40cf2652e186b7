//! Codes that can mean several years: each reading counts as one unknown day, and everything else known narrows it.

use bartack::dating::answer::garment::{Garment, Known};
use bartack::dating::answer::{Answer, Dating};
use bartack::dating::likelihood;
use bartack::knowledge::Knowledge;
use bartack::record::id::{FeatureId, MakerId, StateId};
use bartack::record::observation::Value;

use crate::keys::world::{ONE_FIGURE, SOURCES, claimed, coded, era, garment, key, known, made};

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
    assert_eq!(era(&knowledge), "- 1988-12-31 1959-01-01 -");
}

/// The variant was surely made from the end of 1960 to the beginning of 1990.
fn produced() -> String {
    claimed(&[["introduced", "1960", "list"], ["discontinued", "1990", "list"]])
}

fn dated(knowledge: &Knowledge, code: &str, maker: Option<&str>, hem: Option<&str>) -> Answer {
    let tables = likelihood::all(knowledge);
    let code = (FeatureId::new("date-code"), Value::Code(code.to_string()));
    let hem = hem.map(|hem| (FeatureId::new("hem"), Value::State(StateId::new(hem))));
    let known = Known { maker: maker.map(MakerId::new), ..Known::default() };
    let features = std::iter::once(code).chain(hem).collect();
    Dating::new(knowledge, &tables).answer(&Garment { known, features, ..Garment::default() })
}

fn share(answer: &Answer, year: i32) -> f64 {
    answer.years.as_ref().unwrap().probability[(year - likelihood::years::FIRST) as usize]
}

#[test]
fn years_that_no_reading_allows_are_divided_by_the_odds_of_the_best_source() {
    let two = |second: &str| key("waistband", "\"talk\"", ONE_FIGURE) + &key("pocket", second, ONE_FIGURE);
    for (keys, odds) in [
        (key("waistband", "\"talk\"", ONE_FIGURE), 5.0),
        (key("waistband", "\"talk\", \"letter\"", ONE_FIGURE), 5.0),
        (key("waistband", "\"book\"", ONE_FIGURE), 10.0),
        (key("waistband", "\"list\"", ONE_FIGURE), 20.0),
        (two("\"book\""), 10.0),
    ] {
        let knowledge = known(&(SOURCES.to_string() + &produced() + &keys));
        let answer = dated(&knowledge, "8", Some("hollin"), None);
        assert!(answer.keys.iter().all(|read| read.is_used));
        // All years from 1961 to 1989 are alike before the code is read.
        for (allowed, other) in [(1968, 1967), (1978, 1979), (1988, 1965)] {
            let ratio = share(&answer, allowed) / share(&answer, other);
            assert!((ratio - odds).abs() < 1e-9, "{allowed} against {other}: {ratio}, expected {odds}");
        }
    }
}

#[test]
fn a_code_moves_no_year_where_no_maker_is_named_or_its_key_is_set_aside() {
    let key = key("waistband", "\"talk\"", ONE_FIGURE);
    let knowledge = known(&(SOURCES.to_string() + &produced() + &key + &garment("a", "", "hem = \"raw\"")));
    let answer = dated(&knowledge, "8", None, None);
    assert_eq!(answer.keys.iter().map(|read| read.is_used).collect::<Vec<_>>(), [false], "the key is a question");
    assert!((share(&answer, 1978) - share(&answer, 1979)).abs() < 1e-12);
    // Codes of garments contradict two sources of the variant, so the key is set aside.
    let ended = claimed(&[["introduced", "1990", "list"], ["introduced", "1990", "book"]]);
    let doubted = known(&(SOURCES.to_string() + &ended + &key + &coded("a", "8")));
    assert_eq!(doubted.doubted_keys.len(), 1);
    let answer = dated(&doubted, "8", Some("hollin"), None);
    assert!(answer.keys.is_empty());
}

#[test]
fn evidence_tells_the_years_apart_that_a_code_allows() {
    // Five garments of 1968 with a raw hem, five of 1978 with a folded one: the hem says which of the years it was.
    let garments = |year: &str, hem: &str| {
        let one = |number| {
            garment(
                &format!("g{year}-{number}"),
                &format!("made = \"{year}\"\nmade-by = \"mark\""),
                &format!("hem = \"{hem}\""),
            )
        };
        (0..5).map(one).collect::<String>()
    };
    let text = SOURCES.to_string() + &produced() + &key("waistband", "\"talk\"", ONE_FIGURE);
    let knowledge = known(&(text + &garments("1968", "raw") + &garments("1978", "folded")));
    for (hem, likely, other) in [("raw", 1968, 1978), ("folded", 1978, 1968)] {
        let answer = dated(&knowledge, "8", Some("hollin"), Some(hem));
        assert!(share(&answer, likely) > 1.5 * share(&answer, other), "{hem}");
        let best = (1850..=2030).max_by(|one, two| share(&answer, *one).total_cmp(&share(&answer, *two)));
        assert_eq!(best, Some(likely), "{hem}");
    }
}
