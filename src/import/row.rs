//! A row of a sheet to the text of an entry, or to complaints about its cells.
//!
//! Whether the entry as a whole holds, the whole knowledge base is asked afterwards.

mod front;

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::import::cell;
use crate::import::duplicate::Recorded;
use crate::import::heading::{self, Target};
use crate::import::mapping::Mapping;
use crate::import::name::{self, Names, UNPLACED};
use crate::import::own;
use crate::import::place::{self, Placed, Placing, Said};
use crate::import::question::{Asked, Query};
use crate::import::sheet::Row;
use crate::import::{Candidate, Gathered, LARGEST_ENTRY, Origin, Trouble};
use crate::record::id::FeatureId;
use crate::resolve::Catalog;
use crate::vocabulary::Unit;

/// A column of a sheet.
#[derive(Clone, Debug)]
pub struct Column {
    pub heading: String,
    /// Its content.
    pub target: Target,
    /// The unit that its heading names.
    pub unit: Option<Unit>,
}

/// The context for reading the rows of one sheet.
pub struct Rows<'a> {
    /// The existing records.
    pub catalog: &'a Catalog,
    /// Answers about the whole sheet.
    pub mapping: &'a Mapping,
    /// The columns in their order.
    pub columns: &'a [Column],
}

/// A row as it is taken apart.
#[derive(Default)]
struct Parts {
    keys: BTreeMap<&'static str, String>,
    features: BTreeMap<FeatureId, String>,
    complaints: Vec<Complaint>,
    dates: Vec<(String, String)>,
}

/// A mistake in a cell.
struct Complaint {
    /// The key or the feature; empty where it is about the whole row.
    key: String,
    message: String,
    query: Option<Query>,
}

/// The entry of a row, before it has a name.
struct Entry {
    folder: String,
    wish: String,
    text: String,
    /// Dates in words, with what they were read as.
    dates: Vec<(String, String)>,
}

impl Parts {
    fn get(&self, key: &str) -> Option<&str> {
        self.keys.get(key).map(String::as_str)
    }

    fn complain(&mut self, key: &str, message: String) {
        self.complaints.push(Complaint { key: key.to_string(), message, query: None });
    }

    /// Complains of what an answer for the whole sheet settles.
    fn ask(&mut self, key: &str, message: String, query: Query) {
        self.complaints.push(Complaint { key: key.to_string(), message, query: Some(query) });
    }
}

