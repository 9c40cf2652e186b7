//! Dates, bodies, drawings and photographs of hostile shapes, doubled as `growth` does it.

use std::io::Cursor;

use bartack::date::edtf::Edtf;
use bartack::markup::{self, Above};
use bartack::photograph::{self, making};

use crate::fuzz::growth::{KIB, Shape, filled, hold};

fn html(markdown: String) -> Box<dyn Fn()> {
    Box::new(move || drop((markup::html(&markdown, "s", Above::Page), markup::plain(&markdown))))
}

fn svg(inside: String) -> Box<dyn Fn()> {
    let text = format!("<svg>{inside}</svg>");
    Box::new(move || drop(markup::svg(&text)))
}

fn date(text: String) -> Box<dyn Fn()> {
    Box::new(move || drop(Edtf::parse(&text)))
}

#[test]
fn dates_take_time_by_their_length() {
    hold(&[
        ("sets", 64 * KIB, |length| date(format!("[{}1960]", "1960,".repeat(length / 5)))),
        ("digits", 64 * KIB, |length| date("1".repeat(length))),
        ("slashes", 64 * KIB, |length| date("1960/".repeat(length / 5))),
        ("words", 64 * KIB, |length| date("early ".repeat(length / 6))),
        ("blanks", 64 * KIB, |length| date(" ".repeat(length))),
        ("qualified", 64 * KIB, |length| date(format!("1960{}", "~".repeat(length)))),
        ("unknown digits", 64 * KIB, |length| date("X".repeat(length))),
    ]);
}

#[test]
fn markdown_takes_time_by_its_length() {
    hold(&[
        ("quotes", 32 * KIB, |length| html("> ".repeat(length / 2) + "a")),
        ("emphasis", 32 * KIB, |length| html("*a **b ".repeat(length / 7))),
        ("emphasis of two kinds", 32 * KIB, |length| html("*_a".repeat(length / 3))),
        ("strikes", 32 * KIB, |length| html("~~a ~b".repeat(length / 6))),
        ("brackets", 32 * KIB, |length| html("[".repeat(length))),
        ("links", 32 * KIB, |length| html("[a](b ".repeat(length / 6))),
        ("pictures", 32 * KIB, |length| html("![a".repeat(length / 3))),
        ("definitions", 32 * KIB, |length| html(filled(length, |at| format!("[a{at}]: b\n")) + "\n[a1]")),
        ("notes", 32 * KIB, |length| html(filled(length, |at| format!("a[^{at}]\n\n[^{at}]: b\n\n")))),
        ("headings alike", 32 * KIB, |length| html("# a\n".repeat(length / 4))),
        ("headings with numbers", 32 * KIB, |length| html(filled(length, |at| format!("# a\n# a {}\n", at + 2)))),
        ("a wide table", 32 * KIB, |length| html("|a".repeat(length / 4) + "\n" + &"|-".repeat(length / 4) + "\n")),
        ("a square table", 32 * KIB, |length| {
            let side = length / 5;
            html("|a".repeat(side) + "\n" + &"|-".repeat(side) + "\n" + &"|\n".repeat(side))
        }),
        ("addresses", 32 * KIB, |length| html("<a:".repeat(length / 3))),
        ("elements", 32 * KIB, |length| html("<a b='".repeat(length / 6))),
        ("comments", 32 * KIB, |length| html("<!--".repeat(length / 4))),
        ("instructions", 32 * KIB, |length| html("<?<![CDATA[<!A".repeat(length / 14))),
        ("ticks", 32 * KIB, |length| html(filled(length, |at| "`".repeat(at % 300 + 1) + " "))),
        ("characters by name", 32 * KIB, |length| html("&amp;&#1".repeat(length / 8))),
        ("lists", 32 * KIB, |length| html("* a\n 1. b\n".repeat(length / 10))),
        ("fences", 32 * KIB, |length| html("```\n~~~\n".repeat(length / 8))),
    ]);
}

#[test]
fn drawings_take_time_by_their_length() {
    hold(&[
        ("elements", 32 * KIB, |length| svg("<g/>".repeat(length / 4))),
        ("attributes", 32 * KIB, |length| svg(format!("<g {}/>", filled(length, |at| format!("a{at}='' "))))),
        ("nesting", 32 * KIB, |length| svg("<g>".repeat(length / 3))),
        ("a long path", 32 * KIB, |length| svg(format!("<path d='{}'/>", "M0 0".repeat(length / 4)))),
        ("copies", 32 * KIB, |length| svg(filled(length, |at| format!("<g id='a{at}'/><use href='#a{at}'/>")))),
        ("copies in a row", 32 * KIB, |length| {
            svg(filled(length, |at| format!("<g id='a{at}'><use href='#a{}'/></g>", at + 1)))
        }),
        ("characters by number", 32 * KIB, |length| svg(format!("<text>{}</text>", "&#97;".repeat(length / 5)))),
        ("classes", 32 * KIB, |length| svg(format!("<g class='{}'/>", filled(length, |at| format!("a{at} "))))),
        ("a document type", 32 * KIB, |length| {
            svg(format!("<!DOCTYPE a [{}]>", "<!ENTITY b 'c'>".repeat(length / 15)))
        }),
    ]);
}

/// Looks at a photograph and makes its pictures.
fn looked(bytes: Vec<u8>) -> Box<dyn Fn()> {
    Box::new(move || {
        let Ok(Ok(facts)) = photograph::look(&mut Cursor::new(&bytes)) else { return };
        drop(making::pictures(&bytes, &facts));
    })
}

/// A photograph of the corpus with pieces put in at a byte.
fn stuffed(name: &str, at: usize, pieces: &[u8]) -> Vec<u8> {
    let mut bytes = std::fs::read(crate::support::repository("tests/fuzz/corpus/photograph").join(name)).unwrap();
    bytes.splice(at..at, pieces.iter().copied());
    bytes
}

#[test]
fn photographs_take_time_by_their_length() {
    // An empty chunk with its sum; signature and IHDR are the first 33 bytes (PNG, third edition, 5.3). SOI is two bytes.
    let shapes: [Shape; 6] = [
        ("chunks", 64 * KIB, |length| {
            looked(stuffed("a.png", 33, &b"\0\0\0\0teSt\x50\x7a\xb5\x4d".repeat(length / 12)))
        }),
        ("chunks of transparency", 64 * KIB, |length| {
            looked(stuffed("a.png", 33, &b"\0\0\0\0tRNS\xcd\xe3\xd1\x2b".repeat(length / 12)))
        }),
        ("segments", 64 * KIB, |length| looked(stuffed("a.jpg", 2, &[0xFF, 0xFE, 0, 2].repeat(length / 4)))),
        ("segments of Exif", 64 * KIB, |length| {
            looked(stuffed("a.jpg", 2, &b"\xFF\xE1\0\x08Exif\0\0".repeat(length / 10)))
        }),
        ("segments of a profile", 64 * KIB, |length| {
            looked(stuffed("a.jpg", 2, &b"\xFF\xE2\0\x10ICC_PROFILE\0\x01\x01".repeat(length / 18)))
        }),
        ("filling", 64 * KIB, |length| looked(stuffed("a.jpg", 2, &[0xFF].repeat(length)))),
    ];
    hold(&shapes);
}
