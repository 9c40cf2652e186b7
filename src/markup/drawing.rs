//! Gives a stranger's SVG in one spelling, if everything in it is on the allow-list.
//!
//! It repairs nothing: the first thing not on the list is the fault. It does not check that the drawing can be seen.

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

/// Gives the drawing in one spelling, or the first thing in it that is not on the list.
pub fn inert(text: &str) -> Result<String, SvgFault> {
    if text.len() > LENGTH {
        return Err(SvgFault::TooLong);
    }
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    if let Some((offset, _)) = text.char_indices().find(|(_, character)| is_forbidden(*character)) {
        return Err(SvgFault::ForbiddenCharacter { offset });
    }
    let mut drawing = Drawing { text, ..Drawing::default() };
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
struct Drawing<'a> {
    text: &'a str,
    svg: String,
    open: Vec<Element>,
    is_begun: bool,
    offset: usize,
    copies: Copies,
}

struct Element {
    name: String,
    id: Option<String>,
}

impl Drawing<'_> {
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
            Event::DocType(_) => Err(self.refused("a document type".to_owned(), "<!DOCTYPE")),
            Event::PI(_) => Err(self.refused("a processing instruction".to_owned(), "<?")),
            Event::Comment(_) | Event::Decl(_) | Event::Eof => Ok(()),
        }
    }

    fn start(&mut self, tag: &BytesStart<'_>) -> Result<(), SvgFault> {
        if self.open.len() >= DEPTH {
            return Err(SvgFault::TooDeep);
        }
        let name = tag.name().as_ref().to_owned();
        let mut attributes = self.attributes(tag)?;
        let is_foreign = attributes.remove("xmlns").is_some_and(|namespace| namespace != NAMESPACE);
        if self.open.is_empty() {
            if self.is_begun || is_foreign || name != "svg" {
                return Err(SvgFault::NotOneDrawing);
            }
            self.is_begun = true;
        } else if is_foreign || !self.is_allowed(&name) {
            return Err(self.refused(format!("the element `{name}`"), &name));
        }
        for (key, value) in &attributes {
            self.check(&name, key, value)?;
        }
        self.write_start(name, &attributes);
        Ok(())
    }

    fn is_allowed(&self, name: &str) -> bool {
        // HTML reads what is within a title or desc of a drawing as HTML, so only text stays there.
        let is_within_words = self.open.last().is_some_and(|parent| matches!(parent.name.as_str(), "title" | "desc"));
        !is_within_words && (name == "use" || ELEMENTS.contains(&name))
    }

    fn write_start(&mut self, name: String, attributes: &BTreeMap<String, String>) {
        self.svg.push('<');
        self.svg.push_str(&name);
        if self.open.is_empty() {
            self.svg.push_str(&format!(" xmlns=\"{NAMESPACE}\""));
        }
        for (key, value) in attributes {
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
        if let Some(element) = self.open.pop() {
            self.svg.push_str(&format!("</{}>", element.name));
        }
    }

    fn text(&mut self, text: &str) -> Result<(), SvgFault> {
        match self.open.last() {
            Some(element) if holds_text(&element.name) => self.svg.push_str(&escape(text)),
            _ if text.trim().is_empty() => (),
            Some(element) => return Err(self.refused(format!("text within `{}`", element.name), text.trim())),
            None => return Err(SvgFault::NotOneDrawing),
        }
        Ok(())
    }

    /// Refuses an attribute that an element may not have.
    fn check(&self, element: &str, name: &str, value: &str) -> Result<(), SvgFault> {
        let moves_the_root = self.open.is_empty() && attribute::moves_the_root(name);
        if !attribute::is_known(name) || !attribute::fits(element, name) || moves_the_root {
            return Err(self.refused(format!("the attribute `{name}` of `{element}`"), name));
        }
        if !attribute::is_harmless(name, value) {
            return Err(self.refused(format!("this value of the attribute `{name}`"), name));
        }
        Ok(())
    }

    /// The fault of something forbidden, at its first place from the present tag on.
    fn refused(&self, what: String, written: &str) -> SvgFault {
        let rest = self.text.get(self.offset..).unwrap_or_default();
        SvgFault::NotAllowed { what, offset: self.offset + rest.find(written).unwrap_or(0) }
    }

    fn resolved(&self, reference: &BytesRef<'_>) -> Result<String, SvgFault> {
        let offset = self.offset;
        let character = reference.resolve_char_ref().map_err(|_| SvgFault::NotWellFormed { offset })?;
        if let Some(character) = character {
            return self.checked(&character.to_string());
        }
        let name = reference.xml10_content();
        let known = quick_xml::escape::resolve_xml_entity(&name);
        Ok(known.ok_or(SvgFault::UnknownEntity { offset })?.to_owned())
    }

    fn attributes(&self, tag: &BytesStart<'_>) -> Result<BTreeMap<String, String>, SvgFault> {
        let mut attributes = BTreeMap::new();
        for attribute in tag.attributes() {
            let attribute = attribute.map_err(|_| SvgFault::NotWellFormed { offset: self.offset })?;
            let value =
                attribute.normalized_value(XmlVersion::Implicit1_0).map_err(|error| self.value_fault(&error))?;
            attributes.insert(attribute.key.as_ref().to_owned(), self.checked(value.trim())?);
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
        if !self.open.is_empty() {
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
    fn harmless_drawings_stay_in_one_spelling() {
        let rows = [
            (
                "<g data-feature='collar' data-nth=\"2\"><path d='M0 0L1,1z'/></g>",
                "<g data-feature=\"collar\" data-nth=\"2\"><path d=\"M0 0L1,1z\"></path></g>",
            ),
            ("<text>a &lt;b&#62; <![CDATA[<i>]]></text>", "<text>a &lt;b&gt; &lt;i&gt;</text>"),
            ("<use href=' #a '/>", "<use href=\"#a\"></use>"),
            ("<!-- x -->\n  <g>\n</g>", "<g></g>"),
        ];
        for (inner, expected) in rows {
            let once = inert(&format!("<?xml version='1.0'?><svg>{inner}</svg>")).unwrap();
            assert_eq!(once, format!("{ROOT}>{expected}</svg>"), "{inner}");
            assert_eq!(inert(&once).unwrap(), once);
        }
    }

    #[test]
    fn whatever_is_not_on_the_list_is_refused_where_it_stands() {
        let rows = [
            ("<g/>\n<script>alert(1)</script>", "the element `script`", "script>"),
            ("<rect width='1' onload='x'/>", "the attribute `onload` of `rect`", "onload"),
            ("<foreignObject><g/></foreignObject>", "the element `foreignObject`", "foreignObject>"),
            ("<g>more words</g>", "text within `g`", "more"),
            ("<title><g>x</g>y</title>", "the element `g`", "g>x"),
            ("<g xmlns='http://www.w3.org/1999/xhtml'/>", "the element `g`", "g xmlns"),
            ("<rect style='fill: red'/>", "the attribute `style` of `rect`", "style"),
            ("<use href='b#a'/>", "this value of the attribute `href`", "href"),
            ("<use xlink:href='#c'/>", "the attribute `xlink:href` of `use`", "xlink:href"),
            ("<path href='#c'/>", "the attribute `href` of `path`", "href"),
            ("<rect fill='url(http://example.org/x#a)'/>", "this value of the attribute `fill`", "fill"),
            ("<?style x?>", "a processing instruction", "<?style"),
        ];
        for (inner, what, written) in rows {
            let text = format!("<svg>{inner}</svg>");
            let offset = text.find(written).unwrap();
            assert_eq!(inert(&text), Err(SvgFault::NotAllowed { what: what.to_owned(), offset }), "{inner}");
        }
        let moved = SvgFault::NotAllowed { what: "the attribute `x` of `svg`".to_owned(), offset: 5 };
        assert_eq!(inert("<svg x='1'/>"), Err(moved));
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
            (bomb, SvgFault::NotAllowed { what: "a document type".to_owned(), offset: 0 }),
            ("<svg><text>&a;</text></svg>", SvgFault::UnknownEntity { offset: 11 }),
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
