//! A row of a sheet to the text of an entry, or to complaints about its cells.
//!
//! Whether the entry as a whole holds, the whole knowledge base is asked afterwards.

use std::collections::BTreeMap;

use crate::date::edtf::Edtf;
use crate::diagnostic::wording;
use crate::import::cell;
use crate::import::heading::Target;
use crate::import::mapping::{Mapping, quoted};
use crate::import::name::{self, Names, UNPLACED};
use crate::import::own;
use crate::import::place::{self, Placed, Placing, Said};
use crate::import::sheet::Row;
use crate::import::words::{self, Order};
use crate::import::{Candidate, Origin, Trouble};
use crate::record::id::FeatureId;
use crate::resolve::Catalog;
use crate::vocabulary::Unit;

/// A column of a sheet.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// What it holds.
    pub target: Target,
    /// The unit that its heading names.
    pub unit: Option<Unit>,
}

/// What reads the rows of one sheet.
pub struct Rows<'a> {
    /// What is recorded.
    pub catalog: &'a Catalog,
    /// Answers about the whole sheet.
    pub mapping: &'a Mapping,
    /// The columns in their order.
    pub columns: &'a [Column],
    /// The dates that were read from words: what they were read as, and how often.
    pub dates: BTreeMap<String, (String, usize)>,
}

/// The keys that are one text each, in the order of an entry, after what is worked out.
const TEXTS: [&str; 3] = ["same-as", "made-by", "made-source"];

/// A row as it is taken apart.
#[derive(Default)]
struct Parts {
    keys: BTreeMap<&'static str, String>,
    features: BTreeMap<FeatureId, String>,
    complaints: Vec<(String, String)>,
}

impl Parts {
    fn get(&self, key: &str) -> Option<&str> {
        self.keys.get(key).map(String::as_str)
    }

    fn complain(&mut self, key: &str, message: String) {
        self.complaints.push((key.to_string(), message));
    }
}

impl<'a> Rows<'a> {
    /// Begins to read rows of these columns.
    pub fn new(catalog: &'a Catalog, mapping: &'a Mapping, columns: &'a [Column]) -> Rows<'a> {
        Rows { catalog, mapping, columns, dates: BTreeMap::new() }
    }

    /// Puts troubles that name keys under the headings that the sheet has for them.
    pub fn under_headings(&self, troubles: Vec<Trouble>) -> Vec<Trouble> {
        let named = troubles.into_iter().map(|trouble| match &trouble.origin {
            Origin::File(_) => trouble,
            Origin::Row(_) => {
                let about = trouble.about.map(|key| self.heading(&key).unwrap_or(key));
                Trouble { about, ..trouble }
            }
        });
        named.collect()
    }

    /// Makes the entry of a row, or says what is wrong with each cell.
    pub fn candidate(&mut self, row: &Row, names: &mut Names) -> Result<Candidate, Vec<Trouble>> {
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
            let told = parts.complaints.into_iter();
            return Err(told.map(|(key, message)| self.trouble(row, &key, message)).collect());
        }
        let folder = placed.variant.as_ref().map_or_else(|| UNPLACED.to_string(), |id| format!("entries/makers/{id}"));
        let edtf = front.iter().find_map(|line| line.strip_prefix("made = \"")).map(|made| made.trim_end_matches('"'));
        let wish = placed.name.clone().unwrap_or_else(|| name::wish(edtf, parts.get("observer")));
        let name = names.take(&folder, &wish);
        let text = self.text(&parts, &front, &own);
        Ok(Candidate::new(Origin::Row(row.number), format!("{folder}/{name}.md"), text))
    }

    /// A complaint about a key or a feature, under the heading that the sheet has for it.
    pub fn trouble(&self, row: &Row, key: &str, message: String) -> Trouble {
        Trouble { origin: Origin::Row(row.number), about: self.heading(key), message }
    }

    /// The heading of the column that a key of an entry comes from.
    pub fn heading(&self, key: &str) -> Option<String> {
        let is_it = |column: &&Column| match &column.target {
            Target::Key(own) => *own == key,
            Target::Feature(feature) | Target::State(feature, _) => feature.as_str() == key,
            Target::LeftOut => false,
        };
        self.columns.iter().find(is_it).map(|column| column.heading.clone())
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
            if let Ok(Target::Key(key)) = crate::import::heading::answered(&self.catalog.vocabulary, key) {
                parts.keys.insert(key, value.clone());
            }
        }
        for (column, cell) in self.columns.iter().zip(&row.cells).filter(|(_, cell)| !cell.is_empty()) {
            match &column.target {
                Target::LeftOut => {}
                Target::Key("text") => self.add_text(&mut parts, column, cell),
                Target::Key(key) => drop(parts.keys.insert(key, cell.clone())),
                Target::Feature(feature) => self.add_reading(&mut parts, (feature, column.unit), cell),
                Target::State(feature, state) => match cell::ticks(cell) {
                    Some(true) => self.add_reading(&mut parts, (feature, None), state.as_str()),
                    Some(false) => {}
                    None => parts.complain(
                        feature.as_str(),
                        format!("{} is neither yes nor no; tick with `x`", wording::quote(cell)),
                    ),
                },
            }
        }
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

