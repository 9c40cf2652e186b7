//! A sheet of garments, or drafts from the site, to entries that may be written, and to what is wrong row by row.
//!
//! Text in, text out: `disk` reads and writes. Nothing is guessed that a collector can be asked, and an entry that does
//! not pass `check` never becomes one.

pub mod base;
pub mod bundle;
pub mod cell;
pub mod codes;
pub mod correction;
pub mod date;
pub mod draft;
pub mod duplicate;
pub mod heading;
pub mod leftover;
pub mod mapping;
pub mod name;
pub mod own;
pub mod place;
pub mod printing;
pub mod proof;
pub mod quantity;
pub mod question;
pub mod row;
pub mod shape;
pub mod sheet;
pub mod toml_string;

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::wording;
use crate::import::duplicate::Recorded;
use crate::import::heading::Target;
use crate::import::mapping::Mapping;
use crate::import::name::{Left, Names};
use crate::import::printing::Printed;
use crate::import::question::{Query, Question};
use crate::import::row::{Column, Rows};
use crate::import::sheet::Sheet;
use crate::resolve::Catalog;

/// The greatest size of an entry, in bytes: a knowledge base reads none that is larger.
pub const LARGEST_ENTRY: usize = 1 << 20;

/// The place of an imported thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// In a row of the sheet, as a spreadsheet counts.
    Row(usize),
    /// In a draft, by its file's name.
    File(String),
    /// In an entry of another knowledge base, by its path there.
    Entry(String),
}

impl std::fmt::Display for Origin {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Origin::Row(number) => write!(formatter, "row {number}"),
            Origin::File(name) | Origin::Entry(name) => formatter.write_str(name),
        }
    }
}

/// A photograph that goes with a draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Its name next to the draft.
    pub from: String,
    /// Its name next to the entry.
    pub to: String,
    /// Whether an interrupted import has put it there already.
    pub is_there: bool,
}

/// An entry that may be written.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Where it comes from.
    pub origin: Origin,
    /// Where it goes.
    pub path: String,
    pub text: String,
    /// The photographs that go with it.
    pub photographs: Vec<Taken>,
    /// Remarks for its keeper.
    pub remarks: Vec<String>,
    /// The entry that it replaces, if it is a correction.
    pub corrects: Option<Corrects>,
}

/// The effect of a correction on an existing entry.
#[derive(Clone, Debug)]
pub struct Corrects {
    /// The text as it was read.
    pub before: String,
    /// The reason, in the words of the person who made the correction; may be empty.
    pub why: String,
    /// The lines that go and those that come.
    pub lines: Vec<String>,
}

impl Candidate {
    /// An entry without photographs.
    pub fn new(origin: Origin, path: String, text: String) -> Candidate {
        Candidate { origin, path, text, photographs: Vec::new(), remarks: Vec::new(), corrects: None }
    }
}

/// Why something is not written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trouble {
    /// Its place.
    pub origin: Origin,
    /// The heading or the key that it is about.
    pub about: Option<String>,
    /// The mistake, and the correct form.
    pub message: String,
    /// The question that a mapping could answer.
    pub query: Option<Query>,
}

impl Trouble {
    /// A trouble that no mapping can answer.
    pub fn new(origin: Origin, about: Option<String>, message: String) -> Trouble {
        Trouble { origin, about, message, query: None }
    }
}

/// The entries read, before they are checked together.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// The entries.
    pub candidates: Vec<Candidate>,
    /// The mistakes, with their places.
    pub troubles: Vec<Trouble>,
    /// The origins that are recorded word for word already, each with its entry.
    pub recorded: Vec<(Origin, String)>,
    /// The corrections that an entry already contains in full, each with that entry.
    pub corrected: Vec<(Origin, String)>,
    /// The dates that were read from words: what they were read as, and how often.
    pub dates: BTreeMap<String, (String, usize)>,
}

/// The input of an import: a sheet with the meaning of its columns, and drafts.
pub struct ImportInput<'a> {
    /// Answers about the sheet.
    pub mapping: &'a Mapping,
    /// The sheet and its columns.
    pub sheet: Option<(&'a Sheet, &'a [Column])>,
    /// The drafts by file name; a draft that cannot be read has the reason instead.
    pub drafts: &'a [(String, Result<String, String>)],
    /// What an interrupted import left of the photographs of these drafts.
    pub left: &'a BTreeSet<Left>,
}

/// Finds the content of each column of a sheet; refuses a sheet without a known column, or with one
/// column twice.
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
                "the columns {one} and {two} are for the same field; choose in a mapping which of them to leave out, with `\"\"`"
            ));
        }
        let told = mapping.column(heading).and_then(|answer| heading::unit(answer).1);
        columns.push(Column { heading: heading.clone(), target, unit: told.or(heading::unit(heading).1) });
    }
    if columns.iter().all(|column| column.target == Target::LeftOut) {
        let found: Vec<&String> = sheet.headings.iter().take(8).collect();
        return Err(format!(
            "no heading was recognised: found {}; the first row must name the columns",
            wording::join_quoted(&found, "and")
        ));
    }
    Ok(columns)
}

