//! Garments with the answers that any reader of `rules.json` must give: `rules/vectors.json`.
//!
//! Some are chosen from the knowledge base itself, so that each of its landmarks and models is met. The rest are of a
//! small invented world (`conformance`), so that every rule is shown in any knowledge base.

mod conformance;
mod marks;

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::value::{RawValue, to_raw_value};
use serde_json::{Value as Json, json};

use crate::dating::answer::garment::{Garment, Known};
use crate::dating::answer::{Dating, text};
use crate::evidence::{self, Evidence};
use crate::knowledge::Knowledge;
use crate::record::Content;
use crate::record::id::{FeatureId, StateId, VariantId};
use crate::record::observation::Value;
use crate::report::answer::{self, Answered};
use crate::resolve::Catalog;
use crate::view::context::Context;
use crate::vocabulary::{Feature, Kind};

/// How many variants give a garment; more would add length, not difference.
const VARIANTS: usize = 30;

/// A garment with a name that explains a failure.
struct Case {
    name: String,
    garment: Garment,
}

/// Makes the rules of a knowledge base.
type Rules<'r> = &'r dyn for<'c> Fn(&'c Context<'c>) -> Result<Json, String>;

/// Writes the vectors as JSON.
pub fn json<'a>(context: &'a Context<'a>, rules: Rules<'_>) -> Result<Vec<u8>, String> {
    let dating = Dating::new(context.knowledge, context.analysis.tables());
    let answer = |garment: &Garment| {
        let answer = dating.answer(garment);
        let answered =
            Answered { knowledge: context.knowledge, version: context.version, id: None, garment, answer: &answer };
        answer::json(&answered).map_err(|error| error.to_string())
    };
    // All cases as trees of values would take ten times the memory.
    let text = |case: Json| to_raw_value(&case).map_err(|error| error.to_string());
    let mut vectors = Vec::new();
    for Case { name, garment } in cases(context.knowledge) {
        vectors.push(text(json!({ "name": name, "garment": object(&garment), "answer": answer(&garment)? }))?);
    }
    vectors.extend(with_unknown_feature(context.knowledge, answer)?.map(text).transpose()?);
    for case in conformance::cases(context.site, rules)? {
        vectors.push(text(case)?);
    }
    let file = File { cases: vectors, format: "bartack-vectors", knowledge_base: context.version, version: 1 };
    let mut bytes = serde_json::to_vec(&file).map_err(|error| error.to_string())?;
    bytes.push(b'\n');
    Ok(bytes)
}

#[derive(Serialize)]
struct File<'a> {
    cases: Vec<Box<RawValue>>,
    format: &'static str,
    knowledge_base: &'a str,
    version: u32,
}

/// A garment as the vectors have it.
fn object(garment: &Garment) -> Json {
    let known = &garment.known;
    let words = [
        ("maker", known.maker.as_ref().map(ToString::to_string)),
        ("model", known.model.as_ref().map(ToString::to_string)),
        ("line", known.line.as_ref().map(ToString::to_string)),
        ("wearer", known.wearer.map(|wearer| wearer.word().to_string())),
        ("variant", known.variant.as_ref().map(ToString::to_string)),
        ("market", garment.market.clone()),
        ("in_hand", garment.in_hand.map(|day| day.to_string())),
    ];
    let known = words.into_iter().filter_map(|(name, word)| Some((name.to_string(), Json::from(word?))));
    let features = garment.features.iter().map(|(feature, value)| (feature.to_string(), reading(value)));
    let features = ("features".to_string(), Json::Object(features.collect()));
    Json::Object(known.chain([features]).collect())
}

fn reading(value: &Value) -> Json {
    match value {
        Value::Measure(number) | Value::Number(number) => Json::from(*number),
        other => Json::from(text(other)),
    }
}

fn cases(knowledge: &Knowledge) -> Vec<Case> {
    let mut cases = vec![case("nothing is known", Known::default(), BTreeMap::new())];
    cases.extend(known_only(&knowledge.catalog));
    cases.extend(unexamined(knowledge));
    cases.extend(marks::in_hand(&knowledge.catalog));
    cases.extend(recorded(knowledge));
    cases.extend(marks::marked(&knowledge.catalog));
    cases.extend(marks::contradicting(&knowledge.catalog));
    cases.extend(strange(knowledge));
    cases
}

/// A garment of each model with states of features that were examined on no garment of the model: nothing tells whether
/// they are unusual. One such garment shows as many as can be, another the least probable of each feature.
fn unexamined(knowledge: &Knowledge) -> Vec<Case> {
    let mut cases = Vec::new();
    for (model, entry) in knowledge.catalog.models.iter().take(VARIANTS) {
        let evidence: Vec<Evidence<'_>> =
            entry.variants.iter().map(|variant| evidence::of(knowledge, variant)).collect();
        let is_examined = |feature: &Feature| evidence.iter().any(|seen| seen.features.contains_key(&feature.id));
        let garment = match &knowledge.catalog.record(entry.record).content {
            Content::Model(model) => Some(model.garment.value.as_str()),
            _ => None,
        };
        let open: Vec<&Feature> = knowledge
            .catalog
            .vocabulary
            .current()
            .filter(|feature| garment.is_none_or(|garment| feature.is_of(garment)) && !is_examined(feature))
            .collect();
        let states = |take: fn(&[StateId]) -> Option<&StateId>| -> BTreeMap<FeatureId, Value> {
            let one = open.iter().filter_map(|feature| match &feature.kind {
                Kind::State { states } => Some((feature.id.clone(), Value::State(take(states)?.clone()))),
                _ => None,
            });
            one.collect()
        };
        for (name, features) in [("first", states(|states| states.first())), ("last", states(|states| states.last()))] {
            if !features.is_empty() {
                let name = format!("{name} states of what was examined on no garment of {model}");
                cases.push(case(name, of_model(model.clone()), features));
            }
        }
    }
    cases
}

