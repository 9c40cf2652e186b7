//! The drawings below `site/figures/`, by name: `<garment>-<side>.svg`, and `any-<side>.svg` for all garments.
//!
//! It fills none in and reads no file: the caller passes the texts.

use std::collections::{BTreeMap, BTreeSet};

use crate::figure::Drawing;
use crate::markup::SvgFault;
use crate::page::PageError;
use crate::source::DrawnMark;

/// The garment whose drawings are shown with every other's.
pub const ANY: &str = "any";

/// The sides that come first, in order; others follow by name.
const SIDES: [&str; 3] = ["front", "back", "detail"];

/// Reads the drawings among the files; a later file replaces an earlier one of its name.
pub fn read<'a>(
    files: impl Iterator<Item = (&'a String, &'a Vec<u8>)>,
) -> Result<BTreeMap<String, Drawing>, PageError> {
    let latest: BTreeMap<&str, &[u8]> = files.filter_map(|(path, content)| Some((name(path)?, &content[..]))).collect();
    latest.into_iter().map(|(name, content)| Ok((name.to_string(), drawing(name, content)?))).collect()
}

/// The drawings of a garment with the side each shows.
pub fn of<'a>(drawings: &'a BTreeMap<String, Drawing>, garment: &str) -> Vec<(&'a str, &'a Drawing)> {
    let own = sides(drawings, garment);
    // There is no drawing of such a garment; its labels alone would show little.
    if own.is_empty() { own } else { own.into_iter().chain(sides(drawings, ANY)).collect() }
}

/// The drawings that are named for one sort of garment, in the order in which it is looked at.
fn sides<'a>(drawings: &'a BTreeMap<String, Drawing>, wanted: &str) -> Vec<(&'a str, &'a Drawing)> {
    let sides = drawings.iter().filter_map(|(name, drawing)| {
        let (garment, side) = name.rsplit_once('-')?;
        (garment == wanted).then_some((side, drawing))
    });
    let mut sides: Vec<(&str, &Drawing)> = sides.collect();
    sides.sort_by_key(|(side, _)| SIDES.iter().position(|first| first == side).unwrap_or(SIDES.len()));
    sides
}

/// The texts of all drawings, in one spelling, by the sort of garment they show.
pub fn texts(drawings: &BTreeMap<String, Drawing>) -> BTreeMap<&str, Vec<&str>> {
    let garments: BTreeSet<&str> =
        drawings.keys().filter_map(|name| name.rsplit_once('-')).map(|(garment, _)| garment).collect();
    let texts = |garment| sides(drawings, garment).into_iter().map(|(_, drawing)| drawing.inert()).collect();
    garments.into_iter().map(|garment| (garment, texts(garment))).collect()
}

/// The marks of the garments that a knowledge base draws itself; a drawing that cannot be read has none.
pub fn marks(built_in: &BTreeMap<String, Vec<u8>>, own: &BTreeMap<String, Vec<u8>>) -> Vec<DrawnMark> {
    let garments: BTreeSet<&str> = own.keys().filter_map(|path| Some(name(path)?.rsplit_once('-')?.0)).collect();
    let garments: BTreeSet<&str> = garments.into_iter().filter(|garment| *garment != ANY).collect();
    if garments.is_empty() {
        return Vec::new();
    }
    let files = built_in.iter().chain(own).filter_map(|(path, content)| Some((name(path)?, &content[..])));
    let latest: BTreeMap<&str, &[u8]> = files.collect();
    let readable =
        latest.into_iter().filter_map(|(name, content)| Some((name.to_string(), drawing(name, content).ok()?)));
    let drawings: BTreeMap<String, Drawing> = readable.collect();
    garments.into_iter().flat_map(|garment| marks_of(&drawings, garment)).collect()
}

fn marks_of(drawings: &BTreeMap<String, Drawing>, garment: &str) -> Vec<DrawnMark> {
    let marks = of(drawings, garment).into_iter().flat_map(|(_, drawing)| drawing.marks());
    let drawn = marks.map(|mark| DrawnMark {
        garment: garment.to_string(),
        feature: mark.feature.clone(),
        state: mark.state.clone(),
    });
    drawn.collect()
}

fn name(path: &str) -> Option<&str> {
    path.strip_prefix("figures/")?.strip_suffix(".svg")
}

/// Says what is wrong with a file of `site/`, and from which byte on, if it is a drawing that cannot be used.
pub fn problem(path: &str, content: &[u8]) -> Option<(String, usize)> {
    checked(name(path)?, content).err()
}

fn drawing(name: &str, content: &[u8]) -> Result<Drawing, PageError> {
    checked(name, content).map_err(|(words, _)| PageError::Words(format!("site/figures/{name}.svg: {words}")))
}