/// Reads everything that was brought except the origins in `wrong`, so that these take no name from the others.
pub fn gather(catalog: &Catalog, brought: &ImportInput<'_>, wrong: &BTreeSet<Origin>) -> Gathered {
    let mut names = Names::of(&catalog.sources).with_left(brought.left);
    let mut recorded = Recorded::of(&catalog.sources);
    let mut gathered = Gathered::default();
    if let Some((sheet, columns)) = brought.sheet {
        let rows = Rows { catalog, mapping: brought.mapping, columns };
        for row in sheet.rows.iter().filter(|row| !wrong.contains(&Origin::Row(row.number))) {
            rows.read(row, &mut names, &mut recorded, &mut gathered);
        }
    }
    for (name, text) in brought.drafts.iter().filter(|(name, _)| !wrong.contains(&Origin::File(name.clone()))) {
        match text {
            Ok(text) if correction::is_one(text) => {
                correction::read(catalog, &draft::Draft { file: name, text }, &mut names, &mut gathered);
            }
            Ok(text) => {
                let draft = draft::Draft { file: name, text };
                draft::read(catalog, &draft, &mut names, &mut recorded, &mut gathered);
            }
            Err(message) => {
                gathered.troubles.push(Trouble::new(Origin::File(name.clone()), None, message.clone()));
            }
        }
    }
    gathered
}

/// The settings a sheet was read with.
pub struct Used<'a> {
    /// Answers about it.
    pub mapping: &'a Mapping,
    pub sheet: &'a Sheet,
    pub columns: &'a [Column],
}

/// The mapping that was used, as TOML, with a question for each unknown column and each unknown word.
pub fn printed(catalog: &Catalog, used: &Used<'_>, questions: &[Question]) -> String {
    let mapping = used.mapping;
    let shown = used.columns.iter().filter(|column| !column.heading.is_empty()).map(|column| {
        let is_unknown = column.target == Target::LeftOut && mapping.column(&column.heading).is_none();
        let question = is_unknown
            .then(|| format!("not known, so left out{}", heading::nearest(&catalog.vocabulary, &column.heading)));
        let unit = column.unit.filter(|_| heading::unit(&column.heading).1.is_none());
        Printed { heading: &column.heading, target: &column.target, unit, question }
    });
    printing::print(mapping, questions, &used.sheet.form, &shown.collect::<Vec<Printed<'_>>>())
}

/// Says whether neither the mapping nor the heading tells what a column holds.
pub fn is_unknown(mapping: &Mapping, column: &Column) -> bool {
    let is_answered = mapping.column(&column.heading).is_some();
    column.target == Target::LeftOut && !is_answered && !column.heading.is_empty()
}

/// Puts troubles that name a key of an entry under the heading that the sheet has for it.
pub fn under_headings(mut gathered: Gathered, columns: &[Column]) -> Gathered {
    for trouble in gathered.troubles.iter_mut().filter(|trouble| matches!(trouble.origin, Origin::Row(_))) {
        let heading = trouble.about.as_deref().and_then(|key| row::heading_of(columns, key));
        trouble.about = heading.map(str::to_string).or(trouble.about.take());
    }
    gathered
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeSet;

    use proptest::prelude::{any, prop_assert_eq, proptest};

    use super::{ImportInput, Used, columns, gather, printed, question, shape, sheet};
    use crate::compile::example;
    use crate::import::mapping::Mapping;
    use crate::resolve::Catalog;

    /// Reads a text as a sheet and as a draft; gives how many of its rows became entries, copies or troubles.
    fn read(catalog: &Catalog, text: &str) -> (usize, usize) {
        let drafts = [("d.md".to_string(), Ok(text.to_string()))];
        let mapping = Mapping::default();
        let Ok(sheet) = sheet::read(text, None) else { return (0, 0) };
        let sheet = shape::headed(catalog, sheet, &mapping);
        let Ok(columns) = columns(catalog, &sheet, &mapping) else { return (0, 0) };
        let sheet = shape::garments(sheet, &columns);
        let left = BTreeSet::new();
        let brought = ImportInput { mapping: &mapping, sheet: Some((&sheet, &columns)), drafts: &drafts, left: &left };
        let found = gather(catalog, &brought, &BTreeSet::new());
        let used = Used { mapping: &mapping, sheet: &sheet, columns: &columns };
        let taken = printed(catalog, &used, &question::gathered(&found.troubles));
        assert!(Mapping::parse(&taken, catalog).is_ok(), "{taken}");
        let wrong: BTreeSet<_> = found.troubles.iter().map(|trouble| &trouble.origin).collect();
        // The draft is one of them.
        let told = found.recorded.len() + found.corrected.len();
        (found.candidates.len() + told + wrong.len(), sheet.rows.len() + 1)
    }

    proptest! {
        #[test]
        fn every_row_is_an_entry_or_wrong_whatever_it_says(
            text in any::<String>(), cells in "[-a-z0-9 ,;\"'/.~\\n|é=+]{0,80}", made in "[ -~é–’]{0,16}",
        ) {
            let catalog = example::compile("").knowledge.catalog;
            for text in [
                text.clone(),
                format!("hem,belt loops,leg-opening,made,observed,notes,?\n{cells}"),
                format!("made;observed;hem\n{made};{made};{made}\n"),
                format!("path,variant,sources,own-sources,allow,made\n{text},{cells}\n"),
                format!("+++\n# goes to: entries/unplaced/{cells}.md\n{text}"),
                format!("+++\ncorrects = \"entries/unplaced/{cells}.md\"\n[[change]]\nkey = \"{made}\"\n{text}\n+++\n"),
            ] {
                let (told, rows) = read(&catalog, &text);
                prop_assert_eq!(told, rows, "{}", text);
            }
        }
    }
}
