//! The page of downloads: every export with its use and size, and the number of rows of the tables.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::page::PageError;
use crate::publish;
use crate::publish::output::BUNDLE;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::output_log::{self, OutputLog, Turn};
use crate::record::Content;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};

/// Writes the page of downloads.
pub const PUBLISHER: Publisher = Publisher {
    name: "downloads",
    description: "all exports with what they are for, and the whole site for offline use",
    owns: &["downloads.html"],
    publish,
};

#[derive(Serialize)]
struct View<'a> {
    frame: Frame,
    version: &'a str,
    counts: Vec<Count>,
    groups: Vec<Group>,
    single: Option<FileView>,
    /// The whole site in one file; its size is known only once this page is in it.
    bundle: Option<Link>,
    kept: Kept,
}

/// How many rows of a table are of one sort, and where to count them.
#[derive(Serialize)]
struct Count {
    what: &'static str,
    count: usize,
    table: &'static str,
    how: &'static str,
}

#[derive(Serialize)]
struct Group {
    anchor: &'static str,
    title: &'static str,
    about: &'static str,
    files: Vec<FileView>,
}

#[derive(Serialize)]
struct FileView {
    file: Link,
    description: &'static str,
    weight: String,
}

/// The files kept for offline use.
#[derive(Serialize)]
struct Kept {
    files: usize,
    weight: String,
    script: String,
}

const GROUPS: [(&str, &str, &str, &str); 2] = [
    ("data/", "tables", "Tables", "A Frictionless Data Package: CSV files for spreadsheets and statistics programs."),
    ("rules/", "rules", "Rules for dating", "What a program needs to date a garment as this site does."),
];

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::after("downloads.html", Turn::Second, move |written| page(context, written))]
}

fn page<'a>(context: &'a Context<'a>, written: &OutputLog) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "downloads.html");
    let downloads = publish::downloads();
    let group = |(folder, anchor, title, about): (&str, _, _, _)| {
        let own = downloads.iter().filter(|(path, _)| path.starts_with(folder) && written.contains_key(path));
        let files = own.map(|(path, description)| file(&leaf, written, path, description));
        Group { anchor, title, about, files: files.collect() }
    };
    let alone = "the page of a garment in hand as one file that works alone, on a phone without a network";
    let kept = output_log::kept_offline(written);
    let catalog = leaf.catalog();
    let about = format!(
        "Everything recorded and concluded in {}, as tables and rules for other programs, under {}.",
        catalog.about.title, catalog.about.licence
    );
    let view = View {
        frame: leaf.frame("Downloads", &about, Vec::new()),
        version: context.version,
        counts: counts(context),
        groups: GROUPS.into_iter().map(group).collect(),
        single: written.contains_key("garment.html").then(|| file(&leaf, written, "garment.html", alone)),
        bundle: context.has_bundle.then(|| leaf.link(BUNDLE, BUNDLE)),
        kept: Kept {
            files: kept.len(),
            weight: output_log::weight(kept.values().map(|stamp| stamp.bytes).sum()),
            script: leaf.href("assets/offline.js"),
        },
    };
    leaf.render("downloads.html", &view)
}

fn file(leaf: &Leaf<'_>, written: &OutputLog, path: &str, description: &'static str) -> FileView {
    let weight = written.get(path).map_or_else(String::new, |stamp| output_log::weight(stamp.bytes));
    FileView { file: leaf.link(path, path), description, weight }
}

fn counts<'a>(context: &'a Context<'a>) -> Vec<Count> {
    let (knowledge, catalog) = (context.knowledge, &context.knowledge.catalog);
    let observations = catalog.records.iter().filter(|record| matches!(record.content, Content::Observation(_)));
    let conflicts: BTreeSet<&str> = knowledge.conflicts.iter().map(|conflict| conflict.id.as_str()).collect();
    let count = |what, count, table, how| Count { what, count, table, how };
    vec![
        count("observations", observations.count(), "data/observations.csv", "rows of"),
        count("garments", catalog.garments.len(), "data/observations.csv", "different values of garment in"),
        count("variants", catalog.variants.len(), "data/eras.csv", "things with maker, model and variant in"),
        count("conflicts", conflicts.len(), "data/conflicts.csv", "different values of conflict in"),
        count("sources", catalog.cited.len(), "data/sources.csv", "rows of"),
    ]
}
