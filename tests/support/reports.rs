//! A text to the reports that programs read.

use bartack::compile::Compilation;
use bartack::report::{self, Selection, github, sarif};
use bartack::source::Sources;

fn selected(compilation: &Compilation) -> (&Sources, Selection<'_>) {
    let sources = &compilation.knowledge.catalog.sources;
    (sources, report::select(sources, &compilation.diagnostics, &[]))
}

/// All that is reported about a text as a SARIF log; the knowledge base lies in `base`.
pub fn sarif(text: &str, base: &str) -> String {
    let compilation = super::compile(text);
    let (sources, selection) = selected(&compilation);
    sarif::render(sources, &selection, base)
}

/// All that is reported about a text as workflow commands; the knowledge base lies in `base`.
pub fn github(text: &str, base: &str) -> String {
    let compilation = super::compile(text);
    let (sources, selection) = selected(&compilation);
    selection.shown.iter().map(|one| github::render(sources, one, base)).collect()
}
