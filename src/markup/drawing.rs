//! A stranger's SVG to an SVG element made only of elements and attributes known to be harmless.
//!
//! It does not read style sheets, document types or entities, and does not look whether the drawing can be seen.

use std::collections::BTreeMap;

use quick_xml::XmlVersion;
use quick_xml::errors::Error;
use quick_xml::escape::EscapeError;
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::reader::Reader;

use super::attribute::{self, NAMESPACE};
use super::copies::Copies;
use super::{SvgFault, escape};

const LENGTH: usize = 1 << 20;
const DEPTH: usize = 64;

const ELEMENTS: [&str; 20] = [
    "circle",
    "clipPath",
    "defs",
    "desc",
    "ellipse",
    "g",
    "line",
    "linearGradient",
    "path",
    "pattern",
    "polygon",
    "polyline",
    "radialGradient",
    "rect",
    "stop",
    "svg",
    "symbol",
    "text",
    "title",
    "tspan",
];

/// Gives the drawing without whatever could run, load, move or hide.
pub fn inert(text: &str) -> Result<String, SvgFault> {
    if text.len() > LENGTH {
        return Err(SvgFault::TooLong);
    }
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    if let Some((offset, _)) = text.char_indices().find(|(_, character)| is_forbidden(*character)) {
        return Err(SvgFault::ForbiddenCharacter { offset });
    }
    let mut drawing = Drawing::default();
    let mut reader = Reader::from_str(text);
    loop {
        let offset = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let event = reader.read_event().map_err(|_| SvgFault::NotWellFormed { offset })?;
        if matches!(event, Event::Eof) {
            return drawing.finish(offset);
        }
        drawing.offset = offset;
        drawing.take(&event)?;
    }
}

#[derive(Default)]
struct Drawing {
    svg: String,
    /// The kept elements that are open.
    open: Vec<Element>,
    /// How many elements are open within, and with, the outermost one that is left out.
    left_out: usize,
    is_begun: bool,
    offset: usize,
    copies: Copies,
}

struct Element {
    name: String,
    id: Option<String>,
}

impl Drawing {
    fn take(&mut self, event: &Event<'_>) -> Result<(), SvgFault> {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::Empty(tag) => {
                self.start(tag)?;
                self.end();
                Ok(())
            }
            Event::End(_) => {
                self.end();
                Ok(())
            }
            Event::Text(text) => self.text(&text.xml10_content()),
            Event::CData(text) => self.text(&text.xml10_content()),
            Event::GeneralRef(reference) => self.text(&self.resolved(reference)?),
            // A document type is left out with its entities, so that each use of one is a fault.
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) | Event::Eof => Ok(()),
        }
    }

    fn start(&mut self, tag: &BytesStart<'_>) -> Result<(), SvgFault> {
        if self.open.len() + self.left_out >= DEPTH {
            return Err(SvgFault::TooDeep);
        }
        let name = tag.name().as_ref().to_owned();
        let mut attributes = self.attributes(tag)?;
        let is_foreign = attributes.remove("xmlns").is_some_and(|namespace| namespace != NAMESPACE);
        if self.open.is_empty() && self.left_out == 0 {
            if self.is_begun || is_foreign || name != "svg" {
                return Err(SvgFault::NotOneDrawing);
            }
            self.is_begun = true;
        } else if self.left_out > 0 || is_foreign || !self.is_kept(&name) {
            self.left_out += 1;
            return Ok(());
        }
        self.write_start(name, &attribute::safe(attributes));
        Ok(())
    }

    fn is_kept(&self, name: &str) -> bool {
        // HTML reads what is within a title or desc of a drawing as HTML, so only text stays there.
        let is_within_words = self.open.last().is_some_and(|parent| matches!(parent.name.as_str(), "title" | "desc"));
        !is_within_words && (name == "use" || ELEMENTS.contains(&name))
    }

    fn write_start(&mut self, name: String, attributes: &BTreeMap<String, String>) {
        self.svg.push('<');
        self.svg.push_str(&name);
        let is_root = self.open.is_empty();
        if is_root {
            self.svg.push_str(&format!(" xmlns=\"{NAMESPACE}\""));
        }
        let is_written = |key: &str| attribute::fits(&name, key) && !(is_root && attribute::moves_the_root(key));
        for (key, value) in attributes.iter().filter(|(key, _)| is_written(key)) {
            self.svg.push_str(&format!(" {key}=\"{}\"", escape(value)));
        }
        self.svg.push('>');
        let id = attributes.get("id").cloned();
        self.open.push(Element { name, id });
        let ids = self.open.iter().filter_map(|element| element.id.as_deref());
        let is_use = self.open.last().is_some_and(|element| element.name == "use");
        self.copies.count(ids, attributes.get("href").filter(|_| is_use));
    }

    fn end(&mut self) {
        if self.left_out > 0 {
            self.left_out -= 1;
        } else if let Some(element) = self.open.pop() {
            self.svg.push_str(&format!("</{}>", element.name));
        }
    }

    fn text(&mut self, text: &str) -> Result<(), SvgFault> {
        match self.open.last() {
            None if self.left_out == 0 && !text.trim().is_empty() => return Err(SvgFault::NotOneDrawing),
            Some(element) if self.left_out == 0 && holds_text(&element.name) => self.svg.push_str(&escape(text)),
            _ => {}
        }
        Ok(())
    }

    fn resolved(&self, reference: &BytesRef<'_>) -> Result<String, SvgFault> {
        let fault = SvgFault::NotWellFormed { offset: self.offset };
        if let Some(character) = reference.resolve_char_ref().map_err(|_| fault)? {
            return self.checked(&character.to_string());
        }
        let name = reference.xml10_content();
        let known = quick_xml::escape::resolve_xml_entity(&name);
        Ok(known.ok_or(SvgFault::UnknownEntity { offset: self.offset })?.to_owned())
    }

    fn attributes(&self, tag: &BytesStart<'_>) -> Result<BTreeMap<String, String>, SvgFault> {
        let mut attributes = BTreeMap::new();
        for attribute in tag.attributes() {
            let attribute = attribute.map_err(|_| SvgFault::NotWellFormed { offset: self.offset })?;
            let value =
                attribute.normalized_value(XmlVersion::Implicit1_0).map_err(|error| self.value_fault(&error))?;
            attributes.insert(attribute.key.as_ref().to_owned(), self.checked(&value)?);
        }
        Ok(attributes)
    }

    fn value_fault(&self, error: &Error) -> SvgFault {
        match error {
            Error::Escape(EscapeError::UnrecognizedEntity(..)) => SvgFault::UnknownEntity { offset: self.offset },
            _ => SvgFault::NotWellFormed { offset: self.offset },
        }
    }

    fn checked(&self, text: &str) -> Result<String, SvgFault> {
        if text.contains(is_forbidden) {
            return Err(SvgFault::ForbiddenCharacter { offset: self.offset });
        }
        // Numbered line ends would be read differently the second time.
        Ok(text.replace(['\r', '\n', '\t'], " "))
    }

    fn finish(self, offset: usize) -> Result<String, SvgFault> {
        if !self.open.is_empty() || self.left_out > 0 {
            return Err(SvgFault::NotWellFormed { offset });
        }
        if !self.is_begun {
            return Err(SvgFault::NotOneDrawing);
        }
        if self.copies.are_too_many() { Err(SvgFault::TooManyCopies) } else { Ok(self.svg) }
    }
}

