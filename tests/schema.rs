//! The JSON Schemas themselves: held to the meta-schema, and changed by a knowledge base.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;

use bartack::fault::{FaultKind, Malformed, SchemaFault};
use bartack::schema::Subject;
use bartack::source::{FilePath, SourceFile, Sources};
use bartack::validate;
use serde_json::Value;

/// Every keyword of the vocabularies of JSON Schema 2020-12 that these schemas may use
/// (JSON Schema Core, sections 8 to 10, and Validation, sections 6, 7 and 9).
const KEYWORDS: [&str; 33] = [
    "$schema",
    "$id",
    "$ref",
    "$defs",
    "title",
    "description",
    "type",
    "enum",
    "const",
    "properties",
    "required",
    "additionalProperties",
    "propertyNames",
    "items",
    "minItems",
    "maxItems",
    "uniqueItems",
    "minimum",
    "maximum",
    "exclusiveMinimum",
    "exclusiveMaximum",
    "pattern",
    "format",
    "minLength",
    "maxLength",
    "maxProperties",
    "if",
    "then",
    "else",
    "allOf",
    "anyOf",
    "oneOf",
    "not",
];

fn schema(subject: Subject) -> Value {
    serde_json::from_str(subject.text()).unwrap()
}

/// Gives every schema inside a schema, itself first, with its path.
fn schemas(value: &Value, path: String) -> Vec<(String, Value)> {
    let mut found = vec![(path.clone(), value.clone())];
    let Some(object) = value.as_object() else { return found };
    for (keyword, inner) in object {
        let path = format!("{path}/{keyword}");
        match keyword.as_str() {
            "properties" | "$defs" => {
                for (name, inner) in inner.as_object().unwrap() {
                    found.extend(schemas(inner, format!("{path}/{name}")));
                }
            }
            "allOf" | "anyOf" | "oneOf" => {
                for (number, inner) in inner.as_array().unwrap().iter().enumerate() {
                    found.extend(schemas(inner, format!("{path}/{number}")));
                }
            }
            "items" | "additionalProperties" | "propertyNames" | "if" | "then" | "else" | "not" => {
                found.extend(schemas(inner, path));
            }
            _ => {}
        }
    }
    found
}

#[test]
fn schemas_are_schemas_and_use_no_unknown_keyword() {
    for subject in Subject::ALL {
        let root = schema(subject);
        assert!(jsonschema::meta::is_valid(&root), "{}", subject.path());
        let name = subject.path().strip_prefix("schema/").unwrap();
        assert_eq!(root["$id"], format!("https://example.org/bartack/schema/{name}"));
        for (path, schema) in schemas(&root, subject.path().to_string()) {
            for keyword in schema.as_object().into_iter().flatten().map(|(keyword, _)| keyword) {
                assert!(KEYWORDS.contains(&keyword.as_str()), "{path} has the unknown keyword {keyword}");
            }
        }
    }
}

/// A pattern is a regular expression of ECMA-262 with the flag `u` (JSON Schema Core, 6.4), where `\\` may stand only
/// before what has a meaning or needs it; `\\"` once kept seven schemas from every reader but our own.
#[test]
fn no_pattern_has_a_needless_escape() {
    let escaped = "^$\\.*+?()[]{}|/bBdDsSwWfnrtv0123456789cxupPk-";
    for subject in Subject::ALL {
        for (path, schema) in schemas(&schema(subject), subject.path().to_string()) {
            let mut rest = schema["pattern"].as_str().unwrap_or_default().chars();
            while let Some(character) = rest.next() {
                let follows = if character == '\\' { rest.next() } else { None };
                assert!(follows.is_none_or(|next| escaped.contains(next)), "{path}: `\\` before {follows:?}");
            }
        }
    }
}

#[test]
fn every_property_is_described_and_every_table_is_closed() {
    for subject in Subject::ALL {
        let all = schemas(&schema(subject), String::new());
        for (path, schema) in &all {
            let is_property = path.rsplit_once("/properties/").is_some_and(|(_, name)| !name.contains('/'));
            let is_branch = path.contains("/oneOf/") || path.contains("/anyOf/") || path.contains("/if/");
            if is_property && !is_branch {
                let described = schema["description"].as_str().unwrap_or_default();
                assert!(!described.is_empty() && !described.ends_with('.'), "{}{path}", subject.path());
            }
            if schema.get("properties").is_some() && !is_branch && !path.ends_with("/if") {
                assert_eq!(schema["additionalProperties"], Value::Bool(false), "{}{path}", subject.path());
            }
        }
    }
}

#[test]
fn definitions_of_one_name_are_the_same_everywhere() {
    let mut known: BTreeMap<String, Value> = BTreeMap::new();
    for subject in Subject::ALL {
        let root = schema(subject);
        for (name, definition) in root["$defs"].as_object().into_iter().flatten() {
            let first = known.entry(name.clone()).or_insert_with(|| definition.clone());
            assert_eq!(first, definition, "{name} in {}", subject.path());
        }
    }
}

#[test]
fn the_schema_of_the_knowledge_base_goes_before_the_built_in_one() {
    let own = Subject::Source.text().replacen(
        "\"citation\": {",
        "\"shelf\": { \"type\": \"integer\" },\n    \"citation\": {",
        1,
    );
    let text = "+++\ncitation = \"C\"\nkind = \"book\"\nshelf = 3\n+++\n";
    let faults = |schema: &str| {
        let files = [("entries/sources/s.md", text), (Subject::Source.path(), schema)];
        let files = files.map(|(path, text)| SourceFile::new(FilePath::new(path), text.to_string()));
        let found = validate::all(&Sources::new(files.to_vec()), &|| {}).faults;
        let is_missing_file = |kind: &FaultKind| matches!(kind, FaultKind::Misplaced(_));
        found.into_iter().map(|fault| fault.kind).filter(|kind| !is_missing_file(kind)).collect::<Vec<_>>()
    };
    assert!(faults(&own).is_empty());
    for broken in [
        "{",
        "{ \"type\": \"objct\" }",
        "{ \"$ref\": \"https://example.org/far.json\" }",
        "{ \"format\": \"nonsense\" }",
    ] {
        let found = faults(broken);
        assert!(matches!(found[0], FaultKind::Schema(SchemaFault::UnknownKey { .. })), "{broken}: {found:?}");
        assert!(matches!(found[1], FaultKind::Malformed(Malformed::Schema(_))), "{broken}: {found:?}");
    }
    let loose = faults("{}");
    assert!(loose.is_empty(), "{loose:?}");
}

#[test]
fn what_a_loosened_schema_lets_pass_is_still_reported() {
    let files = [("entries/sources/s.md", "+++\nkind = \"book\"\ndate = \"x\"\n+++\n"), (Subject::Source.path(), "{}")];
    let files = files.map(|(path, text)| SourceFile::new(FilePath::new(path), text.to_string()));
    let sources = Sources::new(files.to_vec());
    let validated = validate::all(&sources, &|| {});
    let kinds: Vec<String> = validated.faults.iter().map(|fault| format!("{:?}", fault.kind)).collect();
    assert!(kinds.iter().any(|kind| kind.contains("MissingKey { key: \"citation\"")), "{kinds:?}");
    assert!(kinds.iter().any(|kind| kind.contains("Date { found: \"x\"")), "{kinds:?}");
    assert_eq!(validated.unusable.len(), 1);
}
