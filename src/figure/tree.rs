//! Reads the text of a harmless drawing into its elements.
//!
//! It keeps neither comments nor blanks between elements, and decides nothing about what is drawn.

use std::collections::BTreeMap;

use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use crate::markup::SvgFault;

/// An element with what is in it.
#[derive(Clone, Debug, Default)]
pub struct Element {
    /// Its name.
    pub name: String,
    /// Its attributes, by name, as they read.
    pub attributes: BTreeMap<String, String>,
    /// Its children, in order.
    pub content: Vec<Node>,
}

/// A child of an element.
#[derive(Clone, Debug)]
pub enum Node {
    /// Another element.
    Element(Element),
    /// Text that is already escaped.
    Text(String),
}

impl Element {
    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }

    /// The elements in it, in order.
    pub fn elements(&self) -> impl Iterator<Item = &Element> {
        self.content.iter().filter_map(|node| match node {
            Node::Element(element) => Some(element),
            Node::Text(_) => None,
        })
    }

    /// The words of its own `title`, escaped; empty if it has none.
    pub fn title(&self) -> String {
        let title = self.elements().find(|element| element.name == "title");
        let texts = title.into_iter().flat_map(|title| &title.content).filter_map(|node| match node {
            Node::Text(text) => Some(text.as_str()),
            Node::Element(_) => None,
        });
        texts.collect::<String>().trim().to_string()
    }

    /// Says whether it, or an element in it, is bound to a feature.
    pub fn is_bound(&self) -> bool {
        self.attributes.contains_key("data-feature") || self.elements().any(Element::is_bound)
    }
}

/// Reads a text that was found harmless.
pub fn read(inert: &str) -> Result<Element, SvgFault> {
    let mut reader = Reader::from_str(inert);
    let mut open = vec![Element::default()];
    loop {
        let offset = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let fault = || SvgFault::NotWellFormed { offset };
        match reader.read_event().map_err(|_| fault())? {
            Event::Start(tag) => open.push(begun(&tag).ok_or_else(fault)?),
            Event::End(_) => close(&mut open),
            Event::Text(text) => add(&mut open, Node::Text(text.xml10_content().to_string())),
            Event::GeneralRef(name) => add(&mut open, Node::Text(format!("&{};", name.xml10_content()))),
            Event::Eof => break,
            _ => (),
        }
    }
    let root = open.pop().and_then(|document| document.elements().next().cloned());
    root.ok_or(SvgFault::NotOneDrawing)
}

fn begun(tag: &BytesStart<'_>) -> Option<Element> {
    let mut attributes = BTreeMap::new();
    for attribute in tag.attributes() {
        let attribute = attribute.ok()?;
        let value = attribute.normalized_value(XmlVersion::Implicit1_0).ok()?;
        attributes.insert(attribute.key.as_ref().to_owned(), value.into_owned());
    }
    Some(Element { name: tag.name().as_ref().to_owned(), attributes, content: Vec::new() })
}

fn close(open: &mut Vec<Element>) {
    if let Some(element) = open.pop() {
        add(open, Node::Element(element));
    }
}

fn add(open: &mut [Element], node: Node) {
    if let Some(element) = open.last_mut() {
        element.content.push(node);
    }
}
