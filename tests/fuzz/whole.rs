//! A whole knowledge base in one input: compiled, its findings drawn, and every file of its site made, twice alike.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use bartack::analysis::Analysis;
use bartack::compile::{self, Compilation, example};
use bartack::diagnostic::Level;
use bartack::page::Site;
use bartack::publish;
use bartack::publish::output_log::{OutputLog, Stamp, Turn};
use bartack::report::text::{self, Style};
use bartack::report::{self, github, json, sarif};
use bartack::source::Sources;
use bartack::view::context::Context;

/// The templates that are compiled into the program.
static SITE: LazyLock<Site> = LazyLock::new(|| Site::new(&BTreeMap::new()).expect("our own templates"));

/// Compiles the files of a text, each under a line `--- ` with its path, and publishes what is usable.
pub fn run(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let example = example::read(&text);
    let compilation = compile::compile(
        example.sources.clone(),
        example.unread.clone(),
        compile::Options { broken: compile::Broken::LeftOut, ..compile::Options::default() },
    );
    let told = told(&compilation);
    let site = published(&compilation);
    let files = example.sources.iter().map(|(_, file)| file.clone()).collect::<Vec<_>>().into_iter().rev().collect();
    let attachments = example.sources.attachments().iter().rev().cloned().collect();
    let reversed = Sources::new(files).with_attachments(attachments).with_marks(example.sources.marks().to_vec());
    let again = compile::compile(
        reversed,
        example.unread,
        compile::Options { broken: compile::Broken::LeftOut, ..compile::Options::default() },
    );
    assert!(told == self::told(&again), "the order of files changes what is told");
    assert!(site == published(&again), "the order of files changes the site");
}

/// All reports of the findings; each finding lies within its file, between characters.
fn told(compilation: &Compilation) -> String {
    let sources = &compilation.knowledge.catalog.sources;
    for diagnostic in &compilation.diagnostics {
        for label in diagnostic.places() {
            let (file, span) = (sources.file(label.place.file), label.place.span);
            assert!(file.text().get(span.start()..span.end()).is_some(), "{diagnostic:?}");
        }
    }
    let drawn = compilation.diagnostics.iter().map(|one| text::render(sources, one, Style::Plain));
    let selection = report::select(sources, &compilation.diagnostics, &[]);
    let lines: String = selection.shown.iter().map(|one| github::render(sources, one, "base")).collect();
    [drawn.collect(), lines, json::render(sources, &selection), sarif::render(sources, &selection, "base")].concat()
}

/// Makes every file of the site of what passes a check, but for the pages of lints, which no entry changes.
pub fn built_if_passed(compilation: &Compilation) {
    if !compilation.reaches(Level::Error) {
        made(compilation, |path| !path.starts_with("lints"));
    }
}

/// The files of the site by path.
fn published(compilation: &Compilation) -> BTreeMap<String, Vec<u8>> {
    made(compilation, |_| true)
}

fn made(compilation: &Compilation, is_wanted: impl Fn(&str) -> bool) -> BTreeMap<String, Vec<u8>> {
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, &SITE, &version);
    let files = publish::files(&context).expect("the paths are those of the publishers");
    let (mut site, mut written) = (BTreeMap::new(), OutputLog::default());
    for turn in Turn::ALL {
        let made = files.iter().filter(|file| file.turn() == turn && is_wanted(file.path()));
        let made: Vec<(String, Vec<u8>)> = made
            .map(|file| (file.path().to_string(), file.content(&written).unwrap_or_else(|error| panic!("{error}"))))
            .collect();
        written.extend(made.iter().map(|(path, content)| (path.clone(), Stamp::of(content))));
        site.extend(made);
    }
    site
}
