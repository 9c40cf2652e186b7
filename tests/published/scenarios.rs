//! Undated garments that bear dated public facts: the days these leave, or the contradiction they make.
//!
//! The facts stand in `scenarios.json`, each with its source; every one is taken as hard and as holding everywhere.

use std::fmt::Write;

use bartack::compile::example;
use bartack::dating::answer::garment::Garment;
use bartack::dating::answer::{Answer, Dating};
use bartack::dating::likelihood;
use bartack::fault::{FaultKind, RuleBroken, SchemaFault};
use bartack::knowledge::{Era, Knowledge, Side, Standing};
use bartack::record::id::{FeatureId, StateId, Thing, VariantId, Whole};
use bartack::record::observation::Value as Seen;
use serde_json::Value;

const GARMENT: &str = "entries/makers/orrin/no-7/best/garment.md";

fn facts() -> Value {
    serde_json::from_str(include_str!("scenarios.json")).unwrap()
}

fn scenario(id: &str) -> Value {
    let facts = facts();
    facts["scenarios"].as_array().unwrap().iter().find(|scenario| scenario["id"] == id).unwrap().clone()
}

fn names<'a>(scenario: &'a Value, key: &str) -> Vec<&'a str> {
    scenario[key].as_array().into_iter().flatten().map(|name| name.as_str().unwrap()).collect()
}

/// A knowledge base with one garment that shows what the scenario says, and nothing else that bounds a date.
fn text(scenario: &Value, absence: &str) -> String {
    let facts = facts();
    let (bears, lacks) = (names(scenario, "bears"), names(scenario, "lacks"));
    let (mut vocabulary, mut landmarks, mut features) = (String::new(), String::new(), String::new());
    for name in bears.iter().chain(&lacks) {
        let landmark = &facts["landmarks"][name];
        write!(vocabulary, "[{name}]\nname = {}\nkind = \"state\"\nstates = [\"present\"]\n", landmark["title"])
            .unwrap();
        vocabulary.push_str("look = \"Read the label.\"\n");
        let state = if bears.contains(name) { "present" } else { "absent" };
        write!(landmarks, "--- entries/landmarks/{name}.md\n+++\ntitle = {}\n", landmark["title"]).unwrap();
        writeln!(landmarks, "when = {{ feature = \"{name}\", state = \"{state}\" }}").unwrap();
        for bound in ["not-before", "not-after"] {
            landmark[bound].as_str().inspect(|day| writeln!(landmarks, "{bound} = \"{day}\"").unwrap());
        }
        match landmark["required-from"].as_str() {
            Some(day) => writeln!(landmarks, "not-after = \"{day}\"\n{absence}").unwrap(),
            None => landmarks.push_str("force = \"hard\"\n"),
        }
        let source = &landmark["source"];
        write!(landmarks, "sources = [\"it\"]\n[[source]]\nid = \"it\"\ncitation = {source}\nkind = \"law\"\n+++\n")
            .unwrap();
        writeln!(features, "{name} = \"{state}\"").unwrap();
    }
    format!(
        "--- schema/vocabulary.toml\n{vocabulary}{landmarks}--- {GARMENT}\n\
         +++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\n{features}+++\n"
    )
}

fn knowledge(id: &str) -> Knowledge {
    let compilation = example::compile(&text(&scenario(id), "force = \"soft\"\nodds = 2"));
    assert!(compilation.knowledge.faults.is_empty(), "{:?}", compilation.knowledge.faults);
    compilation.knowledge
}

fn era(knowledge: &Knowledge) -> &Era {
    &knowledge.eras[&Thing::of(Whole::Variant(VariantId::new("orrin/no-7/best")))]
}

/// An undated garment was made on some day T that its landmarks allow; its variant began by T and ended no sooner.
fn assert_bounds(id: &str) {
    let (knowledge, scenario) = (knowledge(id), scenario(id));
    assert!(knowledge.conflicts.is_empty());
    let made = *knowledge.made.values().next().unwrap();
    let day = |day: Option<bartack::date::Day>| day.map(|day| day.to_string());
    let (first, last) = (scenario["first"].as_str(), scenario["last"].as_str());
    assert_eq!((day(made.first()).as_deref(), day(made.last()).as_deref()), (first, last), "{id}");
    let era = era(&knowledge);
    assert_eq!(day(era.day(Side::BeginEarliest)), None, "{id}");
    assert_eq!(day(era.day(Side::BeginLatest)).as_deref(), last, "{id}");
    assert_eq!(day(era.day(Side::EndEarliest)).as_deref(), first, "{id}");
    assert_eq!(day(era.day(Side::EndLatest)), None, "{id}");
    for bound in [Side::BeginLatest, Side::EndEarliest].iter().filter_map(|side| era.bound(*side)) {
        let voices: Vec<_> = bound.because.iter().map(|voice| knowledge.voice(*voice).name.to_string()).collect();
        assert_eq!(voices, [format!("{GARMENT}#seen")]);
        assert!(bound.rests_on_one, "one garment is all there is");
    }
}

