//! A page for each lint, with its two examples and the real output under the wrong one; and the list of them.

use serde::Serialize;

use crate::compile::example;
use crate::diagnostic::{Check, Level, Lint};
use crate::lints::LINTS;
use crate::markup::{self, Above};
use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::report::text::{self, Style};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};

/// Writes the lints' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "lints",
    description: "a page for each check on what contributors write, and the list of them",
    owns: &["lints.html", "lints/*.html"],
    publish,
};

#[derive(Serialize)]
struct ListView {
    frame: Frame,
    levels: Vec<LevelView>,
}

#[derive(Serialize)]
struct LevelView {
    level: &'static str,
    means: &'static str,
    lints: Vec<LintRow>,
}

#[derive(Serialize)]
struct LintRow {
    lint: Link,
    title: &'static str,
}

#[derive(Serialize)]
struct View {
    frame: Frame,
    code: &'static str,
    level: &'static str,
    title: &'static str,
    explanation: String,
    wrong: Vec<File>,
    findings: Vec<String>,
    right: Vec<File>,
    retired: bool,
}

#[derive(Serialize)]
struct File {
    path: String,
    text: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let list = OutputFile::new("lints.html", move || list(context));
    let pages = LINTS.iter().map(|lint| OutputFile::new(path(lint), move || page(context, lint)));
    std::iter::once(list).chain(pages).collect()
}

/// The description of the list.
const ABOUT: &str = "What is looked at in every entry before it is published, and what each finding means.";

fn path(lint: &Lint) -> String {
    format!("lints/{}.html", lint.code)
}

fn list<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "lints.html");
    let levels = [
        (Level::Error, "The record cannot be used."),
        (Level::Warning, "Usable, but doubtful or contradicted."),
        (Level::Note, "Worth knowing."),
    ];
    let levels = levels.map(|(level, means)| LevelView {
        level: level.word(),
        means,
        lints: LINTS.iter().filter(|lint| lint.level == level).map(|lint| row(&leaf, lint)).collect(),
    });
    let levels = levels.into_iter().filter(|level| !level.lints.is_empty()).collect();
    leaf.render("lints.html", &ListView { frame: leaf.frame("Checks", ABOUT, Vec::new()), levels })
}

fn row(leaf: &Leaf<'_>, lint: &Lint) -> LintRow {
    LintRow { lint: leaf.link(lint.code, &path(lint)), title: lint.title }
}

fn page<'a>(context: &'a Context<'a>, lint: &Lint) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path(lint));
    let view = View {
        frame: leaf.frame(
            lint.code,
            &format!("The check {} ({}): {}.", lint.code, lint.level.word(), lint.title),
            vec![leaf.link("Checks", "lints.html")],
        ),
        code: lint.code,
        level: lint.level.word(),
        title: lint.title,
        explanation: markup::html(lint.explanation, "lint-", Above::Page),
        wrong: files(lint.wrong),
        findings: findings(lint),
        right: files(lint.right),
        retired: matches!(lint.check, Check::Retired),
    };
    leaf.render("lint.html", &view)
}

/// The program's real output for the wrong example.
fn findings(lint: &Lint) -> Vec<String> {
    let compilation = example::compile(lint.wrong);
    let sources = &compilation.knowledge.catalog.sources;
    compilation.diagnostics.iter().map(|diagnostic| text::render(sources, diagnostic, Style::Plain)).collect()
}

/// Splits an example at the lines that name its files.
fn files(example: &str) -> Vec<File> {
    let mut files: Vec<File> = Vec::new();
    for line in example.lines() {
        match (line.strip_prefix("--- "), files.last_mut()) {
            (Some(path), _) => files.push(File { path: path.to_string(), text: String::new() }),
            (None, Some(file)) => file.text += &format!("{line}\n"),
            (None, None) => (),
        }
    }
    files
}
