//! The codes of a garment as its page shows them: what keys read, each figure, which dates remain, and whether they count.

use serde::Serialize;

use crate::code::calendar::CodeDate;
use crate::date::DaySpan;
use crate::evidence::coded::{self, CodedGarment};
use crate::evidence::key;
use crate::explain::key::{dates, explained, quoted, reading};
use crate::knowledge::Standing;
use crate::record::observation::Placement;
use crate::resolve::RecordIndex;
use crate::view::leaf::Leaf;

/// How many sentences about figures a page shows; a key may have thousands of forms.
const MOST_SENTENCES: usize = 12;

/// One code with what keys make of it, as HTML.
#[derive(Debug, Serialize)]
pub struct CodeView {
    /// What it reads.
    reads: String,
    /// Which of the dates remain, where the code can mean several.
    remains: Option<String>,
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
    let made = garment.and_then(|garment| knowledge.made.get(&garment)).copied();
    codes.iter().map(|garment| view(leaf, garment, made)).collect()
}

fn view(leaf: &Leaf<'_>, garment: &CodedGarment<'_>, made: Option<DaySpan>) -> CodeView {
    let seen = &garment.code.seen;
    let code = quoted(seen.code);
    let through =
        |read: &key::KeyRead<'_>| format!("{} through the key “{}”", reading(&read.reading), read.key.key.title.value);
    let reads = match (seen.reads.as_slice(), seen.used()) {
        ([], _) => format!("No key of its maker can read the code {code}."),
        (_, [read, ..]) => format!("The code {code} reads {}.", through(read)),
        (reads, []) => {
            let all: Vec<String> = reads.iter().map(through).collect();
            format!("Keys read the code {code} differently: {}.", all.join("; "))
        }
    };
    let mut figures = explained(leaf.context.knowledge, seen);
    figures.truncate(MOST_SENTENCES);
    CodeView {
        reads: leaf.words(&reads, None),
        remains: made.and_then(|made| remains(garment, made)),
        counts: counts(leaf, garment).to_string(),
        figures: figures.iter().map(|sentence| leaf.words(sentence, None)).collect(),
    }
}

/// The dates that all else that is known leaves, where that is not all of them.
fn remains(garment: &CodedGarment<'_>, made: DaySpan) -> Option<String> {
    let all = &garment.code.seen.used().first()?.reading.dates;
    let is_left =
        |date: &&CodeDate| DaySpan::new(Some(date.first), Some(date.last)).is_some_and(|days| days.overlaps(made));
    let left: Vec<CodeDate> = all.iter().filter(is_left).copied().collect();
    match (left.len(), all.len()) {
        (_, 1) => None,
        (0, _) => Some("With all that is known of the garment, none of these is left.".to_string()),
        (some, every) if some == every => None,
        _ => Some(format!("With all that is known of the garment, only {} is left.", dates(&left))),
    }
}

/// Whether the reading dates the garment.
fn counts(leaf: &Leaf<'_>, garment: &CodedGarment<'_>) -> &'static str {
    let catalog = leaf.catalog();
    let seen = &garment.code.seen;
    let entries = || garment.observations.iter().filter_map(|index| catalog.record(*index).content.observation());
    let standing =
        |name: &str| leaf.context.index.voice(name).map(|voice| leaf.context.knowledge.voice(voice).standing);
    let made = standing(&format!("{}#made", catalog.record(garment.code.record).path));
    let keys = seen.used().iter().filter_map(|read| standing(&format!("{}#key", catalog.record(read.key.index).path)));
    // The date holds while the code does and any of the keys that read it.
    let both = made.zip(keys.min()).map(|(made, key)| made.max(key));
    match (seen.reads.is_empty(), seen.used().is_empty(), both) {
        (true, ..) => "So it dates nothing.",
        (_, true, _) => "Neither is preferred, so the code dates nothing.",
        _ if entries().any(key::has_own_date) => match garment.own_dates_against(catalog).is_empty() {
            true => "The date that the entry gives agrees with it, and counts.",
            false => "The date that the entry gives is another; that one counts, and the code does not.",
        },
        (.., Some(Standing::Kept)) => "That is the garment's date.",
        (.., Some(Standing::Contested)) => "What else is known contradicts it, so it is contested and bounds nothing.",
        (.., Some(Standing::SetAside)) => "What else is known contradicts it, so it is set aside.",
        (.., None) => "It bounds no era: the garment's variant is not known, or the date is left out.",
    }
}
