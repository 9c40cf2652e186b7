//! Words of the vocabulary that changed: states that were replaced, features that were retired.
//!
//! The worlds are invented; they hold the engine to the contract, not to any fact.

use bartack::knowledge::Knowledge;
use bartack::record::id::{FeatureId, VariantId};
use bartack::{comparison, evidence};

use crate::support;

const HEM: &str = "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nlook = \"Look.\"\n\
                   states = [\"raw\", \"chain-stitch\"]\n";
const LOT: &str = "[lot]\nname = \"Lot\"\nkind = \"count\"\nlook = \"Count.\"\n";

/// A vocabulary with something added to the hem.
fn vocabulary(hem: &str) -> String {
    format!("{HEM}{hem}\n")
}

fn variant(name: &str, claims: &str) -> String {
    let head = "+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n";
    format!("--- entries/makers/m/x/{name}/variant.md\n{head}{claims}+++\n")
}

fn garment(path: &str, features: &str) -> String {
    let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1975\"\nmade-by = \"mark\"\n";
    format!("--- entries/makers/m/x/{path}.md\n{head}[features]\n{features}\n+++\n")
}

fn landmark(when: &str) -> String {
    format!(
        "--- entries/landmarks/law.md\n+++\ntitle = \"Law\"\nwhen = {when}\nforce = \"hard\"\nnot-before = \"1976\"\n\
         sources = [\"s\"]\n[[source]]\nid = \"s\"\ncitation = \"S\"\nkind = \"law\"\n+++\n"
    )
}

fn claim(about: &str) -> String {
    format!("[[claims]]\nabout = \"feature:{about}\"\nevent = \"attested\"\nwhen = \"1971\"\nsources = [\"s\"]\n")
        + "[[source]]\nid = \"s\"\ncitation = \"S\"\nkind = \"book\"\n"
}

fn known(text: &str) -> Knowledge {
    let knowledge = support::compile(text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
    knowledge
}

fn counts(knowledge: &Knowledge, variant: &str, feature: &str) -> Vec<(String, u64)> {
    let seen = evidence::of(knowledge, &VariantId::new(variant));
    seen.counts(&FeatureId::new(feature)).into_iter().map(|(state, count)| (state.to_string(), count)).collect()
}

fn things(knowledge: &Knowledge) -> Vec<String> {
    knowledge.eras.keys().map(ToString::to_string).filter(|thing| thing.contains("feature:")).collect()
}

#[test]
fn readings_conditions_and_claims_of_a_replaced_state_are_the_new_ones() {
    let vocabulary = vocabulary("replaced = { chain = \"chain-stitch\" }");
    let garments = garment("a/one", "hem = \"chain\"") + &garment("a/two", "hem = \"chain-stitch\"");
    let variant = variant("a", &claim("hem=chain"));
    let knowledge = known(&format!("{vocabulary}{variant}{garments}"));
    assert_eq!(counts(&knowledge, "m/x/a", "hem"), [("chain-stitch".to_string(), 2)]);
    assert_eq!(things(&knowledge), ["m/x/a/feature:hem=chain-stitch"], "the claim and both garments");

    // Made in 1975 and not before 1976: each garment contradicts itself, whichever word it or the landmark uses.
    for word in ["chain", "chain-stitch"] {
        let landmark = landmark(&format!("{{ feature = \"hem\", state = \"{word}\" }}"));
        let knowledge = known(&format!("{vocabulary}{variant}{garments}{landmark}"));
        let names: Vec<&str> = knowledge.entangled.iter().map(|voice| knowledge.voice(*voice).name.as_str()).collect();
        for garment in ["one", "two"] {
            assert!(names.iter().any(|name| name.contains(garment)), "{word}, {garment}: {names:?}");
        }
    }
}

#[test]
fn a_retired_feature_counts_in_nothing() {
    let retired = "retired = { reason = \"The presser's.\", use = \"hem\" }\n";
    for (rest, is_counted) in [("", true), (retired, false)] {
        let vocabulary = vocabulary("varies-with = [\"lot\"]") + LOT + rest;
        let garments: String = (0..4)
            .map(|number| {
                garment(&format!("a/g{number}"), "hem = \"raw\"\nlot = 1")
                    + &garment(&format!("b/g{number}"), "hem = \"chain-stitch\"\nlot = 2")
            })
            .collect();
        let variants = variant("a", &claim("lot=3")) + &variant("b", "");
        let landmark = landmark("{ feature = \"lot\", state = \"2\" }");
        let knowledge = known(&format!("{vocabulary}{variants}{garments}{landmark}"));
        assert_eq!(!counts(&knowledge, "m/x/a", "lot").is_empty(), is_counted, "evidence");
        assert_eq!(things(&knowledge).iter().any(|thing| thing.contains("lot=")), is_counted, "eras of its states");
        assert_eq!(!knowledge.entangled.is_empty(), is_counted, "the landmark's condition");
        let seen = |variant: &str| evidence::of(&knowledge, &VariantId::new(format!("m/x/{variant}")));
        let comparison = comparison::of(&knowledge.catalog, &seen("a"), &seen("b"));
        let features: Vec<&str> = comparison.features.iter().map(|compared| compared.feature.as_str()).collect();
        assert_eq!(features.contains(&"lot"), is_counted, "the comparison");
        let hem = comparison.features.iter().find(|compared| compared.feature.as_str() == "hem").unwrap();
        let names: Vec<&str> = hem.covariates.iter().map(|covariate| covariate.name.as_str()).collect();
        assert_eq!(names.contains(&"lot"), is_counted, "what could explain another feature");
    }
}
