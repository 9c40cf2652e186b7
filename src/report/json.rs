//! Diagnostics as JSON, in types of their own that change only by adding fields.
//!
//! The form is `bartack-findings` version 1; its schema is `schema/findings.schema.json`.

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Label};
use crate::report::Selection;
use crate::source::edit::Edit;
use crate::source::{Place, Sources};

/// The whole report.
#[derive(Serialize)]
struct Findings<'a> {
    format: &'static str,
    version: u32,
    findings: Vec<Finding<'a>>,
    /// How many findings do not touch what was asked about.
    elsewhere: usize,
    /// How many of the findings an earlier state had too; `None` if no state was named.
    before: Option<usize>,
}

#[derive(Serialize)]
struct Finding<'a> {
    code: &'static str,
    level: &'static str,
    message: &'a str,
    place: Mark<'a>,
    labels: Vec<Mark<'a>>,
    help: Option<&'a str>,
    /// The one repair of it, which `check --fix` makes, if there is one.
    repair: Option<Vec<Mark<'a>>>,
}

/// A place: lines and columns count from 1, columns in characters; the end is the character after the last.
#[derive(Serialize)]
struct Mark<'a> {
    path: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    text: &'a str,
}

/// Writes the findings as one JSON object, with a newline at its end.
pub fn render(sources: &Sources, selection: &Selection<'_>) -> String {
    let findings = selection.shown.iter().map(|diagnostic| finding(sources, diagnostic)).collect();
    let (elsewhere, before) = (selection.elsewhere.len(), selection.before);
    let report = Findings { format: "bartack-findings", version: 1, findings, elsewhere, before };
    let mut text = serde_json::to_string_pretty(&report).expect("texts and numbers have a JSON form");
    text.push('\n');
    text
}

fn finding<'a>(sources: &'a Sources, diagnostic: &'a Diagnostic) -> Finding<'a> {
    let file = diagnostic.primary().place.file;
    let label = |label: &'a Label| mark(sources, label.place, &label.text);
    let edit = |edit: &'a Edit| mark(sources, Place { file, span: edit.span }, &edit.text);
    Finding {
        code: diagnostic.lint().code,
        level: diagnostic.level().word(),
        message: diagnostic.message(),
        place: label(diagnostic.primary()),
        labels: diagnostic.labels().iter().map(label).collect(),
        help: diagnostic.advice(),
        repair: diagnostic.repair().map(|repair| repair.edits.iter().map(edit).collect()),
    }
}

fn mark<'a>(sources: &'a Sources, place: Place, text: &'a str) -> Mark<'a> {
    let Place { file, span } = place;
    let file = sources.file(file);
    let (line, column) = file.line_and_column(span.start());
    let (end_line, end_column) = file.line_and_column(span.end());
    Mark { path: file.path().as_str(), line, column, end_line, end_column, text }
}
