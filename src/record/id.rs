//! The names of things: one type for each kind of id, all short or shared strings.
//!
//! An id says what something is called, not that it exists.

use std::borrow::Borrow;
use std::cmp::Ordering;
use std::fmt;

use ecow::EcoString;

/// The most letters of a name. Two names, a full stop and an ending make the name of one file of the site, and file
/// systems allow 255 bytes (`NAME_MAX` of Linux, and the limits of NTFS and APFS).
pub const LONGEST_NAME: usize = 100;

/// Says whether Windows keeps a name for a device, whatever its ending: no file can have it there ("Naming Files, Paths,
/// and Namespaces", learn.microsoft.com/windows/win32/fileio/naming-a-file).
///
/// ```
/// use bartack::record::id::is_device;
/// assert!(is_device("con") && is_device("LPT1") && !is_device("com10") && !is_device("console"));
/// ```
pub fn is_device(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    let port = name.strip_prefix("com").or(name.strip_prefix("lpt"));
    matches!(name.as_str(), "con" | "prn" | "aux" | "nul")
        || port.is_some_and(|port| matches!(port.as_bytes(), [b'1'..=b'9']))
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(EcoString);

        impl $name {
            /// Takes the text of the id as it is written.
            pub fn new(text: impl Into<EcoString>) -> $name {
                $name(text.into())
            }

            /// The id as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// The id as a text to keep.
            pub fn into_text(self) -> EcoString {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str(&self.0)
            }
        }

        impl Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }
    )*};
}

ids! {
    /// A feature of the vocabulary: `belt-loops`.
    FeatureId,
    /// A state of a feature, or a count written as a number: `chain-stitch`, `5`, `absent`.
    StateId,
    /// A source by the name a file uses for it: `spring-list-1977`.
    SourceId,
    /// A landmark: `us-zip5`.
    LandmarkId,
    /// A key to codes: `quillander-stamp`.
    KeyId,
    /// A maker: `dunmore`.
    MakerId,
    /// A label line, with its maker: `dunmore/line:best`.
    LineId,
    /// A model, with its maker: `dunmore/no-7`.
    ModelId,
    /// A variant, with maker and model: `dunmore/no-7/no-7-best`.
    VariantId,
    /// A name as `<path>#<id or n>`, `<path>#made`, `<path>#seen` or `<path>#key`; order is the order of voices.
    VoiceName,
}

/// Orders names as people do: runs of figures by their number, so that `no-2` comes before `no-10`.
///
/// ```
/// use bartack::record::id::natural_order;
/// let mut names = ["m/no-10", "m/no-2", "m/best"];
/// names.sort_by(|one, other| natural_order(one, other));
/// assert_eq!(names, ["m/best", "m/no-2", "m/no-10"]);
/// ```
pub fn natural_order(one: &str, other: &str) -> Ordering {
    let (mut one_rest, mut other_rest) = (one, other);
    while !one_rest.is_empty() && !other_rest.is_empty() {
        let ((one_run, one_after), (other_run, other_after)) = (first_run(one_rest), first_run(other_rest));
        let by_number = || {
            let figures = [one_run, other_run].map(|run| run.trim_start_matches('0'));
            let are_numbers =
                [one_run, other_run].iter().all(|run| run.starts_with(|first: char| first.is_ascii_digit()));
            are_numbers.then(|| figures[0].len().cmp(&figures[1].len()).then_with(|| figures[0].cmp(figures[1])))
        };
        match by_number().unwrap_or_else(|| one_run.cmp(other_run)) {
            Ordering::Equal => (one_rest, other_rest) = (one_after, other_after),
            found => return found,
        }
    }
    // Names that differ in noughts alone have an order too.
    one_rest.len().cmp(&other_rest.len()).then_with(|| one.cmp(other))
}

/// Splits a name after its first run of figures, or of other characters.
fn first_run(name: &str) -> (&str, &str) {
    let is_figure = |character: char| character.is_ascii_digit();
    let begins_so = name.starts_with(is_figure);
    name.split_at(name.find(|character| is_figure(character) != begins_so).unwrap_or(name.len()))
}

