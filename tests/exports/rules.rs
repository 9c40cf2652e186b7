//! `rules.json`: what its schema says, and what another program needs to find in it.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};

use crate::exports::world::{self, files, knowledge};

fn rules() -> Value {
    world::json(&files(&knowledge(), "rules/"), "rules/rules.json")
}

fn schema() -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/rules.schema.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn find<'a>(list: &'a Value, id: &str) -> &'a Value {
    list.as_array().unwrap().iter().find(|item| item["id"] == id).unwrap()
}

#[test]
fn the_rules_are_what_their_published_schema_says() {
    let published = world::json(&files(&knowledge(), "rules/"), "rules/rules.schema.json");
    assert_eq!(published, schema());
    let validator = jsonschema::options().should_validate_formats(true).build(&published).unwrap();
    let of_demo = world::json(&files(&world::demo(), "rules/"), "rules/rules.json");
    for rules in [rules(), of_demo] {
        let errors: Vec<_> = validator.iter_errors(&rules).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new());
    }
}

#[test]
fn every_answer_of_the_vectors_is_what_the_published_schema_says() {
    let published = files(&world::demo(), "rules/");
    let [schema, vectors] = ["rules/date.schema.json", "rules/vectors.json"].map(|path| world::json(&published, path));
    let validator = jsonschema::options().should_validate_formats(true).build(&schema).unwrap();
    for case in vectors["cases"].as_array().unwrap() {
        let errors: Vec<_> = validator.iter_errors(&case["answer"]).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new(), "{}", case["name"]);
    }
    let without_a_reason = json!({ "format": "bartack-date", "version": 1, "id": null, "cannot_tell": [] });
    assert!(!validator.is_valid(&without_a_reason));
}

#[test]
fn the_schema_refuses_what_it_should() {
    let validator = jsonschema::options().should_validate_formats(true).build(&schema()).unwrap();
    let breakages: [(&str, Value); 6] = [
        ("/version", json!(2)),
        ("/knowledge_base", json!("")),
        ("/landmarks/0/not_before", json!("1963")),
        ("/landmarks/0/condition/kind", json!("perhaps")),
        ("/variants/0/era/begin/earliest", json!("1963-13-01")),
        ("/vocabulary/features/0/replaceable", json!("rarely")),
    ];
    for (pointer, value) in breakages {
        let mut broken = rules();
        *broken.pointer_mut(pointer).unwrap() = value;
        assert!(!validator.is_valid(&broken), "{pointer}");
    }
}

#[test]
fn the_schema_uses_only_keywords_that_exist() {
    // The vocabularies of JSON Schema 2020-12 that it uses; a misspelt keyword would be skipped without a word.
    let known: BTreeSet<_> = [
        "$schema",
        "$defs",
        "$ref",
        "title",
        "description",
        "type",
        "const",
        "enum",
        "format",
        "pattern",
        "minLength",
        "minimum",
        "maximum",
        "items",
        "minItems",
        "maxItems",
        "uniqueItems",
        "required",
        "properties",
        "additionalProperties",
        "oneOf",
        "exclusiveMinimum",
    ]
    .into();
    assert!(jsonschema::meta::is_valid(&schema()));
    walk(&schema(), &mut |keyword| assert!(known.contains(keyword), "{keyword}"));
}

fn walk(schema: &Value, visit: &mut impl FnMut(&str)) {
    for (keyword, value) in schema.as_object().into_iter().flatten() {
        visit(keyword);
        match keyword.as_str() {
            "properties" | "$defs" => value.as_object().unwrap().values().for_each(|part| walk(part, visit)),
            "items" | "additionalProperties" => walk(value, visit),
            "oneOf" => value.as_array().unwrap().iter().for_each(|part| walk(part, visit)),
            _ => {}
        }
    }
}

#[test]
fn the_head_says_what_the_file_is() {
    let rules = rules();
    assert_eq!(
        (&rules["format"], &rules["version"], &rules["requires"]),
        (&json!("bartack-rules"), &json!(1), &json!([]))
    );
    assert_eq!((&rules["knowledge_base"], &rules["licence"]), (&json!("0123456789abcdef"), &json!("CC-BY-4.0")));
    assert_eq!(rules["ids"]["aliases"], json!({ "orrin/no-7/finest": "orrin/no-7/best" }));
}

#[test]
fn landmarks_are_days_with_a_kind_and_years_of_stock_are_in_them() {
    let rules = rules();
    let west = find(&rules["landmarks"], "west");
    assert_eq!((&west["not_before"], &west["not_after"]), (&json!("1949-05-23"), &json!("1992-10-03")));
    // A hard landmark without odds of its own has 10 where the market is not known.
    assert_eq!((&west["force"], &west["odds"], &west["market"]), (&json!("hard"), &json!(10.0), &json!("DE")));
    let lot = json!({ "kind": "state", "feature": "lot", "state": "W" });
    let size = json!({ "kind": "range", "feature": "size", "from": 28.0, "to": 30.5 });
    let label = json!({ "kind": "state", "feature": "market", "state": "west-germany" });
    assert_eq!(west["condition"], json!({ "kind": "any", "of": [label, { "kind": "all", "of": [size, lot] }] }));
    assert_eq!(west["sources"][0]["locator"], "sec. 1");
    let chain = find(&rules["landmarks"], "chain");
    assert_eq!(
        (&chain["not_before"], &chain["not_after"], &chain["odds"]),
        (&json!("1970-01-01"), &json!(null), &json!(4.0))
    );
}

#[test]
fn variants_have_the_bounds_of_the_table_of_eras() {
    let (rules, eras) = (rules(), world::table("eras"));
    let variants = rules["variants"].as_array().unwrap();
    assert_eq!(variants.len(), 2);
    for variant in variants {
        let row = eras.row("thing", variant["id"].as_str().unwrap());
        for (column, pointer) in [
            ("begin_earliest", "/era/begin/earliest"),
            ("begin_latest", "/era/begin/latest"),
            ("end_earliest", "/era/end/earliest"),
            ("end_latest", "/era/end/latest"),
        ] {
            assert_eq!(variant.pointer(pointer).unwrap().as_str().unwrap_or(""), row[column], "{column}");
        }
    }
    let best = find(&rules["variants"], "orrin/no-7/best");
    assert_eq!(
        (&best["maker"], &best["model"], &best["line"]),
        (&json!("orrin"), &json!("orrin/no-7"), &json!("orrin/line:best"))
    );
}

#[test]
fn features_stand_in_the_order_of_the_vocabulary() {
    let rules = rules();
    let features = rules["vocabulary"]["features"].as_array().unwrap();
    let ids: Vec<_> = features.iter().map(|feature| feature["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["hem", "loops", "opening", "size", "lot", "market"]);
    assert_eq!(features[2]["range"], json!([4.0, 16.0]));
    assert_eq!((&features[2]["unit"], &features[2]["shrinks"]), (&json!("in"), &json!(true)));
    assert_eq!((&features[0]["replaceable"], &features[0]["varies_with"]), (&json!("often"), &json!(["size"])));
}
