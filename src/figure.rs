//! Fills in a garment drawing from the known state of each feature: an SVG element for a page.
//!
//! Marks are the elements with `data-feature`. It opens no file, knows no variant, and judges
//! nothing: it draws the commonest state, and its captions say on how many garments it was seen.

use std::collections::{BTreeMap, BTreeSet};

use crate::figure::tree::Element;
use crate::markup::{self, SvgFault};

mod callout;
mod lens;
mod pen;
mod tree;
mod words;

/// The state of a part that was looked for and never there: the drawing shows nothing for it.
const ABSENT: &str = "absent";

/// A drawing that was found harmless and read.
#[derive(Clone, Debug)]
pub struct Drawing {
    inert: String,
    root: Element,
    title: String,
    marks: BTreeSet<Mark>,
    places: BTreeMap<String, callout::Place>,
}

/// A part of a drawing that is bound to a feature.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mark {
    /// The feature's id, from `data-feature`.
    pub feature: String,
    /// Its state, from `data-state`; a mark that names several states is several marks.
    pub state: Option<String>,
    /// The least count at which it is drawn, from `data-nth`.
    pub nth: Option<u32>,
}

/// A feature of the garment that is drawn.
#[derive(Clone, Debug)]
pub struct Feature<'a> {
    /// Its id.
    pub id: &'a str,
    pub name: &'a str,
    /// The knowledge of its state.
    pub known: Known,
    /// The words of the state seen most, if not its id with spaces for hyphens.
    pub label: Option<&'a str>,
    /// The number of its callout, if it has one.
    pub number: Option<usize>,
}

/// The knowledge of a feature's state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Known {
    /// States or counts with how often each was seen; the first is drawn if two were seen as often. Never empty.
    Seen(Vec<(String, u64)>),
    /// A quantity, a number or a code, in words.
    Read(String),
    /// Seen only as altered.
    Altered,
    /// Seen, but never counted.
    Uncounted,
    /// Not examined.
    Unexamined,
}

/// The place of a filled-in drawing.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// The prefix of its ids, different for each drawing on a page.
    pub scope: &'a str,
    /// The scope of an earlier copy of the same drawing on the page, whose unchanging parts it shows again.
    pub shares: Option<&'a str>,
    /// The garment's name, after the drawing's own title.
    pub of: &'a str,
    /// The only feature to show, if the drawing has a lens for it.
    pub around: Option<&'a str>,
}

impl Drawing {
    /// Reads a text, unless it holds anything that could do harm.
    pub fn read(text: &str) -> Result<Drawing, SvgFault> {
        let inert = markup::svg(text)?;
        let root = tree::read(&inert)?;
        let (mut marks, mut places) = (BTreeSet::new(), BTreeMap::new());
        collect(&root, &mut |element, feature| {
            marks.extend(marks_of(element, feature));
            if let Some(place) = element.attribute("data-at").and_then(callout::Place::parse) {
                places.entry(feature.to_string()).or_insert(place);
            }
        });
        Ok(Drawing { title: root.title(), inert, root, marks, places })
    }

    /// The title of the drawing, such as `Front of the trousers`.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Its whole text with all marks, in one spelling: for a page that fills it in itself.
    pub fn inert(&self) -> &str {
        &self.inert
    }

    /// Its marks.
    pub fn marks(&self) -> &BTreeSet<Mark> {
        &self.marks
    }

    /// Says whether it has a mark of a feature.
    pub fn shows(&self, feature: &str) -> bool {
        self.marks.iter().any(|mark| mark.feature == feature)
    }

    /// Says whether it has a place for the number of a feature.
    pub fn has_place(&self, feature: &str) -> bool {
        self.places.contains_key(feature)
    }

    /// Draws it as the features are known, with a callout for each that has a number; what others show is left out.
    pub fn filled(&self, features: &[Feature<'_>], setting: &Setting<'_>) -> String {
        pen::drawn(self, features, setting)
    }

    /// Says in words what the drawing shows of the features, and which were not examined.
    pub fn words(&self, features: &[Feature<'_>]) -> String {
        words::of(self, features)
    }
}

impl Known {
    /// The state seen most, with how often and of how many.
    pub fn most(&self) -> Option<(&str, u64, u64)> {
        let Known::Seen(states) = self else { return None };
        let total = states.iter().map(|(_, count)| count).sum();
        let most = states.iter().rev().max_by_key(|(_, count)| *count)?;
        Some((&most.0, most.1, total))
    }
}

/// Hands over each element that is bound to a feature.
fn collect(element: &Element, take: &mut impl FnMut(&Element, &str)) {
    if let Some(feature) = element.attribute("data-feature") {
        take(element, feature);
    }
    for child in element.elements() {
        collect(child, take);
    }
}

fn marks_of(element: &Element, feature: &str) -> Vec<Mark> {
    let nth = element.attribute("data-nth").and_then(|nth| nth.trim().parse().ok());
    let mark = |state: Option<&str>| Mark { feature: feature.to_string(), state: state.map(str::to_string), nth };
    match element.attribute("data-state") {
        Some(states) => states.split_whitespace().map(|state| mark(Some(state))).collect(),
        None => vec![mark(None)],
    }
}

#[cfg(test)]
mod tests;
