//! Writes `features.csv`, the long form: a row for every reading of every observation.

use crate::analysis::Analysis;
use crate::knowledge::Knowledge;
use crate::publish::export::package::entry::{self, Entry};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, optional, yes_no};
use crate::record::id::FeatureId;
use crate::record::observation::{Reading, Value};
use crate::vocabulary::{Kind, Vocabulary};

/// The table of readings.
pub const TABLE: Table = Table {
    name: "features",
    summary: "what each feature of each garment or document showed, one reading a row",
    description: "A row for each feature that an observation records. A feature that is not here was not examined. \
        Readings that are altered, unsure or lost are shown and never counted.",
    columns,
    key: &["observation", "feature"],
    references: &[("observation", "observations", "observation")],
    rows,
};

const KINDS: &[&str] = &["state", "count", "measure", "number", "code", "absent", "lost", "other"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("observation", Cells::Text, "The entry's file, as in observations.csv").required(),
        column("feature", Cells::Text, "The feature's id in the vocabulary").required(),
        column(
            "kind",
            Cells::Word(KINDS),
            "What the value is. absent: looked for, was never there. lost: was there and is gone, or is impossible to tell. \
             other: words that the vocabulary does not have",
        )
        .required(),
        column("value", Cells::Text, "The state, number or words; the kind again for absent and lost").required(),
        column("unit", Cells::Text, "The unit of a measure"),
        column("altered", Cells::YesNo, "The part was replaced or changed").required(),
        column("unsure", Cells::YesNo, "The reading is doubtful").required(),
        column("note", Cells::Text, "Anything else to say"),
        column(
            "amount",
            Cells::Number("that of the column unit, or none"),
            "The value of a count, measure or number again, in a column of numbers alone",
        ),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let vocabulary = &knowledge.catalog.vocabulary;
    let readings = entry::all(&knowledge.catalog)
        .flat_map(|entry| entry.observation.features.iter().map(move |reading| (entry, reading)));
    Box::new(readings.map(|(entry, (feature, reading))| row(vocabulary, entry, feature, reading)))
}

fn row(vocabulary: &Vocabulary, entry: Entry<'_>, feature: &FeatureId, reading: &Reading) -> Vec<String> {
    let (kind, value) = kind_and_value(&reading.value);
    let amount = if ["count", "measure", "number"].contains(&kind) { value.clone() } else { String::new() };
    let unit = vocabulary.feature(feature.as_str()).and_then(|feature| match &feature.kind {
        Kind::Measure(measure) if kind == "measure" => Some(measure.unit.word()),
        _ => None,
    });
    vec![
        entry.record.path.to_string(),
        feature.to_string(),
        kind.to_string(),
        value,
        optional(unit),
        yes_no(reading.altered),
        yes_no(reading.unsure),
        optional(reading.note.as_ref()),
        amount,
    ]
}

fn kind_and_value(value: &Value) -> (&'static str, String) {
    match value {
        Value::State(state) => ("state", state.to_string()),
        Value::Count(count) => ("count", count.to_string()),
        Value::Measure(number) => ("measure", number.to_string()),
        Value::Number(number) => ("number", number.to_string()),
        Value::Code(code) => ("code", code.clone()),
        Value::Absent => ("absent", "absent".to_string()),
        Value::Lost => ("lost", "lost".to_string()),
        Value::Other(words) => ("other", words.clone()),
    }
}
