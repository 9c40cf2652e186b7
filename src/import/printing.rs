//! The mapping that a sheet was read with, as TOML: what is answered, and what is asked as lines to paste.
//!
//! It reads nothing; a line is taken by removing the `#` before it.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::diagnostic::wording;
use crate::import::heading::{Target, plain};
use crate::import::mapping::Mapping;
use crate::import::question::{Asked, Question};
use crate::import::sheet::Form;
use crate::import::toml_string::quoted;
use crate::vocabulary::Unit;

/// The printed description of a column: its heading, its content, and a question if its meaning is
/// unknown.
pub struct Printed<'a> {
    pub heading: &'a str,
    /// The content of the column.
    pub target: &'a Target,
    /// The unit that the mapping gave it.
    pub unit: Option<Unit>,
    /// The question about it.
    pub question: Option<String>,
}

/// Writes the mapping that was used, with every column and what is still asked, as TOML that can be taken back.
pub fn print(mapping: &Mapping, questions: &[Question], form: &Form, columns: &[Printed<'_>]) -> String {
    let mut text = kept(mapping, form);
    let mut line = |line: String| writeln!(text, "{line}").expect("text takes all that is written to it");
    for (name, asked, answer, otherwise) in whole(mapping) {
        let question = questions.iter().find(|question| question.asked.as_ref() == Some(&asked));
        match (answer, question) {
            (Some(answer), _) => line(format!("{name} = {answer}")),
            (None, Some(question)) => line(format!("# {name} = {otherwise}   # {}", settled(question))),
            (None, None) if asked == Asked::Order => {
                line("# day-first = true   # whether 3/4/1975 is the third of April".to_string());
            }
            (None, None) => {}
        }
    }
    section(&mut line, "always", pairs(&mapping.always));
    let shown = columns.iter().map(|column| {
        let answer = format!("{} = {}", quoted(column.heading), quoted(&answer(column)));
        column.question.iter().fold(answer, |line, question| format!("{line}   # {question}"))
    });
    let is_here = |heading: &str| columns.iter().any(|column| plain(column.heading) == plain(heading));
    let elsewhere = mapping.columns.iter().filter(|(heading, _)| !is_here(heading));
    let elsewhere = elsewhere.map(|(heading, answer)| format!("{} = {}", quoted(heading), quoted(answer)));
    section(&mut line, "columns", shown.chain(elsewhere).collect());
    for (name, lines) in words(mapping, questions) {
        section(&mut line, &name, lines);
    }
    text
}

/// How the sheet is kept, and what the mapping says of sheets that are kept otherwise.
fn kept(mapping: &Mapping, form: &Form) -> String {
    let (mut separator, mut encoding, mut sheet) = (mapping.separator, mapping.encoding.clone(), mapping.sheet.clone());
    match form {
        Form::Text { separator: used, encoding: read } => {
            separator = Some(*used);
            encoding = read.clone().or(encoding);
        }
        Form::Workbook(name) => sheet = Some(name.clone()),
    }
    let answers = [("separator", separator.map(|sign| sign.to_string())), ("encoding", encoding), ("sheet", sheet)];
    let lines = answers.into_iter().filter_map(|(name, answer)| Some(format!("{name} = {}\n", quoted(&answer?))));
    lines.collect()
}

/// The answers for the whole sheet: the name, the question, what the mapping says, and what to suggest.
fn whole(mapping: &Mapping) -> [(&'static str, Asked, Option<String>, &'static str); 4] {
    let year = |year: Option<u16>| year.map(|year| year.to_string());
    [
        ("day-first", Asked::Order, mapping.day_first.map(|order| order.to_string()), "true"),
        ("day-numbers", Asked::Epoch, year(mapping.day_numbers), "1900"),
        ("century", Asked::Century, year(mapping.century), "1900"),
        ("observed-century", Asked::ObservedCentury, year(mapping.observed_century), "2000"),
    ]
}

/// The sections about words: what is answered, then what is asked, as comments.
fn words(mapping: &Mapping, questions: &[Question]) -> BTreeMap<String, Vec<String>> {
    let mut sections: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let values = mapping.values.iter().map(|(key, answers)| (format!("values.{key}"), pairs(answers)));
    let states = mapping.states.iter().map(|(feature, answers)| (format!("states.{feature}"), pairs(answers)));
    for (name, lines) in values.chain(states).chain([("dates".to_string(), pairs(&mapping.dates))]) {
        sections.entry(name).or_default().extend(lines);
    }
    for question in questions {
        let (name, words) = match &question.asked {
            Some(Asked::Value(key, words)) => (format!("values.{key}"), words),
            Some(Asked::State(feature, words)) => (format!("states.{feature}"), words),
            Some(Asked::Date(words)) => ("dates".to_string(), words),
            Some(Asked::Unit(feature)) => {
                sections.entry(format!("states.{feature}")).or_default().extend(with_units(question));
                continue;
            }
            _ => continue,
        };
        let guess = question.near.first().map_or("", String::as_str);
        let others: Vec<&String> = question.near.iter().skip(1).collect();
        let or =
            if others.is_empty() { String::new() } else { format!("; or {}", wording::join_quoted(&others, "or")) };
        let line = format!("# {} = {}   # {}{or}", quoted(words), quoted(guess), question.places());
        sections.entry(name).or_default().push(line);
    }
    sections
}

/// A line for each number that fits another unit than the one it would be read in.
fn with_units(question: &Question) -> impl Iterator<Item = String> {
    let unit = question.near.first().map_or("", String::as_str);
    let line =
        move |words: &String| format!("# {} = {}   # fits {unit}", quoted(words), quoted(&format!("{words} {unit}")));
    question.words.iter().map(line)
}

/// The rows that an answer settles, with some of what they say.
fn settled(question: &Question) -> String {
    let words: Vec<&String> = question.words.iter().take(3).collect();
    let more = if question.words.len() > words.len() { ", …" } else { "" };
    format!(
        "{}: {}{more}",
        question.places(),
        words.iter().map(|words| wording::quote(words)).collect::<Vec<_>>().join(", ")
    )
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

fn answer(column: &Printed<'_>) -> String {
    match column.target {
        Target::LeftOut => String::new(),
        Target::Key(key) => (*key).to_string(),
        // A feature may be called like a key.
        Target::Feature(feature) => match column.unit {
            Some(unit) => format!("feature:{feature} ({})", unit.word()),
            None => format!("feature:{feature}"),
        },
        Target::State(feature, state) => format!("{feature}={state}"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Printed, print};
    use crate::compile::example;
    use crate::import::heading::Target;
    use crate::import::mapping::Mapping;
    use crate::import::question::{Asked, Query, gathered};
    use crate::import::sheet::Form;
    use crate::import::{Origin, Trouble};
    use crate::record::id::FeatureId;
    use crate::vocabulary::Unit;

    #[test]
    fn what_is_printed_can_be_taken_back() {
        let catalog = example::compile("").knowledge.catalog;
        let given = "day-first = false\n[always]\nobserver = \"wren-t\"\n[columns]\nElsewhere = \"observer\"\n\
            [states.hem]\n\"Fold\\t\" = \"folded\"\n[dates]\n\"fall '77\" = \"1977-23\"\n[values.wearer]\nLadys = \"women\"\n";
        let mapping = Mapping::parse(given, &catalog).unwrap();
        let (hem, leg) = (FeatureId::new("hem"), Target::Feature(FeatureId::new("leg-opening")));
        let hems = Target::Feature(hem.clone());
        let columns = [
            Printed { heading: "Hem \"stitch\"", target: &hems, unit: None, question: None },
            Printed { heading: "Leg", target: &leg, unit: Some(Unit::Inch), question: None },
            Printed { heading: "Price", target: &Target::LeftOut, unit: None, question: Some("left out".into()) },
        ];
        let trouble = |row, asked, words: &str, near: &[&str]| {
            let near = near.iter().map(|near| (*near).to_string()).collect();
            let query = Some(Query { asked, words: words.to_string(), near });
            Trouble { query, ..Trouble::new(Origin::Row(row), None, "wrong".into()) }
        };
        let questions = gathered(&[
            trouble(2, Asked::State(hem.clone(), "cut".into()), "cut", &["raw", "folded"]),
            trouble(3, Asked::Value("maker", "Bst".into()), "Bst", &["best"]),
            trouble(4, Asked::Value("maker", "Bst".into()), "Bst", &["best"]),
            trouble(4, Asked::Date("77ish".into()), "77ish", &[]),
            trouble(5, Asked::Century, "77", &[]),
        ]);
        let form = Form::Text { separator: '\t', encoding: Some("macintosh".to_string()) };
        let printed = print(&mapping, &questions, &form, &columns);
        for line in [
            "\nday-first = false\n# century = 1900   # row 5: `77`\n",
            "\n[values.maker]\n# \"Bst\" = \"best\"   # rows 3 and 4\n\n[values.wearer]\n\"Ladys\" = \"women\"\n",
            "# \"cut\" = \"raw\"   # row 2; or `folded`\n",
            "# \"77ish\" = \"\"   # row 4\n",
            "\"Leg\" = \"feature:leg-opening (in)\"\n",
            "\"Elsewhere\" = \"observer\"\n",
        ] {
            assert!(printed.contains(line), "{line} in {printed}");
        }
        let back = Mapping::parse(&printed, &catalog).unwrap();
        assert_eq!((back.separator, back.encoding.as_deref()), (Some('\t'), Some("macintosh")));
        assert_eq!((back.column("hem stitch"), back.column("Price")), (Some("feature:hem"), Some("")));
        assert_eq!((back.state("hem", "FOLD"), back.date("Fall '77")), (Some("folded"), Some("1977-23")));
        assert_eq!((back.value("wearer", "ladys"), back.value("maker", "Bst")), (Some("women"), None));
        assert_eq!(print(&back, &questions, &form, &columns), printed);
    }
}
