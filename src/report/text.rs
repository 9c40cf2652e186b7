//! Diagnostics as text for people: each place under its file, with its line.
//!
//! The caller decides whether to use colours.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{Annotation, AnnotationKind, Element, Group, Level as Title, Origin, Renderer, Snippet};

use crate::diagnostic::{Diagnostic, Label, Level, wording};
use crate::source::{FileId, SourceFile, Sources, Span};

/// How the text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Letters only.
    Plain,
    /// With the colours of a terminal.
    Coloured,
}

/// The longest line that is shown; the place alone is given for one that is longer, such as a table on one line.
const LONGEST_LINE: usize = 2_000;

/// The most lines between two marks of one file that are shown together.
const MOST_LINES: usize = 400;

/// Draws one diagnostic, with a newline at its end.
pub fn render(sources: &Sources, diagnostic: &Diagnostic, style: Style) -> String {
    let renderer = match style {
        Style::Plain => Renderer::plain(),
        Style::Coloured => Renderer::styled(),
    };
    let title = level(diagnostic.level()).primary_title(shown(diagnostic.message())).id(diagnostic.lint().code);
    let mut group = Group::with_title(title);
    for (file, labels) in by_file(diagnostic) {
        group = group.elements(elements(sources.file(file), &labels));
    }
    let mut report = vec![group];
    if let Some(help) = diagnostic.advice() {
        report.push(Group::with_title(Title::HELP.secondary_title(shown(help))));
    }
    let mut text = renderer.decor_style(DecorStyle::Ascii).render(&report);
    text.push('\n');
    text
}

fn level(level: Level) -> Title<'static> {
    match level {
        Level::Error => Title::ERROR,
        Level::Warning => Title::WARNING,
        Level::Note => Title::NOTE,
    }
}

/// A mark, and whether it is the primary one.
type Marked<'a> = (AnnotationKind, &'a Label);

/// The marks of each file, the file of the primary mark first, then in the order of the labels.
fn by_file(diagnostic: &Diagnostic) -> Vec<(FileId, Vec<Marked<'_>>)> {
    let mut files: Vec<(FileId, Vec<Marked<'_>>)> = Vec::new();
    for (number, label) in diagnostic.places().enumerate() {
        let kind = if number == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        match files.iter_mut().find(|(file, _)| *file == label.place.file) {
            Some((_, labels)) => labels.push((kind, label)),
            None => files.push((label.place.file, vec![(kind, label)])),
        }
    }
    files
}

/// The marks of one file drawn into its lines; as a bare place where the lines are too long to show.
fn elements<'a>(file: &'a SourceFile, labels: &[Marked<'a>]) -> Vec<Element<'a>> {
    let first = labels.iter().map(|(_, label)| label.place.span.start()).min().unwrap_or(0);
    let last = labels.iter().map(|(_, label)| label.place.span.end()).max().unwrap_or(first);
    let (top, bottom) = (file.line_of(first), file.line_of(last));
    let (from, to) = (file.line(top).start(), file.line(bottom).end());
    if to == from || !is_showable(file, top, bottom) {
        return labels.iter().flat_map(|(_, label)| bare(file, label)).collect();
    }
    let lines = file.slice(Span::new(from, to));
    let annotations = labels.iter().map(|(kind, label)| annotation(*kind, label, from, lines.len()));
    vec![Snippet::source(lines).path(shown(file.path().as_str())).line_start(top).annotations(annotations).into()]
}

fn is_showable(file: &SourceFile, top: usize, bottom: usize) -> bool {
    let length = |number: usize| file.line(number).end() - file.line(number).start();
    bottom - top < MOST_LINES && (top..=bottom).all(|number| length(number) <= LONGEST_LINE)
}

fn annotation<'a>(kind: AnnotationKind, label: &'a Label, from: usize, length: usize) -> Annotation<'a> {
    let span = label.place.span;
    let (start, end) = ((span.start() - from).min(length), (span.end() - from).min(length));
    let annotation = kind.span(start..end);
    if label.text.is_empty() { annotation } else { annotation.label(shown(&label.text)) }
}

fn bare<'a>(file: &'a SourceFile, label: &'a Label) -> Vec<Element<'a>> {
    let (line, column) = file.line_and_column(label.place.span.start());
    let origin = Origin::path(shown(file.path().as_str())).line(line).char_column(column);
    let says = (!label.text.is_empty()).then(|| Title::NOTE.message(shown(&label.text)).into());
    std::iter::once(origin.into()).chain(says).collect()
}

/// A text without anything that a terminal would obey.
fn shown(text: &str) -> String {
    text.chars().map(|character| if wording::is_hidden(character) { ' ' } else { character }).collect()
}