    fn add_reading(&self, parts: &mut Parts, (id, unit): (&FeatureId, Option<Unit>), cell: &str) {
        let Some(feature) = self.catalog.vocabulary.feature(id.as_str()) else { return };
        match cell::reading(feature, unit, self.mapping, cell) {
            Ok(None) => {}
            Err(problem) => parts.complain(id.as_str(), problem),
            Ok(Some(value)) => {
                if parts.features.insert(id.clone(), value).is_some() {
                    parts.complain(id.as_str(), "two columns say what it shows".to_string());
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
            Err((key, problem)) => {
                parts.complain(key, problem);
                Placed::default()
            }
        }
    }

    /// The keys of the entry but for its features and its own sources.
    fn front(&mut self, parts: &mut Parts, placed: &Placed) -> Vec<String> {
        let text = |parts: &Parts, key: &'static str| parts.get(key).map(|value| format!("{key} = {}", quoted(value)));
        let mut lines = vec![format!("basis = {}", quoted(parts.get("basis").unwrap_or("specimen")))];
        lines.extend(self.observed(parts));
        lines.extend(text(parts, "observer"));
        lines.extend(placed.lines.iter().cloned());
        lines.extend(list(parts, "perhaps", |cell| cell.split_whitespace().map(str::to_string).collect()));
        lines.extend(text(parts, "placed-by"));
        lines.extend(list(parts, "placed-from", |cell| self.features(cell)));
        lines.extend(
            ["find", "factory"]
                .into_iter()
                .filter_map(|key| Some(format!("{key} = {}", quoted(&name::slug(parts.get(key)?))))),
        );
        lines.extend(text(parts, "market"));
        lines.extend(self.made(parts));
        lines.extend(TEXTS.into_iter().filter_map(|key| text(parts, key)));
        lines.extend(list(parts, "made-from", |cell| self.features(cell)));
        lines.extend(["made-as-written", "made-note"].into_iter().filter_map(|key| text(parts, key)));
        lines.extend(list(parts, "sources", own::listed));
        lines.extend(parts.get("allow").map(allowed));
        lines.extend(list(parts, "formerly", |cell| cell.split_whitespace().map(str::to_string).collect()));
        lines
    }

    /// The day somebody looked; words that mean more than a day are a complaint.
    fn observed(&mut self, parts: &mut Parts) -> Option<String> {
        let cell = parts.get("observed")?.to_string();
        match self.date(&cell) {
            Ok(read) if is_day(&read.edtf) => Some(format!("observed = {}", read.edtf)),
            Ok(_) => {
                parts.complain("observed", format!("{} is not one day, such as `2026-03-14`", wording::quote(&cell)));
                None
            }
            Err(question) => {
                parts.complain("observed", question);
                None
            }
        }
    }

    /// When it was made; words for it are kept beside the date that they were read as.
    fn made(&mut self, parts: &mut Parts) -> Option<String> {
        let cell = parts.get("made")?.to_string();
        match self.date(&cell) {
            Err(question) => {
                parts.complain("made", question);
                None
            }
            Ok(read) => {
                if read.is_in_words {
                    let counted = self.dates.entry(cell.clone()).or_insert_with(|| (read.edtf.clone(), 0));
                    counted.1 += 1;
                    keep_words(parts, cell);
                }
                Some(format!("made = {}", quoted(&read.edtf)))
            }
        }
    }

    fn date(&self, cell: &str) -> Result<words::Read, String> {
        match self.mapping.date(cell) {
            Some(edtf) => Ok(words::Read { edtf: edtf.to_string(), is_in_words: true }),
            None => words::read(cell, self.order(), self.catalog.circa()),
        }
    }

    fn order(&self) -> Order {
        self.mapping.order()
    }

    /// Names of features in a cell as ids; what names none stays for the check to speak of.
    fn features(&self, cell: &str) -> Vec<String> {
        let names: Vec<&str> = match cell.contains([',', ';']) {
            true => cell.split([',', ';']).map(str::trim).filter(|name| !name.is_empty()).collect(),
            false => cell.split_whitespace().collect(),
        };
        let id = |name: &str| match crate::import::heading::target(&self.catalog.vocabulary, name) {
            Some(Target::Feature(feature)) => feature.to_string(),
            _ => name.to_lowercase(),
        };
        names.into_iter().map(id).collect()
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

fn is_day(edtf: &str) -> bool {
    edtf.len() == 10 && edtf.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') && Edtf::parse(edtf).is_ok()
}

fn keep_words(parts: &mut Parts, words: String) {
    let kept = parts.keys.entry("made-as-written").or_default();
    if kept.is_empty() {
        *kept = words;
    } else if !kept.contains(&words) {
        *kept = format!("{kept}; {words}");
    }
}

fn list(parts: &Parts, key: &str, split: impl Fn(&str) -> Vec<String>) -> Option<String> {
    let items: Vec<String> = split(parts.get(key)?).iter().map(|item| quoted(item)).collect();
    Some(format!("{key} = [{}]", items.join(", ")))
}

/// The lints that an entry allows, each written `code = reason`.
fn allowed(cell: &str) -> String {
    let pairs = own::listed(cell).into_iter().map(|one| {
        let (code, reason) = one.split_once('=').unwrap_or((&one, ""));
        format!("{{ lint = {}, reason = {} }}", quoted(code.trim()), quoted(reason.trim()))
    });
    format!("allow = [{}]", pairs.collect::<Vec<String>>().join(", "))
}
