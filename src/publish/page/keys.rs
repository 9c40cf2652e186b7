//! The page of all keys, and a page for each: how it reads a code, who says so, and the garments whose codes it speaks of.
//!
//! The field that reads a code works in the browser, from the key itself, which the page carries.

mod forms;
mod garments;

use std::sync::Arc;

use serde::Serialize;

use crate::date::spoken;
use crate::evidence::key::{self, StandingKey};
use crate::explain;
use crate::explain::key::reading;
use crate::markup;
use crate::page::PageError;
use crate::publish::export::rules;
use crate::publish::moved;
use crate::publish::output::{OutputFile, Publisher};
use crate::publish::page::keys::forms::FormView;
use crate::publish::page::keys::garments::{GarmentView, GarmentsByKey};
use crate::publish::scripts::{self, Scripts};
use crate::record::Content;
use crate::record::id::{KeyId, Thing, Whole};
use crate::record::key::CodeKey;
use crate::resolve::{Catalog, RecordIndex};
use crate::view::context::Context;
use crate::view::leaf::{Cited, Frame, Leaf, Link, name};
use crate::view::path;
use crate::view::reasons::{self, VoiceView};
use crate::vocabulary::measure::rounded;

/// Writes the keys' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "keys",
    description: "a page for all keys to codes and one for each, with a field that reads a code",
    owns: &["keys/*.html"],
    publish,
};

#[derive(Serialize)]
struct ListView {
    frame: Frame,
    caution: String,
    keys: Vec<KeyRow>,
    /// The keys as the field reads them.
    data: String,
    scripts: Vec<String>,
}

#[derive(Serialize)]
struct KeyRow {
    link: Link,
    makers: Vec<Link>,
    feature: String,
    years: String,
    forms: String,
    garments: usize,
    doubt: Option<&'static str>,
}

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: String,
    name: String,
    feature: String,
    look: Option<String>,
    makers: Vec<Link>,
    first: String,
    last: String,
    forms: Vec<FormView>,
    more_forms: usize,
    sources: Vec<Cited>,
    odds: String,
    doubt: Option<&'static str>,
    voice: Option<VoiceView>,
    disputes: Vec<Link>,
    examples: Vec<ExampleView>,
    garments: Vec<GarmentView>,
    body: String,
    data: String,
    scripts: Vec<String>,
}

#[derive(Serialize)]
struct ExampleView {
    code: String,
    reads: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    // Found once for all pages, while the pages are planned.
    let garments = Arc::new(garments::by_key(context));
    let shared = Arc::clone(&garments);
    let list = OutputFile::new(path::KEYS, move || list(context, &shared));
    let pages = all(&context.knowledge.catalog).into_iter().map(|own| {
        let garments = Arc::clone(&garments);
        let path = path::record(context.knowledge.catalog.record(own.index));
        OutputFile::new(path, move || page(context, own, &garments))
    });
    std::iter::once(list).chain(pages).chain(moved::pages(context, moved::Kind::Key)).collect()
}

/// The description of the list of keys.
const ABOUT: &str =
    "How makers’ codes are read: which figures are the month, the year and the factory, and who says so.";

fn caution() -> String {
    let more = "If a table was copied wrongly, every code read by it is wrong: check its years against the rest of \
                the garment.";
    format!("{} {more}", explain::CAUTION)
}

fn all(catalog: &Catalog) -> Vec<Own<'_>> {
    let keys = catalog.keys.iter();
    keys.filter_map(|(id, index)| Some(Own { id, index: *index, key: key::of(catalog, *index)? })).collect()
}

fn list<'a>(context: &'a Context<'a>, garments: &GarmentsByKey<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path::KEYS);
    let own = all(leaf.catalog());
    let rows = own.iter().map(|own| KeyRow {
        link: leaf.record(own.index),
        makers: own.makers(&leaf),
        feature: own.feature(&leaf),
        years: own.years(),
        forms: markup::with_code(&explain::key::forms(own.key)),
        garments: garments.get(own.id).map_or(0, Vec::len),
        doubt: own.doubt(&leaf),
    });
    let view = ListView {
        frame: leaf.frame("Keys", ABOUT, Vec::new()),
        caution: caution(),
        keys: rows.collect(),
        data: data(context, &own)?,
        scripts: scripts(&leaf),
    };
    leaf.render("keys.html", &view)
}

