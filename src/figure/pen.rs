//! Writes a drawing as an SVG element: marks drawn or left out, ids within their scope, words, and callouts.
//!
//! It writes only elements that were found harmless and adds ids, classes and words.

use std::collections::{BTreeMap, BTreeSet};

use crate::figure::tree::{Element, Node};
use crate::figure::{ABSENT, Drawing, Feature, Known, Setting, callout, lens};
use crate::markup::escape;

/// The elements that describe a drawing; the copy has its own.
const WORDS: [&str; 2] = ["title", "desc"];

/// The attributes that a filled drawing no longer needs or replaces.
const DROPPED: [&str; 4] = ["data-at", "data-state", "role", "xmlns"];

struct Pen<'a> {
    drawing: &'a Drawing,
    features: BTreeMap<&'a str, &'a Feature<'a>>,
    setting: &'a Setting<'a>,
    /// The ids of the parts that never change.
    still: BTreeSet<&'a str>,
    svg: String,
}

/// How a mark is drawn.
enum Drawn {
    Plainly,
    As(&'static str),
    Not,
}

/// Draws the whole.
pub fn drawn(drawing: &Drawing, features: &[Feature<'_>], setting: &Setting<'_>) -> String {
    let by_id = features.iter().map(|feature| (feature.id, feature)).collect();
    let mut still = BTreeSet::new();
    still_parts(drawing).flatten().for_each(|element| ids(element, &mut still));
    let mut pen = Pen { drawing, features: by_id, setting, still, svg: String::new() };
    pen.begin(features);
    pen.parts();
    pen.callouts(features);
    pen.svg.push_str("</svg>");
    pen.svg
}

/// The runs of neighbouring parts that hold no mark.
fn still_parts(drawing: &Drawing) -> impl Iterator<Item = Vec<&Element>> {
    let parts: Vec<&Element> = drawn_parts(drawing).collect();
    let runs = parts.chunk_by(|one, other| one.is_bound() == other.is_bound()).map(<[&Element]>::to_vec);
    runs.filter(|run| !run[0].is_bound()).collect::<Vec<_>>().into_iter()
}

fn drawn_parts(drawing: &Drawing) -> impl Iterator<Item = &Element> {
    drawing.root.elements().filter(|element| !WORDS.contains(&element.name.as_str()))
}

fn ids<'a>(element: &'a Element, found: &mut BTreeSet<&'a str>) {
    found.extend(element.attribute("id"));
    element.elements().for_each(|child| ids(child, found));
}

impl Pen<'_> {
    /// Writes the start tag and the words.
    fn begin(&mut self, features: &[Feature<'_>]) {
        let (scope, root) = (escape(self.setting.scope), &self.drawing.root);
        self.svg.push_str("<svg");
        let class = format!("figure {}", root.attribute("class").unwrap_or_default());
        self.attribute("class", class.trim());
        let kept =
            root.attributes.iter().filter(|(name, _)| is_kept(name) && !["class", "id"].contains(&name.as_str()));
        let window = self.setting.around.and_then(|feature| lens::window(self.drawing, feature));
        for (name, value) in kept.clone() {
            match (&window, name.as_str()) {
                (Some(window), "viewBox") => self.attribute(name, window),
                _ => self.attribute(name, &self.scoped(name, value)),
            }
        }
        let (title, of) = (self.drawing.title(), escape(self.setting.of));
        let title = if of.is_empty() { title.to_string() } else { format!("{title}, {of}") };
        self.svg.push_str(&format!(" role=\"img\" aria-labelledby=\"{scope}title {scope}desc\">"));
        self.svg.push_str(&format!("<title id=\"{scope}title\">{title}</title>"));
        self.svg.push_str(&format!("<desc id=\"{scope}desc\">{}</desc>", escape(&self.drawing.words(features))));
    }

    /// Writes all parts in their order; runs that never change as groups that another copy can show again.
    fn parts(&mut self) {
        let parts: Vec<&Element> = drawn_parts(self.drawing).collect();
        for (number, run) in parts.chunk_by(|one, other| one.is_bound() == other.is_bound()).enumerate() {
            match (run[0].is_bound(), self.setting.shares) {
                (true, _) => run.iter().for_each(|element| self.element(element)),
                (false, Some(other)) => {
                    self.svg.push_str(&format!("<use href=\"#{}still-{number}\"/>", escape(other)));
                }
                (false, None) => {
                    self.svg.push_str(&format!("<g id=\"{}still-{number}\">", escape(self.setting.scope)));
                    run.iter().for_each(|element| self.element(element));
                    self.svg.push_str("</g>");
                }
            }
        }
    }

    fn callouts(&mut self, features: &[Feature<'_>]) {
        let radius = callout::radius(self.drawing.root.attribute("viewBox"));
        let placed = features.iter().filter_map(|feature| {
            Some(self.drawing.places.get(feature.id)?.drawn(feature.id, feature.number?, radius))
        });
        self.svg.extend(placed);
    }

    fn element(&mut self, element: &Element) {
        let class = match self.how(element) {
            Drawn::Not => return,
            Drawn::Plainly => None,
            Drawn::As(class) => Some(class),
        };
        if WORDS.contains(&element.name.as_str()) {
            return;
        }
        self.svg.push_str(&format!("<{}", element.name));
        let own = element.attribute("class");
        let classes: Vec<&str> = own.into_iter().chain(class).collect();
        if !classes.is_empty() {
            self.attribute("class", &classes.join(" "));
        }
        for (name, value) in element.attributes.iter().filter(|(name, _)| is_kept(name) && *name != "class") {
            self.attribute(name, &self.scoped(name, value));
        }
        self.content(element);
    }

    fn content(&mut self, element: &Element) {
        if element.content.is_empty() {
            self.svg.push_str("/>");
            return;
        }
        self.svg.push('>');
        for node in &element.content {
            match node {
                Node::Element(child) => self.element(child),
                Node::Text(text) => self.svg.push_str(text),
            }
        }
        self.svg.push_str(&format!("</{}>", element.name));
    }

    fn attribute(&mut self, name: &str, value: &str) {
        self.svg.push_str(&format!(" {name}=\"{}\"", escape(value)));
    }

    /// Puts ids, and what points at them, within the scope.
    fn scoped(&self, name: &str, value: &str) -> String {
        if name == "id" {
            return format!("{}{value}", self.setting.scope);
        }
        match (name, value.split_once('#')) {
            ("href", Some((_, id))) => format!("#{}{id}", self.scope_of(id)),
            (_, Some(("url(", rest))) => format!("url(#{}{rest}", self.scope_of(rest.trim_end_matches(')'))),
            _ => value.to_string(),
        }
    }

    /// The scope in which an id is defined on the page.
    fn scope_of(&self, id: &str) -> &str {
        let own = self.setting.scope;
        if self.still.contains(id) { self.setting.shares.unwrap_or(own) } else { own }
    }

    fn how(&self, element: &Element) -> Drawn {
        let Some(feature) = element.attribute("data-feature") else { return Drawn::Plainly };
        // A feature of another sort of garment, or of another vocabulary, is not sought here.
        let Some(feature) = self.features.get(feature) else { return Drawn::Not };
        let states = element.attribute("data-state");
        let nth = element.attribute("data-nth").and_then(|nth| nth.trim().parse::<u32>().ok());
        if states.is_none() && nth.is_none() {
            return self.neutral(feature);
        }
        let Some((most, ..)) = feature.known.most() else { return Drawn::Not };
        let is_state = states.is_none_or(|states| states.split_whitespace().any(|state| state == most));
        let is_reached = nth.is_none_or(|nth| most.parse::<u32>().is_ok_and(|count| count >= nth));
        if is_state && is_reached { Drawn::Plainly } else { Drawn::Not }
    }

    /// How the mark that only says where to look is drawn: not if another mark shows what was seen.
    fn neutral(&self, feature: &Feature<'_>) -> Drawn {
        match &feature.known {
            Known::Unexamined | Known::Uncounted => Drawn::As("unexamined"),
            Known::Altered => Drawn::As("altered"),
            Known::Read(_) => Drawn::Plainly,
            Known::Seen(_) if feature.known.most().is_some_and(|(most, ..)| self.is_told(feature.id, most)) => {
                Drawn::Not
            }
            Known::Seen(_) => Drawn::Plainly,
        }
    }

    /// Says whether the drawing tells a state by other marks, or by drawing none.
    fn is_told(&self, feature: &str, state: &str) -> bool {
        let mut marks = self.drawing.marks.iter().filter(|mark| mark.feature == feature);
        state == ABSENT || state == "0" || marks.any(|mark| mark.nth.is_some() || mark.state.as_deref() == Some(state))
    }
}

/// Says whether an attribute is written; those of `aria-` could name ids of other drawings.
fn is_kept(name: &str) -> bool {
    !DROPPED.contains(&name) && !name.starts_with("aria-")
}
