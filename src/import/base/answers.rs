//! The meaning here of names in another knowledge base, as TOML: read from a file of answers, and
//! printed with the questions.
//!
//! A proposed answer is already active; to accept any other, remove the `#` before it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use serde::Deserialize;

use crate::diagnostic::wording;
use crate::import::question::{Asked, Question};
use crate::import::toml_string::quoted;

/// The kinds of things that `[values]` answers about.
const KINDS: [&str; 7] = ["feature", "maker", "line", "model", "variant", "source", "entry"];

/// Answers about another knowledge base.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answers {
    /// For a kind of thing, names there with names here; an empty one leaves it out.
    #[serde(default)]
    values: BTreeMap<String, BTreeMap<String, String>>,
    /// For a feature there, its states there with states here; an empty one leaves out what shows it.
    #[serde(default)]
    states: BTreeMap<String, BTreeMap<String, String>>,
}

impl Answers {
    /// Reads answers, or says what is wrong with them.
    pub fn parse(text: &str) -> Result<Answers, String> {
        let answers: Answers = toml::from_str(text.trim_start_matches('\u{feff}'))
            .map_err(|error| error.to_string().trim().to_string())?;
        match answers.values.keys().find(|kind| !KINDS.contains(&kind.as_str())) {
            Some(kind) => Err(format!(
                "`[values]` takes {} of another knowledge base, not {}",
                wording::join_quoted(&KINDS, "and"),
                wording::quote(kind)
            )),
            None => Ok(answers),
        }
    }

    /// The answer about a thing, by its name there.
    pub fn value(&self, kind: &str, name: &str) -> Option<&str> {
        self.values.get(kind)?.get(name).map(String::as_str)
    }

    /// The answer about a state, by its feature and its name there.
    pub fn state(&self, feature: &str, state: &str) -> Option<&str> {
        self.states.get(feature)?.get(state).map(String::as_str)
    }

    /// All answers about things of a kind.
    pub fn values(&self, kind: &str) -> impl Iterator<Item = &str> {
        self.values.get(kind).into_iter().flat_map(BTreeMap::keys).map(String::as_str)
    }

    /// All states that are answered, each with its feature.
    pub fn states(&self) -> impl Iterator<Item = [&str; 2]> {
        self.states
            .iter()
            .flat_map(|(feature, states)| states.keys().map(move |state| [feature.as_str(), state.as_str()]))
    }

    /// The answers, then each question with the line that answers it, as TOML.
    pub fn printed(&self, questions: &[Question], proposed: &BTreeSet<Asked>) -> String {
        let mut sections: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let values = self.values.iter().map(|(kind, answers)| (format!("values.{kind}"), answers));
        let states = self.states.iter().map(|(feature, answers)| (format!("states.{}", key(feature)), answers));
        for (name, answers) in values.chain(states) {
            let lines = answers.iter().map(|(from, to)| format!("{} = {}", quoted(from), quoted(to)));
            sections.entry(name).or_default().extend(lines);
        }
        for question in questions {
            let (name, words) = match &question.asked {
                Some(Asked::Value(kind, words)) => (format!("values.{kind}"), words),
                Some(Asked::State(feature, words)) => (format!("states.{}", key(feature.as_str())), words),
                _ => continue,
            };
            let is_ready = question.asked.as_ref().is_some_and(|asked| proposed.contains(asked));
            let lines = [format!("#   {}", one_line(&question.message)), line(question, words, is_ready)];
            sections.entry(name).or_default().extend(lines);
        }
        let mut text = String::new();
        for (name, lines) in sections {
            let break_before = if text.is_empty() { "" } else { "\n" };
            writeln!(text, "{break_before}[{name}]\n{}", lines.join("\n"))
                .expect("text takes all that is written to it");
        }
        text
    }
}