/// A garment of each model that shows something without a word wherever the model was looked at.
fn strange(knowledge: &Knowledge) -> Vec<Case> {
    let mut cases = Vec::new();
    for (model, entry) in knowledge.catalog.models.iter().take(VARIANTS) {
        let evidence = entry.variants.iter().map(|variant| evidence::of(knowledge, variant));
        let evidence: Vec<Evidence<'_>> = evidence.collect();
        let examined = evidence.iter().flat_map(|evidence| evidence.features.keys().cloned());
        let has_states = |id: &FeatureId| {
            knowledge.catalog.vocabulary.feature(id.as_str()).is_some_and(|feature| feature.has_states())
        };
        let features = examined.filter(has_states).map(|id| (id, Value::Other("no-such-state".into())));
        cases.push(case(format!("nothing on it has a word, of {model}"), of_model(model.clone()), features.collect()));
    }
    cases
}

fn case(name: impl Into<String>, known: Known, features: BTreeMap<FeatureId, Value>) -> Case {
    Case { name: name.into(), garment: Garment { known, market: None, features, ..Garment::default() } }
}

/// Nothing examined, and each thing that can be known.
fn known_only(catalog: &Catalog) -> Vec<Case> {
    let none = BTreeMap::new;
    let makers = catalog.makers.keys().take(VARIANTS);
    let makers = makers.map(|maker| {
        let known = Known { maker: Some(maker.clone()), ..Known::default() };
        case(format!("maker {maker}, nothing examined"), known, none())
    });
    let models = catalog.models.keys().take(VARIANTS);
    let models = models.map(|model| case(format!("model {model}, nothing examined"), of_model(model.clone()), none()));
    let lines = catalog
        .lines
        .keys()
        .take(2)
        .map(|line| case(format!("line {line}"), Known { line: Some(line.clone()), ..Known::default() }, none()));
    let wearers = crate::record::observation::Wearer::ALL.iter().map(|(wearer, word)| {
        case(format!("wearer {word}"), Known { wearer: Some(*wearer), ..Known::default() }, none())
    });
    makers.chain(models).chain(lines).chain(wearers).collect()
}

fn of_model(model: crate::record::id::ModelId) -> Known {
    Known { model: Some(model), ..Known::default() }
}

/// A recorded garment of each variant: with its model known, with nothing known, with a part that has no word.
fn recorded(knowledge: &Knowledge) -> Vec<Case> {
    let mut cases = Vec::new();
    for variant in knowledge.catalog.variants.keys().take(VARIANTS) {
        let Some(features) = readings(knowledge, variant) else { continue };
        cases.push(case(format!("one like {variant}"), of_model(variant.model()), features.clone()));
        let own = Known { variant: Some(variant.clone()), ..Known::default() };
        cases.push(case(format!("one of {variant}"), own, features.clone()));
        if cases.len() % 3 == 0 {
            cases.push(case(format!("one like {variant}, of nobody known"), Known::default(), features.clone()));
        }
        cases.extend(changed(knowledge, variant, features));
    }
    cases
}

/// The readings of the first garment of a variant that shows anything.
fn readings(knowledge: &Knowledge, variant: &VariantId) -> Option<BTreeMap<FeatureId, Value>> {
    let evidence = evidence::of(knowledge, variant);
    let readings = evidence.bearers.iter().filter(|bearer| bearer.garment.is_some()).map(|bearer| {
        let agreed = bearer.shown.iter().filter_map(|(id, shown)| Some((id.clone(), shown.agreed()?.clone())));
        agreed.collect::<BTreeMap<FeatureId, Value>>()
    });
    readings.max_by_key(BTreeMap::len).filter(|readings| !readings.is_empty())
}

/// The same garment with a state that has no word, and with a part lost.
fn changed(knowledge: &Knowledge, variant: &VariantId, features: BTreeMap<FeatureId, Value>) -> Vec<Case> {
    let is_state = |id: &FeatureId| {
        let feature = knowledge.catalog.vocabulary.feature(id.as_str());
        feature.is_some_and(|feature| matches!(feature.kind, Kind::State { .. }))
    };
    let Some(feature) = features.keys().find(|id| is_state(id)).cloned() else { return Vec::new() };
    let with = |value: Value| {
        let mut features = features.clone();
        features.insert(feature.clone(), value);
        features
    };
    let known = || of_model(variant.model());
    vec![
        case(format!("{feature} without a word, on {variant}"), known(), with(Value::Other("no-such-state".into()))),
        case(format!("{feature} lost, on {variant}"), known(), with(Value::Lost)),
        case(format!("{feature} absent, on {variant}"), known(), with(Value::Absent)),
    ]
}

/// A garment of the first model with a feature unknown to the vocabulary.
fn with_unknown_feature(
    knowledge: &Knowledge,
    answer: impl Fn(&Garment) -> Result<Json, String>,
) -> Result<Option<Json>, String> {
    let Some(model) = knowledge.catalog.models.keys().next() else { return Ok(None) };
    let garment = Garment { known: of_model(model.clone()), ..Garment::default() };
    let (mut shown, mut answer) = (object(&garment), answer(&garment)?);
    shown["features"]["no-such-feature"] = json!("y");
    answer["ignored"] = json!(["no-such-feature"]);
    Ok(Some(json!({ "name": "unknown feature", "garment": shown, "answer": answer })))
}
