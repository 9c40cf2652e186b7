//! Turns the keys of a row into the front matter of its entry, except readings and sources.
//!
//! An ambiguous date is a complaint; the check of the entry finds keys that exclude each other.

use crate::date::edtf::Edtf;
use crate::diagnostic::wording;
use crate::import::date::{self, DateRead, Doubt, Habits, Missing};
use crate::import::heading::{self, Target};
use crate::import::place::Placed;
use crate::import::question::{Asked, Query};
use crate::import::row::{Parts, Rows};
use crate::import::toml_string::quoted;
use crate::import::{name, own};

/// The keys that are one text each, in the order of an entry, after what is worked out.
const TEXTS: [&str; 3] = ["same-as", "made-by", "made-source"];

impl Rows<'_> {
    /// The keys of the entry, without its features and its own sources.
    pub(super) fn front(&self, parts: &mut Parts, placed: &Placed) -> Vec<String> {
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
    fn observed(&self, parts: &mut Parts) -> Option<String> {
        let cell = parts.get("observed")?.to_string();
        match self.date(&cell, self.mapping.observed_habits(self.catalog.circa())) {
            Ok(read) if is_day(&read.edtf) => return Some(format!("observed = {}", read.edtf)),
            // Only these questions have an answer for the whole sheet; any other date is no day.
            Err(doubts) if doubts.iter().all(|doubt| doubt.missing != Missing::Meaning) => {
                doubts.into_iter().for_each(|doubt| ask(parts, "observed", &cell, doubt));
            }
            _ => {
                let message = format!("{} is not one day; write it like `2026-03-14`", wording::quote(&cell));
                ask(parts, "observed", &cell, Doubt { missing: Missing::Meaning, message });
            }
        }
        None
    }

    /// The date of making; words for it are kept with the date string read from them.
    fn made(&self, parts: &mut Parts) -> Option<String> {
        let cell = parts.get("made")?.to_string();
        match self.date(&cell, self.mapping.habits(self.catalog.circa())) {
            Err(doubts) => {
                doubts.into_iter().for_each(|doubt| ask(parts, "made", &cell, doubt));
                None
            }
            Ok(read) => {
                if read.is_in_words {
                    parts.dates.push((cell.clone(), read.edtf.clone()));
                    keep_words(parts, cell);
                }
                Some(format!("made = {}", quoted(&read.edtf)))
            }
        }
    }

    fn date(&self, cell: &str, habits: Habits) -> Result<DateRead, Vec<Doubt>> {
        match self.mapping.date(cell) {
            Some(edtf) => Ok(DateRead { edtf: edtf.to_string(), is_in_words: true }),
            None => date::read(cell, habits),
        }
    }

    /// Names of features in a cell as ids; what names none stays for the check to speak of.
    fn features(&self, cell: &str) -> Vec<String> {
        let names: Vec<&str> = match cell.contains([',', ';']) {
            true => cell.split([',', ';']).map(str::trim).filter(|name| !name.is_empty()).collect(),
            false => cell.split_whitespace().collect(),
        };
        let id = |name: &str| match heading::target(&self.catalog.vocabulary, name) {
            Some(Target::Feature(feature)) => feature.to_string(),
            _ => name.to_lowercase(),
        };
        names.into_iter().map(id).collect()
    }
}

/// Asks about a date what is missing to read it.
fn ask(parts: &mut Parts, key: &str, cell: &str, doubt: Doubt) {
    let guess = date::likeliest(cell).filter(|guess| key == "made" || is_day(guess));
    let (asked, near) = match doubt.missing {
        Missing::Century if key == "observed" => (Asked::ObservedCentury, None),
        Missing::Century => (Asked::Century, None),
        Missing::Order => (Asked::Order, None),
        Missing::Epoch => (Asked::Epoch, None),
        Missing::Meaning => (Asked::Date(cell.to_string()), guess),
    };
    let query = Query { asked, words: cell.to_string(), near: near.into_iter().collect() };
    parts.ask(key, doubt.message, query);
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
