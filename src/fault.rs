//! What a stage could not use: typed facts with a place.
//!
//! No wording: `lints` owns the words, and each kind belongs to exactly one lint.

pub mod listed;
pub mod photograph;
pub mod repair;

use std::sync::Arc;

use crate::date::fault::DateFault;
use crate::fault::photograph::PhotographFault;
use crate::source::{Place, Span};

/// One thing that could not be used.
#[derive(Clone, Debug)]
pub struct Fault {
    /// Where it stands.
    pub place: Place,
    /// What it is.
    pub kind: FaultKind,
    /// Its one possible repair, if there is one.
    pub repair: Option<Box<repair::Repair>>,
}

/// What could not be used, by the stage that met it.
#[derive(Clone, Debug)]
pub enum FaultKind {
    /// The disk had a file that is no record.
    Unreadable(Unreadable),
    /// The text is no front matter with a body.
    Malformed(Malformed),
    /// A key or value is not what the record's kind allows.
    Schema(SchemaFault),
    /// A word is not in the vocabulary.
    Term(TermFault),
    /// A record stands where its kind does not belong.
    Misplaced(Misplaced),
    /// An id leads nowhere, or to the wrong kind of thing.
    Reference(ReferenceFault),
    /// A photograph cannot be used.
    Photograph(PhotographFault),
    /// Mistakes of a family in the file that are counted and not kept.
    #[allow(missing_docs)]
    Unlisted { family: Family, count: usize },
}

/// Faults that one lint words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Keys and values.
    Field,
    /// Words of the vocabulary.
    Term,
    /// Ids.
    Reference,
}

/// Why a file was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// A symbolic link.
    SymbolicLink,
    /// A device, pipe or socket.
    NotAFile,
    /// Larger than a record may be.
    TooLarge {
        /// The greatest size in bytes.
        limit: u64,
    },
    /// Bytes that are no UTF-8, from this offset on.
    NotUtf8 {
        /// The first wrong byte.
        offset: usize,
    },
    /// The system refused, in its own words.
    Refused(String),
    /// Its path cannot be a name in a knowledge base.
    BadName,
    /// A template or drawing that cannot be used, with what is wrong in words.
    Unusable(String),
}

/// Why a text is no record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Malformed {
    /// It does not begin with a `+++` line.
    NoFence,
    /// It begins with a line `---`, as front matter of other programs does.
    OtherFence,
    /// The `+++` line that ends the front matter is missing.
    UnclosedFence,
    /// The TOML reader's own words.
    Toml(String),
    /// A key that stands twice in one table.
    RepeatedKey(String),
    /// A NUL or another character that no text needs.
    ControlCharacter(char),
    /// A JSON Schema of the knowledge base that cannot be used, in its reader's own words; the built-in one stands in.
    Schema(String),
}

/// The rule that a key or value breaks.
#[derive(Clone, Debug)]
pub enum SchemaFault {
    /// A key that the kind of record does not have.
    UnknownKey {
        /// The key.
        key: String,
        /// What it may be.
        allowed: Arc<[String]>,
    },
    /// A key that must be there is not.
    MissingKey {
        /// The key.
        key: String,
        /// Why it is needed here, if the kind does not say: `on a document`.
        because: Option<String>,
        /// What it may be, where that is a fixed list.
        allowed: Vec<String>,
    },
    /// A value of the wrong type.
    WrongType {
        /// What it is: `a number`.
        found: String,
        /// What it may be, in words.
        expected: String,
    },
    /// A word that is not in a fixed list.
    NotOneOf {
        /// The word.
        found: String,
        /// The list.
        allowed: Vec<String>,
    },
    /// A text, number or list outside its limits.
    OutOfLimits {
        /// What was found.
        found: String,
        /// What is allowed, in words, from the schema's own description.
        expected: String,
    },
    /// A date that is none.
    Date {
        /// The whole string.
        found: String,
        /// What is wrong with it.
        fault: DateFault,
    },
    /// Keys or values that do not go together.
    Rule(RuleBroken),
}

