//! One page while it is made: it knows its path, and turns things into links and text into HTML.

pub mod claimed;
mod naming;

use serde::Serialize;

use crate::markup::{self, Above};
use crate::page::{self, PageError, description};
use crate::record::claim::SourceReference;
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::observation::Placement;
use crate::record::{Content, Record};
use crate::resolve::{Catalog, RecordIndex, SourceIndex};
use crate::source::FileId;
use crate::view::context::Context;
use crate::view::path;

/// A page of the site that is being made.
pub struct Leaf<'a> {
    /// The data the page is built from.
    pub context: &'a Context<'a>,
    /// Its path in the site.
    pub path: String,
}

/// A name with a link relative to its page.
#[derive(Clone, Debug, Serialize)]
pub struct Link {
    pub name: String,
    /// Where it leads.
    pub href: String,
}

/// The frame that every page has around its content.
#[derive(Debug, Serialize)]
pub struct Frame {
    root: String,
    title: String,
    /// The description of the page, in one sentence.
    description: String,
    site: String,
    language: String,
    licence: String,
    policy: &'static str,
    /// The page's one address, where it is known.
    canonical: Option<String>,
    trail: Vec<Link>,
}

impl Frame {
    /// Names another page as the one that counts.
    pub fn instead<'c>(self, context: &'c Context<'c>, path: &str) -> Frame {
        Frame { canonical: canonical(context, path), ..self }
    }
}

/// A source with the place in it.
#[derive(Debug, Serialize)]
pub struct Cited {
    name: String,
    href: Option<String>,
    locator: String,
}

impl Cited {
    /// The source, then the place in it.
    pub fn words(self) -> String {
        if self.locator.is_empty() { self.name } else { format!("{}, {}", self.name, self.locator) }
    }
}

impl Link {
    /// The first and the last name of a list, for its summary.
    pub fn ends(links: &[Link]) -> String {
        match links {
            [] => String::new(),
            [only] => only.name.clone(),
            [first, .., last] => format!("{} to {}", first.name, last.name),
        }
    }

    /// Calls it something else.
    pub fn named(self, name: impl Into<String>) -> Link {
        Link { name: name.into(), href: self.href }
    }
}

