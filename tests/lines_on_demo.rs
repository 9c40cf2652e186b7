//! `compare` of two lines or wearers, and `changes`: sensible words on the demo, their schemas, and help on bad names.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::process::{Command, Output};

use serde_json::Value;

use crate::support;

fn bartack(arguments: &[&str]) -> Output {
    let root = support::repository("");
    Command::new(env!("CARGO_BIN_EXE_bartack")).arg("--root").arg(root).args(arguments).output().unwrap()
}

fn out(arguments: &[&str]) -> String {
    let output = bartack(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let is_for_people = !text.starts_with('{');
    assert!(text.contains("not an authentication") && !text.contains("NaN"), "{text}");
    assert!(!is_for_people || !text.contains("-0.00"), "{text}");
    text
}

fn fits(json: &str, schema: &str) -> Value {
    let answer: Value = serde_json::from_str(json).unwrap();
    let schema = fs::read_to_string(support::repository(&format!("schema/{schema}.schema.json"))).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&answer).map(|error| error.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    answer
}

#[test]
fn the_demo_compares_lines_and_wearers_in_words_and_to_its_schema() {
    for pair in [
        ["brackwold-tharn/line:standing-gate", "brackwold-tharn/line:underlode"],
        ["brackwold-tharn/wearer:women", "brackwold-tharn/wearer:men"],
    ] {
        let text = out(&["compare", pair[0], pair[1]]);
        assert!(text.contains("nothing about models that were not recorded"), "{text}");
        let answer = fits(&out(&["compare", pair[0], pair[1], "--format", "json"]), "lines");
        assert!(!answer["features"].as_array().unwrap().is_empty());
        assert!(answer["a"].as_str() < answer["b"].as_str(), "in order of id, however they are named");
    }
}

#[test]
fn the_demo_says_what_changed_in_a_variant_a_model_and_a_line() {
    for thing in
        ["brackwold-tharn/line:standing-gate", "brackwold-tharn/sluice-118", "brackwold-tharn/sluice-118/underlode-men"]
    {
        let text = out(&["changes", thing]);
        assert!(text.starts_with(&format!("What changed when in {thing}.\n")), "{text}");
        let answer = fits(&out(&["changes", thing, "--format", "json"]), "changes");
        assert!(!answer["features"].as_array().unwrap().is_empty());
    }
    assert!(out(&["changes", "brackwold-tharn/line:standing-gate"]).contains(" gives way to "));
}

#[test]
fn names_of_nothing_and_of_two_kinds_are_answered_with_help() {
    for (arguments, help) in [
        (
            &["compare", "brackwold-tharn/line:underlode", "brackwold-tharn/line:standing"][..],
            "near it: `brackwold-tharn/line:standing-gate`",
        ),
        (&["compare", "brackwold-tharn/line:underlode", "brackwold-tharn/line:underlode"], "named twice"),
        (&["compare", "brackwold-tharn/line:underlode", "brackwold-tharn/wearer:men"], "not two lines, or two wearers"),
        (&["changes", "brackwold-tharn/sluice-119"], "near it: `brackwold-tharn/sluice-118`"),
    ] {
        let output = bartack(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && said.contains(help), "{said}");
    }
}

fn verdict_of(answer: &Value, feature: &str) -> String {
    let features = answer["features"].as_array().unwrap();
    let found = features.iter().find(|found| found["feature"] == feature).unwrap_or_else(|| panic!("no {feature}"));
    let word = found.pointer("/comparison/verdict").or_else(|| found.get("word")).unwrap();
    word.as_str().unwrap().to_string()
}

#[test]
fn two_lines_of_the_demo_show_a_sign_in_all_models_one_of_size_and_one_that_goes_the_other_way() {
    let lines = ["brackwold-tharn/line:standing-gate", "brackwold-tharn/line:underlode"];
    let answer = fits(&out(&["compare", lines[0], lines[1], "--format", "json"]), "lines");
    let verdicts = ["leg-seam", "waist-button", "hem", "belt-loops"].map(|feature| verdict_of(&answer, feature));
    assert_eq!(verdicts, ["tell", "leaning", "differs by model", "explained"]);
    let text = out(&["compare", lines[0], lines[1]]);
    for words in [
        "Explained by the waist size",
        "In 3 of 3 models.",
        "Seen in one model only.",
        "Pallinder 143 goes the other way",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn details_of_the_demo_change_once_come_back_and_follow_a_sewing_room() {
    for (thing, feature, word) in [
        ("brackwold-tharn/ossick-126", "main-thread", "changed"),
        ("brackwold-tharn/ossick-126", "watch-pocket", "changed"),
        ("brackwold-tharn/pallinder-143", "pocketing", "explained by factory"),
    ] {
        let answer = fits(&out(&["changes", thing, "--format", "json"]), "changes");
        assert_eq!(verdict_of(&answer, feature), word, "{thing} {feature}");
    }
    let text = out(&["changes", "brackwold-tharn/ossick-126"]);
    for words in ["Changed and came back: ", "contradict this and put the change in", "the dated garments agree"] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn garment_in_hand_names_the_changes_that_speak_for_its_years() {
    let model = "brackwold-tharn/sluice-118";
    let garment = ["date", "--model", model, "main-thread=cotton", "hem=chain-stitch"];
    let text = out(&garment);
    let (_, said) = text.split_once("\nChanges that support these years\n").unwrap_or_else(|| panic!("{text}"));
    assert!(said.starts_with("  Thread of the main seams: "), "{said}");
    assert!(
        said.contains("cotton gives way to core-spun") && said.contains("this one shows the state usual before it."),
        "{said}"
    );
    assert!(!said.split("\n\n").next().unwrap().contains("Hem stitch"), "the hem did not change: {said}");
    let answer = json_of(&garment);
    let [change] = &answer["changes"].as_array().unwrap()[..] else { panic!("{answer}") };
    assert_eq!((change["feature"].as_str(), change["side"].as_str()), (Some("main-thread"), Some("before")));
    assert!(text.contains(change["sentence"].as_str().unwrap()));
    let later = json_of(&["date", "--model", model, "care-label=words-and-symbols"]);
    assert_eq!(later["changes"].as_array().unwrap().len(), 0, "a share is no state that gave way: {later}");
    let unknown = out(&["date", "main-thread=cotton"]);
    assert!(!unknown.contains("Changes that support"), "without a maker no variant is named: {unknown}");
}

fn json_of(garment: &[&str]) -> Value {
    fits(&out(&[garment, &["--format", "json"]].concat()), "date")
}

#[test]
fn explain_tells_the_steps_to_a_verdict_on_lines_and_the_arithmetic_of_a_changeover() {
    let lines = ["brackwold-tharn/line:underlode", "brackwold-tharn/line:standing-gate"];
    let text = out(&["explain", lines[0], lines[1], "hem"]);
    for words in
        ["within 3 settings", "goes the other way", "contradict one another", "Among the 69 garments that match in"]
    {
        assert!(text.contains(words), "{words}: {text}");
    }
    let text = out(&["explain", "brackwold-tharn/ossick-126", "watch-pocket"]);
    for words in [
        "26 dated garments from 26 different times: from a prior of 0.30",
        "from one to three, is 2.",
        "5 before, 9 after",
        "ossick-126/standing-gate-men/march-56.md:",
        "`entries/makers/brackwold-tharn/ossick-126/model.md#patch-for-the-watch` says",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    for (arguments, help) in [
        (&["explain", "brackwold-tharn/ossick-126", "watch-pockt"][..], "near it: `watch-pocket`"),
        (&["explain", "brackwold-tharn/ossick-126", "lining"], "no dated garment of `brackwold-tharn/ossick-126`"),
        (&["explain", lines[0], lines[1], "bib-pocket"], "not counted on both of them"),
    ] {
        let output = bartack(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && said.contains(help), "{said}");
    }
}