fn holds_text(name: &str) -> bool {
    matches!(name, "text" | "tspan" | "title" | "desc")
}

fn is_forbidden(character: char) -> bool {
    let is_blank = matches!(character, '\t' | '\n' | '\r');
    (character.is_control() && !is_blank) || (u32::from(character) & 0xFFFE) == 0xFFFE
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::inert;
    use crate::markup::SvgFault;

    const ROOT: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\"";

    #[test]
    fn harmless_parts_stay_and_others_go_with_their_content() {
        let rows = [
            (
                "<g data-feature='collar' data-nth=\"2\"><path d='M0 0L1,1z'/></g>",
                "<g data-feature=\"collar\" data-nth=\"2\"><path d=\"M0 0L1,1z\"></path></g>",
            ),
            ("<script>alert(1)</script><rect onload='x' width='1'/>", "<rect width=\"1\"></rect>"),
            ("<foreignObject><g><b/></g></foreignObject>", ""),
            ("<text>a &lt;b&#62; <![CDATA[<i>]]></text>", "<text>a &lt;b&gt; &lt;i&gt;</text>"),
            ("words <g> more </g>", "<g></g>"),
            ("<title><g>x</g>y</title>", "<title>y</title>"),
            ("<g xmlns='http://www.w3.org/1999/xhtml'><text>x</text></g>", ""),
            (
                "<rect style='fill: red; background: url(x); stroke:url(#p)' fill='blue'/>",
                "<rect fill=\"red\" stroke=\"url(#p)\"></rect>",
            ),
            (
                "<use href='#a'/><use href='b#a'/><use xmlns:xlink='x' xlink:href='#c'/>",
                "<use href=\"#a\"></use><use></use><use href=\"#c\"></use>",
            ),
            ("<!-- x --><?y z?>", ""),
        ];
        for (inner, expected) in rows {
            let once = inert(&format!("<svg>{inner}</svg>")).unwrap();
            assert_eq!(once, format!("{ROOT}>{expected}</svg>"), "{inner}");
            assert_eq!(inert(&once).unwrap(), once);
        }
    }

    #[test]
    fn each_fault_is_named() {
        let deep = format!("<svg>{}{}</svg>", "<g>".repeat(64), "</g>".repeat(64));
        let long = format!("<svg>{}</svg>", " ".repeat(1 << 20));
        let bomb = "<!DOCTYPE svg [<!ENTITY a 'aaaa'>]><svg><text>&a;</text></svg>";
        let rows = [
            (long.as_str(), SvgFault::TooLong),
            ("<svg>\u{1}</svg>", SvgFault::ForbiddenCharacter { offset: 5 }),
            ("<svg><text>&#1;</text></svg>", SvgFault::ForbiddenCharacter { offset: 11 }),
            ("<svg><text id='&#x7;'/></svg>", SvgFault::ForbiddenCharacter { offset: 5 }),
            ("<svg><g></svg>", SvgFault::NotWellFormed { offset: 8 }),
            ("<svg><g>", SvgFault::NotWellFormed { offset: 8 }),
            ("<svg a='1' a='2'/>", SvgFault::NotWellFormed { offset: 0 }),
            (bomb, SvgFault::UnknownEntity { offset: 46 }),
            ("<svg id='&a;'/>", SvgFault::UnknownEntity { offset: 0 }),
            ("<g/>", SvgFault::NotOneDrawing),
            ("<svg xmlns='x'/>", SvgFault::NotOneDrawing),
            ("<svg/><svg/>", SvgFault::NotOneDrawing),
            ("<svg/>x", SvgFault::NotOneDrawing),
            ("", SvgFault::NotOneDrawing),
            (deep.as_str(), SvgFault::TooDeep),
            ("<svg><g id='a'><use href='#a'/></g></svg>", SvgFault::TooManyCopies),
        ];
        for (text, expected) in rows {
            assert_eq!(inert(text), Err(expected), "{}", &text[..text.len().min(60)]);
        }
    }
}
