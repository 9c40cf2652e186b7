//! Holds the rules against their JSON Schema before they are handed out.

use std::sync::LazyLock;

use jsonschema::{PatternOptions, Validator};
use serde_json::Value;

/// The schema's text, as it is published.
pub const TEXT: &str = include_str!("../../../../schema/rules.schema.json");

/// The text of the schema of answers, as it is published.
pub const ANSWER: &str = include_str!("../../../../schema/date.schema.json");

static VALIDATOR: LazyLock<Result<Validator, String>> = LazyLock::new(compiled);

/// Says what the schema does not accept, and where; empty if it accepts the value.
pub fn check(rules: &Value) -> Result<(), String> {
    let validator = VALIDATOR.as_ref().map_err(Clone::clone)?;
    let first = validator.iter_errors(rules).next();
    first.map_or(Ok(()), |error| Err(format!("{} at {}", error, error.instance_path())))
}

fn compiled() -> Result<Validator, String> {
    let schema: Value = serde_json::from_str(TEXT).map_err(|error| error.to_string())?;
    // Formats are not checked under 2020-12 unless asked for, and an unknown one would pass in silence.
    let options = jsonschema::options()
        .should_validate_formats(true)
        .should_ignore_unknown_formats(false)
        .with_pattern_options(PatternOptions::regex())
        .build(&schema);
    options.map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::check;

    #[test]
    fn something_else_is_refused_with_its_place() {
        let problem = check(&json!({ "format": "bartack-rules" })).expect_err("most fields are missing");
        assert!(problem.contains("required"), "{problem}");
    }
}
