//! The A–Z: every maker, line, model, variant, source, landmark and feature by name, on one page or one for each letter.
//! What else people call features and their states is listed too.
//!
//! It needs no script, so it stands in for the search where there is none. Observations are listed with their variants.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

use serde::Serialize;

use crate::page::{PageError, anchor};
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::id::{FeatureId, ModelId, Thing, Whole, natural_order};
use crate::record::observation::{Placement, Value};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};
use crate::view::letters::{self, PAGE};
use crate::view::named::{Named, Sort};
use crate::view::path;
use crate::vocabulary::Kind;

/// Writes the A–Z.
pub const PUBLISHER: Publisher = Publisher {
    name: "a-z",
    description: "all names from A to Z, with where each feature is seen",
    owns: &[PAGE, "a-z/*.html"],
    publish,
};

/// The most models that are linked from a feature; the others are counted.
const MODELS: usize = 24;

/// The most names on a page of a letter, so that it stays below 100 KB.
const ON_ONE_PAGE: usize = 400;

/// A feature with what it shows and the models it was seen on takes the room of so many names.
const FEATURE: usize = 15;

#[derive(Serialize)]
struct View {
    frame: Frame,
    /// The letters with their places; the one of this page has no place.
    letters: Vec<Jump>,
    /// The pages of this letter, if it has several.
    parts: Vec<Jump>,
    groups: Vec<Group>,
}

#[derive(Serialize)]
struct Jump {
    letter: String,
    href: Option<String>,
    count: usize,
}

#[derive(Serialize)]
struct Group {
    letter: String,
    anchor: String,
    entries: Vec<Entry>,
}

#[derive(Serialize)]
struct Entry {
    id: Option<String>,
    name: Link,
    /// The name that a synonym refers to.
    see: Option<String>,
    sort: &'static str,
    within: Option<Link>,
    feature: Option<FeatureView>,
}

#[derive(Serialize)]
struct FeatureView {
    look: String,
    states: Vec<String>,
    models: Vec<Link>,
    more: usize,
}

/// The models on which each feature was examined, and how many observations show each state.
type Sightings = BTreeMap<FeatureId, (BTreeSet<ModelId>, BTreeMap<String, usize>)>;

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let named = letters::named(context);
    let mut by_letter = ByLetter::new();
    for listing in listed(context) {
        by_letter.entry(letters::letter(listing.name)).or_default().push(listing);
    }
    let by_letter = Arc::new(by_letter);
    let all = Arc::clone(&by_letter);
    let mut files = vec![OutputFile::new(PAGE, move || page(context, &all, None))];
    if letters::are_divided(named) {
        for (letter, listings) in by_letter.iter() {
            for number in 1..=parts(named, listings).len() {
                let (path, all, letter) = (letters::part(letter, number), Arc::clone(&by_letter), letter.clone());
                let make = move || page(context, &all, Some(Part { letter: &letter, number }));
                files.push(OutputFile::new(path, make));
            }
        }
    }
    files
}

/// Every listed name and synonym by its letter, sorted; found once for all pages.
type ByLetter<'a> = BTreeMap<String, Vec<Listing<'a>>>;

/// One page of a letter.
#[derive(Clone, Copy)]
struct Part<'l> {
    letter: &'l str,
    /// From 1.
    number: usize,
}

/// Which names of a letter stand on each of its pages.
fn parts(named: &[Named], listings: &[Listing<'_>]) -> Vec<Range<usize>> {
    let (mut parts, mut start, mut size) = (Vec::new(), 0, 0);
    for (place, listing) in listings.iter().enumerate() {
        let is_feature = !listing.is_synonym && named[listing.place].sort == Sort::Feature;
        let more = if is_feature { FEATURE } else { 1 };
        if size + more > ON_ONE_PAGE {
            parts.push(start..place);
            (start, size) = (place, 0);
        }
        size += more;
    }
    parts.push(start..listings.len());
    parts
}

/// A name in the list, or another word for it.
struct Listing<'a> {
    name: &'a str,
    place: usize,
    is_synonym: bool,
}

