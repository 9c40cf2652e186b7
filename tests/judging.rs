//! Verdicts, dates and surprise where the rules have an exact limit, worked out by hand.
//!
//! The worlds are invented; they hold the engine to the contract, not to any fact.

use std::fmt::Write;

use bartack::comparison::{self, Comparison, Verdict};
use bartack::dating::answer::garment::Garment;
use bartack::dating::answer::{Answer, Dating};
use bartack::dating::likelihood;
use bartack::evidence;
use bartack::knowledge::Knowledge;
use bartack::record::id::{FeatureId, StateId, VariantId};
use bartack::record::observation::Value;

use crate::support;

const VOCABULARY: &str = "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nlook = \"Look.\"\n\
                          states = [\"raw\", \"chain\"]\n";

fn variant(name: &str) -> String {
    format!("--- entries/makers/m/x/{name}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n")
}

/// So many garments of a variant, of which the first ones show a chain stitch; undated where the year is 0.
fn garments(variant: &str, year: u32, (chain, total): (usize, usize)) -> String {
    let mut text = String::new();
    for number in 0..total {
        let hem = if number < chain { "chain" } else { "raw" };
        let made = if year == 0 { String::new() } else { format!("made = \"{year}\"\nmade-by = \"mark\"\n") };
        writeln!(text, "--- entries/makers/m/x/{variant}/g{year}-{number:02}.md\n+++\nbasis = \"specimen\"").unwrap();
        writeln!(text, "placed-by = \"mark\"\n{made}[features]\nhem = \"{hem}\"\n+++").unwrap();
    }
    text
}

fn known(text: &str) -> Knowledge {
    let knowledge = support::compile(text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
    knowledge
}

fn compared(knowledge: &Knowledge) -> Comparison {
    let seen = |variant: &str| evidence::of(knowledge, &VariantId::new(format!("m/x/{variant}")));
    comparison::of(&knowledge.catalog, &seen("a"), &seen("b"))
}

#[test]
fn half_of_a_difference_exactly_is_not_less_than_half() {
    // 0/15 against 16/20: d = 0.8. Decades 0/1 : 8/8 and 0/4 : 0/2 weigh 8/9 and 4/3, so that
    // (8/9 * 1 + 4/3 * 0) / (8/9 + 4/3) = 2/5 is left, half of 4/5 exactly.
    let a = garments("a", 1965, (0, 1)) + &garments("a", 1975, (0, 4)) + &garments("a", 0, (0, 10));
    let b = garments("b", 1965, (8, 8)) + &garments("b", 1975, (0, 2)) + &garments("b", 0, (8, 10));
    let knowledge = known(&(VOCABULARY.to_string() + &variant("a") + &variant("b") + &a + &b));
    let comparison = compared(&knowledge);
    let hem = &comparison.features[0];
    assert!((hem.crude.difference - 0.8).abs() < 1e-12, "{}", hem.crude.difference);
    assert!((hem.covariates[0].difference.unwrap() - 0.4).abs() < 1e-12);
    assert_eq!(hem.verdict, Verdict::Tell);
}

#[test]
fn what_two_causes_take_together_counts() {
    // The factory takes 0.4 of 0.8 as the decade does above; together they take all of it.
    let in_factory = |text: &str| text.replace("made-by = \"mark\"", "made-by = \"mark\"\nfactory = \"north\"");
    let a = garments("a", 1965, (0, 1)) + &garments("a", 1975, (0, 4)) + &garments("a", 0, (0, 10));
    let b = garments("b", 1965, (8, 8)) + &garments("b", 1975, (0, 2)) + &garments("b", 0, (8, 10));
    let south = |text: &str| {
        let (early, late) = text.split_at(text.find("g1975").unwrap_or(text.len()));
        in_factory(early) + &in_factory(late).replace("north", "south")
    };
    let knowledge = known(&(VOCABULARY.to_string() + &variant("a") + &variant("b") + &south(&a) + &south(&b)));
    let hem = &compared(&knowledge).features[0];
    let left: Vec<f64> = hem.covariates.iter().filter_map(|covariate| covariate.difference).collect();
    assert!(left.len() == 2 && left.iter().all(|left| (left - 0.4).abs() < 1e-12), "{left:?}");
    assert_eq!(hem.verdict, Verdict::Leaning);
}

/// A catalogue page of 1965 that a settled dispute sets the date of aside, or not.
fn document(is_set_aside: bool) -> String {
    let mut text = VOCABULARY.to_string() + &variant("a") + &garments("a", 1985, (1, 1));
    text += "--- entries/makers/m/x/a/page.md\n+++\nbasis = \"document\"\nmade = \"1965\"\nsources = [\"s\"]\n\
             [features]\nhem = \"chain\"\n[[source]]\nid = \"s\"\ncitation = \"S\"\nkind = \"catalogue\"\n+++\n";
    if is_set_aside {
        text += "--- entries/disputes/one.md\n+++\nstatus = \"settled\"\nset-aside = [\"entries/makers/m/x/a/page.md#made\"]\n\
                 claims = [{ claim = \"entries/makers/m/x/a/page.md#made\", says = \"1965\" }]\n+++\n";
    }
    text
}

#[test]
fn a_date_of_a_document_that_a_dispute_set_aside_gives_no_decade() {
    for (is_set_aside, decade) in [(false, Some(1960)), (true, None)] {
        let knowledge = support::compile(&document(is_set_aside)).knowledge;
        let seen = evidence::of(&knowledge, &VariantId::new("m/x/a"));
        let hem = FeatureId::new("hem");
        let is_page = |number: &usize| seen.bearers[*number].garment.is_none();
        let item = seen.items(&hem).iter().find(|item| item.bearers.iter().any(is_page)).unwrap();
        assert_eq!(seen.decade(&knowledge.catalog, &hem, item), decade);
        let page = seen.bearers.iter().find(|bearer| bearer.garment.is_none()).unwrap();
        assert_eq!(page.own_date().is_none(), is_set_aside, "nor a weight by its date in likelihoods");
    }
}

/// Six features of two states, which other models show unevenly and this one on no garment.
fn unexamined() -> String {
    let mut text = "--- schema/vocabulary.toml\n".to_string();
    for feature in 0..6 {
        writeln!(text, "[f{feature}]\nname = \"F\"\nkind = \"state\"\nlook = \"Look.\"\nstates = [\"one\", \"two\"]")
            .unwrap();
    }
    text += "[hem]\nname = \"Hem\"\nkind = \"state\"\nlook = \"Look.\"\nstates = [\"raw\", \"chain\"]\n";
    text + &variant("a") + &garments("a", 1975, (2, 5))
}

fn answer(text: &str, garment: &Garment) -> Answer {
    let knowledge = known(text);
    let tables = likelihood::all(&knowledge);
    Dating::new(&knowledge, &tables).answer(garment)
}

#[test]
fn features_that_nobody_examined_surprise_nobody() {
    let features = (0..6).map(|feature| (FeatureId::new(format!("f{feature}")), Value::State(StateId::new("one"))));
    let garment = Garment { features: features.collect(), ..Garment::default() };
    let answer = answer(&unexamined(), &garment);
    assert!(!answer.variants.is_empty());
    assert_eq!((answer.unlike, answer.is_unlike()), (None, false));
    // Nothing is known of the years or of another variant that any of these features could tell.
    let looks: Vec<&str> = answer.look_next.iter().map(|next| next.feature.as_str()).collect();
    assert!(looks.iter().all(|feature| *feature == "hem"), "{looks:?}");
}
