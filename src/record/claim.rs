//! A statement about when something began, ended, was made or offered.
//!
//! A claim keeps the words and the date as written; `chronology` works out its bounds.

use crate::date::edtf::Edtf;
use crate::record::id::{SourceId, Thing};
use crate::source::{Span, Spanned};

/// One `[[claims]]` table.
#[derive(Clone, Debug)]
pub struct Claim {
    /// Its place among the claims of its file, from 1.
    pub number: usize,
    /// Its own id, if it has one.
    pub id: Option<Spanned<String>>,
    /// Its subject.
    pub about: Spanned<Thing>,
    /// The event and its date.
    pub event: Spanned<Event>,
    /// The words of the source.
    pub as_written: Option<String>,
    /// Where it was read.
    pub sources: Vec<Spanned<SourceReference>>,
    /// The whole table, for labels.
    pub span: Span,
}

/// An event of a claim, with its date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// First made within the date.
    Introduced(Spanned<Edtf>),
    /// Last made within the date.
    Discontinued(Spanned<Edtf>),
    /// First made within the beginning, last made within the end; always an interval.
    Produced(Spanned<Edtf>),
    /// Made at some day of the date.
    Attested(Spanned<Edtf>),
    /// Not offered then; bounds nothing.
    NotOffered(Spanned<Edtf>),
    /// Ended before the other thing began.
    Before(Spanned<Thing>),
}

impl Event {
    /// The word of the front matter.
    pub fn word(&self) -> &'static str {
        match self {
            Event::Introduced(_) => "introduced",
            Event::Discontinued(_) => "discontinued",
            Event::Produced(_) => "produced",
            Event::Attested(_) => "attested",
            Event::NotOffered(_) => "not-offered",
            Event::Before(_) => "before",
        }
    }

    /// The date of every event but `before`.
    pub fn when(&self) -> Option<&Spanned<Edtf>> {
        match self {
            Event::Introduced(when)
            | Event::Discontinued(when)
            | Event::Produced(when)
            | Event::Attested(when)
            | Event::NotOffered(when) => Some(when),
            Event::Before(_) => None,
        }
    }
}

/// A source's id and where in it: `spring-list-1977 p. 14`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceReference {
    /// The id, shared or local to the file.
    pub id: SourceId,
    /// Page or other place in the source; may be empty.
    pub locator: String,
}

impl SourceReference {
    /// Splits the id from the place in the source at the first space.
    pub fn parse(text: &str) -> SourceReference {
        let (id, locator) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        SourceReference { id: SourceId::new(id), locator: locator.trim().to_string() }
    }
}
