//! What a sheet's columns, states and dates mean, as TOML: printed for whoever keeps the sheet, and taken back.
//!
//! It says nothing of a single row.

use std::collections::BTreeMap;
use std::fmt::Write;

use serde::Deserialize;

use crate::date::edtf::{CircaYears, Edtf};
use crate::date::numeral::DayOrder;
use crate::diagnostic::wording;
use crate::import::Asked;
use crate::import::date::Habits;
use crate::import::heading::{self, Target, plain};
use crate::import::sheet::{self, Form};
use crate::resolve::Catalog;
use crate::sheet::encoding;
use crate::sheet::workbook::value::Epoch;

/// Answers about a whole sheet.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Mapping {
    /// What stands between the cells.
    pub separator: Option<char>,
    /// How the letters of a text are written, if neither as UTF-8 nor as UTF-16.
    pub encoding: Option<String>,
    /// Which sheet of a workbook is meant.
    pub sheet: Option<String>,
    /// From which day the numbers count that stand for days: 1900 or 1904.
    pub day_numbers: Option<u16>,
    /// Whether 3/4/1975 is the third of April.
    pub day_first: Option<bool>,
    /// What every row says that does not say it itself, by key.
    #[serde(default)]
    pub always: BTreeMap<String, String>,
    /// Headings, each with what its column holds.
    #[serde(default)]
    pub columns: BTreeMap<String, String>,
    /// For a feature, what the sheet writes, with the state it means; an empty one was not examined.
    #[serde(default)]
    pub states: BTreeMap<String, BTreeMap<String, String>>,
    /// What the sheet writes for a date, with the date string it means.
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
            Some(date) => Err(format!("{} in `[dates]` is no date string, such as `1978`", wording::quote(date))),
            None => Ok(mapping),
        }
    }

    /// What it says of all dates.
    pub fn habits(&self, circa: CircaYears) -> Habits {
        let order = match self.day_first {
            None => DayOrder::Unknown,
            Some(true) => DayOrder::DayFirst,
            Some(false) => DayOrder::MonthFirst,
        };
        let epoch = self.day_numbers.map(|year| if year == 1904 { Epoch::Year1904 } else { Epoch::Year1900 });
        Habits { order, epoch, circa }
    }

    /// What it answers about a heading.
    pub fn column(&self, heading: &str) -> Option<&str> {
        let same = |(key, _): &(&String, &String)| key.trim() == heading.trim();
        let alike = |(key, _): &(&String, &String)| plain(key) == plain(heading) && !plain(key).is_empty();
        let found = self.columns.iter().find(same).or_else(|| self.columns.iter().find(alike));
        found.map(|(_, answer)| answer.as_str())
    }

    /// What it answers about a cell of a feature.
    pub fn state(&self, feature: &str, cell: &str) -> Option<&str> {
        lookup(self.states.get(feature)?, cell)
    }

    /// What it answers about a date in words.
    pub fn date(&self, words: &str) -> Option<&str> {
        lookup(&self.dates, words)
    }
}

fn lookup<'a>(answers: &'a BTreeMap<String, String>, cell: &str) -> Option<&'a str> {
    let is_same = |key: &str| key.trim().to_lowercase() == cell.trim().to_lowercase();
    answers.iter().find(|(key, _)| is_same(key)).map(|(_, answer)| answer.as_str())
}

/// What is printed of a column: its heading, what it holds, and what to ask where nothing is known of it.
pub struct Printed<'a> {
    /// The heading.
    pub heading: &'a str,
    /// What the column holds.
    pub target: &'a Target,
    /// What to say of it.
    pub question: Option<String>,
}