/// Which rule between keys is broken; each names what it needs for a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RuleBroken {
    /// `made` with `basis = "statement"`.
    StatementWithMade,
    /// A key that only a garment has, on a document or statement: `made-by`.
    NotOnDocument {
        /// The key.
        key: String,
    },
    /// `produced` with a single date.
    ProducedNeedsInterval {
        /// The date as written.
        found: String,
    },
    /// `before` with `when`, or another event with `other`, or one of them missing.
    EventNeeds {
        /// The event.
        event: String,
        /// The key it needs.
        needs: &'static str,
    },
    /// A hard landmark on `absent` or `lost`.
    HardOnAbsence,
    /// A landmark without a bound, or with its bounds the wrong way round.
    LandmarkBounds,
    /// A soft landmark without odds.
    SoftNeedsOdds,
    /// A count of 0.
    CountOfZero,
    /// A count or a number that is no whole number above 0.
    NotACount {
        /// What was found.
        found: String,
    },
    /// A value outside the vocabulary's range.
    OutsideRange {
        /// The value with its unit.
        found: String,
        /// The range with its unit.
        range: String,
        /// The readings within the range that the same number gives in other units, as an entry writes them.
        fits: Vec<String>,
    },
    /// A list where a feature has one reading.
    SeveralReadings,
    /// A unit that measures something else than the feature.
    UnitMismatch {
        /// The unit found.
        found: String,
        /// The vocabulary's unit.
        expected: String,
    },
    /// `made-by = "key"` without `made-source`, or the other way round.
    KeyNeedsSource,
    /// `made-from` without an estimate, or `placed-from` without `judged`.
    FromNeedsJudgement {
        /// The key.
        key: String,
    },
    /// An id that is one of the short words `maker`, `model`, `variant`.
    ReservedId {
        /// The id.
        found: String,
    },
    /// The same id twice in one file.
    RepeatedId {
        /// The id.
        found: String,
    },
    /// A claim about a variant where there is none.
    NoSuchScope {
        /// The words of `about`.
        found: String,
    },
    /// Another rule, in plain words with what would be right.
    Other {
        /// What was found.
        found: String,
        /// What was expected.
        expected: String,
    },
}

/// A word that the vocabulary does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TermFault {
    /// No such feature.
    UnknownFeature {
        /// The word.
        found: String,
        /// All features.
        known: Arc<[String]>,
    },
    /// A key of the entry itself in the table of features.
    KeyOfEntry {
        /// The key.
        key: String,
        /// Whether the entry has the key at its own place too.
        is_given: bool,
    },
    /// No such state of the feature.
    UnknownState {
        /// The feature.
        feature: String,
        /// The word.
        found: String,
        /// Its states.
        allowed: Vec<String>,
    },
    /// The feature does not belong to this sort of garment.
    WrongGarment {
        /// The feature.
        feature: String,
        /// The garment of the model.
        garment: String,
        /// The sorts it belongs to.
        allowed: Vec<String>,
    },
}

/// Why a record does not belong where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misplaced {
    /// No kind of record stands at such a path.
    NoSuchPlace,
    /// A folder lacks the record that gives it its meaning: a variant's folder without `variant.md`.
    MissingParent {
        /// The path of the missing record.
        expected: String,
    },
    /// A name that is not `[a-z0-9-]`.
    BadName {
        /// The name.
        found: String,
    },
    /// A name that Windows keeps for a device.
    Device {
        /// The name.
        found: String,
    },
    /// A name longer than files of the site can carry.
    LongName {
        /// How many letters it has.
        letters: usize,
    },
}

/// An id that leads nowhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReferenceFault {
    /// What it should name: `source`, `variant`, `line`, `observation`, `claim`, `feature`.
    pub wanted: &'static str,
    /// The id as written.
    pub found: String,
    /// Names near it.
    pub nearest: Vec<String>,
    /// What is wrong if the id itself exists, in plain words.
    pub problem: Option<String>,
}

impl Fault {
    /// Joins a place with what is wrong there.
    pub fn new(place: Place, kind: FaultKind) -> Fault {
        Fault { place, kind, repair: None }
    }

    /// The bytes in its file.
    pub fn span(&self) -> Span {
        self.place.span
    }
}
