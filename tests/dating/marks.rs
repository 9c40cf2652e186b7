//! Marks to look for: only those that cut years in which the garment can have been made, and never all of them.
//!
//! The landmarks are invented; their years are far apart so that each test needs one of them.

use bartack::date::Day;
use bartack::date::edtf::Edtf;
use bartack::dating::answer::Dating;
use bartack::dating::answer::garment::Garment;
use bartack::dating::likelihood;
use bartack::knowledge::Knowledge;

use crate::support::{repository, site};

const FIRST: &str = "1971";
const SECOND: &str = "1990";

/// Two hard landmarks, each on a feature of its own, and no garment.
fn two_landmarks() -> String {
    let mut text = "--- schema/vocabulary.toml\n".to_string();
    for name in ["early", "late"] {
        text += &format!("[{name}]\nname = \"{name}\"\nkind = \"state\"\nstates = [\"there\"]\nlook = \"Look.\"\n");
    }
    for (name, year) in [("early", FIRST), ("late", SECOND)] {
        text += &format!("--- entries/landmarks/{name}.md\n+++\ntitle = \"{name}\"\nforce = \"hard\"\n");
        text += &format!("when = {{ feature = \"{name}\", state = \"there\" }}\nnot-before = \"{year}\"\n");
        text += "sources = [\"it\"]\n[[source]]\nid = \"it\"\ncitation = \"It\"\nkind = \"law\"\n+++\n";
    }
    text
}

/// The landmarks of the marks to look for on a garment of which nothing is known but the day it was in somebody's hand.
fn marks(knowledge: &Knowledge, day: Option<&str>) -> Vec<String> {
    let tables = likelihood::all(knowledge);
    let in_hand = day.and_then(|day| Edtf::parse(day).unwrap().span(knowledge.catalog.circa()).first());
    let answer = Dating::new(knowledge, &tables).answer(&Garment { in_hand, ..Garment::default() });
    answer.would_bound.iter().map(|mark| mark.landmark.to_string()).collect()
}

#[test]
fn a_mark_that_came_after_the_garment_was_in_hand_is_not_to_be_looked_for() {
    let compiled = crate::support::compile(&two_landmarks());
    for (day, expected) in [
        (None, &["late", "early"][..]),
        (Some("2020-01-01"), &["late", "early"]),
        (Some("1990-01-01"), &["late", "early"]),
        (Some("1989-12-31"), &["early"]),
        (Some("1971-01-01"), &["early"]),
        (Some("1970-12-31"), &[]),
    ] {
        assert_eq!(marks(&compiled.knowledge, day), expected, "in hand on {day:?}");
    }
}

#[test]
fn no_mark_of_the_demo_rules_out_all_years_in_which_an_unplaced_garment_can_have_been_made() {
    let (compilation, _) = site::compiled(&repository(""));
    let knowledge = &compilation.knowledge;
    let tables = likelihood::all(knowledge);
    let dating = Dating::new(knowledge, &tables);
    let mut marks = 0;
    for year in 1940..2030 {
        let in_hand = Day::from_ymd(year, 7, 1);
        let answer = dating.answer(&Garment { in_hand, ..Garment::default() });
        for mark in &answer.would_bound {
            assert!(mark.rules_out > 0.0 && mark.rules_out < 1.0, "{year}: {mark:?}");
            marks += 1;
        }
    }
    assert!(marks > 100, "only {marks}");
}
