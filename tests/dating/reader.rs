//! The browser's reader of the rules, run under Node, against the engine: every vector, and a thousand random garments.

use std::fs;
use std::path::Path;
use std::process::Command;

use bartack::compile::{self, example};
use bartack::date::Day;
use bartack::dating::answer::garment::{Garment, Known};
use bartack::dating::answer::{Dating, text};
use bartack::dating::likelihood;
use bartack::evidence::landmark::Values;
use bartack::knowledge::Side;
use bartack::record::id::{StateId, Thing, VariantId, Whole};
use bartack::record::observation::{Value, Wearer};
use bartack::report::answer::{self, Answered};
use bartack::resolve::Catalog;
use bartack::vocabulary::{Feature, Kind};
use serde_json::{Value as Json, json};
use tempfile::TempDir;

use crate::support::numbers::Numbers;
use crate::support::{repository, site};

const GARMENTS: usize = 1000;

fn value(numbers: &mut Numbers, feature: &Feature) -> Value {
    match (numbers.below(12), &feature.kind) {
        (0, _) => Value::Absent,
        (1, _) => Value::Lost,
        (2, Kind::State { .. } | Kind::Count) => Value::Other("no-such-state".into()),
        (_, Kind::State { states }) => {
            Value::State(StateId::new(states[numbers.below(states.len() as u64) as usize].as_str()))
        }
        (_, Kind::Count) => Value::Count(1 + numbers.below(9) as u32),
        (_, Kind::Measure(measure)) => {
            let (low, high) = measure.range;
            Value::Measure(low + (high - low) * numbers.below(1000) as f64 / 1000.0)
        }
        (_, Kind::Number) => Value::Number(24.0 + numbers.below(20) as f64),
        (_, Kind::Code) => Value::Code(numbers.below(200_000).to_string()),
    }
}

fn pick<'a, Id>(numbers: &mut Numbers, ids: impl ExactSizeIterator<Item = &'a Id>, one_in: u64) -> Option<Id>
where
    Id: Clone + 'a,
{
    let mut ids = ids;
    let at = numbers.below(ids.len() as u64) as usize;
    if numbers.below(one_in) == 0 { ids.nth(at).cloned() } else { None }
}

/// A garment of which anything may be known and seen.
pub fn garment(numbers: &mut Numbers, catalog: &Catalog) -> Garment {
    let known = Known {
        maker: pick(numbers, catalog.makers.keys(), 5),
        model: pick(numbers, catalog.models.keys(), 3),
        line: pick(numbers, catalog.lines.keys(), 20),
        wearer: pick(numbers, Wearer::ALL.iter().map(|(wearer, _)| wearer), 12),
        variant: pick(numbers, catalog.variants.keys(), 12),
    };
    let one_in = 2 + numbers.below(12);
    let mut features = Values::new();
    for feature in catalog.vocabulary.current() {
        if numbers.below(one_in) == 0 {
            features.insert(feature.id.clone(), value(numbers, feature));
        }
    }
    let market = ["US", "GB", "ZZ"][numbers.below(3) as usize];
    let market = (numbers.below(3) == 0).then(|| market.to_string());
    let in_hand = (numbers.below(2) == 0).then(|| Day::from_ymd(1930 + numbers.below(100) as i32, 7, 1)).flatten();
    Garment { known, market, in_hand, features }
}

/// The garment as the vectors write one.
fn object(garment: &Garment) -> Json {
    let known = &garment.known;
    let optional = |id: Option<String>| id.map_or(Json::Null, Json::from);
    let reading = |value: &Value| match value {
        Value::Measure(number) | Value::Number(number) => json!(number),
        other => json!(text(other)),
    };
    let features = garment.features.iter().map(|(feature, value)| (feature.to_string(), reading(value)));
    let features: serde_json::Map<String, Json> = features.collect();
    json!({
        "maker": optional(known.maker.as_ref().map(ToString::to_string)),
        "model": optional(known.model.as_ref().map(ToString::to_string)),
        "line": optional(known.line.as_ref().map(ToString::to_string)),
        "wearer": optional(known.wearer.map(|wearer| wearer.word().to_string())),
        "variant": optional(known.variant.as_ref().map(ToString::to_string)),
        "market": optional(garment.market.clone()),
        "in_hand": optional(garment.in_hand.map(|day| day.to_string())),
        "features": features,
    })
}

/// The answers of the engine, a line for each garment.
fn answers(root: &Path) -> String {
    let (compilation, _) = site::compiled(root);
    let knowledge = &compilation.knowledge;
    let tables = likelihood::all(knowledge);
    let version = compile::content_id(&knowledge.catalog.sources);
    let dating = Dating::new(knowledge, &tables);
    let mut numbers = Numbers(0x5eed_0f9a);
    let lines = (0..GARMENTS).map(|_| {
        let garment = garment(&mut numbers, &knowledge.catalog);
        let found = dating.answer(&garment);
        let answered = Answered { knowledge, version: &version, id: None, garment: &garment, answer: &found };
        json!({ "garment": object(&garment), "answer": answer::json(&answered).unwrap() }).to_string() + "\n"
    });
    lines.collect()
}

