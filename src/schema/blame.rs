//! What a schema holds against a table, to faults that blame a key or a value in the file.
//!
//! One mistake gives one fault: a wrong type is not also a wrong word, and a misspelt key is not also a missing one.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jsonschema::ValidationError;
use jsonschema::error::ValidationErrorKind;
use jsonschema::paths::LocationSegment;
use serde_json::Value;

use crate::date::edtf::Edtf;
use crate::fault::{FaultKind, RuleBroken, SchemaFault, TermFault};
use crate::source::Span;
use crate::source::tree::{Item, Node, Table};

/// Gives a span and a kind for each mistake.
pub(super) fn faults<'a>(
    root: &Value,
    table: &Table,
    errors: impl Iterator<Item = ValidationError<'a>>,
) -> Vec<(Span, FaultKind)> {
    let errors: Vec<ValidationError<'a>> = errors.collect();
    let wrong = Wrong::of(&errors);
    errors
        .iter()
        .filter(|error| !wrong.explains(error))
        .flat_map(|error| Blame { root, table, error }.faults())
        .collect()
}

/// The places where a plainer error makes others superfluous.
struct Wrong {
    types: BTreeSet<String>,
    keys: BTreeSet<String>,
    misspelt: BTreeMap<String, Vec<String>>,
}

impl Wrong {
    fn of(errors: &[ValidationError<'_>]) -> Wrong {
        let mut wrong = Wrong { types: BTreeSet::new(), keys: BTreeSet::new(), misspelt: BTreeMap::new() };
        for error in errors {
            let path = error.instance_path().as_str().to_string();
            match error.kind() {
                ValidationErrorKind::Type { .. } => drop(wrong.types.insert(path)),
                ValidationErrorKind::Required { .. } => drop(wrong.keys.insert(path)),
                ValidationErrorKind::AdditionalProperties { unexpected } => {
                    wrong.misspelt.entry(path.clone()).or_default().extend(unexpected.iter().cloned());
                    wrong.keys.insert(path);
                }
                _ => {}
            }
        }
        wrong
    }

    fn explains(&self, error: &ValidationError<'_>) -> bool {
        let path = error.instance_path().as_str();
        match error.kind() {
            ValidationErrorKind::Type { .. } | ValidationErrorKind::AdditionalProperties { .. } => false,
            ValidationErrorKind::Required { property } => {
                let key = property.as_str().unwrap_or("");
                self.misspelt.get(path).is_some_and(|words| words.iter().any(|word| distance(word, key) <= 2))
            }
            ValidationErrorKind::OneOfNotValid { .. }
            | ValidationErrorKind::OneOfMultipleValid { .. }
            | ValidationErrorKind::AnyOf { .. } => self.keys.contains(path) || self.types.contains(path),
            _ => self.types.contains(path),
        }
    }
}

/// Counts the letters to change, add or take away to turn one word into the other.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (number, letter) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = number + 1;
        for (column, opposite) in other.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *opposite);
            diagonal = row[column + 1];
            row[column + 1] = changed.min(diagonal + 1).min(row[column] + 1);
        }
    }
    row[other.len()]
}

struct Blame<'a, 'e> {
    root: &'a Value,
    table: &'a Table,
    error: &'a ValidationError<'e>,
}

impl Blame<'_, '_> {
    fn faults(&self) -> Vec<(Span, FaultKind)> {
        match self.error.kind() {
            ValidationErrorKind::AdditionalProperties { unexpected } => self.unknown_keys(unexpected),
            ValidationErrorKind::Required { property } => vec![self.missing_key(property)],
            ValidationErrorKind::Enum { options } => vec![(self.value_span(), self.not_one_of(options))],
            ValidationErrorKind::Type { .. } => vec![(self.value_span(), self.wrong_type())],
            ValidationErrorKind::UniqueItems => self.repeated(),
            ValidationErrorKind::PropertyNames { error } => vec![self.wrong_name(error)],
            ValidationErrorKind::Format { format } if format == "edtf" => vec![(self.value_span(), self.date())],
            ValidationErrorKind::Minimum { .. } if self.is_reading() => vec![(self.value_span(), self.not_a_count())],
            _ => vec![(self.value_span(), self.out_of_limits())],
        }
    }

    fn unknown_keys(&self, unexpected: &[String]) -> Vec<(Span, FaultKind)> {
        let allowed = self.allowed_keys();
        let kind = |key: &String| match self.path().as_slice() {
            [only] if only == "features" && self.is_of_record(key) => {
                FaultKind::Term(TermFault::KeyOfEntry { key: key.clone(), is_given: self.table.has(key) })
            }
            [only] if only == "features" => {
                FaultKind::Term(TermFault::UnknownFeature { found: key.clone(), known: allowed.clone() })
            }
            _ => FaultKind::Schema(SchemaFault::UnknownKey { key: key.clone(), allowed: allowed.clone() }),
        };
        unexpected.iter().map(|key| (self.key_span(key), kind(key))).collect()
    }