fn page<'a>(context: &'a Context<'a>, own: Own<'a>, garments: &GarmentsByKey<'a>) -> Result<Vec<u8>, PageError> {
    let Own { id, index, key } = own;
    let record = context.knowledge.catalog.record(index);
    let leaf = Leaf::new(context, path::record(record));
    let voice = context.index.voice(&own.voice(&leaf));
    let (forms, more_forms) = forms::of(key);
    let [first, last] = [spoken::begin(key.notation.window.first), spoken::end(key.notation.window.last)];
    let about = format!(
        "{}: how to read this code on garments made from {first} to {last}, who says so, and what was read by it.",
        name(record)
    );
    let view = View {
        frame: leaf.frame(name(record), &about, vec![leaf.link("Keys", path::KEYS)]),
        caution: caution(),
        name: name(record),
        feature: own.feature(&leaf),
        look: leaf.catalog().vocabulary.feature(key.reads.value.as_str()).map(|feature| feature.look.clone()),
        makers: own.makers(&leaf),
        first,
        last,
        forms,
        more_forms,
        sources: key.sources.iter().map(|source| leaf.cited(record.file, &source.value)).collect(),
        odds: rounded(key::odds(leaf.catalog(), own.standing())),
        doubt: own.doubt(&leaf),
        voice: voice.map(|voice| reasons::voice(&leaf, voice)),
        disputes: own.disputes(&leaf),
        examples: key.examples.iter().map(|example| own.example(&example.code.value)).collect(),
        garments: garments.get(id).into_iter().flatten().map(|found| garments::view(&leaf, id, found)).collect(),
        body: leaf.prose(record),
        data: data(context, &[own])?,
        scripts: scripts(&leaf),
    };
    leaf.render("key.html", &view)
}

fn data<'a>(context: &'a Context<'a>, own: &[Own<'a>]) -> Result<String, PageError> {
    let exported: Vec<_> = own.iter().map(|own| rules::keys::export(context.knowledge, own.standing())).collect();
    serde_json::to_string(&exported).map_err(PageError::from)
}

fn scripts(leaf: &Leaf<'_>) -> Vec<String> {
    let Scripts { dating, keys, .. } = scripts::scripts();
    dating.iter().chain(&keys).map(|path| leaf.href(path)).collect()
}

/// A key with its record.
#[derive(Clone, Copy)]
struct Own<'a> {
    id: &'a KeyId,
    index: RecordIndex,
    key: &'a CodeKey,
}

impl<'a> Own<'a> {
    fn standing(&self) -> StandingKey<'a> {
        StandingKey { id: self.id, index: self.index, key: self.key }
    }

    fn voice(&self, leaf: &Leaf<'_>) -> String {
        format!("{}#key", leaf.catalog().record(self.index).path)
    }

    fn makers(&self, leaf: &Leaf<'_>) -> Vec<Link> {
        let makers = self.key.makers.iter();
        makers.map(|maker| leaf.thing(&Thing::of(Whole::Maker(maker.value.clone())))).collect()
    }

    fn feature(&self, leaf: &Leaf<'_>) -> String {
        let id = self.key.reads.value.as_str();
        leaf.catalog().vocabulary.feature(id).map_or_else(|| id.to_string(), |feature| feature.name.clone())
    }

    fn years(&self) -> String {
        let window = self.key.notation.window;
        format!("{}–{}", window.first.year(), window.last.year())
    }

    /// Why it is not read, or should not be relied on.
    fn doubt(&self, leaf: &Leaf<'_>) -> Option<&'static str> {
        let catalog = leaf.catalog();
        let file = catalog.record(self.index).file;
        if catalog.withheld.contains(&self.index) || catalog.rests_on_withheld(file, &self.key.sources) {
            return Some("It is withheld, or all its sources are: it is published but dates nothing.");
        }
        if catalog.is_set_aside(self.index, "key") {
            return Some("A settled dispute sets it aside, so it dates nothing.");
        }
        let is_doubted = leaf.context.knowledge.doubted_keys.contains(&self.index);
        is_doubted.then_some("Evidence from garments contradicts it, so it dates nothing until that is settled.")
    }

    fn disputes(&self, leaf: &Leaf<'_>) -> Vec<Link> {
        let name = self.voice(leaf);
        let disputes = leaf.catalog().disputes.iter().filter(|index| {
            let Content::Dispute(dispute) = &leaf.catalog().record(**index).content else { return false };
            let set_aside = dispute.set_aside.iter().map(|voice| voice.value.as_str());
            let claims = dispute.claims.iter().map(|claim| claim.claim.value.as_str());
            set_aside.chain(claims).any(|claim| claim == name)
        });
        disputes.map(|index| leaf.record(*index)).collect()
    }

    fn example(&self, code: &str) -> ExampleView {
        let reads = match self.key.notation.read(code) {
            Ok(found) => reading(&found).replace('`', ""),
            Err(why) => explain::key::unread(self.key, &why),
        };
        ExampleView { code: code.to_string(), reads }
    }
}