impl<'a> Leaf<'a> {
    /// Begins a page.
    pub fn new(context: &'a Context<'a>, path: impl Into<String>) -> Leaf<'a> {
        Leaf { context, path: path.into() }
    }

    /// The records it is built from.
    pub fn catalog(&self) -> &'a Catalog {
        &self.context.knowledge.catalog
    }

    /// Gives the link to a path of the site.
    pub fn href(&self, to: &str) -> String {
        let (file, anchor) = to.split_once('#').unwrap_or((to, ""));
        if file == self.path && !anchor.is_empty() { format!("#{anchor}") } else { page::link(&self.path, to) }
    }

    /// Gives a named link to a path of the site.
    pub fn link(&self, name: impl Into<String>, to: &str) -> Link {
        Link { name: name.into(), href: self.href(to) }
    }

    /// Gives a link to a record under its name; that of an observation says what it is of unless the page does.
    pub fn record(&self, index: RecordIndex) -> Link {
        self.link(self.name(index), &path::record(self.catalog().record(index)))
    }

    /// Gives a link to an observation next to the name of its variant.
    pub fn observation(&self, index: RecordIndex) -> Link {
        self.link(self.title(index), &path::record(self.catalog().record(index)))
    }

    /// Gives the name of an observation next to that of its variant, and the usual name of any other record.
    pub fn title(&self, index: RecordIndex) -> String {
        let title = self.context.titles().get(index).map(str::to_string);
        title.or_else(|| self.dispute(index)).unwrap_or_else(|| name(self.catalog().record(index)))
    }

    /// Gives the name of a record; that of an observation says what it is of unless the page does.
    pub fn name(&self, index: RecordIndex) -> String {
        let title = self.title(index);
        let observation = self.catalog().record(index).content.observation();
        let of = observation.and_then(|observation| match &observation.placement {
            Placement::Variant(variant) => self.variant_beyond(variant),
            Placement::Unplaced(known) => {
                let model = known.model.as_ref().map(|model| Whole::Model(model.value.clone()));
                let whole = model.or_else(|| Some(Whole::Maker(known.maker.as_ref()?.value.clone())));
                whole.map(|whole| whole_name(self.catalog(), &whole))
            }
        });
        of.map_or(title.clone(), |of| format!("{title} ({of})"))
    }

    /// The name of a variant, unless the page already says it: empty on its own page and those of its observations.
    fn variant_beyond(&self, variant: &VariantId) -> Option<String> {
        let is_page_of = |id: &str| {
            let below = self.path.strip_prefix("makers/").and_then(|path| path.strip_prefix(id));
            below.is_some_and(|below| below == ".html" || below.starts_with('/'))
        };
        if is_page_of(variant.as_str()) {
            return None;
        }
        let entry = self.catalog().variants.get(variant).filter(|_| is_page_of(variant.model().as_str()));
        let own = entry.map(|entry| name(self.catalog().record(entry.record)));
        own.or_else(|| Some(whole_name(self.catalog(), &Whole::Variant(variant.clone()))))
    }

    /// Gives a link to a whole, or a state of it, under its full name.
    pub fn thing(&self, thing: &Thing) -> Link {
        self.link(thing_name(self.catalog(), thing), &path::thing(thing))
    }

    /// Gives what a source is called in a file, with the link to its entry.
    pub fn cited(&self, file: FileId, reference: &SourceReference) -> Cited {
        let source = self.catalog().source_named(file, &reference.id);
        let Link { name, href } = match source {
            Some(source) => self.source(source),
            None => return Cited { name: reference.id.to_string(), href: None, locator: reference.locator.clone() },
        };
        Cited { name, href: Some(href), locator: reference.locator.clone() }
    }

    /// Gives a link to a source under its citation.
    pub fn source(&self, source: SourceIndex) -> Link {
        let source = self.catalog().cited(source);
        self.link(source.citation.clone(), &path::source(source))
    }

    /// Turns the Markdown of a record into HTML.
    pub fn prose(&self, record: &Record) -> String {
        let text = self.catalog().sources.file(record.file).slice(record.body);
        let above = match record.content {
            Content::About(_) | Content::Observation(_) => Above::Page,
            _ => Above::Section,
        };
        markup::html(text, &format!("prose.{}.", page::anchor(record.path.address())), above)
    }

    /// Turns a sentence with names in backticks into HTML in which each is a link under a name that reads well.
    ///
    /// `file` is the one whose sources the names may be.
    pub fn words(&self, sentence: &str, file: Option<FileId>) -> String {
        let mut html = String::new();
        for (number, part) in sentence.split('`').enumerate() {
            if number % 2 == 0 {
                html += &markup::escape(part);
            } else if let Some(garment) = self.garment_in(&mut html, part) {
                html += &garment;
            } else {
                html += &self.named(part, file);
            }
        }
        html
    }

    /// The link to an observation after "the garment in", which its title says better.
    fn garment_in(&self, before: &mut String, token: &str) -> Option<String> {
        const GARMENT_IN: &str = "the garment in ";
        let index = self.context.index.record(token)?;
        self.context.titles().get(index).filter(|_| before.ends_with(GARMENT_IN))?;
        before.truncate(before.len() - GARMENT_IN.len());
        let Link { name, href } = self.record(index);
        Some(format!("the <a href=\"{}\">{}</a>", markup::escape(&href), markup::escape(&within(&name))))
    }

    fn named(&self, token: &str, file: Option<FileId>) -> String {
        let link = self.thing_of(token).map(|thing| self.thing(&thing));
        let link = link.or_else(|| self.claim(token)).or_else(|| {
            let reference = SourceReference::parse(token);
            let cited = self.cited(file?, &reference);
            let href = cited.href.clone()?;
            Some(Link { name: cited.words(), href })
        });
        match link {
            Some(Link { name, href }) => format!("<a href=\"{}\">{}</a>", markup::escape(&href), markup::escape(&name)),
            None => format!("<code>{}</code>", markup::escape(token)),
        }
    }

    fn thing_of(&self, token: &str) -> Option<Thing> {
        self.context.index.thing(token).cloned()
    }

    /// The frame around the page's content; the description is one sentence, cut if it is long.
    pub fn frame(&self, title: impl Into<String>, description: &str, trail: Vec<Link>) -> Frame {
        let about = &self.catalog().about;
        Frame {
            root: page::root(&self.path),
            title: title.into(),
            description: description::cut(description),
            site: about.title.clone(),
            language: about.language.clone(),
            licence: about.licence.clone(),
            policy: markup::CONTENT_SECURITY_POLICY,
            canonical: canonical(self.context, &self.path),
            trail,
        }
    }

    /// Fills a template.
    pub fn render<T: Serialize>(&self, template: &str, data: &T) -> Result<Vec<u8>, PageError> {
        self.context.site.render(template, data)
    }
}