/// Writes the mapping that was used, with every column and what is still asked, as TOML that can be taken back.
pub fn print(mapping: &Mapping, asked: &BTreeMap<Asked, usize>, form: &Form, columns: &[Printed<'_>]) -> String {
    let mut text = match form {
        Form::Text { separator, encoding } => {
            let encoding = encoding.iter().map(|name| format!("encoding = {}\n", quoted(name))).collect::<String>();
            format!("separator = {}\n{encoding}", quoted(&separator.to_string()))
        }
        Form::Workbook(sheet) => format!("sheet = {}\n", quoted(sheet)),
    };
    let mut line = |line: String| writeln!(text, "{line}").expect("text takes all that is written to it");
    match mapping.day_first {
        Some(order) => line(format!("day-first = {order}")),
        None => line("# day-first = true   # whether 3/4/1975 is the third of April".to_string()),
    }
    mapping.day_numbers.iter().for_each(|year| line(format!("day-numbers = {year}")));
    section(&mut line, "always", pairs(&mapping.always));
    let columns = columns.iter().map(|column| {
        let answer = format!("{} = {}", quoted(column.heading), quoted(&answer(column.target)));
        column.question.iter().fold(answer, |line, question| format!("{line}   # {question}"))
    });
    section(&mut line, "columns", columns.collect());
    for (name, lines) in words(mapping, asked) {
        section(&mut line, &name, lines);
    }
    text
}

/// The sections about words: what is answered, then what is asked, as comments.
fn words(mapping: &Mapping, asked: &BTreeMap<Asked, usize>) -> BTreeMap<String, Vec<String>> {
    let mut sections: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let states = mapping.states.iter().map(|(feature, answers)| (format!("states.{feature}"), pairs(answers)));
    for (name, lines) in states.chain([("dates".to_string(), pairs(&mapping.dates))]) {
        sections.entry(name).or_default().extend(lines);
    }
    for (asked, count) in asked {
        let (name, words, guess) = match asked {
            Asked::State(feature, words) => (format!("states.{feature}"), words, ""),
            Asked::Date(words, guess) => ("dates".to_string(), words, guess.as_str()),
        };
        let times = if *count == 1 { "asked once".to_string() } else { format!("asked {count} times") };
        let line = format!("# {} = {}   # {times}", quoted(words), quoted(guess));
        sections.entry(name).or_default().push(line);
    }
    sections
}

fn section(line: &mut impl FnMut(String), name: &str, lines: Vec<String>) {
    if !lines.is_empty() {
        line(format!("\n[{name}]"));
        lines.into_iter().for_each(line);
    }
}

fn pairs(answers: &BTreeMap<String, String>) -> Vec<String> {
    answers.iter().map(|(from, to)| format!("{} = {}", quoted(from), quoted(to))).collect()
}

fn answer(target: &Target) -> String {
    match target {
        Target::LeftOut => String::new(),
        Target::Key(key) => (*key).to_string(),
        // A feature may be called like a key.
        Target::Feature(feature) => format!("feature:{feature}"),
        Target::State(feature, state) => format!("{feature}={state}"),
    }
}

/// A text as TOML writes it on one line.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            hidden if wording::is_hidden(hidden) => {
                write!(quoted, "\\u{:04x}", u32::from(hidden)).expect("text takes all that is written to it");
            }
            shown => quoted.push(shown),
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeMap;

    use super::{Mapping, Printed, print, quoted};
    use crate::compile::example;
    use crate::import::Asked;
    use crate::import::heading::Target;
    use crate::import::sheet::Form;
    use crate::record::id::FeatureId;
    use crate::resolve::Catalog;

    fn catalog() -> Catalog {
        example::compile("").knowledge.catalog
    }

    #[test]
    fn what_is_printed_can_be_taken_back() {
        let given = "day-first = false\n[always]\nobserver = \"wren-t\"\n[states.hem]\n\"Fold\\t\" = \"folded\"\n\
            [dates]\n\"fall '77\" = \"1977-23\"\n";
        let mapping = Mapping::parse(given, &catalog()).unwrap();
        let hem = Target::Feature(FeatureId::new("hem"));
        let columns = [
            Printed { heading: "Hem \"stitch\"", target: &hem, question: None },
            Printed { heading: "Price", target: &Target::LeftOut, question: Some("left out".into()) },
        ];
        let asked = BTreeMap::from([
            (Asked::State(FeatureId::new("hem"), "cut".into()), 1),
            (Asked::State(FeatureId::new("zip"), "gold".into()), 12),
            (Asked::Date("77".into(), "1977".into()), 2),
        ]);
        let form = Form::Text { separator: '\t', encoding: Some("macintosh".to_string()) };
        let printed = print(&mapping, &asked, &form, &columns);
        for line in
            ["# \"cut\" = \"\"   # asked once", "[states.zip]\n# \"gold\"", "# \"77\" = \"1977\"   # asked 2 times"]
        {
            assert!(printed.contains(line), "{printed}");
        }
        let back = Mapping::parse(&printed, &catalog()).unwrap();
        assert_eq!((back.separator, back.encoding.as_deref()), (Some('\t'), Some("macintosh")));
        assert_eq!((back.column("hem stitch"), back.column("Price")), (Some("feature:hem"), Some("")));
        assert_eq!((back.state("hem", "FOLD"), back.date("Fall '77")), (Some("folded"), Some("1977-23")));
        assert_eq!(print(&back, &asked, &form, &columns), printed);
    }

    #[test]
    fn a_mapping_that_cannot_be_meant_is_refused() {
        for (text, said) in [
            ("colums = {}", "unknown field"),
            ("separator = \"→\"", "is a sign such as"),
            ("encoding = \"ansi-ish\"", "is a name such as"),
            ("day-numbers = 1970", "is 1900 or 1904"),
            ("[columns]\na = \"bolt-loops\"", "near it: `belt-loops`"),
            ("[states.no-such]\na = \"b\"", "there is no feature `no-such`"),
            ("[always]\nhem = \"folded\"", "takes keys"),
            ("[dates]\na = \"77\"", "no date string"),
        ] {
            let refused = Mapping::parse(text, &catalog()).unwrap_err();
            assert!(refused.contains(said), "{refused}");
        }
    }

    #[test]
    fn texts_are_quoted_on_one_line() {
        assert_eq!(quoted("a \"b\"\\\n\u{7f}"), "\"a \\\"b\\\"\\\\\\n\\u007f\"");
        let read: toml::Table = toml::from_str(&format!("k = {}", quoted("a \"b\"\\\n\t"))).unwrap();
        assert_eq!(read["k"].as_str(), Some("a \"b\"\\\n\t"));
    }
}
