//! The parts of a workbook as a stream of elements and texts, by their names without prefix.
//!
//! It expands no entity but the five of XML and characters by number, so that a text never grows.

use quick_xml::XmlVersion;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::reader::Reader;

/// The next event in a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// An element begins.
    Open(Tag),
    /// An element ends.
    Close(String),
    /// Text between elements.
    Text(String),
}

/// The beginning of an element.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tag {
    pub name: String,
    attributes: Vec<(String, String)>,
}

impl Tag {
    /// The value of an attribute.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(own, _)| own == name).map(|(_, value)| value.as_str())
    }

    /// The number in an attribute.
    pub fn number(&self, name: &str) -> Option<usize> {
        self.get(name)?.trim().parse().ok()
    }
}

/// Reads a part piece by piece.
pub struct Pieces<'a>(Reader<&'a [u8]>);

impl<'a> Pieces<'a> {
    /// Begins at the beginning.
    pub fn of(text: &'a str) -> Pieces<'a> {
        let mut reader = Reader::from_str(text);
        reader.config_mut().expand_empty_elements = true;
        Pieces(reader)
    }
}

impl Iterator for Pieces<'_> {
    type Item = Result<Piece, String>;

    fn next(&mut self) -> Option<Result<Piece, String>> {
        loop {
            let piece = match self.0.read_event() {
                Ok(Event::Start(tag)) => begun(&tag).map(Piece::Open),
                Ok(Event::End(tag)) => Some(Piece::Close(tag.local_name().as_ref().to_owned())),
                Ok(Event::Text(text)) => Some(Piece::Text(text.xml10_content().into_owned())),
                Ok(Event::CData(text)) => Some(Piece::Text(text.xml10_content().into_owned())),
                Ok(Event::GeneralRef(reference)) => resolved(&reference).map(Piece::Text),
                Ok(Event::Eof) => return None,
                Ok(_) => continue,
                Err(_) => None,
            };
            return Some(piece.ok_or_else(damaged));
        }
    }
}

/// The error for a part that is not XML.
pub fn damaged() -> String {
    "is damaged: a part of the workbook is no well-formed XML; open it in a spreadsheet program and save it again"
        .to_string()
}

fn begun(tag: &BytesStart<'_>) -> Option<Tag> {
    let mut attributes = Vec::new();
    for attribute in tag.attributes() {
        let attribute = attribute.ok()?;
        // Extensions of one program reuse the names of the standard.
        if attribute.key.prefix().is_some_and(|prefix| prefix.as_ref() == "calcext") {
            continue;
        }
        let value = attribute.normalized_value(XmlVersion::Implicit1_0).ok()?;
        attributes.push((attribute.key.local_name().as_ref().to_owned(), value.into_owned()));
    }
    Some(Tag { name: tag.local_name().as_ref().to_owned(), attributes })
}

fn resolved(reference: &BytesRef<'_>) -> Option<String> {
    match reference.resolve_char_ref().ok()? {
        Some(character) => Some(character.to_string()),
        None => resolve_predefined_entity(&reference.xml10_content()).map(str::to_string),
    }
}