/// A garment whose landmarks exclude each other is a conflict of one voice, which no era is drawn from.
fn assert_contradiction(id: &str) {
    let knowledge = knowledge(id);
    assert_eq!(scenario(id)["contradiction"], true);
    let [conflict] = knowledge.conflicts.as_slice() else { panic!("{:?}", knowledge.conflicts) };
    let [voice] = conflict.members.as_slice() else { panic!("{:?}", conflict.members) };
    let voice = knowledge.voice(*voice);
    assert_eq!((voice.name.as_str(), voice.standing), (format!("{GARMENT}#seen").as_str(), Standing::SetAside));
    assert!(era(&knowledge).is_open());
}

/// A garment in hand that bears what the scenario says.
fn in_hand(id: &str) -> Answer {
    let knowledge = knowledge(id);
    let scenario = scenario(id);
    let bears = names(&scenario, "bears").into_iter();
    let shown = bears.map(|name| (FeatureId::new(name), Seen::State(StateId::new("present"))));
    let lacks = names(&scenario, "lacks").into_iter().map(|name| (FeatureId::new(name), Seen::Absent));
    let features = shown.chain(lacks).collect();
    let tables = likelihood::all(&knowledge);
    Dating::new(&knowledge, &tables).answer(&Garment { features, ..Garment::default() })
}

#[test]
fn garment_in_hand_has_the_windows_of_the_scenarios() {
    for id in ["s2", "s3", "s6", "s11"] {
        let (answer, scenario) = (in_hand(id), scenario(id));
        let day = |day: Option<bartack::date::Day>| day.map(|day| day.to_string());
        let found = (day(answer.hard.not_before), day(answer.hard.not_after));
        assert_eq!(
            (found.0.as_deref(), found.1.as_deref()),
            (scenario["first"].as_str(), scenario["last"].as_str()),
            "{id}"
        );
        assert!(!answer.is_contradiction && answer.doubt.is_empty(), "{id}");
    }
}

#[test]
fn garment_in_hand_that_contradicts_itself_has_either_sign_to_doubt() {
    for id in ["s1", "s4"] {
        let answer = in_hand(id);
        assert!(answer.is_contradiction && answer.variants.is_empty() && answer.years.is_none(), "{id}");
        let doubted: Vec<String> = answer.doubt.iter().map(|doubt| doubt.features[0].to_string()).collect();
        let mut expected = names(&scenario(id), "bears").into_iter().map(String::from).collect::<Vec<String>>();
        expected.sort();
        assert_eq!(doubted, expected, "{id}");
    }
}

#[test]
fn every_scenario_is_tested_here() {
    let facts = facts();
    let ids: Vec<_> = facts["scenarios"].as_array().unwrap().iter().map(|it| it["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["s1", "s2", "s3", "s4", "s6", "s11"]);
}

#[test]
fn s1_occupied_japan_and_a_postal_code_contradict() {
    assert_contradiction("s1");
}

#[test]
fn s2_the_short_lived_code_of_nebraska_bounds_both_sides() {
    assert_bounds("s2");
}

#[test]
fn s3_two_landmarks_leave_the_days_they_share() {
    assert_bounds("s3");
}

#[test]
fn s4_west_germany_and_a_later_fibre_name_contradict() {
    assert_contradiction("s4");
}

#[test]
fn s6_of_two_fibre_names_the_later_bounds() {
    assert_bounds("s6");
}

#[test]
fn s11_an_absent_care_label_bounds_nothing() {
    assert_bounds("s11");
    assert!(era(&knowledge("s11")).is_open());
}

#[test]
fn s11_an_absent_care_label_cannot_be_made_a_hard_landmark() {
    let faults = example::compile(&text(&scenario("s11"), "force = \"hard\"")).knowledge.faults;
    let is_refused = |kind: &FaultKind| matches!(kind, FaultKind::Schema(SchemaFault::Rule(RuleBroken::HardOnAbsence)));
    assert!(faults.iter().any(|fault| is_refused(&fault.kind)), "{faults:?}");
}
