//! A thing with a name: its kind, its name and its path.
//!
//! `names` lists all of them.

/// Sorts of things with names, in the order in which they are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// A maker.
    Maker,
    /// A label line.
    Line,
    /// A model.
    Model,
    /// A variant.
    Variant,
    /// A landmark.
    Landmark,
    /// A key to codes.
    Key,
    /// A feature.
    Feature,
    /// A state of a feature.
    State,
    /// A source.
    Source,
    /// An observation.
    Observation,
    /// A page of the guide.
    Guide,
    /// A term of the glossary.
    Term,
    /// Two lines or two wearers side by side.
    Comparison,
    /// One state of a feature giving way to another.
    Changeover,
}

/// Years from and to, both included; nothing on a side that is open.
pub type Years = (Option<i32>, Option<i32>);

/// A thing with a name.
#[derive(Clone, Debug)]
pub struct Named {
    /// The kind of thing.
    pub sort: Sort,
    pub name: String,
    /// Its path in the site.
    pub path: String,
    /// The list index of what it belongs to.
    pub parent: Option<usize>,
    /// The years in which it was or may have been made, or appeared.
    pub years: Option<Years>,
    /// Other words that find it.
    pub also: String,
}

impl Sort {
    /// Every sort with its word.
    pub const ALL: [(Sort, &'static str); 14] = [
        (Sort::Maker, "maker"),
        (Sort::Line, "line"),
        (Sort::Model, "model"),
        (Sort::Variant, "variant"),
        (Sort::Landmark, "landmark"),
        (Sort::Key, "key"),
        (Sort::Feature, "feature"),
        (Sort::State, "state"),
        (Sort::Source, "source"),
        (Sort::Observation, "observation"),
        (Sort::Guide, "guide"),
        (Sort::Term, "term"),
        (Sort::Comparison, "comparison"),
        (Sort::Changeover, "changeover"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Sort::ALL[self as usize].1
    }
}
