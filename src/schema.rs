//! The JSON Schemas of the records: a table of keys and values to what is wrong with it, each with its span.
//!
//! A schema looks at one file's keys by themselves; rules between keys and files are asked in `validate` and `resolve`.

mod blame;
mod feature;
mod json;

use std::sync::{Arc, OnceLock};

use jsonschema::{Draft, PatternOptions, Validator};
use serde_json::Value;

use crate::date::edtf::Edtf;
use crate::fault::{Family, Fault, FaultKind, Malformed};
use crate::source::tree::Table;
use crate::source::{FileId, Place, Sources, Span};
use crate::vocabulary::Vocabulary;

/// How many errors of one file are looked at; the rest are counted.
const MOST_ERRORS: usize = 1000;

/// What a schema is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// `entries/about.md`.
    About,
    /// A shared source.
    Source,
    Landmark,
    Key,
    Dispute,
    Maker,
    Model,
    Variant,
    /// An observation, placed or not.
    Observation,
    /// `schema/vocabulary.toml`.
    Vocabulary,
}

impl Subject {
    /// Every subject.
    pub const ALL: [Subject; 10] = [
        Subject::About,
        Subject::Source,
        Subject::Landmark,
        Subject::Key,
        Subject::Dispute,
        Subject::Maker,
        Subject::Model,
        Subject::Variant,
        Subject::Observation,
        Subject::Vocabulary,
    ];

    /// The path of its schema in a knowledge base.
    pub fn path(self) -> &'static str {
        self.built_in().0
    }

    /// The schema that is compiled into the program.
    pub fn text(self) -> &'static str {
        self.built_in().1
    }

    fn built_in(self) -> (&'static str, &'static str) {
        match self {
            Subject::About => ("schema/about.schema.json", include_str!("../schema/about.schema.json")),
            Subject::Source => ("schema/source.schema.json", include_str!("../schema/source.schema.json")),
            Subject::Landmark => ("schema/landmark.schema.json", include_str!("../schema/landmark.schema.json")),
            Subject::Key => ("schema/key.schema.json", include_str!("../schema/key.schema.json")),
            Subject::Dispute => ("schema/dispute.schema.json", include_str!("../schema/dispute.schema.json")),
            Subject::Maker => ("schema/maker.schema.json", include_str!("../schema/maker.schema.json")),
            Subject::Model => ("schema/model.schema.json", include_str!("../schema/model.schema.json")),
            Subject::Variant => ("schema/variant.schema.json", include_str!("../schema/variant.schema.json")),
            Subject::Observation => {
                ("schema/observation.schema.json", include_str!("../schema/observation.schema.json"))
            }
            Subject::Vocabulary => ("schema/vocabulary.schema.json", include_str!("../schema/vocabulary.schema.json")),
        }
    }
}

/// A schema that is ready for use.
#[derive(Clone, Debug)]
pub struct Schema {
    root: Arc<Value>,
    validator: Arc<Validator>,
}

/// The built-in schemas as they stand, each made ready when first asked for: many small knowledge bases are compiled in one
/// run, such as the examples of all lints.
static READY: [OnceLock<Schema>; Subject::ALL.len()] = [const { OnceLock::new() }; Subject::ALL.len()];

/// The words that readings may be written in.
#[derive(Clone, Copy, Debug)]
pub enum Features<'a> {
    /// Those of the vocabulary; any other is unknown. The listed ids are known, but nothing is known of them.
    Known(&'a Vocabulary, &'a [String]),
    /// The vocabulary could not be read, so nothing is held against any.
    Unread,
}

impl Schema {
    /// Takes the knowledge base's own schema of a subject, or the built-in one if that is missing or unusable.
    pub fn load(sources: &Sources, subject: Subject) -> (Schema, Vec<Fault>) {
        if sources.find(subject.path()).is_none() {
            let ready = READY[subject as usize].get_or_init(|| built_in(subject, |_| ()));
            return (ready.clone(), Vec::new());
        }
        Schema::load_changed(sources, subject, |_| ())
    }

    /// Takes the schema of observations, with the readings held to the vocabulary.
    pub fn load_observation(sources: &Sources, features: Features<'_>) -> (Schema, Vec<Fault>) {
        Schema::load_changed(sources, Subject::Observation, |root| feature::insert(root, features))
    }

    fn load_changed(sources: &Sources, subject: Subject, change: impl Fn(&mut Value)) -> (Schema, Vec<Fault>) {
        let own = sources.find(subject.path()).map(|file| (file, compile(sources.file(file).text(), &change)));
        match own {
            Some((_, Ok(schema))) => (schema, Vec::new()),
            Some((file, Err(words))) => (built_in(subject, &change), vec![unusable(file, words)]),
            None => (built_in(subject, &change), Vec::new()),
        }
    }

    /// Gives what is wrong with a table, sorted by place.
    pub fn faults(&self, file: FileId, table: &Table) -> Vec<Fault> {
        let value = json::record(table);
        if self.validator.is_valid(&value) {
            return Vec::new();
        }
        let mut errors = self.validator.iter_errors(&value);
        let found = blame::faults(&self.root, table, errors.by_ref().take(MOST_ERRORS));
        let mut faults: Vec<Fault> =
            found.into_iter().map(|(span, kind)| Fault::new(Place { file, span }, kind)).collect();
        faults.sort_by_key(Fault::span);
        let count = errors.count();
        if let (true, Some(last)) = (count > 0, faults.last()) {
            faults.push(Fault::new(last.place, FaultKind::Unlisted { family: Family::Field, count }));
        }
        faults
    }

    /// The schema as JSON.
    pub fn json(&self) -> &Value {
        &self.root
    }
}

fn built_in(subject: Subject, change: impl Fn(&mut Value)) -> Schema {
    compile(subject.text(), change).expect("the built-in schemas are tested to be schemas")
}

fn compile(text: &str, change: impl Fn(&mut Value)) -> Result<Schema, String> {
    let mut root: Value = serde_json::from_str(text).map_err(|error| error.to_string())?;
    change(&mut root);
    let validator = jsonschema::options()
        .with_draft(Draft::Draft202012)
        .should_validate_formats(true)
        .should_ignore_unknown_formats(false)
        .with_format("edtf", |text: &str| Edtf::parse(text).is_ok())
        // Contributors may edit the schemas: no pattern of theirs may take more than linear time.
        .with_pattern_options(PatternOptions::regex())
        .offline()
        .build(&root)
        .map_err(|error| error.to_string())?;
    Ok(Schema { root: Arc::new(root), validator: Arc::new(validator) })
}

fn unusable(file: FileId, words: String) -> Fault {
    Fault::new(Place { file, span: Span::default() }, FaultKind::Malformed(Malformed::Schema(words)))
}
