//! Front matter and vocabulary to the places in them that name something, each with what it names.
//!
//! A key means the same in every kind of record, so the kind is not asked. Whether the thing exists is not asked either.

use std::collections::BTreeSet;

use crate::record::id::FeatureId;
use crate::source::Span;
use crate::source::tree::{Item, Node, Table};

/// A text that names something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mention {
    /// The kind of thing it names, which decides how it is written.
    pub names: Names,
    /// The key or value.
    pub span: Span,
    pub text: String,
}

/// The kind of thing a text names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Names {
    /// A shared source, perhaps with a page.
    Source,
    /// A thing in the words of `about`.
    Thing,
    /// A label line, with or without its maker.
    Line,
    /// A variant of the same model, or in full.
    Revived,
    /// A variant in full.
    Variant,
    Maker,
    /// A model, with or without its maker.
    Model,
    /// An entry in the same folder, or its path.
    Entry,
    /// The path of an entry or of a folder.
    Folder,
    /// A claim, date, key, placing or reading: a path, `#` and a part.
    Voice,
    /// The text of a claim when a dispute was written; for a reading, with its feature.
    Says(Option<FeatureId>),
    Feature,
    /// A state of a feature.
    State(FeatureId),
}

/// Finds all mentions in the front matter of a record.
pub fn of_record(front: &Table) -> Vec<Mention> {
    let mut found =
        Found { local: front.tables("source").filter_map(|source| source.words("id")).collect(), all: Vec::new() };
    found.keys(front, &[("line", Names::Line), ("revives", Names::Revived), ("maker", Names::Maker)]);
    found.keys(front, &[("makers", Names::Maker), ("reads", Names::Feature)]);
    found.keys(front, &[("model", Names::Model), ("perhaps", Names::Variant), ("same-as", Names::Entry)]);
    found.keys(front, &[("placed-from", Names::Feature), ("made-from", Names::Feature), ("set-aside", Names::Voice)]);
    found.sources(front, &["sources", "made-source", "repeats"]);
    front.tables("source").for_each(|source| found.sources(source, &["repeats"]));
    front.tables("lines").for_each(|line| found.line(line));
    front.tables("photos").for_each(|photograph| found.keys(photograph, &[("shows", Names::Feature)]));
    front.tables("withheld").for_each(|withheld| found.keys(withheld, &[("path", Names::Folder)]));
    front.tables("claims").for_each(|claim| found.claim(claim));
    front.table("when").into_iter().for_each(|when| found.condition(when));
    front.table("features").into_iter().for_each(|features| found.readings(features));
    found.all
}

/// Finds all mentions in the vocabulary.
pub fn of_vocabulary(table: &Table) -> Vec<Mention> {
    let mut found = Found::default();
    for entry in table.entries() {
        found.key(&entry.key.value, entry.key.span);
        let Some(feature) = entry.value.table() else { continue };
        let states = Names::State(FeatureId::new(entry.key.value.as_str()));
        let keyed = ["also", "labels"].into_iter().filter_map(|key| feature.table(key));
        found.all.extend(
            keyed.flat_map(|table| table.entries()).filter(|entry| entry.key.value != "feature").map(|entry| Mention {
                names: states.clone(),
                span: entry.key.span,
                text: entry.key.value.to_string(),
            }),
        );
        let replaced = feature.table("replaced").into_iter().flat_map(|table| table.entries());
        replaced.for_each(|entry| found.texts(&entry.value, &states));
        found.keys(feature, &[("varies-with", Names::Feature), ("states", states)]);
        let retired = feature.table("retired").into_iter();
        retired.for_each(|retired| found.keys(retired, &[("use", Names::Feature)]));
    }
    found.all
}

#[derive(Default)]
struct Found {
    /// Sources of the file's own, which hide no shared ones but come first.
    local: BTreeSet<String>,
    all: Vec<Mention>,
}

impl Found {
    fn keys(&mut self, table: &Table, keys: &[(&str, Names)]) {
        for (key, names) in keys {
            table.get(key).into_iter().for_each(|node| self.texts(node, names));
        }
    }

    /// Adds a text, or those of a list.
    fn texts(&mut self, node: &Node, names: &Names) {
        match &node.item {
            Item::Text(text) => {
                self.all.push(Mention { names: names.clone(), span: node.span, text: text.to_string() });
            }
            Item::List(nodes) => nodes.iter().for_each(|node| self.texts(node, names)),
            _ => {}
        }
    }

    fn key(&mut self, feature: &str, span: Span) {
        self.all.push(Mention { names: Names::Feature, span, text: feature.to_string() });
    }

    fn sources(&mut self, table: &Table, keys: &[&str]) {
        let before = self.all.len();
        keys.iter().for_each(|key| self.keys(table, &[(key, Names::Source)]));
        let local = std::mem::take(&mut self.local);
        let id = |text: &str| text.split(char::is_whitespace).next().unwrap_or_default().to_string();
        let kept: Vec<Mention> =
            self.all.drain(before..).filter(|mention| !local.contains(&id(&mention.text))).collect();
        self.all.extend(kept);
        self.local = local;
    }

    /// A label line.
    fn line(&mut self, line: &Table) {
        self.keys(line, &[("id", Names::Line)]);
        line.table("shows").into_iter().for_each(|shows| self.readings(shows));
    }

    /// A claim, or what a dispute says of one.
    fn claim(&mut self, claim: &Table) {
        self.keys(claim, &[("about", Names::Thing), ("other", Names::Thing), ("claim", Names::Voice)]);
        self.sources(claim, &["sources"]);
        let reading = claim.words("claim").and_then(|name| Some(FeatureId::new(name.split_once("#features.")?.1)));
        self.keys(claim, &[("says", Names::Says(reading))]);
    }

    fn condition(&mut self, when: &Table) {
        self.keys(when, &[("feature", Names::Feature)]);
        if let Some(feature) = when.words("feature") {
            self.keys(when, &[("state", Names::State(FeatureId::new(feature)))]);
        }
        when.tables("any").chain(when.tables("all")).for_each(|part| self.condition(part));
    }

    fn readings(&mut self, features: &Table) {
        for entry in features.entries() {
            self.key(&entry.key.value, entry.key.span);
            let state = Names::State(FeatureId::new(entry.key.value.as_str()));
            self.texts(&entry.value, &state);
            if let Some(reading) = entry.value.table() {
                self.keys(reading, &[("state", state.clone()), ("value", state)]);
            }
        }
    }
}
