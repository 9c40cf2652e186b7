//! A sheet of garments, or drafts from the site, to entries that may be written, and to what is wrong row by row.
//!
//! Text in, text out: `disk` reads and writes. Nothing is guessed that a collector can be asked, and an entry that does
//! not pass `check` never becomes one.

pub mod cell;
pub mod draft;
pub mod duplicate;
pub mod heading;
pub mod mapping;
pub mod name;
pub mod own;
pub mod place;
pub mod proof;
pub mod row;
pub mod sheet;
pub mod words;

use crate::diagnostic::wording;
use crate::import::duplicate::Recorded;
use crate::import::heading::Target;
use crate::import::mapping::{Mapping, Printed};
use crate::import::name::Names;
use crate::import::row::{Column, Rows};
use crate::import::sheet::Sheet;
use crate::resolve::Catalog;
use crate::source::FilePath;

/// The greatest size of an entry, in bytes: a knowledge base reads none that is larger.
pub const LARGEST_ENTRY: usize = 1 << 20;

/// Where something that is imported stands.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// In a row of the sheet, as a spreadsheet counts.
    Row(usize),
    /// In a draft, by its file's name.
    File(String),
}

impl std::fmt::Display for Origin {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Origin::Row(number) => write!(formatter, "row {number}"),
            Origin::File(name) => formatter.write_str(name),
        }
    }
}

/// A photograph that goes with a draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Its name beside the draft.
    pub from: String,
    /// Its name beside the entry.
    pub to: String,
}

/// An entry that may be written.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Where it comes from.
    pub origin: Origin,
    /// Where it goes.
    pub path: String,
    /// What it says.
    pub text: String,
    /// The photographs that go with it.
    pub photographs: Vec<Taken>,
    /// What its keeper should know.
    pub remarks: Vec<String>,
}

impl Candidate {
    /// An entry without photographs.
    pub fn new(origin: Origin, path: String, text: String) -> Candidate {
        Candidate { origin, path, text, photographs: Vec::new(), remarks: Vec::new() }
    }
}

/// Why something is not written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trouble {
    /// Where it stands.
    pub origin: Origin,
    /// The heading or the key that it is about.
    pub about: Option<String>,
    /// What is wrong, and what would be right.
    pub message: String,
}

/// What was read, before the entries are checked together.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// The entries.
    pub candidates: Vec<Candidate>,
    /// What is wrong, and where.
    pub troubles: Vec<Trouble>,
    /// What is recorded word for word already, and in which entry.
    pub recorded: Vec<(Origin, String)>,
}

/// Finds out what each column of a sheet holds; a sheet of which nothing is known, or a column that is there twice, is
/// refused.
pub fn columns(catalog: &Catalog, sheet: &Sheet, mapping: &Mapping) -> Result<Vec<Column>, String> {
    let vocabulary = &catalog.vocabulary;
    let mut columns: Vec<Column> = Vec::new();
    for heading in &sheet.headings {
        let target = match mapping.column(heading) {
            Some(answer) => heading::answered(vocabulary, answer)?,
            None => heading::target(vocabulary, heading).unwrap_or(Target::LeftOut),
        };
        let is_single = !matches!(target, Target::LeftOut | Target::Key("text"));
        if let Some(other) = columns.iter().find(|other| is_single && other.target == target) {
            let (one, two) = (wording::quote(&other.heading), wording::quote(heading));
            return Err(format!(
                "the columns {one} and {two} hold the same; say in a mapping which of them to leave out, with `\"\"`"
            ));
        }
        columns.push(Column { heading: heading.clone(), target, unit: heading::unit(heading).1 });
    }
    if columns.iter().all(|column| column.target == Target::LeftOut) {
        let found: Vec<&String> = sheet.headings.iter().take(8).collect();
        return Err(format!(
            "no heading is known: found {}; the first row names the columns",
            wording::join_quoted(&found, "and")
        ));
    }
    Ok(columns)
}

/// Reads every row of a sheet into what was gathered.
pub fn rows(
    rows: &mut Rows<'_>,
    sheet: &Sheet,
    (names, recorded): (&mut Names, &mut Recorded),
    gathered: &mut Gathered,
) {
    for row in &sheet.rows {
        match rows.candidate(row, names) {
            Err(told) => gathered.troubles.extend(told),
            Ok(candidate) if candidate.text.len() > LARGEST_ENTRY => {
                let says = "the entry would be larger than 1 MiB, which no knowledge base reads".to_string();
                gathered.troubles.push(rows.trouble(row, "", says));
            }
            Ok(candidate) => match recorded.take(FilePath::new(candidate.path.as_str()).folder(), &candidate.text) {
                Some(path) => gathered.recorded.push((candidate.origin, path)),
                None => gathered.candidates.push(candidate),
            },
        }
    }
}

/// The mapping that was used, as TOML, with a question beside each column of which nothing is known.
pub fn printed(catalog: &Catalog, mapping: &Mapping, separator: char, columns: &[Column]) -> String {
    let shown = columns.iter().filter(|column| !column.heading.is_empty()).map(|column| {
        let is_unknown = column.target == Target::LeftOut && mapping.column(&column.heading).is_none();
        let question = is_unknown
            .then(|| format!("not known, so left out{}", heading::nearest(&catalog.vocabulary, &column.heading)));
        Printed { heading: &column.heading, target: &column.target, question }
    });
    mapping::print(mapping, separator, &shown.collect::<Vec<Printed<'_>>>())
}
