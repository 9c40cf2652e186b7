//! The codes of a garment on its page: what keys read, each figure, which dates remain, and whether they count.

use serde::Serialize;

use crate::evidence::coded::{self, CodedGarment};
use crate::evidence::key;
use crate::explain::coded as coded_words;
use crate::explain::key::{explained, quoted, reading};
use crate::knowledge::Standing;
use crate::record::observation::Placement;
use crate::resolve::{GarmentIndex, RecordIndex};
use crate::view::leaf::Leaf;
use crate::view::reasons;

/// How many sentences about figures a page shows; a key may have thousands of forms.
const MOST_SENTENCES: usize = 12;

/// One code with what keys make of it, as HTML.
#[derive(Debug, Serialize)]
pub struct CodeView {
    /// Its reading.
    reads: String,
    /// Which of the dates remain, where the code can mean several.
    remains: Option<String>,
    /// Why the others went.
    ruled_out: Vec<String>,
    /// Whether that counts, and why not.
    counts: String,
    /// How each figure was read.
    figures: Vec<String>,
}

/// Puts the codes of an entry's garment into words; none where no key speaks of them.
pub fn of(leaf: &Leaf<'_>, index: RecordIndex) -> Vec<CodeView> {
    let knowledge = leaf.context.knowledge;
    let catalog = &knowledge.catalog;
    let keys = key::standing(catalog);
    let placement = catalog.record(index).content.observation().map(|observation| &observation.placement);
    let garment = leaf.context.index.garment(index);
    let codes = match (keys.is_empty(), placement, garment) {
        (false, Some(Placement::Unplaced(_)), _) => coded::of_unplaced(catalog, &keys, index),
        (false, Some(Placement::Variant(_)), Some(garment)) => {
            coded::of_garment(catalog, &keys, catalog.garment(garment))
        }
        _ => Vec::new(),
    };
    codes.iter().map(|code| view(leaf, code, garment)).collect()
}

fn view(leaf: &Leaf<'_>, garment: &CodedGarment<'_>, of: Option<GarmentIndex>) -> CodeView {
    let seen = &garment.code.seen;
    let knowledge = leaf.context.knowledge;
    let made = of.and_then(|of| knowledge.made.get(&of)).copied();
    let path_of = |index: RecordIndex| &knowledge.catalog.record(index).path;
    let code = quoted(seen.code);
    let through =
        |read: &key::KeyRead<'_>| format!("{} through the key `{}`", reading(&read.reading), path_of(read.key.index));
    let reads = match (seen.reads.as_slice(), seen.used()) {
        ([], _) => format!("No key of its maker can read the code {code}."),
        (_, [read, ..]) => format!("The code {code} reads {}.", through(read)),
        (reads, []) => {
            let all: Vec<String> = reads.iter().map(through).collect();
            format!("Keys read the code {code} differently: {}.", all.join("; "))
        }
    };
    let mut figures = explained(knowledge, seen);
    figures.truncate(MOST_SENTENCES);
    // A key by its path becomes a link to its page.
    let keys = seen.reads.iter().map(|read| read.key).chain(seen.unread.iter().map(|(key, _)| *key));
    for key in keys {
        let (id, path) = (format!("the key `{}`", key.id), format!("the key `{}`", path_of(key.index)));
        figures.iter_mut().for_each(|sentence| *sentence = sentence.replace(&id, &path));
    }
    let gone = of.map(|of| coded_words::ruled_out(&leaf.context.analysis.without(), of, garment)).unwrap_or_default();
    CodeView {
        reads: leaf.words(&reads, None),
        remains: made.and_then(|made| coded_words::remains(garment, made)),
        ruled_out: reasons::sentences(leaf, &gone),
        counts: coded_words::counts(leaf.catalog(), garment, |name| standing(leaf, name)).to_string(),
        figures: figures.iter().map(|sentence| leaf.words(sentence, None)).collect(),
    }
}

fn standing(leaf: &Leaf<'_>, name: &str) -> Option<Standing> {
    let voice = leaf.context.index.voice(name)?;
    Some(leaf.context.knowledge.voice(voice).standing)
}
