//! Diagnostics as workflow commands, which GitHub shows next to the lines of a pull request.
//!
//! Each finding is one line, whatever its names and messages contain. It writes no command other
//! than annotations.

use crate::diagnostic::{Diagnostic, Level};
use crate::report;
use crate::source::{Place, Sources};

/// Writes one diagnostic as a line with a newline at its end.
///
/// `base` is the way from the repository's top folder to the knowledge base; empty where they are the same.
pub fn render(sources: &Sources, diagnostic: &Diagnostic, base: &str) -> String {
    let Place { file, span } = diagnostic.primary().place;
    let file = sources.file(file);
    let (line, column) = file.line_and_column(span.start());
    let (end_line, end_column) = file.line_and_column(span.end());
    let path = report::path_from(base, file.path().as_str());
    let title = format!("{}: {}", diagnostic.lint().code, diagnostic.lint().title);
    let mut properties = vec![("file", path), ("line", line.to_string())];
    // Columns are only taken with a place on one line (GitHub REST API, "Create a check run", `start_column`).
    if line == end_line {
        properties.push(("col", column.to_string()));
    }
    properties.push(("endLine", end_line.to_string()));
    // The other forms end after the last character; here the last character itself is named.
    if line == end_line && end_column > column {
        properties.push(("endColumn", (end_column - 1).to_string()));
    }
    properties.push(("title", title));
    let properties: Vec<String> =
        properties.into_iter().map(|(name, value)| format!("{name}={}", property(&value))).collect();
    format!(
        "::{} {}::{}\n",
        command(diagnostic.level()),
        properties.join(","),
        data(&message(sources, diagnostic, base))
    )
}

fn command(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "notice",
    }
}

/// The message, the label of each place and the advice, one a line: an annotation can mark only one place.
fn message(sources: &Sources, diagnostic: &Diagnostic, base: &str) -> String {
    let mut lines = vec![diagnostic.message().to_string()];
    for label in diagnostic.places().filter(|label| !label.text.is_empty()) {
        let file = sources.file(label.place.file);
        let (line, _) = file.line_and_column(label.place.span.start());
        lines.push(format!("{}:{line}: {}", report::path_from(base, file.path().as_str()), label.text));
    }
    lines.extend(diagnostic.advice().map(|help| format!("help: {help}")));
    lines.join("\n")
}

/// A message as the command's data: see `escapeData` in `@actions/core`.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A value as a property of the command: see `escapeProperty` in `@actions/core`.
fn property(value: &str) -> String {
    data(value).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::{data, property};

    #[test]
    fn data_stays_on_one_line_and_keeps_its_percent_signs() {
        assert_eq!(data("100%\r\n::warning::x, %0A"), "100%25%0D%0A::warning::x, %250A");
    }

    #[test]
    fn a_property_cannot_end_itself_or_the_command() {
        assert_eq!(property("a,line=1::x%\n"), "a%2Cline=1%3A%3Ax%25%0A");
    }
}
