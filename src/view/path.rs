//! The place of everything in the site: a record's page, a conclusion's anchor.
//!
//! Paths are relative to the site's top folder; a page turns them into links relative to itself.

use crate::page;
use crate::record::id::{FeatureId, LineId, ModelId, Thing, Whole, whole_claim};
use crate::record::{Content, Record};
use crate::resolve::CitedSource;
use crate::view::context::Context;

/// The page of a record, with an anchor where several share a page.
pub fn record(record: &Record) -> String {
    let address = record.path.address();
    match &record.content {
        Content::About(_) => "index.html".to_string(),
        Content::Source(_) => format!("sources.html#{}", anchor(record, record.path.stem())),
        Content::Landmark(_) => format!("landmarks.html#{}", anchor(record, record.path.stem())),
        Content::Dispute(_) => format!("conflicts.html#{}", anchor(record, record.path.stem())),
        Content::Maker(_) | Content::Model(_) | Content::Variant(_) => {
            format!("{}.html", address.rsplit_once('/').map_or(address, |(folder, _)| folder))
        }
        Content::Observation(_) => format!("{address}.html"),
        Content::Key(_) => key_at(address),
    }
}

/// The page of all keys.
pub const KEYS: &str = "keys/index.html";

/// The page of a key at an address. One that is called `index` makes room for the page of all keys.
pub fn key_at(address: &str) -> String {
    let page = format!("{address}.html");
    if page == KEYS { "keys/index_.html".to_string() } else { page }
}

/// The anchor of a record on a page shared with others, under its present or a former name.
///
/// Each begins with the kind of record, so that none equals an anchor of the page itself.
pub fn anchor(record: &Record, stem: &str) -> String {
    let kind = match record.content {
        Content::Source(_) => "source",
        Content::Landmark(_) => "landmark",
        Content::Dispute(_) => "dispute",
        _ => "record",
    };
    format!("{kind}-{}", page::anchor(stem))
}

/// The anchor of a source on the page of sources.
pub fn source_anchor(source: &CitedSource) -> String {
    format!("source-{}", page::anchor(&source.name))
}

/// The page and anchor of a thing that has an era.
pub fn thing(thing: &Thing) -> String {
    let page = match &thing.whole {
        Whole::Line(id) => line(id),
        other => format!("makers/{}.html", other.as_str()),
    };
    match &thing.state {
        Some(_) => format!("{page}#{}", state_anchor(thing)),
        None => page,
    }
}

/// The page of a label line.
pub fn line(line: &LineId) -> String {
    format!("lines/{}/{}.html", line.maker(), line.line())
}

/// The page of a feature.
pub fn feature(feature: &FeatureId) -> String {
    format!("features/{feature}.html")
}

/// The place of a state on the page of its feature.
pub fn feature_state(feature: &FeatureId, state: &str) -> String {
    format!("{}#{}", self::feature(feature), feature_state_anchor(state))
}

/// The anchor of a state on the page of its feature.
pub fn feature_state_anchor(state: &str) -> String {
    format!("shows-{}", page::anchor(state))
}

/// The path of a model's sheet.
pub fn field_sheet(model: &ModelId) -> String {
    format!("sheets/{model}.html")
}

/// The path of the page that tells a model's variants apart step by step.
pub fn steps(model: &ModelId) -> String {
    format!("steps/{model}.html")
}

/// The path of the page of gaps and overlaps of a model's variants.
pub fn succession(model: &ModelId) -> String {
    format!("gaps/{model}.html")
}

/// The anchor of a state's era on the page of its whole.
pub fn state_anchor(thing: &Thing) -> String {
    let state = thing.state.as_ref();
    state.map_or_else(String::new, |(feature, state)| {
        format!("state-{}.{}", page::anchor(feature.as_str()), page::anchor(state.as_str()))
    })
}

/// The page and anchor of a claim, date or placing by its name.
pub fn claim<'a>(context: &'a Context<'a>, name: &str) -> Option<String> {
    let (path, fragment) = name.split_once('#')?;
    let page = record(context.knowledge.catalog.record(context.index.record(path)?));
    if page.contains('#') { Some(page) } else { Some(format!("{page}#{}", claim_anchor(fragment))) }
}

/// The anchor of a claim, date, placing or reading on its record's page.
pub fn claim_anchor(fragment: &str) -> String {
    let whole = whole_claim(fragment);
    match (whole, whole.strip_prefix("features.")) {
        ("made" | "seen", _) => whole.to_string(),
        (_, Some(feature)) => format!("feature-{}", page::anchor(feature)),
        _ => format!("claim-{}", page::anchor(whole)),
    }
}

/// The page of what rests on a source. Those of one file have a folder named after that file.
pub fn resting_on(source: &CitedSource) -> String {
    let name = source.name.strip_prefix("entries/").unwrap_or(&source.name);
    format!("sources/{}.html", name.replacen(".md#", "/", 1))
}

/// A further page of what rests on a source, by its number from 1. Ids hold no dot, so no source has this page.
pub fn resting_on_part(source: &CitedSource, number: usize) -> String {
    let whole = resting_on(source);
    format!("{}.part-{number}.html", whole.strip_suffix(".html").unwrap_or(&whole))
}

/// The entry of a source on the page of sources.
pub fn source(source: &CitedSource) -> String {
    format!("sources.html#{}", source_anchor(source))
}
