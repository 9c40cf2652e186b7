//! A text that is no TOML to what it can only have meant: curly quotation marks, a decimal comma, a date or the end of a
//! text without its quotation mark.
//!
//! Looks at the line that the reader blames, and keeps only what leaves fewer mistakes in the whole file.

use std::sync::LazyLock;

use regex::Regex;

use crate::date::edtf::Edtf;
use crate::fault::repair::{Deed, Repair};
use crate::fault::{Fault, FaultKind, Malformed};
use crate::source::edit::{self, Edit};
use crate::source::{FilePath, SourceFile, Span};
use crate::validate::repair::{DATES, quantity};
use crate::vocabulary::{Kind, Vocabulary};

/// The marks that programs for letters put in place of `"`.
const CURLY: [char; 4] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}'];

static COMMA: LazyLock<Regex> =
    LazyLock::new(|| pattern(r"^\s*([a-z0-9-]+)\s*=\s*(?:\{\s*value\s*=\s*)?([0-9]+,[0-9]+)"));
static BARE: LazyLock<Regex> = LazyLock::new(|| pattern(r"^\s*([a-z-]+)\s*=\s*([0-9X~?%./-]+)\s*(?:#.*)?$"));
static OPEN: LazyLock<Regex> = LazyLock::new(|| pattern(r##"^\s*[a-z-]+\s*=\s*"[^"#,\\\[\]{}]*?(\s*)$"##));

fn pattern(text: &str) -> Regex {
    Regex::new(text).expect("the patterns of slips are patterns")
}

/// Adds what repairs them to the faults of a text; `faults_of` reads a text of that kind again.
pub(in crate::validate) fn add(
    faults: &mut [Fault],
    file: &SourceFile,
    vocabulary: &Vocabulary,
    faults_of: impl Fn(&SourceFile) -> usize,
) {
    let count = faults.len();
    for fault in faults {
        if !matches!(fault.kind, FaultKind::Malformed(Malformed::Toml(_))) {
            continue;
        }
        let line = file.line(file.line_of(fault.span().start()));
        let repair = of_line(file.slice(line), vocabulary).map(|repair| placed(repair, line.start()));
        let is_better = |repair: &Repair| {
            let text = edit::apply(file.text(), repair.edits.clone());
            faults_of(&SourceFile::new(FilePath::new(file.path().as_str()), text)) < count
        };
        fault.repair = repair.filter(is_better).map(Box::new);
    }
}

fn placed(repair: Repair, start: usize) -> Repair {
    let moved = |span: Span| Span::new(span.start() + start, span.end() + start);
    let edits = repair.edits.into_iter().map(|edit| Edit { span: moved(edit.span), ..edit });
    Repair { edits: edits.collect(), ..repair }
}

fn of_line(line: &str, vocabulary: &Vocabulary) -> Option<Repair> {
    let line = line.trim_end_matches('\r');
    let repairs = [straightened(line), pointed(line, vocabulary), quoted(line), closed(line)];
    repairs.into_iter().flatten().find(|repair| is_toml(&edit::apply(line, repair.edits.clone())))
}

fn is_toml(line: &str) -> bool {
    line.parse::<toml::Table>().is_ok()
}

/// Straight quotation marks for curly ones.
fn straightened(line: &str) -> Option<Repair> {
    let places = line.match_indices(CURLY);
    let edits: Vec<Edit> = places
        .map(|(start, mark)| Edit { span: Span::new(start, start + mark.len()), text: "\"".to_string() })
        .collect();
    let (first, last) = (edits.first()?.span.start(), edits.last()?.span.end());
    let shown = line[first..last].replace(CURLY, "\"");
    Some(Repair { edits, deed: Deed::Write(shown) })
}

/// A point for the comma in a measure.
fn pointed(line: &str, vocabulary: &Vocabulary) -> Option<Repair> {
    let found = COMMA.captures(line)?;
    let (feature, number) = (vocabulary.feature(&found[1])?, found.get(2)?);
    let decimal = quantity::decimal(number.as_str()).filter(|_| matches!(feature.kind, Kind::Measure(_)))?;
    Some(Repair::write(Edit { span: Span::new(number.start(), number.end()), text: decimal.clone() }, decimal))
}

/// Quotation marks around a date.
fn quoted(line: &str) -> Option<Repair> {
    let found = BARE.captures(line)?;
    let date = found.get(2).filter(|date| DATES.contains(&&found[1]) && Edtf::parse(date.as_str()).is_ok())?;
    let written = format!("\"{}\"", date.as_str());
    Some(Repair::write(Edit { span: Span::new(date.start(), date.end()), text: written.clone() }, written))
}

/// A quotation mark at the end of a text that goes on to the end of its line.
fn closed(line: &str) -> Option<Repair> {
    let end = OPEN.captures(line)?.get(1)?.start();
    let start = line.find('"')?;
    let shown = format!("{}\"", &line[start..end]);
    Some(Repair::write(Edit { span: Span::new(end, end), text: "\"".to_string() }, shown))
}