/// Reads a drawing, or says in words what is wrong with it, and from which byte on.
fn checked(name: &str, content: &[u8]) -> Result<Drawing, (String, usize)> {
    let error = |words: String| (words, 0);
    if name.contains('/') || name.rsplit_once('-').is_none_or(|(garment, side)| garment.is_empty() || side.is_empty()) {
        return Err(error("a drawing is named for garment and side, such as `trousers-front.svg`".to_string()));
    }
    let text = std::str::from_utf8(content).map_err(|_| error("not UTF-8".to_string()))?;
    Drawing::read(text).map_err(|fault| {
        let offset = match fault {
            SvgFault::ForbiddenCharacter { offset }
            | SvgFault::NotWellFormed { offset }
            | SvgFault::UnknownEntity { offset }
            | SvgFault::NotAllowed { offset, .. } => offset,
            _ => 0,
        };
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        (words(fault), offset)
    })
}

fn words(fault: SvgFault) -> String {
    match fault {
        SvgFault::TooLong => "longer than 1 MiB".to_string(),
        SvgFault::ForbiddenCharacter { offset } => format!("a character that XML does not allow at byte {offset}"),
        SvgFault::NotWellFormed { offset } => format!("is not well-formed XML near byte {offset}"),
        SvgFault::UnknownEntity { offset } => format!("an entity that XML does not know near byte {offset}"),
        SvgFault::NotAllowed { what, .. } => {
            format!("{what} is not allowed in a drawing, which shows shapes and runs nothing")
        }
        SvgFault::NotOneDrawing => "not one `svg` element of the SVG namespace".to_string(),
        SvgFault::TooDeep => "elements are nested more than 64 deep".to_string(),
        SvgFault::TooManyCopies => "its `use` elements draw too much, or copy themselves".to_string(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeMap;

    use super::{marks, of, read};

    fn files(names: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
        names.iter().map(|(name, text)| (format!("figures/{name}"), text.as_bytes().to_vec())).collect()
    }

    #[test]
    fn sides_come_in_the_order_in_which_a_garment_is_looked_at() {
        let names = ["smock-hem", "smock-back", "smock-front", "rain-smock-front", "any-label"];
        let texts: Vec<String> = names.iter().map(|name| format!("{name}.svg")).collect();
        let drawings: Vec<(&str, &str)> = texts.iter().map(|name| (name.as_str(), "<svg/>")).collect();
        let read = read(files(&drawings).iter()).unwrap();
        let sides = |garment: &str| of(&read, garment).into_iter().map(|(side, _)| side).collect::<Vec<_>>();
        assert_eq!(sides("smock"), ["front", "back", "hem", "label"]);
        assert_eq!(sides("rain-smock"), ["front", "label"]);
        assert_eq!(sides("kilt"), [""; 0]);
    }

    #[test]
    fn a_drawing_that_cannot_be_used_is_named_with_why() {
        let rows = [
            ("smock-front.svg", "<svg><g></svg>", "site/figures/smock-front.svg: is not well-formed XML near byte 8"),
            (
                "smock.svg",
                "<svg/>",
                "site/figures/smock.svg: a drawing is named for garment and side, such as `trousers-front.svg`",
            ),
            (
                "smock-back.svg",
                "<svg><a/></svg>",
                "site/figures/smock-back.svg: the element `a` is not allowed in a drawing, which shows shapes and runs nothing",
            ),
            ("smock-back.svg", "<p/>", "site/figures/smock-back.svg: not one `svg` element of the SVG namespace"),
        ];
        for (name, text, expected) in rows {
            assert_eq!(read(files(&[(name, text)]).iter()).unwrap_err().to_string(), expected);
        }
        assert!(read(files(&[("notes.txt", "<")]).iter()).unwrap().is_empty());
    }

    #[test]
    fn marks_are_told_only_of_garments_that_a_knowledge_base_draws() {
        let mark = "<svg><g data-feature='hem' data-state='raw felled'/></svg>";
        let built_in = files(&[("smock-front.svg", mark), ("kilt-front.svg", mark), ("any-label.svg", mark)]);
        assert!(marks(&built_in, &files(&[("any-label.svg", mark)])).is_empty());
        let own = files(&[("smock-back.svg", "<svg><g data-feature='yoke'/></svg>")]);
        let told: Vec<_> = marks(&built_in, &own).into_iter().map(|mark| (mark.garment, mark.feature)).collect();
        assert!(told.iter().all(|(garment, _)| garment == "smock"));
        assert!(told.contains(&("smock".into(), "yoke".into())) && told.contains(&("smock".into(), "hem".into())));
    }
}
