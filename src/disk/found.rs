//! Classifies the names in a knowledge base, sets the limits for reading them, and turns the files into sources with
//! faults.
//!
//! Shared by the folder on disk and by the files of a Git revision; opens nothing itself.

use std::io::Cursor;

use crate::disk::Reading;
use crate::fault::{Fault, FaultKind, Unreadable};
use crate::page;
use crate::photograph::{self, Facts, Flaw};
use crate::source::{Attachment, FilePath, Place, SourceFile, Sources, Span};

/// The greatest size of a text, in bytes.
pub const TEXT_LIMIT: u64 = 1 << 20;
/// The greatest size of a photograph or an asset, in bytes.
pub const PICTURE_LIMIT: u64 = photograph::MOST_BYTES;

/// The kind of file under a name.
#[derive(Debug)]
pub enum Found {
    /// A record, a schema or the vocabulary.
    Text(String),
    /// Another file among the entries.
    Beside {
        /// Its size.
        bytes: u64,
        /// Its header, if it is a picture small enough to be used.
        picture: Result<Facts, Flaw>,
    },
    /// A template or asset.
    Site(Vec<u8>),
    /// Something that is not read.
    Refused(Unreadable),
}

/// How a file is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// A record, a schema or the vocabulary.
    Text,
    /// A template or asset.
    Site,
    /// A file among the entries.
    Beside,
}

/// Says how a file is read, by its path; `None` if it is no part of a knowledge base.
pub fn part(path: &str) -> Option<Part> {
    if path.starts_with("schema/") {
        (path.ends_with(".toml") || path.ends_with(".schema.json")).then_some(Part::Text)
    } else if path.starts_with("site/") {
        Some(Part::Site)
    } else {
        Some(if path.ends_with(".md") { Part::Text } else { Part::Beside })
    }
}

/// Says whether a name belongs to editors or Git and is skipped.
pub fn is_hidden(name: &[u8]) -> bool {
    name.starts_with(b".")
}

/// Says whether a path with forward slashes can be a name on every system.
pub fn is_name(path: &str) -> bool {
    let is_plain = |name: &str| !matches!(name, "" | "." | "..");
    path.split('/').all(is_plain) && !path.contains(|letter: char| letter == '\\' || letter.is_control())
}

/// Takes bytes within the limit as text if they are UTF-8.
pub fn text(bytes: Vec<u8>) -> Result<Found, Unreadable> {
    let text = String::from_utf8(bytes);
    text.map(Found::Text).map_err(|error| Unreadable::NotUtf8 { offset: error.utf8_error().valid_up_to() })
}

/// Looks at the header of a picture in memory; nothing is decoded.
pub fn picture(bytes: &[u8]) -> Result<Facts, Flaw> {
    photograph::look(&mut Cursor::new(bytes)).unwrap_or(Err(Flaw::NotAPicture))
}

/// Sorts out what was found; a file that is refused becomes an empty text and a fault.
pub fn sorted_out(found: Vec<(FilePath, Found)>) -> Reading {
    let mut reading = Reading::default();
    let (mut files, mut attachments, mut refused) = (Vec::new(), Vec::new(), Vec::new());
    for (path, what) in found {
        match what {
            Found::Text(text) => files.push(SourceFile::new(path, text)),
            Found::Beside { bytes, picture } => attachments.push(Attachment { path, bytes, picture }),
            Found::Site(content) => {
                let name = path.as_str().trim_start_matches("site/").to_string();
                reading.site.insert(name, content);
            }
            Found::Refused(why) => {
                files.push(SourceFile::new(path.clone(), String::new()));
                refused.push((path, why));
            }
        }
    }
    let mut flaws = Vec::new();
    for flaw in page::flaws::of(&reading.site) {
        let content = reading.site.remove(&flaw.path).unwrap_or_default();
        let path = FilePath::new(format!("site/{}", flaw.path));
        files.push(SourceFile::new(path.clone(), String::from_utf8(content).unwrap_or_default()));
        flaws.push((path, flaw));
    }
    reading.sources = Sources::new(files).with_attachments(attachments).with_marks(page::marks(&reading.site));
    reading.faults = faults(&reading.sources, refused);
    reading.faults.extend(flaws.into_iter().filter_map(|(path, flaw)| {
        let place = Place { file: reading.sources.find(path.as_str())?, span: flaw.span };
        Some(Fault::new(place, FaultKind::Unreadable(Unreadable::Unusable(flaw.problem))))
    }));
    reading
}

fn faults(sources: &Sources, mut refused: Vec<(FilePath, Unreadable)>) -> Vec<Fault> {
    refused.sort_by(|one, other| one.0.cmp(&other.0));
    let placed = refused.into_iter().filter_map(|(path, why)| {
        let file = sources.find(path.as_str())?;
        Some(Fault::new(Place { file, span: Span::default() }, FaultKind::Unreadable(why)))
    });
    placed.collect()
}

#[cfg(test)]
mod tests {
    use super::{Part, is_name, part};

    #[test]
    fn paths_say_what_a_file_is_read_as() {
        let parts =
            ["entries/a.md", "entries/a.jpg", "schema/vocabulary.toml", "schema/README", "site/a.css"].map(part);
        assert_eq!(parts, [Some(Part::Text), Some(Part::Beside), Some(Part::Text), None, Some(Part::Site)]);
    }

    #[test]
    fn names_that_lead_elsewhere_are_none() {
        for bad in ["entries/../a.md", "entries//a.md", "entries/a\\b.md", "entries/a\n.md", "/a.md", "entries/./a.md"]
        {
            assert!(!is_name(bad), "{bad:?}");
        }
        assert!(is_name("entries/ä b.md"));
    }
}
