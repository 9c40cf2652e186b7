//! Diagnostics as SARIF 2.1.0 for tools that collect findings, in types of their own.
//!
//! Only what bartack has to say is there: no fingerprints, no times, so that the same findings are the same bytes. A fix is
//! there where a finding can have only one. Whether a place still exists in a checkout is for the reader of the log.

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Label, Level, Lint, wording};
use crate::fault::repair::Repair;
use crate::lints;
use crate::report::{self, Selection};
use crate::source::{FileId, SourceFile, Sources, Span};

/// Where the schema of the standard lives (SARIF 2.1.0 with errata 01, OASIS Standard, August 2023).
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The name for the folder that paths begin in; the one that runs the program knows where it is.
const BASE: &str = "%SRCROOT%";

#[derive(Serialize)]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Tool,
    column_kind: &'static str,
    results: Vec<Finding<'a>>,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Driver {
    name: &'static str,
    semantic_version: &'static str,
    rules: Vec<Rule>,
}

/// A lint, as the standard calls it a rule.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule {
    id: &'static str,
    short_description: Message,
    full_description: Message,
    help: Message,
    default_configuration: Configuration,
}

#[derive(Serialize)]
struct Configuration {
    level: &'static str,
}

/// A text of the standard: plain, and in Markdown where it was written as such.
#[derive(Serialize)]
struct Message {
    text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    markdown: Option<String>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Finding<'a> {
    rule_id: &'a str,
    rule_index: usize,
    level: &'static str,
    message: Message,
    locations: [Location; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fixes: Option<[Fix<'a>; 1]>,
}

/// A repair (SARIF 2.1.0, 3.55): all replacements together.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix<'a> {
    description: Message,
    artifact_changes: [ArtifactChange<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct ArtifactChange<'a> {
    artifact_location: Artifact,
    replacements: Vec<Replacement<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement<'a> {
    deleted_region: Region,
    inserted_content: Content<'a>,
}

#[derive(Serialize)]
struct Content<'a> {
    text: &'a str,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<usize>,
    physical_location: Physical,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Message>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    region: Region,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Artifact {
    uri: String,
    uri_base_id: &'static str,
}

/// Lines and columns from 1; the end is the character after the last, as in the other forms.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

/// Writes the findings as one SARIF log, with a newline at its end.
///
/// `base` is the way from the folder that the log's reader knows to the knowledge base; empty where they are the same.
pub fn render(sources: &Sources, selection: &Selection<'_>, base: &str) -> String {
    let places = Places { sources, base };
    let results = selection.shown.iter().map(|diagnostic| finding(&places, diagnostic)).collect();
    let rules = lints::LINTS.iter().map(|lint| rule(lint)).collect();
    let driver = Driver { name: "bartack", semantic_version: env!("CARGO_PKG_VERSION"), rules };
    let run = Run { tool: Tool { driver }, column_kind: "unicodeCodePoints", results };
    let log = Log { schema: SCHEMA, version: "2.1.0", runs: [run] };
    let mut text = serde_json::to_string_pretty(&log).expect("texts and numbers have a JSON form");
    text.push('\n');
    text
}

/// The files, and the way to them.
struct Places<'a> {
    sources: &'a Sources,
    base: &'a str,
}

fn rule(lint: &Lint) -> Rule {
    let explanation = lint.explanation;
    let help = format!("{explanation}\n\nWrong:\n\n{}\n\nRight:\n\n{}", code(lint.wrong), code(lint.right));
    Rule {
        id: lint.code,
        short_description: plain(lint.title),
        full_description: plain(explanation.split("\n\n").next().unwrap_or(explanation)),
        help: Message { text: literal(explanation), markdown: Some(braces_doubled(&help)) },
        default_configuration: Configuration { level: word(lint.level) },
    }
}

/// An example as a block of code, which no line of it can close.
fn code(example: &str) -> String {
    example.trim_end().lines().map(|line| format!("    {line}")).collect::<Vec<String>>().join("\n")
}

fn finding<'a>(places: &Places<'_>, diagnostic: &'a Diagnostic) -> Finding<'a> {
    let lint = diagnostic.lint();
    let paragraphs: Vec<&str> = std::iter::once(diagnostic.message()).chain(diagnostic.advice()).collect();
    Finding {
        rule_id: lint.code,
        rule_index: lints::LINTS.iter().position(|other| other.code == lint.code).expect("only listed lints report"),
        level: word(lint.level),
        message: Message {
            text: paragraphs.into_iter().map(literal).collect::<Vec<String>>().join("\n\n"),
            markdown: None,
        },
        locations: [location(places, diagnostic.primary(), None)],
        related_locations: (1..)
            .zip(diagnostic.labels())
            .map(|(id, label)| location(places, label, Some(id)))
            .collect(),
        fixes: diagnostic.repair().map(|repair| [fix(places, diagnostic.primary().place.file, repair)]),
    }
}

fn word(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "note",
    }
}

