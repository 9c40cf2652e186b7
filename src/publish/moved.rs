//! Pages at earlier addresses that lead to a record's present one.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::page::PageError;
use crate::publish::output::OutputFile;
use crate::record::{Content, Record};
use crate::resolve::RecordIndex;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::path;

/// The kinds of record that have pages of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Makers.
    Maker,
    /// Models.
    Model,
    /// Variants.
    Variant,
    /// Observations, placed or not.
    Observation,
    /// Keys.
    Key,
}

#[derive(Serialize)]
struct View {
    frame: Frame,
    now: Link,
}

/// Plans a page for each earlier address of records of a kind, unless another record stands there today.
pub fn pages<'a>(context: &'a Context<'a>, kind: Kind) -> Vec<OutputFile<'a>> {
    let moved = context.knowledge.catalog.moved.iter();
    let pages = moved.filter_map(|(old, new)| {
        let index = record_at(context, new).filter(|index| is_of(context.knowledge.catalog.record(*index), kind))?;
        let page = page_of(old, kind);
        record_at(context, old).is_none().then(|| OutputFile::new(page.clone(), move || forward(context, &page, index)))
    });
    pages.collect()
}

/// The anchors that a record on a shared page had at earlier addresses, unless another record stands there today.
pub fn aliases<'a>(context: &'a Context<'a>, record: &Record) -> Vec<String> {
    let moved = context.knowledge.catalog.moved.iter().filter(|(_, new)| *new == record.path.address());
    let free = moved.filter(|(old, _)| record_at(context, old).is_none());
    free.map(|(old, _)| path::anchor(record, old.rsplit_once('/').map_or(old.as_str(), |(_, stem)| stem))).collect()
}

/// Keeps each anchor of a page once: aliases yield to present anchors, and later ones to earlier ones.
pub fn settle<T>(entries: &mut [T], parts: impl for<'t> Fn(&'t mut T) -> (&'t String, &'t mut Vec<String>)) {
    let mut taken: BTreeSet<String> = entries.iter_mut().map(|entry| parts(entry).0.clone()).collect();
    for entry in entries {
        parts(entry).1.retain(|alias| taken.insert(alias.clone()));
    }
}

fn record_at<'a>(context: &'a Context<'a>, address: &str) -> Option<RecordIndex> {
    context.index.record(&format!("entries/{address}.md"))
}

fn is_of(record: &Record, kind: Kind) -> bool {
    match record.content {
        Content::Maker(_) => kind == Kind::Maker,
        Content::Model(_) => kind == Kind::Model,
        Content::Variant(_) => kind == Kind::Variant,
        Content::Observation(_) => kind == Kind::Observation,
        Content::Key(_) => kind == Kind::Key,
        _ => false,
    }
}

fn page_of(address: &str, kind: Kind) -> String {
    match (kind, address.rsplit_once('/')) {
        (Kind::Key, _) => path::key_at(address),
        (Kind::Observation, _) | (_, None) => format!("{address}.html"),
        (_, Some((folder, _))) => format!("{folder}.html"),
    }
}

fn forward<'a>(context: &'a Context<'a>, page: &str, index: RecordIndex) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, page);
    let now = leaf.record(index);
    let to = path::record(context.knowledge.catalog.record(index));
    let frame = leaf
        .frame(now.name.clone(), &format!("This entry now stands at {to}: {}.", now.name), Vec::new())
        .instead(context, &to);
    leaf.render("moved.html", &View { frame, now })
}