impl Rows<'_> {
    /// Reads a row into what was gathered.
    pub fn read(&self, row: &Row, names: &mut Names, recorded: &mut Recorded, gathered: &mut Gathered) {
        match self.entry(row) {
            Err(troubles) => gathered.troubles.extend(troubles),
            Ok(entry) if entry.text.len() > LARGEST_ENTRY => {
                let says = "the entry would be larger than 1 MiB, the limit for an entry".to_string();
                gathered.troubles.push(Trouble::new(Origin::Row(row.number), None, says));
            }
            Ok(entry) => match recorded.take(&entry.folder, &entry.text) {
                Some(path) => gathered.recorded.push((Origin::Row(row.number), path)),
                None => {
                    for (words, edtf) in entry.dates {
                        gathered.dates.entry(words).or_insert((edtf, 0)).1 += 1;
                    }
                    let path = format!("{}/{}.md", entry.folder, names.take(&entry.folder, &entry.wish));
                    gathered.candidates.push(Candidate::new(Origin::Row(row.number), path, entry.text));
                }
            },
        }
    }

    /// Makes the entry of a row, or says what is wrong with each cell.
    fn entry(&self, row: &Row) -> Result<Entry, Vec<Trouble>> {
        let mut parts = self.parts(row);
        if row.is_unclosed {
            parts.complain(
                "",
                "a quotation mark is opened in this row and never closed, so the rest of the sheet is in one cell"
                    .into(),
            );
        }
        for key in ["basis", "placed-by", "made-by"] {
            parts.keys.entry(key).and_modify(|word| *word = word.to_lowercase());
        }
        let placed = self.placed(&mut parts);
        let front = self.front(&mut parts, &placed);
        let own = parts.get("own-sources").map(own::tables).transpose();
        let own = own.map_err(|problem| parts.complain("own-sources", problem)).ok().flatten().unwrap_or_default();
        if !parts.complaints.is_empty() {
            return Err(parts.complaints.into_iter().map(|complaint| trouble(row, complaint)).collect());
        }
        let folder = placed.variant.as_ref().map_or_else(|| UNPLACED.to_string(), |id| format!("entries/makers/{id}"));
        let edtf = front.iter().find_map(|line| line.strip_prefix("made = \"")).map(|made| made.trim_end_matches('"'));
        let wish = placed.name.clone().unwrap_or_else(|| name::wish(edtf, parts.get("observer")));
        let text = self.text(&parts, &front, &own);
        Ok(Entry { folder, wish, text, dates: parts.dates })
    }

    fn parts(&self, row: &Row) -> Parts {
        let mut parts = Parts::default();
        let surplus = row.cells.iter().skip(self.columns.len()).any(|cell| !cell.is_empty());
        if surplus {
            let says = format!(
                "the row has {} cells where the headings are {}; does a cell hold the separator?",
                row.cells.len(),
                self.columns.len()
            );
            parts.complain("", says);
        }
        for (key, value) in &self.mapping.always {
            if let Ok(Target::Key(key)) = heading::answered(&self.catalog.vocabulary, key) {
                parts.keys.insert(key, value.clone());
            }
        }
        for (column, cell) in self.columns.iter().zip(&row.cells).filter(|(_, cell)| !cell.is_empty()) {
            if let Some(flaw) = cell::flaw(cell).filter(|_| column.target != Target::LeftOut) {
                parts.complain(column.target.key(), format!("{} {flaw}", wording::quote(cell)));
                continue;
            }
            match &column.target {
                Target::LeftOut => {}
                Target::Key("text") => self.add_text(&mut parts, column, cell),
                Target::Key(key) => drop(parts.keys.insert(key, cell.clone())),
                Target::Feature(feature) => self.add_reading(&mut parts, feature, column.unit, cell),
                Target::State(feature, state) => match cell::ticks(cell) {
                    Some(true) => self.add_reading(&mut parts, feature, None, state.as_str()),
                    Some(false) => {}
                    None => parts.complain(
                        feature.as_str(),
                        format!("{} is neither yes nor no; tick with `x`", wording::quote(cell)),
                    ),
                },
            }
        }
        for (key, words) in &mut parts.keys {
            if let Some(answer) = self.mapping.value(key, words) {
                *words = answer.to_string();
            }
        }
        parts.keys.retain(|_, words| !words.is_empty());
        parts
    }

    /// Several columns of words stand below each other, each after its heading but the first.
    fn add_text(&self, parts: &mut Parts, column: &Column, cell: &str) {
        let is_alone = self.columns.iter().filter(|other| other.target == Target::Key("text")).count() == 1;
        let cell = cell.replace("\r\n", "\n").replace('\r', "\n");
        let words = if is_alone { cell } else { format!("{}: {cell}", column.heading) };
        let text = parts.keys.entry("text").or_default();
        text.push_str(if text.is_empty() { "" } else { "\n\n" });
        text.push_str(&words);
    }

    fn add_reading(&self, parts: &mut Parts, id: &FeatureId, unit: Option<Unit>, cell: &str) {
        let Some(feature) = self.catalog.vocabulary.feature(id.as_str()) else { return };
        match cell::reading(feature, unit, self.mapping, cell) {
            Ok(None) => {}
            Err(problem) => {
                let asked = match problem.is_unit {
                    true => Asked::Unit(id.clone()),
                    false => Asked::State(id.clone(), cell.to_string()),
                };
                let query = Query { asked, words: cell.to_string(), near: problem.near };
                parts.ask(id.as_str(), problem.message, query);
            }
            Ok(Some(value)) => {
                if parts.features.insert(id.clone(), value).is_some() {
                    parts.complain(id.as_str(), "two columns give its state".to_string());
                }
            }
        }
    }

    fn placed(&self, parts: &mut Parts) -> Placed {
        let places = |column: &Column| matches!(column.target, Target::Key("variant" | "path"));
        let placing = if self.columns.iter().any(places) { Placing::Said } else { Placing::Told };
        let said = Said {
            path: parts.get("path"),
            maker: parts.get("maker"),
            model: parts.get("model"),
            variant: parts.get("variant"),
            line: parts.get("line"),
            wearer: parts.get("wearer"),
        };
        match place::place(self.catalog, &said, placing) {
            Ok(placed) => placed,
            Err(complaints) => {
                let own = |complaint: place::Complaint| {
                    let place::Complaint { key, message, query } = complaint;
                    Complaint { key: key.to_string(), message, query: query.map(|query| *query) }
                };
                parts.complaints.extend(complaints.into_iter().map(own));
                Placed::default()
            }
        }
    }

    fn text(&self, parts: &Parts, front: &[String], own: &str) -> String {
        let mut text = format!("+++\n{}\n", front.join("\n"));
        let readings =
            self.catalog.vocabulary.iter().filter_map(|feature| Some((&feature.id, parts.features.get(&feature.id)?)));
        let lines: Vec<String> = readings.map(|(id, value)| format!("{id} = {value}\n")).collect();
        if !lines.is_empty() {
            text.push_str(&format!("\n[features]\n{}", lines.concat()));
        }
        text.push_str(own);
        text.push_str("+++\n");
        if let Some(words) = parts.get("text") {
            text.push_str(&format!("{}\n", words.trim()));
        }
        text
    }
}

fn trouble(row: &Row, complaint: Complaint) -> Trouble {
    let about = Some(complaint.key).filter(|key| !key.is_empty());
    Trouble { query: complaint.query, ..Trouble::new(Origin::Row(row.number), about, complaint.message) }
}

/// The heading of the column that a key of an entry comes from.
pub fn heading_of<'a>(columns: &'a [Column], key: &str) -> Option<&'a str> {
    let is_it = |column: &&Column| column.target != Target::LeftOut && column.target.key() == key;
    columns.iter().find(is_it).map(|column| column.heading.as_str())
}
