//! One build for the preview: the knowledge base to a folder, or to what stands in the way, in words.
//!
//! A build that fails leaves the folder as it is, so that the last good one stays.

use std::path::Path;

use crate::compile::{self, Compilation};
use crate::diagnostic::{Diagnostic, Level, wording};
use crate::disk::{self, Reading};
use crate::page::Site;
use crate::publish::{self, Context, Planned};
use crate::report::text::{self, Style};
use crate::serve::Problem;

/// Builds the whole site, and gives how many files it has.
pub fn whole(root: &Path, folder: &Path) -> Result<usize, Problem> {
    let (reading, site) = read(root)?;
    let compilation = compile::compile(reading.sources, reading.faults, &|_| {});
    match errors(&compilation) {
        None => write((root, folder), &compilation, &site),
        Some(problem) => Err(problem),
    }
}

/// Builds what can be built without the broken entries, for a preview that has nothing older to show.
pub fn rest(root: &Path, folder: &Path) -> Result<usize, Problem> {
    let (reading, site) = read(root)?;
    let (compilation, _) = compile::leaving_out_broken(reading.sources, reading.faults, &|_| {});
    write((root, folder), &compilation, &site)
}

fn read(root: &Path) -> Result<(Reading, Site), Problem> {
    let reading = disk::read(root).map_err(Problem::of)?;
    let site = Site::new(&reading.site).map_err(Problem::of)?;
    Ok((reading, site))
}

fn write((root, folder): (&Path, &Path), compilation: &Compilation, site: &Site) -> Result<usize, Problem> {
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let context = Context::new(&compilation.knowledge, site, &version);
    let files = publish::files(&context).map_err(Problem::of)?;
    disk::write(root, folder, &Planned { photographs: context.photographs.all(), files: &files, bundle: None })
        .map_err(Problem::of)?;
    Ok(files.len() + context.photographs.made())
}

/// All errors, drawn as `check` draws them.
fn errors(compilation: &Compilation) -> Option<Problem> {
    let sources = &compilation.knowledge.catalog.sources;
    let errors: Vec<&Diagnostic> =
        compilation.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error).collect();
    let drawn: Vec<String> = errors.iter().map(|error| text::render(sources, error, Style::Plain)).collect();
    let title = format!("Not built: {}", wording::count(errors.len(), "error"));
    (!errors.is_empty()).then(|| Problem { title, text: drawn.join("\n") })
}