/// Every listed name, and every synonym of a feature or state, in the order of the alphabet.
fn listed<'a>(context: &'a Context<'a>) -> Vec<Listing<'a>> {
    let named = letters::named(context);
    let places = (0..named.len()).filter(|place| letters::is_listed(named[*place].sort));
    let mut listings: Vec<Listing<'_>> =
        places.map(|place| Listing { name: &named[place].name, place, is_synonym: false }).collect();
    listings.extend(synonyms(context));
    let key = |listing: &Listing<'_>| {
        let name = listing.name.trim_start_matches(|character: char| !character.is_alphanumeric());
        (name.to_lowercase(), named[listing.place].sort, listing.place)
    };
    let mut keyed: Vec<((String, Sort, usize), Listing<'_>)> =
        listings.into_iter().map(|listing| (key(&listing), listing)).collect();
    keyed.sort_by(|(one, _), (other, _)| {
        natural_order(&one.0, &other.0).then_with(|| (one.1, one.2).cmp(&(other.1, other.2)))
    });
    keyed.into_iter().map(|(_, listing)| listing).collect()
}

/// The other words for features and their states.
fn synonyms<'a>(context: &'a Context<'a>) -> Vec<Listing<'a>> {
    let named = letters::named(context);
    let of_vocabulary = |place: &usize| matches!(named[*place].sort, Sort::Feature | Sort::State);
    let places = (0..named.len()).filter(of_vocabulary).map(|place| (named[place].path.clone(), place));
    let by_path: BTreeMap<String, usize> = places.collect();
    let mut words: Vec<(String, &[String])> = Vec::new();
    for feature in context.knowledge.catalog.vocabulary.iter() {
        words.push((path::feature(&feature.id), &feature.synonyms));
        let states = feature.state_synonyms.iter();
        words.extend(states.map(|(state, own)| (path::feature_state(&feature.id, state.as_str()), own.as_slice())));
    }
    let listing = |(path, own): (String, &'a [String])| {
        let place = by_path.get(&path).copied()?;
        Some(own.iter().map(move |name| Listing { name, place, is_synonym: true }))
    };
    words.into_iter().filter_map(listing).flatten().collect()
}