fn canonical<'a>(context: &'a Context<'a>, path: &str) -> Option<String> {
    let page = if path == "index.html" { "" } else { path };
    context.address().map(|address| address + page)
}

/// The name of a record; the page of an observation supplies its title, see [`Leaf::name`].
pub fn name(record: &Record) -> String {
    match &record.content {
        Content::About(about) => about.title.clone(),
        Content::Source(source) => source.citation.value.clone(),
        Content::Landmark(landmark) => landmark.title.value.clone(),
        Content::Key(key) => key.title.value.clone(),
        Content::Maker(maker) => maker.name.clone(),
        Content::Model(model) => model.name.clone(),
        Content::Variant(variant) => variant.name.clone(),
        Content::Dispute(_) | Content::Observation(_) => spaced(record.path.stem()),
    }
}

/// Writes a title for use within a sentence; a capital before another one begins an abbreviation.
pub fn within(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().collect::<String>() + &title[first.len_utf8()..]
        }
        _ => title.to_string(),
    }
}

/// Turns the hyphens of an id into spaces.
pub fn spaced(id: &str) -> String {
    id.replace('-', " ")
}

/// The name of a whole, with the model before a variant and the maker before a line.
pub fn whole_name(catalog: &Catalog, whole: &Whole) -> String {
    let named = |index: Option<RecordIndex>, id: &str| {
        index.map_or_else(|| id.to_string(), |index| name(catalog.record(index)))
    };
    match whole {
        Whole::Maker(id) => named(catalog.makers.get(id).map(|maker| maker.record), id.as_str()),
        Whole::Model(id) => named(catalog.models.get(id).map(|model| model.record), id.as_str()),
        Whole::Variant(id) => {
            let model = whole_name(catalog, &Whole::Model(id.model()));
            format!("{model}, {}", named(catalog.variants.get(id).map(|variant| variant.record), id.as_str()))
        }
        Whole::Line(id) => {
            format!("the line {}", catalog.line(id).map_or(id.line(), |line| line.name.as_str()))
        }
    }
}

/// The name of a thing, with its state first.
pub fn thing_name(catalog: &Catalog, thing: &Thing) -> String {
    let whole = whole_name(catalog, &thing.whole);
    match &thing.state {
        Some((feature, state)) => {
            let name = catalog.vocabulary.feature(feature.as_str()).map_or(feature.as_str(), |found| &found.name);
            format!("{} “{}” on {whole}", name.to_lowercase(), catalog.vocabulary.label(feature, state.as_str()))
        }
        None => whole,
    }
}
