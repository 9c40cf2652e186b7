//! Writes `garments.csv`: a row for every observation, in a sheet that can be imported again.
//!
//! Claims and photographs are not in it; they do not fit one row.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::import::toml_string::quoted;
use crate::knowledge::Knowledge;
use crate::publish::export::package::entry::{self, BASES, Entry, MADE_BY, PLACED_BY};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, list, optional, words};
use crate::record::citation::Source;
use crate::record::claim::SourceReference;
use crate::record::id::FeatureId;
use crate::record::observation::{JudgedFrom, Observation, Placement, Reading, Value};
use crate::resolve::Catalog;
use crate::sheet::notation::{self, Marked, Written};
use crate::source::Spanned;
use crate::vocabulary::{Feature, Kind};

/// The sheet of garments.
pub const TABLE: Table = Table {
    name: "garments",
    summary: "one garment, document or statement a row with a column for each feature: the sheet that import reads",
    description: "A row for each entry, in the words of entry files. A feature's cell holds the value, then !altered \
        and !unsure where they hold, then | and the note, with spaces between: brass !altered | looks replaced. \
        Words that the vocabulary does not have begin with other: and a space. In words and codes a backslash stands \
        before \\, | and !. An empty cell was not examined. Measures are in the unit of the vocabulary. Claims and \
        photographs are in the entry files and the other tables.",
    columns,
    key: &["path"],
    references: &[("path", "observations", "observation")],
    rows,
};

/// Columns before those of the features: header, cells, what it says.
const FIXED: [(&str, Cells, &str); 27] = [
    ("path", Cells::Text, "The entry's file"),
    ("basis", Cells::Word(BASES), "What was looked at"),
    ("maker", Cells::Text, "The maker, if it is known"),
    ("model", Cells::Text, "The model with its maker, if it is known"),
    ("variant", Cells::Text, "The variant with maker and model; empty where nobody has placed it"),
    ("line", Cells::Text, "The label line's id within its maker, if it is known"),
    ("wearer", Cells::Text, "The wearer it was cut for"),
    ("perhaps", Cells::Text, "Variants that a garment nobody has placed may be of, with spaces between"),
    ("observed", Cells::Day, "The day somebody looked"),
    ("observer", Cells::Text, "Who looked"),
    ("same-as", Cells::Text, "Another entry of the same garment"),
    ("find", Cells::Text, "Garments found together share this word"),
    ("factory", Cells::Text, "Where it was made"),
    ("market", Cells::Text, "The country it was sold new in, ISO 3166-1"),
    ("placed-by", Cells::Word(PLACED_BY), "Why it is of this variant, if the entry says so"),
    ("placed-from", Cells::Text, "The features it was placed by, with spaces between"),
    ("made", Cells::Text, "When it was made, in EDTF"),
    ("made-by", Cells::Word(MADE_BY), "How that is known"),
    ("made-source", Cells::Text, "The source of the key that the date was read through, and the place in it"),
    ("made-from", Cells::Text, "The features an estimate was judged by, with spaces between"),
    ("made-as-written", Cells::Text, "The contributor's own words for the date"),
    ("made-note", Cells::Text, "What the date rests on"),
    ("sources", Cells::Text, "Ids of sources, each with the place in the source; | between them"),
    (
        "own-sources",
        Cells::Text,
        "Sources that only this entry uses, each as its file writes it in TOML, in braces; | between them",
    ),
    ("allow", Cells::Text, "Codes of lints that the entry allows, each with = and the reason; | between them"),
    ("formerly", Cells::Text, "Earlier addresses of the entry, with spaces between"),
    ("text", Cells::Text, "The text of the entry, in Markdown"),
];

fn columns(knowledge: &Knowledge) -> Vec<Column> {
    let fixed = FIXED.iter().map(|(name, kind, description)| match *name {
        "path" | "basis" => column(*name, *kind, *description).required(),
        _ => column(*name, *kind, *description),
    });
    let features =
        knowledge.catalog.vocabulary.iter().map(|feature| column(header(&feature.id), Cells::Text, described(feature)));
    fixed.chain(features).collect()
}

/// The description of a feature's column, with the unit of a measure.
fn described(feature: &Feature) -> String {
    let unit = match &feature.kind {
        Kind::Measure(measure) => format!(" (unit: {})", measure.unit.word()),
        _ => String::new(),
    };
    format!("{}{unit}. {}", feature.name, feature.look)
}

/// The header of a feature's column: its id, which another column may already have.
fn header(feature: &FeatureId) -> Cow<'static, str> {
    let is_taken = FIXED.iter().any(|(name, _, _)| *name == feature.as_str());
    Cow::Owned(if is_taken { format!("feature:{feature}") } else { feature.to_string() })
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let catalog = &knowledge.catalog;
    Box::new(entry::all(catalog).map(|entry| row(catalog, entry)))
}