fn fix<'a>(places: &Places<'_>, file: FileId, repair: &'a Repair) -> Fix<'a> {
    let file = places.sources.file(file);
    let replacements = repair.edits.iter().map(|edit| Replacement {
        deleted_region: region(file, edit.span),
        inserted_content: Content { text: &edit.text },
    });
    Fix {
        description: plain(&wording::repair(repair)),
        artifact_changes: [ArtifactChange {
            artifact_location: artifact(places, file),
            replacements: replacements.collect(),
        }],
    }
}

fn location(places: &Places<'_>, label: &Label, id: Option<usize>) -> Location {
    let file = places.sources.file(label.place.file);
    let physical_location =
        Physical { artifact_location: artifact(places, file), region: region(file, label.place.span) };
    let message = (!label.text.is_empty()).then(|| plain(&label.text));
    Location { id, physical_location, message }
}

fn artifact(places: &Places<'_>, file: &SourceFile) -> Artifact {
    Artifact { uri: uri(&report::path_from(places.base, file.path().as_str())), uri_base_id: BASE }
}

fn region(file: &SourceFile, span: Span) -> Region {
    let (start_line, start_column) = file.line_and_column(span.start());
    let (end_line, end_column) = file.line_and_column(span.end());
    Region { start_line, start_column, end_line, end_column }
}

fn plain(text: &str) -> Message {
    Message { text: literal(text), markdown: None }
}

/// A text that a reader shows as it is: without hidden characters, placeholders or links (SARIF 2.1.0, 3.11.5 and 3.11.6).
fn literal(text: &str) -> String {
    let shown = |character| if character != '\n' && wording::is_hidden(character) { ' ' } else { character };
    braces_doubled(&text.chars().map(shown).collect::<String>()).replace("](", "] (")
}

fn braces_doubled(text: &str) -> String {
    text.replace('{', "{{").replace('}', "}}")
}

/// A path as a relative reference: everything but letters, digits and `-._~/` in percent signs (RFC 3986, 2.3).
fn uri(path: &str) -> String {
    let mut uri = String::with_capacity(path.len());
    for byte in path.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => uri.push(char::from(byte)),
            other => uri.push_str(&format!("%{other:02X}")),
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::{literal, uri};

    #[test]
    fn any_file_name_is_a_relative_reference() {
        assert_eq!(uri("entries/a b/ü.md"), "entries/a%20b/%C3%BC.md");
        assert_eq!(uri("javascript:x?#%"), "javascript%3Ax%3F%23%25");
    }

    #[test]
    fn a_text_stays_what_it_says() {
        assert_eq!(literal("`{0}` is [here](javascript:x)"), "`{{0}}` is [here] (javascript:x)");
        assert_eq!(literal("one\ntwo\u{1b}[31m\u{202e}"), "one\ntwo [31m ");
    }
}
