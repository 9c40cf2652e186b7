//! Raw records to typed records, against the JSON Schemas and the vocabulary.
//!
//! One record at a time: whether an id leads anywhere is not asked here.

mod about;
mod address;
mod citation;
mod claim;
mod dispute;
mod judgement;
pub mod kept;
mod key;
mod landmark;
mod observation;
mod reader;
mod reading;
mod repair;
mod thing;
mod vocabulary;
mod whole;
mod wording;

use std::collections::BTreeMap;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::date::edtf::CircaYears;
use crate::fault::{Fault, FaultKind, Misplaced};
use crate::parse::{self, Parsed, RawRecord};
use crate::record::{Content, Record};
use crate::schema::{Schema, Subject};
use crate::source::{FileId, FilePath, Place, SourceFile, Sources, Span};
use crate::validate::address::{Address, Orphans};
use crate::validate::kept::Kept;
use crate::validate::reader::{Reader, Terms};
use crate::validate::repair::Bench;
use crate::vocabulary::Vocabulary;

/// The result of reading all files.
#[derive(Clone, Debug, Default)]
pub struct Validated {
    /// The features and states.
    pub vocabulary: Vocabulary,
    /// The records that can be used, sorted by path.
    pub records: Vec<Record>,
    /// The records that cannot be used; their ids stay known, so that references to them are no
    /// faults.
    pub unusable: BTreeMap<FilePath, FileId>,
    pub faults: Vec<Fault>,
}

/// Where the settings stand.
const ABOUT: &str = "entries/about.md";

/// Reads every record of the knowledge base, and its vocabulary.
///
/// Records come in order of path and faults in order of place, whatever the number of threads.
/// It tells of each file when it has been read, on any thread; there are no more than sources.
pub fn all(sources: &Sources, count: &(dyn Fn() + Sync)) -> Validated {
    gather(read(sources, count, |_, _| None))
}

/// As [`all`], but what became of files that are as they were is taken from an earlier reading, and kept for the next.
pub fn again(sources: &Sources, kept: &mut Kept, count: &(dyn Fn() + Sync)) -> Validated {
    let is_alike = kept.is_alike(sources);
    let known = |id, file: &SourceFile| if is_alike { kept.outcome(id, file) } else { None };
    let files = read(sources, count, known);
    *kept = Kept::new(sources, files.outcomes.clone());
    gather(files)
}

/// The outcomes of all files, and the faults that belong to no single file.
struct Files {
    outcomes: Vec<(FileId, Outcome)>,
    vocabulary: Vocabulary,
    faults: Vec<Fault>,
}

fn read(
    sources: &Sources,
    count: &(dyn Fn() + Sync),
    known: impl Fn(FileId, &SourceFile) -> Option<Outcome> + Sync,
) -> Files {
    let (terms, mut faults) = vocabulary::read(sources, circa(sources));
    faults.extend(missing(sources));
    let (desk, schema_faults) = Desk::new(sources, terms);
    faults.extend(schema_faults);
    let files: Vec<(FileId, &SourceFile)> =
        sources.iter().filter(|(_, file)| file.path().as_str().starts_with("entries/")).collect();
    let one = |(id, file): &(FileId, &SourceFile)| {
        let outcome = known(*id, file).unwrap_or_else(|| desk.one(*id, file));
        count();
        (*id, outcome)
    };
    let outcomes = files.par_iter().map(one).collect();
    Files { outcomes, vocabulary: desk.terms.vocabulary, faults }
}

fn gather(files: Files) -> Validated {
    let Files { outcomes, vocabulary, faults } = files;
    let mut validated = Validated { vocabulary, faults, ..Validated::default() };
    for (_, outcome) in outcomes {
        match outcome.record {
            Ok(record) => validated.records.push(record),
            Err((path, file)) => drop(validated.unusable.insert(path, file)),
        }
        validated.faults.extend(outcome.faults);
    }
    validated.faults.sort_by_key(|fault| fault.place);
    validated
}

/// Settings are needed before other records are read; their own faults are found when their turn comes.
fn circa(sources: &Sources) -> CircaYears {
    let about = sources.find(ABOUT).map(|id| parse::record(id, sources.file(id)).value.front);
    CircaYears(about::circa_years(&about.unwrap_or_default()))
}

/// Reports missing files that every knowledge base needs, on its first file; with no file at all,
/// there is no place to report.
fn missing(sources: &Sources) -> Vec<Fault> {
    let Some((file, _)) = sources.iter().next() else { return Vec::new() };
    let absent = [ABOUT, vocabulary::PATH].into_iter().filter(|path| sources.find(path).is_none());
    absent.map(|path| Fault::new(Place { file, span: Span::default() }, missing_parent(path))).collect()
}

fn missing_parent(path: &str) -> FaultKind {
    FaultKind::Misplaced(Misplaced::MissingParent { expected: path.to_string() })
}