fn row(catalog: &Catalog, entry: Entry<'_>) -> Vec<String> {
    let (record, observation) = (entry.record, entry.observation);
    let place = entry::place(catalog, observation);
    let text = catalog.sources.file(record.file).slice(record.body).trim();
    // If the entry does not say the maker, the line names it.
    let own_line = if place.maker.is_empty() { place.line.clone() } else { line(&place.line).to_string() };
    let mut cells = vec![
        record.path.to_string(),
        entry::basis(observation.basis.value).to_string(),
        place.maker,
        place.model,
        place.variant,
        own_line,
        place.wearer,
        perhaps(observation),
    ];
    cells.extend(seen_cells(observation));
    cells.extend(made_cells(observation));
    cells.push(list(observation.local_sources.iter().map(own_source)));
    cells.push(list(record.allow.iter().map(|allow| format!("{} = {}", allow.lint.value, allow.reason))));
    cells.push(words(record.formerly.iter().map(|earlier| &earlier.value)));
    cells.push(text.to_string());
    let features = catalog.vocabulary.iter().map(|feature| observation.features.get(&feature.id));
    cells.extend(features.map(|reading| optional(reading.map(|reading| notation::write(&marked(reading))))));
    cells
}

/// The label line as entry files write it if they name the maker separately.
fn line(id: &str) -> &str {
    id.rsplit_once("/line:").map_or(id, |(_, line)| line)
}

fn perhaps(observation: &Observation) -> String {
    match &observation.placement {
        Placement::Variant(_) => String::new(),
        Placement::Unplaced(unplaced) => words(unplaced.perhaps.iter().map(|variant| &variant.value)),
    }
}

fn seen_cells(observation: &Observation) -> [String; 8] {
    [
        optional(observation.observed.as_ref().map(|day| day.value)),
        optional(observation.observer.as_ref().map(|observer| &observer.value)),
        optional(observation.same_as.as_ref().map(|other| &other.value)),
        optional(observation.find.as_ref()),
        optional(observation.factory.as_ref()),
        optional(observation.market()),
        optional(observation.placed_by.as_ref().map(|placed_by| entry::placed_by(placed_by.value))),
        judged_from(&observation.placed_from),
    ]
}

fn made_cells(observation: &Observation) -> [String; 7] {
    [
        optional(observation.made.as_ref().map(|made| made.value.as_str())),
        optional(observation.made_by.as_ref().map(|made_by| entry::made_by(made_by.value))),
        optional(observation.made_source.as_ref().map(|source| reference(&source.value))),
        observation.made_from.as_deref().map(judged_from).unwrap_or_default(),
        optional(observation.made_as_written.as_ref()),
        optional(observation.made_note.as_ref()),
        list(observation.sources.iter().map(|source| reference(&source.value))),
    ]
}

fn judged_from(from: &[Spanned<JudgedFrom>]) -> String {
    words(from.iter().map(|from| entry::judged_from(&from.value)))
}

fn reference(reference: &SourceReference) -> String {
    format!("{} {}", reference.id, reference.locator).trim_end().to_string()
}

/// A source of one entry as an inline table of TOML.
fn own_source(source: &Source) -> String {
    let text = |key: &str, text: Option<&str>| text.map(|text| format!("{key} = {}", quoted(text)));
    let url = |url: &Option<Spanned<String>>| url.as_ref().map(|url| url.value.clone());
    let repeats: Vec<String> = source.repeats.iter().map(|id| quoted(id.value.as_str())).collect();
    let keys = [
        text("id", Some(source.id.value.as_str())),
        text("citation", Some(&source.citation.value)),
        text("kind", Some(source.kind.value.word())),
        text("date", source.date.as_ref().map(|date| date.value.as_str())),
        text("url", url(&source.url).as_deref()),
        text("archived", url(&source.archived).as_deref()),
        source.checked.as_ref().map(|day| format!("checked = {}", day.value)),
        (!repeats.is_empty()).then(|| format!("repeats = [{}]", repeats.join(", "))),
    ];
    format!("{{ {} }}", keys.into_iter().flatten().collect::<Vec<String>>().join(", "))
}

fn marked(reading: &Reading) -> Marked {
    let value = match &reading.value {
        Value::State(state) => Written::Value(state.to_string()),
        Value::Count(count) => Written::Value(count.to_string()),
        Value::Measure(number) | Value::Number(number) => Written::Value(number.to_string()),
        Value::Code(code) => Written::Value(code.clone()),
        Value::Absent => Written::Value("absent".into()),
        Value::Lost => Written::Value("lost".into()),
        Value::Other(words) => Written::Other(words.clone()),
    };
    Marked { value, altered: reading.altered, unsure: reading.unsure, note: reading.note.clone() }
}