    fn allowed_keys(&self) -> Arc<[String]> {
        let properties = self.keyword_parent().and_then(|schema| schema.get("properties")).and_then(Value::as_object);
        properties.map(|properties| properties.keys().cloned().collect()).unwrap_or_default()
    }

    fn is_of_record(&self, key: &str) -> bool {
        self.root.get("properties").is_some_and(|properties| properties.get(key).is_some())
    }

    fn missing_key(&self, property: &Value) -> (Span, FaultKind) {
        let key = property.as_str().unwrap_or_default().to_string();
        let is_conditional = self.schema_path().iter().rev().nth(1).is_some_and(|part| part == "then");
        let because = self.description().filter(|_| is_conditional && !self.is_reading()).map(str::to_string);
        let properties = self.keyword_parent().and_then(|schema| schema.get("properties"));
        let allowed = properties.and_then(|properties| properties.get(&key)).map(|key| words(&key["enum"]));
        let allowed = allowed.unwrap_or_default();
        (self.value_span(), FaultKind::Schema(SchemaFault::MissingKey { key, because, allowed }))
    }

    fn not_one_of(&self, options: &Value) -> FaultKind {
        let allowed = words(options);
        match self.path().as_slice() {
            [top, feature] | [top, feature, _]
                if top == "features" && self.path().last().is_none_or(|key| key != "unit") =>
            {
                FaultKind::Term(TermFault::UnknownState { feature: feature.clone(), found: self.found(), allowed })
            }
            _ => FaultKind::Schema(SchemaFault::NotOneOf { found: self.found(), allowed }),
        }
    }

    fn wrong_type(&self) -> FaultKind {
        let schema = self.keyword_parent();
        let types = schema.map(type_words).unwrap_or_default();
        if self.is_reading() && self.path().len() == 2 && self.error.instance().is_array() {
            return FaultKind::Schema(SchemaFault::Rule(RuleBroken::SeveralReadings));
        }
        if self.is_reading() && self.error.instance().is_number() && types.contains("whole number") {
            return FaultKind::Schema(SchemaFault::Rule(RuleBroken::NotACount { found: self.found() }));
        }
        let expected = match self.description() {
            Some(description) => format!("{types}: {description}"),
            None => types,
        };
        FaultKind::Schema(SchemaFault::WrongType { found: self.kind_found(), expected })
    }

    fn repeated(&self) -> Vec<(Span, FaultKind)> {
        let Some(Item::List(nodes)) = self.node().map(|node| &node.item) else { return Vec::new() };
        // Numbers with a fraction have no order, so what is written stands for what it is.
        let mut seen = BTreeSet::new();
        let again = nodes.iter().filter(|node| !seen.insert(format!("{:?}", node.item)));
        let kind = |node: &Node| RuleBroken::RepeatedId { found: node.text().unwrap_or(node.kind()).to_string() };
        again.map(|node| (node.span, FaultKind::Schema(SchemaFault::Rule(kind(node))))).collect()
    }

    fn wrong_name(&self, error: &ValidationError<'_>) -> (Span, FaultKind) {
        let found = error.instance().as_str().unwrap_or_default().to_string();
        let names = self.root.get("propertyNames").and_then(description);
        let expected = names.or(self.description()).unwrap_or("another name").to_string();
        (self.key_span(&found), FaultKind::Schema(SchemaFault::OutOfLimits { found, expected }))
    }

    fn date(&self) -> FaultKind {
        match Edtf::parse(&self.found()) {
            Err(fault) => FaultKind::Schema(SchemaFault::Date { found: self.found(), fault }),
            Ok(_) => self.out_of_limits(),
        }
    }

    fn not_a_count(&self) -> FaultKind {
        let is_zero = self.error.instance().as_f64() == Some(0.0);
        let found = self.found();
        let rule = if is_zero { RuleBroken::CountOfZero } else { RuleBroken::NotACount { found } };
        FaultKind::Schema(SchemaFault::Rule(rule))
    }

    fn out_of_limits(&self) -> FaultKind {
        let expected = self.description().unwrap_or("something else").to_string();
        FaultKind::Schema(SchemaFault::OutOfLimits { found: self.found(), expected })
    }

    /// The value in the contributor's own writing, or what it is.
    fn found(&self) -> String {
        match self.error.instance().as_ref() {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            _ => self.kind_found(),
        }
    }