/// The outcome of one file.
#[derive(Clone, Debug)]
pub struct Outcome {
    record: Result<Record, (FilePath, FileId)>,
    faults: Vec<Fault>,
}

impl Outcome {
    fn unusable(id: FileId, file: &SourceFile, faults: Vec<Fault>) -> Outcome {
        Outcome { record: Err((file.path().clone(), id)), faults }
    }
}

/// All that is needed to read any record.
struct Desk {
    terms: Terms,
    schemas: BTreeMap<Subject, Schema>,
    orphans: Orphans,
}

impl Desk {
    fn new(sources: &Sources, terms: Terms) -> (Desk, Vec<Fault>) {
        let (mut schemas, mut faults) = (BTreeMap::new(), Vec::new());
        for subject in Subject::ALL.into_iter().filter(|subject| *subject != Subject::Vocabulary) {
            let (schema, found) = match subject {
                Subject::Observation => Schema::load_observation(sources, terms.features()),
                _ => Schema::load(sources, subject),
            };
            schemas.insert(subject, schema);
            faults.extend(found);
        }
        (Desk { terms, schemas, orphans: address::orphans(sources) }, faults)
    }

    fn one(&self, id: FileId, file: &SourceFile) -> Outcome {
        let top = Place { file: id, span: Span::default() };
        let address = match address::read(file.path().as_str()) {
            Ok(address) => address,
            Err(kind) => return Outcome::unusable(id, file, vec![Fault::new(top, kind)]),
        };
        let parents = self.orphans.blamed.get(&id).into_iter().flatten();
        let mut faults: Vec<Fault> = parents.map(|path| Fault::new(top, missing_parent(path))).collect();
        let Parsed { value: raw, faults: mut malformed } = parse::record(id, file);
        if !malformed.is_empty() {
            let again = |text: &SourceFile| parse::record(id, text).faults.len();
            repair::slip::add(&mut malformed, file, &self.terms.vocabulary, again);
            faults.extend(malformed);
            return Outcome::unusable(id, file, faults);
        }
        let (record, found) = self.record(id, file, &address, &raw);
        // An entry is published without a photograph that cannot be; any other fault leaves its words in doubt.
        let is_whole = found.iter().all(|fault| matches!(fault.kind, FaultKind::Photograph(_)));
        let is_usable = is_whole && !self.orphans.files.contains(&id);
        faults.extend(found);
        match record.filter(|_| is_usable) {
            Some(record) => Outcome { record: Ok(record), faults },
            None => Outcome::unusable(id, file, faults),
        }
    }

    fn record(
        &self,
        id: FileId,
        file: &SourceFile,
        address: &Address,
        raw: &RawRecord,
    ) -> (Option<Record>, Vec<Fault>) {
        let schema = &self.schemas[&address.subject()];
        let refused = schema.faults(id, &raw.front);
        let mut reader = Reader::new(id, file.path(), &self.terms, refused);
        let content = content(&mut reader, address, raw);
        let formerly = about::formerly(&raw.front);
        for earlier in &formerly {
            if let Some([found, expected]) = address::wrong_earlier(address, file.path().address(), &earlier.value) {
                reader.other(earlier.span, found, &expected);
            }
        }
        let record = content.map(|content| Record {
            file: id,
            path: file.path().clone(),
            formerly,
            allow: about::allow(&raw.front),
            body: raw.body,
            content,
        });
        let mut faults = reader.finish();
        let (table, schema, vocabulary) = (&raw.front, schema.json(), &self.terms.vocabulary);
        repair::add(&mut faults, &Bench { file, table, schema, vocabulary });
        (record, faults)
    }
}

fn content(reader: &mut Reader<'_>, address: &Address, raw: &RawRecord) -> Option<Content> {
    let table = &raw.front;
    match address {
        Address::About => about::read(reader, table).map(Box::new).map(Content::About),
        Address::Source(id) => citation::shared(reader, table, id).map(Box::new).map(Content::Source),
        Address::Landmark => landmark::read(reader, table).map(Box::new).map(Content::Landmark),
        Address::Key => key::read(reader, table).map(Box::new).map(Content::Key),
        Address::Dispute => dispute::read(reader, table).map(Box::new).map(Content::Dispute),
        Address::Maker(id) => whole::maker(reader, table, id).map(Box::new).map(Content::Maker),
        Address::Model(id) => whole::model(reader, table, id).map(Box::new).map(Content::Model),
        Address::Variant(id) => whole::variant(reader, table, id).map(Box::new).map(Content::Variant),
        Address::Observation(id) => observation::placed(reader, table, id).map(Box::new).map(Content::Observation),
        Address::Unplaced => observation::unplaced(reader, table).map(Box::new).map(Content::Observation),
    }
}