/// Holds the browser's reader to the engine on every vector of a knowledge base and a thousand random garments.
fn agree(root: &Path) {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so the browser's reader is not run");
        return;
    }
    let output = site::output(root);
    let folder = tempfile::tempdir().unwrap();
    let [rules, vectors, random] = ["rules.json", "vectors.json", "random.jsonl"].map(|name| folder.path().join(name));
    fs::write(&rules, &output["rules/rules.json"]).unwrap();
    fs::write(&vectors, &output["rules/vectors.json"]).unwrap();
    fs::write(&random, answers(root)).unwrap();
    let script = repository("tests/dating/vectors.cjs");
    let run = Command::new("node").arg(script).args([&rules, &vectors, &random]).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success(), "{out}{err}");
    assert!(out.contains(&format!("and {GARMENTS} garments, 0 failed")), "{out}");
}

#[test]
fn browser_and_engine_agree_on_every_vector_and_a_thousand_random_garments() {
    agree(&repository(""));
}

/// A model for each way in which its own claims can leave its variants' days open, with a garment of each variant.
pub fn half_bounded() -> TempDir {
    let root = TempDir::new().unwrap();
    let claim = |event, when| format!("[[claims]]\nevent = \"{event}\"\nwhen = \"{when}\"\nsources = [\"it\"]\n");
    let source = "[[source]]\nid = \"it\"\ncitation = \"It\"\nkind = \"book\"\n";
    let [begun, ended, made] = [("introduced", "1946-12"), ("discontinued", "1961"), ("attested", "1955")]
        .map(|(event, when)| claim(event, when));
    let mut text = String::new();
    for (model, claims) in [
        ("begun", begun.clone()),
        ("ended", ended.clone()),
        ("both", begun + &ended),
        ("made", made.clone()),
        ("none", String::new()),
    ] {
        let folder = format!("entries/makers/hollin/{model}");
        let (own, beside) = if claims.is_empty() { ("", "") } else { (claims.as_str(), source) };
        text += &format!("--- {folder}/model.md\n+++\nname = \"N\"\ngarment = \"trousers\"\n{own}{beside}+++\n");
        for (variant, hem) in [("a", "raw"), ("b", "folded")] {
            let seen =
                format!("basis = \"specimen\"\nplaced-by = \"mark\"\n[features]\nhem = \"{hem}\"\nbelt-loops = 5\n");
            text += &format!("--- {folder}/{variant}/seen.md\n+++\n{seen}+++\n");
        }
    }
    for (_, file) in example::read(&text).sources.iter() {
        let path = root.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    root
}

#[test]
fn browser_and_engine_agree_where_days_are_open() {
    let root = half_bounded();
    let (compilation, _) = site::compiled(root.path());
    let eras = &compilation.knowledge.eras;
    let is_open = |model| {
        let variant = Whole::Variant(VariantId::new(format!("hollin/{model}/a")));
        Side::ALL.map(|(side, _)| eras[&Thing::of(variant.clone())].day(side).is_none())
    };
    let open = ["begun", "ended", "both", "made", "none"].map(is_open);
    let [known, none] = [false, true];
    let expected = [[known, none, known, none], [none, known, none, known], [known; 4], [none; 4], [none; 4]];
    assert_eq!(open, expected);
    agree(root.path());
}

#[test]
fn vectors_hold_what_readers_get_wrong() {
    let output = site::output(&repository(""));
    let vectors: Json = serde_json::from_slice(&output["rules/vectors.json"]).unwrap();
    let cases = vectors["cases"].as_array().unwrap();
    assert!(cases.len() >= 60);
    let count = |holds: &dyn Fn(&Json) -> bool| cases.iter().filter(|case| holds(&case["answer"])).count();
    assert!(count(&|answer| answer["contradiction"] == true) >= 4, "contradictions");
    assert!(
        count(&|answer| answer["doubt"].as_array().is_some_and(|sets| sets.iter().any(|set| set["features"]
            .as_array()
            .unwrap()
            .len()
            == 2)))
            >= 1,
        "two parts in doubt"
    );
    assert!(count(&|answer| answer["cannot_tell"].is_array()) == 1, "cannot tell");
    assert!(count(&|answer| answer["unlike"]["fires"] == true) >= 1, "unlike anything recorded");
    assert!(count(&|answer| answer["features"].as_array().is_some_and(Vec::is_empty)) >= 1, "nothing examined");
    let names: Vec<&str> = cases.iter().map(|case| case["name"].as_str().unwrap()).collect();
    for kind in ["without a word", " lost,", " absent,", "which is soft", "unknown key", "unknown kind of condition"] {
        assert!(names.iter().any(|name| name.contains(kind)), "{kind}");
    }
}