    fn kind_found(&self) -> String {
        self.node().map_or("a table", Node::kind).to_string()
    }

    /// The keys and numbers that lead to the value.
    fn path(&self) -> Vec<String> {
        self.error.instance_path().segments().map(|segment| segment_text(&segment)).collect()
    }

    fn is_reading(&self) -> bool {
        self.path().first().is_some_and(|key| key == "features")
    }

    /// The value blamed; `None` if it is the whole record.
    fn node(&self) -> Option<&Node> {
        let mut segments = self.error.instance_path().segments();
        let mut node = match segments.next()? {
            LocationSegment::Property(key) => self.table.get(&key)?,
            LocationSegment::Index(_) => return None,
        };
        for segment in segments {
            node = match (&node.item, segment) {
                (Item::Table(table), LocationSegment::Property(key)) => table.get(&key)?,
                (Item::List(nodes), LocationSegment::Index(index)) => nodes.get(index)?,
                _ => return Some(node),
            };
        }
        Some(node)
    }

    fn value_span(&self) -> Span {
        self.node().map_or(self.table.span(), |node| node.span)
    }

    fn key_span(&self, key: &str) -> Span {
        let table = self.node().map_or(Some(self.table), Node::table);
        let entry = table.and_then(|table| table.entry(key));
        entry.map_or(self.value_span(), |entry| entry.key.span)
    }

    /// The keywords and names that led to the error, through every reference.
    fn schema_path(&self) -> Vec<String> {
        self.error.evaluation_path().segments().map(|segment| segment_text(&segment)).collect()
    }

    /// The schema that holds the keyword which failed.
    fn keyword_parent(&self) -> Option<&Value> {
        self.schemas_passed().pop()
    }

    /// Describes what should be there: in the words of the key, else of what the key refers to.
    fn description(&self) -> Option<&str> {
        let mut found = None;
        let path = self.schema_path();
        for (number, schema) in self.schemas_passed().into_iter().enumerate() {
            let step = number.checked_sub(1).and_then(|number| path.get(number)).map(String::as_str);
            found = match step {
                Some("$ref") => found.or(description(schema)),
                Some("then" | "else" | "if" | "allOf" | "oneOf" | "anyOf") => description(schema).or(found),
                _ if schema.is_array() => found,
                _ if is_branch(&path, number) => description(schema).or(found),
                _ => description(schema),
            };
        }
        found
    }

    /// The schemas on the way to the failed keyword, the root first; one for each step.
    fn schemas_passed(&self) -> Vec<&Value> {
        let mut passed = vec![self.root];
        let path = self.schema_path();
        for segment in &path[..path.len().saturating_sub(1)] {
            let Some(here) = passed.last() else { break };
            let next = match here.get("$ref").filter(|_| segment == "$ref").and_then(Value::as_str) {
                Some(reference) => reference.strip_prefix('#').and_then(|pointer| self.root.pointer(pointer)),
                None => here.get(segment).or_else(|| segment.parse::<usize>().ok().and_then(|index| here.get(index))),
            };
            let Some(next) = next else { break };
            passed.push(next);
        }
        passed
    }
}

/// Says whether a step goes into one branch of `allOf`, `oneOf` or `anyOf`.
fn is_branch(path: &[String], number: usize) -> bool {
    let before = number.checked_sub(2).and_then(|number| path.get(number)).map(String::as_str);
    matches!(before, Some("allOf" | "oneOf" | "anyOf"))
}

fn segment_text(segment: &LocationSegment<'_>) -> String {
    match segment {
        LocationSegment::Property(key) => key.to_string(),
        LocationSegment::Index(index) => index.to_string(),
    }
}

fn description(schema: &Value) -> Option<&str> {
    schema.get("description").and_then(Value::as_str)
}

/// The words of a fixed list.
fn words(options: &Value) -> Vec<String> {
    let options = options.as_array().map(Vec::as_slice).unwrap_or_default();
    options.iter().filter_map(Value::as_str).map(str::to_string).collect()
}

/// What types a schema allows, in words.
fn type_words(schema: &Value) -> String {
    let names: Vec<&str> = match &schema["type"] {
        Value::String(name) => vec![name.as_str()],
        Value::Array(names) => names.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    };
    let word = |name: &&str| match *name {
        "string" if schema["format"] == "date" => "a date without quotation marks",
        "string" => "a text in quotation marks",
        "integer" => "a whole number",
        "number" => "a number",
        "boolean" => "true or false",
        "array" => "a list",
        _ => "a table",
    };
    names.iter().map(word).collect::<Vec<_>>().join(" or ")
}
