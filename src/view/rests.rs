//! The statements that depend on each source: claims, dates, entries, landmarks, keys, and the
//! bounds of eras whose chains lead back to it.
//!
//! Found once for all sources; nothing here is weighed or judged.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::evidence::key;
use crate::explain;
use crate::knowledge::{Side, VoiceIndex};
use crate::page::batches::{self, Batch};
use crate::record::claim::{Claim, Event, SourceReference};
use crate::record::id::Thing;
use crate::record::observation::Basis;
use crate::record::{Content, Record};
use crate::resolve::{RecordIndex, SourceIndex};
use crate::source::Spanned;
use crate::view::claims;
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link, thing_name};
use crate::view::path;
use crate::view::reasons;

/// The statements that depend on one source, in groups. Links are paths of the site until a page
/// takes them.
pub struct Rests {
    groups: BTreeMap<Resting, Vec<Link>>,
}

/// The statements of one kind that depend on a source, for a page.
#[derive(Serialize)]
pub struct Group {
    title: &'static str,
    links: Vec<Batch<Link>>,
    /// The pages that list them, if this one does not.
    parts: Vec<Link>,
}

/// The most links on a page: with the longest usual names they come to 100 KB.
const ON_ONE_PAGE: usize = 300;

/// A group of this many links or fewer stays on the page of its source: all seven together fit there.
const STAYS: usize = 40;

/// Some of the links of one kind, on a page of their own.
struct Part<'r> {
    resting: Resting,
    /// The number of its first link among those of its kind, from 1.
    first: usize,
    links: &'r [Link],
}

impl Part<'_> {
    /// What it lists, such as `301–600, from one to another`.
    fn words(&self) -> String {
        let last = self.first + self.links.len() - 1;
        match Link::ends(self.links) {
            ends if ends.is_empty() => format!("{}–{last}", self.first),
            ends => format!("{}–{last}, {ends}", self.first),
        }
    }
}

impl Rests {
    /// How many of each there are, in words.
    pub fn summary(&self) -> String {
        let counted = self.groups.iter().map(|(resting, links)| match (resting.words(), links.len()) {
            ((one, _, _), 1) => format!("1 {one}"),
            ((_, several, _), count) => format!("{count} {several}"),
        });
        counted.collect::<Vec<_>>().join(", ")
    }

    /// The number of further pages: none where one page holds all links.
    pub fn pages(&self) -> usize {
        self.parts().len()
    }

    /// The groups with links from a page: to all that they list, or to the further pages.
    pub fn groups(&self, leaf: &Leaf<'_>, page: impl Fn(usize) -> String) -> Vec<Group> {
        let parts = self.parts();
        if parts.is_empty() {
            return self.groups.iter().map(|(resting, links)| group(leaf, *resting, links)).collect();
        }
        let of = |resting: Resting| (1..).zip(&parts).filter(move |(_, part)| part.resting == resting);
        let further = |resting| of(resting).map(|(number, part)| leaf.link(part.words(), &page(number))).collect();
        let shown = |(resting, links): (&Resting, &Vec<Link>)| match links.len() {
            0..=STAYS => group(leaf, *resting, links),
            _ => Group { title: resting.words().2, links: Vec::new(), parts: further(*resting) },
        };
        self.groups.iter().map(shown).collect()
    }

    /// The group on a further page, and the numbers of its links.
    pub fn part(&self, leaf: &Leaf<'_>, number: usize) -> Option<(Group, String)> {
        let parts = self.parts();
        let part = parts.get(number.checked_sub(1)?)?;
        let numbers = format!("{}–{}", part.first, part.first + part.links.len() - 1);
        let said = format!("{} {numbers}", part.resting.words().1);
        Some((group(leaf, part.resting, part.links), said))
    }

    fn parts(&self) -> Vec<Part<'_>> {
        if self.groups.values().map(Vec::len).sum::<usize>() <= ON_ONE_PAGE {
            return Vec::new();
        }
        let mut parts = Vec::new();
        for (resting, links) in self.groups.iter().filter(|(_, links)| links.len() > STAYS) {
            let chunks = links.chunks(ON_ONE_PAGE).enumerate();
            parts.extend(chunks.map(|(place, links)| Part {
                resting: *resting,
                first: place * ON_ONE_PAGE + 1,
                links,
            }));
        }
        parts
    }
}

fn group(leaf: &Leaf<'_>, resting: Resting, links: &[Link]) -> Group {
    let linked = |link: &Link| leaf.link(link.name.clone(), &link.href);
    let links = batches::of(links.iter().map(linked).collect(), Link::ends);
    Group { title: resting.words().2, links, parts: Vec::new() }
}

/// How something rests on a source, in the order of the groups.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Resting {
    Claim,
    Date,
    Garment,
    Paper,
    Bound,
    Key,
    Landmark,
}

impl Resting {
    /// The singular, the plural and the title of a kind.
    fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Resting::Claim => ("claim", "claims", "Claims"),
            Resting::Date => ("date of a garment", "dates of garments", "Dates of garments, read by its key"),
            Resting::Garment => ("garment", "garments", "Garments whose entries name it"),
            Resting::Paper => ("paper or statement", "papers and statements", "Papers and statements found in it"),
            Resting::Bound => ("bound of an era", "bounds of eras", "Bounds of eras that go back to it"),
            Resting::Key => ("key", "keys", "Keys to codes"),
            Resting::Landmark => ("landmark", "landmarks", "Landmarks"),
        }
    }
}

