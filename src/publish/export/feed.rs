//! `feed.xml`: the observations made most recently, as an Atom feed (RFC 4287), dated by the days on which somebody looked.
//!
//! There is no clock: a feed without dated observations is dated at the beginning of 1970. The id of an entry is made
//! from the first address it had, so that it lasts through a change of name.

use std::cmp::Reverse;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use crate::date::{Day, spoken};
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::Record;
use crate::record::id::{Thing, Whole};
use crate::record::observation::{Observation, Placement};
use crate::resolve::RecordIndex;
use crate::view::context::Context;
use crate::view::leaf::{self, Leaf};
use crate::view::path;

/// Writes the feed.
pub const PUBLISHER: Publisher = Publisher {
    name: "feed",
    description: "the observations made most recently, as an Atom feed",
    owns: &["feed.xml"],
    publish,
};

/// The most observations in the feed.
const LATEST: usize = 50;

/// The feed's description: nothing here knows on which day an entry was added.
const SUBTITLE: &str = "The garments and documents examined most recently, by the day of examination. An \
    old observation entered today appears under its own day, or not at all. `bartack diff` lists what is \
    new in the knowledge base.";

type Xml = Writer<Vec<u8>>;

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("feed.xml", move || feed(context))]
}

fn feed<'a>(context: &'a Context<'a>) -> std::io::Result<Vec<u8>> {
    let leaf = Leaf::new(context, "feed.xml");
    let about = &leaf.catalog().about;
    let numbered = (0_u32..).map(RecordIndex).zip(&leaf.catalog().records);
    let mut dated: Vec<News<'_>> = numbered
        .filter_map(|(index, record)| {
            let seen = record.content.observation()?;
            Some(News { day: seen.observed.as_ref()?.value, index, record, seen })
        })
        .collect();
    dated.sort_by_key(|news| (Reverse(news.day), &news.record.path));
    dated.truncate(LATEST);
    let updated = dated.first().map_or(Day::from_number(0), |news| news.day);
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("utf-8"), None)))?;
    let head = [("xmlns", "http://www.w3.org/2005/Atom".to_string()), ("xml:lang", shown(&about.language))];
    let head = xml.create_element("feed").with_attributes(head.iter().map(|(name, value)| (*name, value.as_str())));
    head.write_inner_content(|xml| {
        text(xml, "id", &id(context, ""))?;
        text(xml, "title", &about.title)?;
        text(xml, "subtitle", SUBTITLE)?;
        text(xml, "updated", &moment(updated))?;
        text(xml, "rights", &about.licence)?;
        author(xml, &about.title)?;
        link(xml, "alternate", &address(context, "index.html"))?;
        if context.address().is_some() {
            link(xml, "self", &address(context, "feed.xml"))?;
        }
        dated.iter().try_for_each(|news| entry(&leaf, xml, news))
    })?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

/// An observation with the day on which somebody looked.
struct News<'n> {
    day: Day,
    index: RecordIndex,
    record: &'n Record,
    seen: &'n Observation,
}

fn entry(leaf: &Leaf<'_>, xml: &mut Xml, news: &News<'_>) -> std::io::Result<()> {
    let News { day, index, record, seen } = *news;
    let first = record.formerly.first().map_or(record.path.address(), |former| former.value.as_str());
    let page = path::record(record);
    xml.create_element("entry").write_inner_content(|xml| {
        text(xml, "id", &id(leaf.context, first))?;
        text(xml, "title", &leaf.name(index))?;
        text(xml, "updated", &moment(day))?;
        if let Some(observer) = &seen.observer {
            author(xml, &observer.value)?;
        }
        link(xml, "alternate", &address(leaf.context, &page))?;
        text(xml, "summary", &summary(leaf, seen))
    })?;
    Ok(())
}

fn summary(leaf: &Leaf<'_>, seen: &Observation) -> String {
    let placed = match &seen.placement {
        Placement::Variant(variant) => leaf::thing_name(leaf.catalog(), &Thing::of(Whole::Variant(variant.clone()))),
        Placement::Unplaced(_) => "not placed yet".to_string(),
    };
    let count = seen.features.len();
    let made = seen.made.as_ref().and_then(|made| spoken::date(&made.value));
    let made = made.map_or_else(String::new, |made| format!(" Made {made}."));
    format!("{placed}.{made} {count} feature{} looked at.", if count == 1 { "" } else { "s" })
}

fn text(xml: &mut Xml, name: &str, value: &str) -> std::io::Result<()> {
    xml.create_element(name).write_text_content(BytesText::new(&shown(value)))?;
    Ok(())
}

fn author(xml: &mut Xml, name: &str) -> std::io::Result<()> {
    // A name may not be empty (RELAX NG in RFC 4287 lets it, readers do not).
    let name = if name.trim().is_empty() { "unknown" } else { name };
    xml.create_element("author").write_inner_content(|xml| text(xml, "name", name))?;
    Ok(())
}

fn link(xml: &mut Xml, relation: &str, to: &str) -> std::io::Result<()> {
    let to = shown(to);
    xml.create_element("link").with_attributes([("rel", relation), ("href", to.as_str())]).write_empty()?;
    Ok(())
}

/// A path under the address of the site, or relative to the feed where it has none.
fn address<'a>(context: &'a Context<'a>, path: &str) -> String {
    context.address().unwrap_or_default() + path
}

/// Leaves out what XML 1.0 cannot hold, and marks where it was.
fn shown(value: &str) -> String {
    let is_held = |character: char| matches!(character, '\t' | '\n' | '\r' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    value.chars().map(|character| if is_held(character) { character } else { '\u{fffd}' }).collect()
}

fn moment(day: Day) -> String {
    format!("{day}T00:00:00Z")
}

/// A lasting name: a UUID of version 8 (RFC 9562) from the hash of what it names.
fn id<'a>(context: &'a Context<'a>, entry: &str) -> String {
    let about = &context.knowledge.catalog.about;
    let named = context.address().unwrap_or_else(|| about.title.clone());
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&blake3::hash(format!("{named}\n{entry}").as_bytes()).as_bytes()[..16]);
    bytes[6] = bytes[6] & 0x0f | 0x80;
    bytes[8] = bytes[8] & 0x3f | 0x80;
    let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    format!("urn:uuid:{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}