/// The mistake in an answer about a name that the other knowledge base lacks.
pub fn unknown<'a>(kind: &str, name: &str, names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    let near = wording::nearest(name, &names, 1).first().map(|near| format!("; write {}", wording::quote(near)));
    let near = near.unwrap_or_default();
    format!("`[values.{kind}]`: the other knowledge base has no {kind} {}{near}", wording::quote(name))
}

/// A text on one line: what strangers wrote may not begin a line of answers.
pub fn one_line(text: &str) -> String {
    text.chars().map(|letter| if wording::is_hidden(letter) { ' ' } else { letter }).collect()
}

/// A feature as a key: plain names need no quotes.
fn key(feature: &str) -> String {
    let is_plain = !feature.is_empty() && feature.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    if is_plain { feature.to_string() } else { quoted(feature) }
}

fn line(question: &Question, words: &str, is_ready: bool) -> String {
    let guess = question.near.first().map_or("", String::as_str);
    let others: Vec<&String> = question.near.iter().skip(1).collect();
    let or = if others.is_empty() { String::new() } else { format!("; or {}", wording::join_quoted(&others, "or")) };
    let (mark, why) = if is_ready { ("", "proposed; ") } else { ("# ", "") };
    let first = question.origins.first().map(|origin| one_line(&origin.to_string())).unwrap_or_default();
    let waiting = match question.origins.len() {
        1 => format!("1 entry, {first}"),
        number => format!("{number} entries, such as {first}"),
    };
    format!("{mark}{} = {}   # {why}{waiting}{or}", quoted(words), quoted(guess))
}

/// A number of entries.
pub fn entries(number: usize) -> String {
    if number == 1 { "1 entry".to_string() } else { format!("{number} entries") }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeSet;

    use super::Answers;
    use crate::import::question::{Asked, Query, gathered};
    use crate::import::{Origin, Trouble};
    use crate::record::id::FeatureId;

    #[test]
    fn what_is_printed_can_be_taken_back() {
        let trouble = |path: &str, asked: Asked, near: &[&str]| {
            let near = near.iter().map(|near| (*near).to_string()).collect();
            let query = Some(Query { asked, words: String::new(), near });
            Trouble { query, ..Trouble::new(Origin::Entry(path.to_string()), None, "which?\n[x]".to_string()) }
        };
        let proposed = Asked::Value("feature", "cuff".to_string());
        let questions = gathered(&[
            trouble("a", proposed.clone(), &["hem"]),
            trouble("b", proposed.clone(), &["hem"]),
            trouble("b", Asked::State(FeatureId::new("cuff"), "sewn".to_string()), &["raw", "folded"]),
            trouble("c", Asked::Value("line", "m/line:best".to_string()), &[]),
        ]);
        let answers = Answers::parse("[values.maker]\n\"m\" = \"n\"\n").unwrap();
        let printed = answers.printed(&questions, &BTreeSet::from([proposed]));
        let expected = "[states.cuff]\n#   which? [x]\n# \"sewn\" = \"raw\"   # 1 entry, b; or `folded`\n\n\
            [values.feature]\n#   which? [x]\n\"cuff\" = \"hem\"   # proposed; 2 entries, such as a\n\n\
            [values.line]\n#   which? [x]\n# \"m/line:best\" = \"\"   # 1 entry, c\n\n\
            [values.maker]\n\"m\" = \"n\"\n";
        assert_eq!(printed, expected);
        let back = Answers::parse(&printed).unwrap();
        assert_eq!((back.value("feature", "cuff"), back.state("cuff", "sewn")), (Some("hem"), None));
        assert_eq!(back.value("maker", "m"), Some("n"));
    }

    #[test]
    fn answers_about_what_a_base_does_not_have_are_refused() {
        let refused = Answers::parse("[values.colour]\na = \"b\"\n").unwrap_err();
        assert!(refused.contains("takes `feature`") && refused.contains("not `colour`"), "{refused}");
        assert!(Answers::parse("[columns]\na = \"b\"\n").unwrap_err().contains("unknown field"));
    }
}