/// The name of a claim in the name of a voice, which may speak of the beginning or the end of `produced` alone.
///
/// ```
/// use bartack::record::id::whole_claim;
/// assert_eq!(whole_claim("entries/a.md#run:begin"), "entries/a.md#run");
/// ```
pub fn whole_claim(name: &str) -> &str {
    name.strip_suffix(":begin").or_else(|| name.strip_suffix(":end")).unwrap_or(name)
}

impl LineId {
    /// Joins a maker with the id of one of its lines.
    pub fn of(maker: &MakerId, line: &str) -> LineId {
        LineId::new(format!("{maker}/line:{line}"))
    }

    /// The maker whose line it is.
    pub fn maker(&self) -> MakerId {
        MakerId::new(first_segment(&self.0))
    }

    /// The line's own id.
    pub fn line(&self) -> &str {
        self.0.rsplit_once("/line:").map_or("", |(_, line)| line)
    }
}

impl ModelId {
    /// Joins a maker with the name of one of its models.
    pub fn of(maker: &MakerId, model: &str) -> ModelId {
        ModelId::new(format!("{maker}/{model}"))
    }

    /// The maker whose model it is.
    pub fn maker(&self) -> MakerId {
        MakerId::new(first_segment(&self.0))
    }

    /// The model's own name.
    pub fn model(&self) -> &str {
        last_segment(&self.0)
    }
}

impl VariantId {
    /// Joins a model with the name of one of its variants.
    pub fn of(model: &ModelId, variant: &str) -> VariantId {
        VariantId::new(format!("{model}/{variant}"))
    }

    /// The model it is a variant of.
    pub fn model(&self) -> ModelId {
        ModelId::new(self.0.rsplit_once('/').map_or("", |(model, _)| model))
    }

    /// The maker of its model.
    pub fn maker(&self) -> MakerId {
        MakerId::new(first_segment(&self.0))
    }

    /// The variant's own name.
    pub fn variant(&self) -> &str {
        last_segment(&self.0)
    }
}

fn first_segment(path: &str) -> &str {
    path.split_once('/').map_or(path, |(first, _)| first)
}

fn last_segment(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, last)| last)
}

/// A thing with an era, or the whole that a state belongs to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Whole {
    /// A maker.
    Maker(MakerId),
    /// A label line.
    Line(LineId),
    /// A model.
    Model(ModelId),
    /// A variant.
    Variant(VariantId),
}

impl Whole {
    /// The path under `entries/makers/`, or `<maker>/line:<line>`.
    pub fn as_str(&self) -> &str {
        match self {
            Whole::Maker(id) => id.as_str(),
            Whole::Line(id) => id.as_str(),
            Whole::Model(id) => id.as_str(),
            Whole::Variant(id) => id.as_str(),
        }
    }
}

/// Anything with a first and a last day made: a whole, or a state of a feature of it.
///
/// ```
/// use bartack::record::id::{FeatureId, MakerId, StateId, Thing, Whole};
/// let hem = (FeatureId::new("hem"), StateId::new("folded"));
/// let thing = Thing { whole: Whole::Maker(MakerId::new("dunmore")), state: Some(hem) };
/// assert_eq!(thing.to_string(), "dunmore/feature:hem=folded");
/// ```
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Thing {
    /// The thing itself, or the whole it is a state of; never a line if there is a state.
    pub whole: Whole,
    /// The feature and its state.
    pub state: Option<(FeatureId, StateId)>,
}

impl Thing {
    /// The whole itself.
    pub fn of(whole: Whole) -> Thing {
        Thing { whole, state: None }
    }
}

impl fmt::Display for Thing {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.whole.as_str())?;
        match &self.state {
            Some((feature, state)) => write!(formatter, "/feature:{feature}={state}"),
            None => Ok(()),
        }
    }
}
