//! The codes of a garment in hand, in words: what each key reads, whether it counts, and how each figure was read.

use crate::dating::answer::garment::Garment;
use crate::dating::answer::{Answer, CodeRead};
use crate::evidence::key::{self, CodeSeen};
use crate::explain::dating;
use crate::explain::key::{cut, dates, explained, quoted};
use crate::knowledge::Knowledge;
use crate::record::id::KeyId;
use crate::record::key::CodeKey;
use crate::record::observation::Value;

/// Whether each figure of a code is explained.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// The dates alone.
    Dates,
    /// The dates, and the meaning of each figure.
    Figures,
}

/// Says what is read from the codes that count toward the years, for the paragraph that a seller may paste.
pub fn sentences(knowledge: &Knowledge, answer: &Answer) -> Vec<String> {
    let used = answer.keys.iter().filter(|read| read.is_used);
    let sentences = used.map(|read| {
        let key = titled(knowledge, &read.key);
        format!("The code “{}” reads {}, by the key {key}.", cut(&read.code), says(read))
    });
    sentences.collect()
}

/// The reading of a key, with the factory.
fn says(read: &CodeRead) -> String {
    let dates = dates(&read.reading.dates);
    match read.reading.factory() {
        Some(factory) => format!("{dates}, factory {factory}"),
        None => dates,
    }
}

/// A key by its title, with its sources.
fn titled(knowledge: &Knowledge, id: &KeyId) -> String {
    let catalog = &knowledge.catalog;
    let Some((index, key)) = catalog.keys.get(id).and_then(|index| Some((*index, key::of(catalog, *index)?))) else {
        return format!("“{id}”");
    };
    let cited = dating::citations(knowledge, catalog.record(index), &key.sources);
    format!("“{}” ({})", key.title.value, cited.join("; "))
}

/// The sentences about every code of a garment, as lines for a terminal; empty if no key covers its codes.
pub fn lines(knowledge: &Knowledge, garment: &Garment, answer: &Answer, detail: Detail) -> Vec<String> {
    let mut keys = key::standing(&knowledge.catalog);
    keys.retain(|key| !knowledge.doubted_keys.contains(&key.index));
    let maker = garment.known.maker_of_all();
    let mut lines = Vec::new();
    for (feature, value) in &garment.features {
        let Value::Code(code) = value else { continue };
        let seen = key::read(&keys, feature, code, maker.as_ref());
        if seen.reads.is_empty() && seen.unread.is_empty() {
            continue;
        }
        let own: Vec<&CodeRead> = answer.keys.iter().filter(|read| read.feature == *feature).collect();
        lines.push(headline(&own, maker.is_some()));
        match detail {
            Detail::Figures => lines.extend(explained(knowledge, &seen).into_iter().map(|line| format!("  {line}"))),
            Detail::Dates => lines.extend(brief(knowledge, &own, &seen)),
        }
    }
    lines
}

/// Whether the code counts, and why not.
fn headline(reads: &[&CodeRead], is_maker_known: bool) -> String {
    match (reads, is_maker_known) {
        ([], true) => "No key of its maker reads the code, so it does not count.".to_string(),
        ([], false) => "No key reads the code.".to_string(),
        (_, false) => "Who made it? These keys could read the code; name the maker, and it counts.".to_string(),
        ([read, ..], true) if read.is_used => "Its code counts toward the years.".to_string(),
        (_, true) => "Two keys read the code differently, so neither counts.".to_string(),
    }
}

fn brief(knowledge: &Knowledge, reads: &[&CodeRead], seen: &CodeSeen<'_>) -> Vec<String> {
    let read = reads.iter().map(|read| {
        let makers = makers(seen, &read.key).map_or_else(String::new, |makers| format!(" of {makers}"));
        let key = titled(knowledge, &read.key);
        format!("  {} reads {} through the key `{}`{makers}: {key}", quoted(&read.code), says(read), read.key)
    });
    read.collect()
}

/// The makers of a key; `None` if it is for all makers.
fn makers(seen: &CodeSeen<'_>, id: &KeyId) -> Option<String> {
    let key: &CodeKey = seen.reads.iter().find(|read| read.key.id == id)?.key.key;
    let makers: Vec<String> = key.makers.iter().map(|maker| format!("`{}`", maker.value)).collect();
    (!makers.is_empty()).then(|| makers.join(", "))
}
