//! The meaning of a sheet's columns, states and dates, as TOML from the sheet's keeper.
//!
//! It says nothing of a single row.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::numeral::DayOrder;
use crate::diagnostic::wording;
use crate::import::date::Habits;
use crate::import::heading::{self, Target, plain};
use crate::import::{place, sheet};
use crate::resolve::Catalog;
use crate::sheet::encoding;
use crate::sheet::workbook::value::Epoch;

/// Answers about a whole sheet.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Mapping {
    /// The separator between cells.
    pub separator: Option<char>,
    /// How the letters of a text are written, if neither as UTF-8 nor as UTF-16.
    pub encoding: Option<String>,
    /// Which sheet of a workbook is meant.
    pub sheet: Option<String>,
    /// From which day the numbers count that stand for days: 1900 or 1904.
    pub day_numbers: Option<u16>,
    /// The first year of the century of garments whose year has two digits.
    pub century: Option<u16>,
    /// The same of the days when somebody looked.
    pub observed_century: Option<u16>,
    /// Whether 3/4/1975 is the third of April.
    pub day_first: Option<bool>,
    /// The defaults for rows that leave a key empty.
    #[serde(default)]
    pub always: BTreeMap<String, String>,
    /// Headings, each with what its column holds.
    #[serde(default)]
    pub columns: BTreeMap<String, String>,
    /// For a key such as `maker`, what the sheet writes, with what it means; an empty one says nothing.
    #[serde(default)]
    pub values: BTreeMap<String, BTreeMap<String, String>>,
    /// For a feature, what the sheet writes, with the state it means; an empty one was not examined.
    #[serde(default)]
    pub states: BTreeMap<String, BTreeMap<String, String>>,
    /// The sheet's words for dates, each with its date string.
    #[serde(default)]
    pub dates: BTreeMap<String, String>,
}

impl Mapping {
    /// Reads a mapping, or says what is wrong with it.
    pub fn parse(text: &str, catalog: &Catalog) -> Result<Mapping, String> {
        let mapping: Mapping = toml::from_str(text.trim_start_matches('\u{feff}'))
            .map_err(|error| error.to_string().trim().to_string())?;
        if let Some(sign) = mapping.separator.filter(|sign| !sheet::can_separate(*sign)) {
            let found = wording::quote(&sign.to_string());
            return Err(format!("`separator` is a sign such as `,`, `;` or a tab, not {found}"));
        }
        if let Some(name) = mapping.encoding.as_ref().filter(|name| !encoding::is_known(name)) {
            let found = wording::quote(name);
            return Err(format!("`encoding` is a name such as `windows-1252` or `macintosh`, not {found}"));
        }
        if let Some(year) = mapping.day_numbers.filter(|year| ![1900, 1904].contains(year)) {
            return Err(format!("`day-numbers` is 1900 or 1904, the year that the numbers count from, not {year}"));
        }
        for (name, year) in [("century", mapping.century), ("observed-century", mapping.observed_century)] {
            if let Some(year) = year.filter(|year| ![1700, 1800, 1900, 2000].contains(year)) {
                return Err(format!("`{name}` is the first year of a century, such as 1900, not {year}"));
            }
        }
        for (key, answers) in &mapping.values {
            if !matches!(heading::answered(&catalog.vocabulary, key)?, Target::Key(known) if known == key) {
                return Err(format!("`[values]` takes keys such as `maker`, not {}", wording::quote(key)));
            }
            for answer in answers.values().filter(|answer| !answer.is_empty()) {
                place::accept(catalog, key, answer).map_err(|problem| format!("in `[values.{key}]`: {problem}"))?;
            }
        }
        for answer in mapping.columns.values() {
            heading::answered(&catalog.vocabulary, answer)?;
        }
        for feature in mapping.states.keys() {
            if catalog.vocabulary.feature(feature).is_none() {
                return Err(format!("there is no feature {}", wording::quote(feature)));
            }
        }
        for key in mapping.always.keys() {
            if !matches!(heading::answered(&catalog.vocabulary, key)?, Target::Key(_)) {
                return Err(format!("`[always]` takes keys such as `observer`, not {}", wording::quote(key)));
            }
        }
        match mapping.dates.values().find(|date| Edtf::parse(date).is_err()) {
            Some(date) => Err(format!("{} in `[dates]` is not a date string, such as `1978`", wording::quote(date))),
            None => Ok(mapping),
        }
    }

    /// Its habits for all dates.
    pub fn habits(&self, circa: CircaYears) -> Habits {
        let order = match self.day_first {
            None => DayOrder::Unknown,
            Some(true) => DayOrder::DayFirst,
            Some(false) => DayOrder::MonthFirst,
        };
        let epoch = self.day_numbers.map(|year| if year == 1904 { Epoch::Year1904 } else { Epoch::Year1900 });
        Habits { order, epoch, century: self.century, circa }
    }

    /// Its habits for the dates of observations.
    pub fn observed_habits(&self, circa: CircaYears) -> Habits {
        Habits { century: self.observed_century, ..self.habits(circa) }
    }

    /// Its answer about a heading.
    pub fn column(&self, heading: &str) -> Option<&str> {
        let same = |(key, _): &(&String, &String)| key.trim() == heading.trim();
        let alike = |(key, _): &(&String, &String)| plain(key) == plain(heading) && !plain(key).is_empty();
        let found = self.columns.iter().find(same).or_else(|| self.columns.iter().find(alike));
        found.map(|(_, answer)| answer.as_str())
    }

    /// Its answer about the words of a key.
    pub fn value(&self, key: &str, cell: &str) -> Option<&str> {
        lookup(self.values.get(key)?, cell)
    }

    /// Its answer about a cell of a feature.
    pub fn state(&self, feature: &str, cell: &str) -> Option<&str> {
        lookup(self.states.get(feature)?, cell)
    }

    /// Its answer about a date in words.
    pub fn date(&self, words: &str) -> Option<&str> {
        lookup(&self.dates, words)
    }
}

fn lookup<'a>(answers: &'a BTreeMap<String, String>, cell: &str) -> Option<&'a str> {
    let is_same = |key: &str| key.trim().to_lowercase() == cell.trim().to_lowercase();
    answers.iter().find(|(key, _)| is_same(key)).map(|(_, answer)| answer.as_str())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::Mapping;
    use crate::compile::example;
    use crate::resolve::Catalog;

    fn catalog() -> Catalog {
        example::compile("").knowledge.catalog
    }

    #[test]
    fn a_mapping_that_cannot_be_meant_is_refused() {
        for (text, said) in [
            ("colums = {}", "unknown field"),
            ("separator = \"→\"", "is a sign such as"),
            ("century = 19", "first year of a century"),
            ("[values.hem]\na = \"b\"", "takes keys such as `maker`"),
            ("[values.wearer]\na = \"giants\"", "in `[values.wearer]`: the wearer must be `men`"),
            ("[values.maker]\na = \"no-such\"", "in `[values.maker]`: there is no maker `no-such`"),
            ("encoding = \"ansi-ish\"", "is a name such as"),
            ("day-numbers = 1970", "is 1900 or 1904"),
            ("[columns]\na = \"bolt-loops\"", "near it: `belt-loops`"),
            ("[states.no-such]\na = \"b\"", "there is no feature `no-such`"),
            ("[always]\nhem = \"folded\"", "takes keys"),
            ("[dates]\na = \"77\"", "not a date string"),
        ] {
            let refused = Mapping::parse(text, &catalog()).unwrap_err();
            assert!(refused.contains(said), "{refused}");
        }
    }
}
