//! `bartack compare`: sensible words on the demo and on thin or broken evidence, never a verdict without numbers.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::support::{self, folder};
use serde_json::Value;

const A: &str = "hollin/no-4/no-4-best";
const B: &str = "hollin/no-4/no-4-plain";

fn bartack(root: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bartack")).arg("--root").arg(root).args(arguments).output().unwrap()
}

fn out(output: &Output) -> String {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(!text.contains("NaN") && !text.contains("inf ") && !text.contains("-0.00"), "{text}");
    assert!(text.contains("not an authentication"), "{text}");
    text
}

/// Garments of a variant, each with the front matter and the features given.
fn garments(variant: &str, rows: &[(&str, &str)]) -> String {
    let mut text = format!(
        "--- entries/makers/{variant}/variant.md\n+++\nname = \"Some\"\nline = \"best\"\nwearer = \"men\"\n+++\n"
    );
    for (number, (said, features)) in rows.iter().enumerate() {
        writeln!(text, "--- entries/makers/{variant}/g{number:02}.md\n+++\nbasis = \"specimen\"").unwrap();
        writeln!(text, "placed-by = \"mark\"\n{said}\n[features]\n{features}\n+++").unwrap();
    }
    text
}

fn compared(a: &[(&str, &str)], b: &[(&str, &str)]) -> (String, Value) {
    let base = folder(&(garments(A, a) + &garments(B, b)));
    let text = out(&bartack(base.path(), &["compare", A, B]));
    (text, json(base.path(), A, B))
}

