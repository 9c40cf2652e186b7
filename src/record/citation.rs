//! A source that a claim or a date was read from.
//!
//! `resolve` finds out whether two sources are one, and what they go back to.

use crate::date::Day;
use crate::date::edtf::Edtf;
use crate::record::id::SourceId;
use crate::source::{Span, Spanned};

/// A source used more than once, or a `[[source]]` of one file.
#[derive(Clone, Debug)]
pub struct Source {
    /// Its id: the file's name, or `id` in a `[[source]]`.
    pub id: Spanned<SourceId>,
    /// How to find it again.
    pub citation: Spanned<String>,
    pub kind: Spanned<SourceKind>,
    /// When it appeared or was said.
    pub date: Option<Spanned<Edtf>>,
    /// Its address on the web.
    pub url: Option<Spanned<String>>,
    /// A lasting copy.
    pub archived: Option<Spanned<String>>,
    /// The day somebody last looked.
    pub checked: Option<Spanned<Day>>,
    /// The sources it took this from.
    pub repeats: Vec<Spanned<SourceId>>,
    /// The whole table, for labels.
    pub span: Span,
}

/// The kind of a source, which decides its weight and whether its date is that of an offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SourceKind {
    /// A catalogue.
    Catalogue,
    /// An advertisement.
    Advertisement,
    /// A price list.
    PriceList,
    /// A photograph.
    Photograph,
    /// A patent.
    Patent,
    /// A law or rule.
    Law,
    /// A standard.
    Standard,
    /// A label.
    Label,
    /// A book.
    Book,
    /// An article.
    Article,
    /// A page on the web.
    WebPage,
    /// An interview.
    Interview,
    /// A recollection.
    Recollection,
}

/// How near a source is to what it reports; the weights are in `about.md`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WeightClass {
    /// Made at the time.
    Contemporary,
    /// Written later from others.
    Secondary,
    /// Somebody says so.
    Statement,
}

impl SourceKind {
    /// Every kind with its word in the front matter.
    pub const ALL: [(SourceKind, &'static str); 13] = [
        (SourceKind::Catalogue, "catalogue"),
        (SourceKind::Advertisement, "advertisement"),
        (SourceKind::PriceList, "price-list"),
        (SourceKind::Photograph, "photograph"),
        (SourceKind::Patent, "patent"),
        (SourceKind::Law, "law"),
        (SourceKind::Standard, "standard"),
        (SourceKind::Label, "label"),
        (SourceKind::Book, "book"),
        (SourceKind::Article, "article"),
        (SourceKind::WebPage, "web-page"),
        (SourceKind::Interview, "interview"),
        (SourceKind::Recollection, "recollection"),
    ];

    /// Reads the word of the front matter.
    pub fn parse(word: &str) -> Option<SourceKind> {
        SourceKind::ALL.iter().find(|(_, name)| *name == word).map(|(kind, _)| *kind)
    }

    /// The word of the front matter.
    pub fn word(self) -> &'static str {
        SourceKind::ALL.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// The class that decides its weight.
    pub fn weight_class(self) -> WeightClass {
        match self {
            SourceKind::Book | SourceKind::Article | SourceKind::WebPage => WeightClass::Secondary,
            SourceKind::Interview | SourceKind::Recollection => WeightClass::Statement,
            _ => WeightClass::Contemporary,
        }
    }

    /// Says whether it shows what was offered for sale, not only what was made.
    pub fn is_offer(self) -> bool {
        matches!(self, SourceKind::Catalogue | SourceKind::Advertisement | SourceKind::PriceList)
    }
}
