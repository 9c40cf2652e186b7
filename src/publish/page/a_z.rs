//! The A–Z: every maker, line, model, variant, source, landmark and feature by name, on one page or one for each letter.
//! What else people call features and their states is listed too.
//!
//! It needs no script, so it stands in for the search where there is none. Observations are listed with their variants.

use std::collections::{BTreeMap, BTreeSet};

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

#[derive(Serialize)]
struct View {
    frame: Frame,
    /// The letters with their places; the one of this page has no place.
    letters: Vec<Jump>,
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
    let whole = OutputFile::new(PAGE, move || page(context, None));
    let mut letters: BTreeSet<String> = BTreeSet::new();
    if letters::are_divided(named) {
        letters.extend(listed(context).into_iter().map(|listing| letters::letter(listing.name)));
    }
    let pages =
        letters.into_iter().map(|letter| OutputFile::new(letters::page(&letter), move || page(context, Some(&letter))));
    std::iter::once(whole).chain(pages).collect()
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

/// The page of one letter, or of all: their entries on it, or the way to the pages of each.
fn page<'a>(context: &'a Context<'a>, only: Option<&str>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, only.map_or_else(|| PAGE.to_string(), letters::page));
    let named = letters::named(context);
    let mut by_letter: BTreeMap<String, Vec<Listing<'_>>> = BTreeMap::new();
    for listing in listed(context) {
        by_letter.entry(letters::letter(listing.name)).or_default().push(listing);
    }
    let divided = letters::are_divided(named);
    let is_shown = |letter: &str| if divided { only == Some(letter) } else { true };
    let shown = by_letter.iter().filter(|(letter, _)| is_shown(letter)).flat_map(|(_, listings)| listings);
    let sightings = sightings(&leaf, &shown.filter_map(|listing| feature_id(&named[listing.place])).collect());
    let group = |(letter, listings): (&String, &Vec<Listing<'_>>)| Group {
        letter: letter.clone(),
        anchor: format!("letter-{}", anchor(&letter.to_lowercase())),
        entries: listings.iter().map(|listing| entry(&leaf, named, listing, &sightings)).collect(),
    };
    let view = View {
        frame: frame(&leaf, only),
        letters: by_letter
            .iter()
            .map(|(letter, listings)| Jump {
                letter: letter.clone(),
                href: (only != Some(letter)).then(|| leaf.href(&way(letter, divided))),
                count: listings.len(),
            })
            .collect(),
        groups: by_letter.iter().filter(|(letter, _)| is_shown(letter)).map(group).collect(),
    };
    leaf.render("a-z.html", &view)
}

/// The kinds of names listed.
const NAMES: &str = "makers, lines, models, variants, sources, landmarks and features, with other words for them.";

fn frame(leaf: &Leaf<'_>, only: Option<&str>) -> Frame {
    match only {
        Some(letter) => {
            leaf.frame(letter, &format!("Names that begin with {letter}: {NAMES}"), vec![leaf.link("A–Z", PAGE)])
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