/// The answer as JSON, held against its schema; wherever there is a verdict, both numbers of garments are above 0.
fn json(root: &Path, a: &str, b: &str) -> Value {
    let answer: Value = serde_json::from_str(&out(&bartack(root, &["compare", a, b, "--format", "json"]))).unwrap();
    let schema = fs::read_to_string(support::repository("schema/comparison.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&answer).map(|error| error.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    for feature in answer["features"].as_array().unwrap() {
        let has_both = feature["a"]["n"].as_u64() > Some(0) && feature["b"]["n"].as_u64() > Some(0);
        assert!(has_both || feature["comparison"].is_null(), "{feature}");
    }
    answer
}

const CHAIN: (&str, &str) = ("made = \"1974\"\nmade-by = \"mark\"", "hem = \"chain-stitch\"");
const RAW: (&str, &str) = ("made = \"1975\"\nmade-by = \"mark\"", "hem = \"raw\"");

#[test]
fn a_tell_is_named_in_the_first_sentence_with_its_numbers_below() {
    let (text, answer) = compared(&[CHAIN; 8], &[RAW; 8]);
    assert!(text.starts_with("Look at the hem.\n"), "{text}");
    assert!(text.contains("\nTells\n") && text.contains("A: chain stitch 8 of 8"), "{text}");
    assert!(text.contains("factory not known; n 8 and 8; matched n: decade 16."), "{text}");
    assert_eq!(answer["features"][0]["comparison"]["verdict"], "tell");
}

#[test]
fn undated_garments_make_no_tell_however_many() {
    let undated = |state: &'static str| [("", state); 12];
    let (text, answer) = compared(&undated(CHAIN.1), &undated(RAW.1));
    assert!(text.contains("do not rely on the hem: it may only follow the decade it was made in."), "{text}");
    assert!(text.contains("\nCannot be separated\n") && !text.contains("\nTells\n"), "{text}");
    assert_eq!(answer["features"][0]["comparison"]["because_of"], "decade");
}

#[test]
fn what_age_explains_is_never_said_to_differ() {
    let early = ("made = \"1964\"\nmade-by = \"mark\"", "hem = \"raw\"");
    let mixed = |late: usize, all: usize| (0..all).map(|n| if n < late { CHAIN } else { early }).collect::<Vec<_>>();
    let (text, _) = compared(&mixed(16, 20), &mixed(4, 20));
    assert!(text.contains("ignore the hem: it follows the decade it was made in."), "{text}");
    assert!(text.contains("\nExplained by something else\n") && !text.contains("differs"), "{text}");
}

#[test]
fn thin_evidence_gets_no_verdict() {
    for (a, b) in [(&[][..], &[][..]), (&[CHAIN][..], &[][..]), (&[CHAIN][..], &[RAW][..]), (&[CHAIN; 2], &[RAW; 9])] {
        let (text, _) = compared(a, b);
        assert!(text.starts_with("Too few garments are recorded"), "{text}");
        assert!(["Tells", "Leaning", "The same"].iter().all(|group| !text.contains(&format!("\n{group}\n"))), "{text}");
    }
}

#[test]
fn altered_parts_are_no_evidence() {
    let altered = ("", "hem = { state = \"raw\", altered = true }");
    let (text, answer) = compared(&[altered; 6], &[CHAIN; 6]);
    assert!(text.contains("A: not examined") && text.contains("Examined in only one of them."), "{text}");
    assert_eq!(answer["features"][0]["a"]["n"], 0);
}

#[test]
fn twenty_states_are_listed_and_compared() {
    let pockets: Vec<String> = (1..=20).map(|count| format!("pockets = {count}")).collect();
    let rows: Vec<(&str, &str)> = pockets.iter().map(|pocket| ("", pocket.as_str())).collect();
    let (text, answer) = compared(&rows, &rows[..10]);
    assert!(text.contains("20 1 of 20"), "{text}");
    assert_eq!(answer["features"][0]["a"]["states"].as_array().unwrap().len(), 20);
}

#[test]
fn measures_are_shown_with_their_range_and_unit() {
    let wide = ("made = \"1974\"\nmade-by = \"mark\"", "leg-opening = 9.5");
    let near = ("made = \"1974\"\nmade-by = \"mark\"", "leg-opening = 9.4");
    let (text, answer) = compared(&[wide; 8], &[near; 8]);
    assert!(text.contains("A: 9.5 in (24.1 cm), 8 measured"), "{text}");
    assert!(text.contains("The same, within the accuracy of a tape"), "{text}");
    assert_eq!(answer["features"][0]["comparison"]["verdict"], "same");
}

#[test]
fn unknown_and_repeated_variants_are_answered_with_help() {
    let base = folder(&garments(A, &[CHAIN]));
    for (arguments, help) in [
        (["compare", A, "hollin/no-4/no-4-bset"], "near it: `hollin/no-4/no-4-best`"),
        (["compare", A, "entries/makers/hollin/no-4/no-4-best/variant.md"], "named twice"),
    ] {
        let output = bartack(base.path(), &arguments);
        let said = String::from_utf8(output.stderr.clone()).unwrap();
        assert!(output.status.code() == Some(2) && said.contains(help), "{said}");
    }
}

#[test]
fn variants_of_two_models_stand_side_by_side_without_a_verdict() {
    let other = "hollin/no-9/no-9-best";
    let model = "--- entries/makers/hollin/no-9/model.md\n+++\nname = \"No. 9\"\ngarment = \"trousers\"\n+++\n";
    let base = folder(&(garments(A, &[CHAIN; 5]) + model + &garments(other, &[RAW; 5])));
    let text = out(&bartack(base.path(), &["compare", A, other]));
    assert!(text.contains("without a verdict") && text.contains("B: raw 5 of 5"), "{text}");
    let answer = json(base.path(), A, other);
    assert!(answer["advice"].is_null() && answer["features"][0]["comparison"].is_null());
}

#[test]
fn the_demo_compares_in_words_and_to_its_schema() {
    let (a, b) = ("brackwold-tharn/sluice-118/standing-gate-men", "brackwold-tharn/sluice-118/underlode-men");
    let root = support::repository("");
    let text = out(&bartack(&root, &["compare", a, b]));
    assert!(text.lines().next().unwrap().ends_with('.') && !text.contains("differs"), "{text}");
    assert!(!json(&root, a, b)["features"].as_array().unwrap().is_empty());
}
