//! Diagnostics as text, JSON, SARIF and workflow annotations: which of them to show, and the forms; answers and
//! differences in theirs.
//!
//! Decides no exit code and writes to no terminal.

pub mod answer;
pub mod difference;
pub mod github;
pub mod json;
pub mod sarif;
pub mod since;
pub mod text;

use crate::diagnostic::{Diagnostic, Level, wording};
use crate::source::Sources;

/// Diagnostics that touch what was asked about, and how many do not.
pub struct Selection<'a> {
    /// Those to report, in order.
    pub shown: Vec<&'a Diagnostic>,
    /// Those elsewhere.
    pub elsewhere: Vec<&'a Diagnostic>,
    /// How many an earlier state had too, where only new ones were asked for.
    pub before: Option<usize>,
}

/// Keeps the diagnostics that touch one of the paths: files or folders of the knowledge base; without paths, all.
pub fn select<'a>(
    sources: &Sources,
    diagnostics: impl IntoIterator<Item = &'a Diagnostic>,
    paths: &[String],
) -> Selection<'a> {
    let touches = |diagnostic: &&Diagnostic| {
        paths.is_empty()
            || diagnostic.places().any(|label| {
                let file = sources.file(label.place.file).path().as_str();
                paths.iter().any(|path| is_at_or_below(file, path))
            })
    };
    let (shown, elsewhere): (Vec<&Diagnostic>, Vec<&Diagnostic>) = diagnostics.into_iter().partition(touches);
    Selection { shown, elsewhere, before: None }
}

/// Says whether a file is the one of the path, or lies in its folder; the empty path is the whole knowledge base.
pub fn is_at_or_below(file: &str, path: &str) -> bool {
    let path = path.trim_end_matches('/');
    path.is_empty() || file.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// Joins the way to a knowledge base with a path in it.
///
/// ```
/// use bartack::report::path_from;
/// assert_eq!(path_from("", "entries/about.md"), "entries/about.md");
/// assert_eq!(path_from("base", "entries/about.md"), "base/entries/about.md");
/// ```
pub fn path_from(base: &str, path: &str) -> String {
    if base.is_empty() { path.to_string() } else { format!("{base}/{path}") }
}

/// Counts findings by level in one line: `2 errors, 1 warning`; nothing found is `no findings`.
pub fn summary(diagnostics: &[&Diagnostic]) -> String {
    let counted = [Level::Error, Level::Warning, Level::Note].map(|level| {
        let number = diagnostics.iter().filter(|diagnostic| diagnostic.level() == level).count();
        (number > 0).then(|| wording::count(number, level.word()))
    });
    let counted: Vec<String> = counted.into_iter().flatten().collect();
    if counted.is_empty() { "no findings".to_string() } else { counted.join(", ") }
}