/// The statements that depend on each source, during gathering.
struct Gathered<'a> {
    /// A page at the top of the site, whose links are paths of the site.
    leaf: Leaf<'a>,
    links: BTreeMap<SourceIndex, BTreeMap<Resting, Vec<Link>>>,
    /// The sources that a voice goes back to or names.
    of_voices: BTreeMap<VoiceIndex, BTreeSet<SourceIndex>>,
}

/// The statements that depend on each source that has any.
pub fn on_sources<'a>(context: &'a Context<'a>) -> BTreeMap<SourceIndex, Rests> {
    let leaf = Leaf::new(context, "");
    let mut gathered = Gathered { leaf, links: BTreeMap::new(), of_voices: BTreeMap::new() };
    for (number, record) in (0_u32..).zip(&context.knowledge.catalog.records) {
        gathered.add_record(RecordIndex(number), record);
    }
    gathered.add_bounds();
    gathered.links.into_iter().map(|(source, groups)| (source, Rests { groups })).collect()
}

impl Gathered<'_> {
    fn add_record(&mut self, index: RecordIndex, record: &Record) {
        for claim in record.content.claims() {
            self.add_claim(index, claim);
        }
        let own = self.leaf.record(index);
        match &record.content {
            Content::Observation(observation) => {
                let to = path::record(record);
                let dated = self.leaf.link(own.name.clone(), &format!("{to}#made"));
                self.add(record, observation.made_source.iter(), Resting::Date, &dated);
                let resting =
                    if observation.basis.value == Basis::Specimen { Resting::Garment } else { Resting::Paper };
                self.add(record, observation.sources.iter(), resting, &own);
            }
            Content::Landmark(landmark) => self.add(record, landmark.sources.iter(), Resting::Landmark, &own),
            Content::Key(_) => {
                let sources = key::of(self.leaf.catalog(), index).into_iter().flat_map(|key| &key.sources);
                self.add(record, sources, Resting::Key, &own);
            }
            _ => {}
        }
    }

    fn add_claim(&mut self, index: RecordIndex, claim: &Claim) {
        let catalog = self.leaf.catalog();
        let record = catalog.record(index);
        let name = catalog.claim_name(index, claim);
        let Some(link) = self.leaf.claim(name.as_str()) else { return };
        self.add(record, claim.sources.iter(), Resting::Claim, &link.named(words(&self.leaf, claim)));
        let sources: Vec<SourceIndex> =
            claim.sources.iter().filter_map(|source| catalog.source_named(record.file, &source.value.id)).collect();
        for side in ["", ":begin", ":end"] {
            if let Some(voice) = self.leaf.context.index.voice(&format!("{name}{side}")) {
                self.of_voices.entry(voice).or_default().extend(&sources);
            }
        }
    }

    /// Adds a link for each source that references of a record name, once for each.
    fn add<'s>(
        &mut self,
        record: &Record,
        references: impl Iterator<Item = &'s Spanned<SourceReference>>,
        resting: Resting,
        link: &Link,
    ) {
        let catalog = self.leaf.catalog();
        let sources: BTreeSet<SourceIndex> =
            references.filter_map(|source| catalog.source_named(record.file, &source.value.id)).collect();
        for source in sources {
            self.links.entry(source).or_default().entry(resting).or_default().push(link.clone());
        }
    }

    /// Adds the bounds of eras, each to every source that a voice of its chain names or goes back to.
    fn add_bounds(&mut self) {
        let knowledge = self.leaf.context.knowledge;
        for (thing, era) in &knowledge.eras {
            for (side, _) in Side::ALL {
                let Some(bound) = era.bound(side) else { continue };
                let voices = bound.because.iter();
                let sources: BTreeSet<SourceIndex> = voices
                    .flat_map(|voice| {
                        let named = self.of_voices.get(voice).into_iter().flatten();
                        knowledge.voice(*voice).roots.iter().chain(named).copied()
                    })
                    .collect();
                let link = self.bound(thing, side, bound.day.year());
                for source in sources {
                    self.links.entry(source).or_default().entry(Resting::Bound).or_default().push(link.clone());
                }
            }
        }
    }

    fn bound(&self, thing: &Thing, side: Side, year: i32) -> Link {
        let to = path::thing(thing);
        // A state shares the page of its whole, whose bounds have the anchors.
        let to = if thing.state.is_some() { to } else { format!("{to}#{}", reasons::bound_anchor(side)) };
        let title = match side {
            Side::BeginEarliest => "not begun before",
            Side::BeginLatest => "begun by",
            Side::EndEarliest => "not ended before",
            Side::EndLatest => "ended by",
        };
        self.leaf.link(format!("{}: {title} {year}", thing_name(self.leaf.catalog(), thing)), &to)
    }
}

/// A claim in a few words: what it is about, what happened, and when.
fn words(leaf: &Leaf<'_>, claim: &Claim) -> String {
    let about = thing_name(leaf.catalog(), &claim.about.value);
    let event = claims::event(&claim.event.value);
    match &claim.event.value {
        Event::Before(other) => format!("{about} {event} {}", thing_name(leaf.catalog(), &other.value)),
        other => match other.when() {
            Some(when) => format!("{about}: {event} {}", explain::span(when.value.span(leaf.catalog().circa()))),
            None => format!("{about}: {event}"),
        },
    }
}