/// A page of one letter, or of all: their entries on it, or the way to the pages of each.
fn page<'a>(context: &'a Context<'a>, all: &ByLetter<'a>, only: Option<Part<'_>>) -> Result<Vec<u8>, PageError> {
    let leaf =
        Leaf::new(context, only.map_or_else(|| PAGE.to_string(), |part| letters::part(part.letter, part.number)));
    let named = letters::named(context);
    let divided = letters::are_divided(named);
    let shown: Vec<(&String, &[Listing<'_>])> = match only {
        None if divided => Vec::new(),
        None => all.iter().map(|(letter, listings)| (letter, listings.as_slice())).collect(),
        Some(part) => {
            let found = all.get_key_value(part.letter).into_iter();
            found.map(|(letter, listings)| (letter, on_part(named, listings, part))).collect()
        }
    };
    let listings = shown.iter().flat_map(|(_, listings)| *listings);
    let sightings = sightings(&leaf, &listings.filter_map(|listing| feature_id(&named[listing.place])).collect());
    let group = |(letter, listings): &(&String, &[Listing<'_>])| Group {
        letter: letter.to_string(),
        anchor: format!("letter-{}", anchor(&letter.to_lowercase())),
        entries: listings.iter().map(|listing| entry(&leaf, named, listing, &sightings)).collect(),
    };
    let here = only.map(|part| part.letter);
    let jump = |(letter, listings): (&String, &Vec<Listing<'_>>)| Jump {
        letter: letter.clone(),
        href: (here != Some(letter)).then(|| leaf.href(&way(letter, divided))),
        count: listings.len(),
    };
    let view = View {
        frame: frame(&leaf, only),
        letters: all.iter().map(jump).collect(),
        parts: only.map_or_else(Vec::new, |part| jumps(&leaf, named, all, part)),
        groups: shown.iter().map(group).collect(),
    };
    leaf.render("a-z.html", &view)
}

/// The names of a letter that stand on one of its pages.
fn on_part<'l, 'a>(named: &[Named], listings: &'l [Listing<'a>], part: Part<'_>) -> &'l [Listing<'a>] {
    let ranges = parts(named, listings);
    let range = ranges.get(part.number - 1).cloned().unwrap_or_default();
    &listings[range]
}

/// The ways between the pages of a letter; none where it has one page.
fn jumps(leaf: &Leaf<'_>, named: &[Named], all: &ByLetter<'_>, here: Part<'_>) -> Vec<Jump> {
    let listings = all.get(here.letter).map_or(&[][..], Vec::as_slice);
    let ranges = parts(named, listings);
    if ranges.len() < 2 {
        return Vec::new();
    }
    let jump = |(number, range): (usize, &Range<usize>)| Jump {
        letter: format!("{} to {}", listings[range.start].name, listings[range.end - 1].name),
        href: (number != here.number).then(|| leaf.href(&letters::part(here.letter, number))),
        count: range.len(),
    };
    (1..).zip(&ranges).map(jump).collect()
}

/// The kinds of names listed.
const NAMES: &str = "makers, lines, models, variants, sources, landmarks and features, with other words for them.";

fn frame(leaf: &Leaf<'_>, only: Option<Part<'_>>) -> Frame {
    match only {
        Some(Part { letter, number }) => {
            let title = if number > 1 { format!("{letter}, page {number}") } else { letter.to_string() };
            leaf.frame(title, &format!("Names that begin with {letter}: {NAMES}"), vec![leaf.link("A–Z", PAGE)])
        }
        None => leaf.frame("A–Z", &format!("Every name from A to Z: {NAMES}"), Vec::new()),
    }
}

/// Where the entries of a letter stand.
fn way(letter: &str, divided: bool) -> String {
    if divided { letters::page(letter) } else { format!("{PAGE}#letter-{}", anchor(&letter.to_lowercase())) }
}

fn entry(leaf: &Leaf<'_>, named: &[Named], listing: &Listing<'_>, sightings: &Sightings) -> Entry {
    let one = &named[listing.place];
    let id = feature_id(one).filter(|_| !listing.is_synonym);
    Entry {
        id: id.map(|id| format!("feature-{id}")),
        name: leaf.link(listing.name, &one.path),
        see: listing.is_synonym.then(|| one.name.clone()),
        sort: one.sort.word(),
        within: one.parent.map(|parent| leaf.link(named[parent].name.clone(), &named[parent].path)),
        feature: id.and_then(|id| feature(leaf, id, sightings)),
    }
}

fn feature_id(one: &Named) -> Option<&str> {
    let id = one.path.strip_prefix("features/")?.strip_suffix(".html");
    id.filter(|_| one.sort == Sort::Feature)
}

fn feature(leaf: &Leaf<'_>, id: &str, sightings: &Sightings) -> Option<FeatureView> {
    let feature = leaf.catalog().vocabulary.feature(id)?;
    let none = (BTreeSet::new(), BTreeMap::new());
    let (models, counts) = sightings.get(id).unwrap_or(&none);
    let listed = match &feature.kind {
        Kind::State { states } => states.iter().map(|state| feature.label(state.as_str())).collect(),
        _ => Vec::new(),
    };
    let count = |state: String| match counts.get(&state) {
        Some(count) => format!("{state} × {count}"),
        None => state,
    };
    let link = |model: &ModelId| leaf.thing(&Thing::of(Whole::Model(model.clone())));
    Some(FeatureView {
        look: feature.look.clone(),
        states: listed.into_iter().map(count).collect(),
        models: models.iter().take(MODELS).map(link).collect(),
        more: models.len().saturating_sub(MODELS),
    })
}

/// Where the wanted features were seen.
fn sightings(leaf: &Leaf<'_>, wanted: &BTreeSet<&str>) -> Sightings {
    let mut sightings = Sightings::new();
    if wanted.is_empty() {
        return sightings;
    }
    for observation in leaf.catalog().records.iter().filter_map(|record| record.content.observation()) {
        for (feature, reading) in observation.features.iter().filter(|(feature, _)| wanted.contains(feature.as_str())) {
            let (models, counts) = sightings.entry(feature.clone()).or_default();
            if let Placement::Variant(variant) = &observation.placement {
                models.insert(variant.model());
            }
            match &reading.value {
                Value::State(state) => {
                    let label = leaf.catalog().vocabulary.label(feature, state.as_str());
                    *counts.entry(label).or_default() += 1;
                }
                Value::Absent => *counts.entry(leaf.catalog().vocabulary.label(feature, "absent")).or_default() += 1,
                _ => {}
            }
        }
    }
    sightings
}
