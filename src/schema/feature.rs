//! The vocabulary to the JSON Schema that an observation's readings are held to.
//!
//! Ranges and units are not here: a reading is turned into the vocabulary's unit before it is compared.

use serde_json::{Map, Value, json};

use crate::schema::Features;
use crate::vocabulary::{Feature, Kind, Unit, Vocabulary};

/// Puts the readings' schema into the schema of observations.
pub(super) fn insert(root: &mut Value, features: Features<'_>) {
    if let Some(place) = root.pointer_mut("/properties/features") {
        *place = match features {
            Features::Known(vocabulary, unclear) => readings(vocabulary, unclear),
            Features::Unread => json!({ "description": DESCRIPTION, "type": "object" }),
        };
    }
}

const DESCRIPTION: &str = "a table of features and what they showed";

fn readings(vocabulary: &Vocabulary, unclear: &[String]) -> Value {
    let known = vocabulary.iter().map(|feature| (feature.id.to_string(), reading(feature)));
    let unclear = unclear.iter().map(|id| (id.clone(), Value::Bool(true)));
    // What is known of a feature goes before what is not.
    let properties: Map<String, Value> = unclear.chain(known).collect();
    json!({ "description": DESCRIPTION, "type": "object", "properties": properties, "additionalProperties": false })
}

/// The schema of one feature's readings: a bare value, or a table with something to add.
fn reading(feature: &Feature) -> Value {
    let (words, mut bare, keys) = match &feature.kind {
        Kind::State { states } => {
            let current = states.iter().map(|state| state.as_str());
            let allowed = allowed(current, feature.replaced.keys().map(|state| state.as_str()));
            let state = json!({ "description": "one of the feature's states", "type": "string", "enum": allowed });
            ("one of the feature's states", json!({ "enum": allowed }), json!({ "state": state, "other": other() }))
        }
        Kind::Count => count(),
        Kind::Measure(measure) => quantity(measure.unit),
        Kind::Number => {
            let words = "a number as printed, or `absent` or `lost` in quotation marks";
            let value = json!({ "description": words, "type": "number" });
            (words, bare_number("number"), json!({ "value": value, "state": missing() }))
        }
        Kind::Code => {
            let words = "letters and digits exactly as written, in quotation marks";
            let value = json!({ "description": words, "type": "string", "pattern": "\\S" });
            (
                words,
                json!({ "type": ["string", "object"], "pattern": "\\S" }),
                json!({ "value": value, "state": missing() }),
            )
        }
    };
    if bare.get("type").is_none() {
        bare["type"] = json!(["string", "object"]);
    }
    let types = bare["type"].take();
    bare.as_object_mut().map(|bare| bare.remove("type"));
    bare["description"] = json!(words);
    json!({ "description": words, "type": types, "if": { "type": "object" }, "then": table(words, keys), "else": bare })
}

fn count() -> (&'static str, Value, Value) {
    let words = "a whole number from 1 on, or `absent` or `lost` in quotation marks";
    let value = json!({ "description": words, "type": "integer", "minimum": 1 });
    let mut bare = bare_number("integer");
    bare["minimum"] = json!(1);
    (words, bare, json!({ "value": value, "state": missing(), "other": other() }))
}

fn quantity(unit: Unit) -> (&'static str, Value, Value) {
    let words = "a number in the feature's unit, or `absent` or `lost` in quotation marks";
    let value = json!({ "description": words, "type": "number" });
    let units: Vec<&str> = Unit::ALL.iter().map(|(_, word)| *word).collect();
    let description = format!("a unit; the feature is kept in `{}`", unit.word());
    let unit = json!({ "description": description, "type": "string", "enum": units });
    (words, bare_number("number"), json!({ "value": value, "unit": unit, "state": missing() }))
}

fn bare_number(kind: &str) -> Value {
    json!({ "type": [kind, "string", "object"], "pattern": "^(absent|lost)$" })
}

fn missing() -> Value {
    json!({ "description": "`absent` or `lost`", "type": "string", "pattern": "^(absent|lost)$" })
}

fn other() -> Value {
    let words = "what it shows, if the vocabulary has no word for it";
    json!({ "description": words, "type": "string", "pattern": "\\S" })
}

fn table(words: &str, keys: Value) -> Value {
    let mut properties = keys;
    for (key, schema) in [
        ("altered", json!({ "description": "whether the part was replaced or changed", "type": "boolean" })),
        ("unsure", json!({ "description": "whether the reading is doubtful", "type": "boolean" })),
        ("note", json!({ "description": "anything else to say", "type": "string", "pattern": "\\S" })),
    ] {
        properties[key] = schema;
    }
    let shown = ["state", "value", "other"].into_iter().filter(|key| properties.get(key).is_some());
    let one: Vec<Value> = shown.clone().map(|key| json!({ "required": [key] })).collect();
    let keys: Vec<String> = shown.map(|key| format!("`{key}`")).collect();
    let description = format!("a table with exactly one of {}: {words}", keys.join(", "));
    json!({
        "description": description, "type": "object", "properties": properties,
        "additionalProperties": false, "oneOf": one,
    })
}

/// The states with the two that every feature may show, and at the end the earlier names of states.
fn allowed<'a>(states: impl Iterator<Item = &'a str>, earlier: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut allowed: Vec<&str> = states.collect();
    for word in ["absent", "lost"] {
        if !allowed.contains(&word) {
            allowed.push(word);
        }
    }
    // Whoever recorded `absent` before there was a state of that name meant the same.
    allowed.extend(earlier.filter(|word| *word != "absent"));
    allowed
}
