//! Writes answers about a garment as the text of an entry file, with unanswered features as comments.
//!
//! It decides no path and checks no answer: `check` reports mistakes in the entry.

pub mod key;

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::date::Day;
use crate::record::id::FeatureId;
use crate::sheet::notation::{Marked, Written};
use crate::vocabulary::{Feature, Kind};

/// The answers about one garment.
#[derive(Clone, Debug, Default)]
pub struct Draft {
    /// For a garment whose variant is not known: its model, as `maker/model`.
    pub perhaps_of: Option<String>,
    /// When it was looked at.
    pub observed: Option<Day>,
    /// Who looked.
    pub observer: Option<String>,
    /// Why it is of its variant: `mark`, `paper` or `judged`.
    pub placed_by: Option<String>,
    /// When it was made, as EDTF.
    pub made: Option<String>,
    /// How that is known: `mark`, `paper` or `estimate`.
    pub made_by: Option<String>,
    /// The readings.
    pub readings: BTreeMap<FeatureId, Marked>,
    /// Other remarks.
    pub body: String,
}

/// How unanswered features are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unanswered {
    /// As comments with how to look and what to write.
    Explained,
    /// Not at all.
    LeftOut,
}

/// Writes the entry of a garment of a sort that has the features, in their order.
pub fn entry(draft: &Draft, features: &[&Feature], unanswered: Unanswered) -> String {
    let is_explained = unanswered == Unanswered::Explained;
    let mut text = String::from("+++\nbasis = \"specimen\"\n");
    let mut line = |line: String| text.push_str(&(line + "\n"));
    if let Some(day) = draft.observed {
        line(format!("observed = {day}"));
    }
    let optional = |key: &str, value: &Option<String>| value.as_ref().map(|value| format!("{key} = {}", quoted(value)));
    match optional("observer", &draft.observer) {
        Some(observer) => line(observer),
        None if is_explained => line("# observer = \"the name you want to be known by\"".to_string()),
        None => {}
    }
    optional("model", &draft.perhaps_of).into_iter().for_each(&mut line);
    match optional("placed-by", &draft.placed_by) {
        Some(placed) => line(placed),
        None if is_explained && draft.perhaps_of.is_none() => PLACED.iter().for_each(|hint| line(hint.to_string())),
        None => {}
    }
    match (optional("made", &draft.made), optional("made-by", &draft.made_by)) {
        (Some(made), by) => std::iter::once(made).chain(by).for_each(&mut line),
        (None, _) if is_explained => MADE.iter().for_each(|hint| line(hint.to_string())),
        (None, _) => {}
    }
    line("\n[features]".to_string());
    if is_explained {
        READINGS.iter().for_each(|hint| line(hint.to_string()));
    }
    for feature in features {
        match draft.readings.get(&feature.id) {
            Some(reading) => line(format!("{} = {}", feature.id, toml(feature, reading))),
            None if is_explained => explain(feature).into_iter().for_each(&mut line),
            None => {}
        }
    }
    write!(text, "+++\n{}\n", draft.body.trim()).expect("text takes all that is written to it");
    text
}

const PLACED: [&str; 2] = [
    "# Why is it of this variant? \"mark\": a label or number on it says so; \"paper\"; or \"judged\", with `placed-from`.",
    "# placed-by = \"mark\"",
];

const MADE: [&str; 3] = [
    "# When was it made? \"1978\", \"1978/1981\" (some day between), \"1977~\" (about), \"../1975\" (not after).",
    "# made = \"1978\"",
    "# made-by = \"mark\"   # on the garment; \"paper\": a receipt; \"estimate\": a judgement",
];

const READINGS: [&str; 3] = [
    "# Leave out what you did not look at. \"absent\": looked for and never there; \"lost\": gone, or impossible to tell.",
    "# Replaced or changed: { state = \"…\", altered = true }. Doubtful: unsure = true. A remark: note = \"…\".",
    "# No word for what you see: { other = \"…\" }.",
];

fn explain(feature: &Feature) -> Vec<String> {
    let example = match &feature.kind {
        Kind::State { states } => quoted(states.first().map_or("absent", |state| state.as_str())),
        Kind::Count => "1".to_string(),
        Kind::Measure(measure) => format!("{}   # {}", measure.range.0, measure.unit.word()),
        Kind::Number => "34".to_string(),
        Kind::Code => "\"exactly as written\"".to_string(),
    };
    let mut lines = vec![String::new(), format!("# {}: {}", feature.name, one_line(&feature.look))];
    if let Kind::State { states } = &feature.kind {
        let words: Vec<String> = states.iter().map(|state| quoted(state.as_str())).collect();
        lines.push(format!("# One of {}.", words.join(", ")));
    }
    lines.push(format!("# {} = {example}", feature.id));
    lines
}

/// A reading as the value of its key.
fn toml(feature: &Feature, reading: &Marked) -> String {
    let value = match &reading.value {
        Written::Other(words) => ("other", quoted(words)),
        Written::Value(value) => {
            let is_word = matches!(feature.kind, Kind::State { .. }) || ["absent", "lost"].contains(&value.as_str());
            let key = if is_word { "state" } else { "value" };
            let is_text = is_word || feature.kind == Kind::Code;
            (key, if is_text { quoted(value) } else { value.clone() })
        }
    };
    let marks = [("altered", reading.altered), ("unsure", reading.unsure)];
    let marks = marks.into_iter().filter(|(_, holds)| *holds).map(|(name, _)| format!("{name} = true"));
    let more: Vec<String> = marks.chain(reading.note.iter().map(|note| format!("note = {}", quoted(note)))).collect();
    match (value, more.is_empty()) {
        ((key, value), true) if key != "other" => value,
        ((key, value), true) => format!("{{ {key} = {value} }}"),
        ((key, value), false) => format!("{{ {key} = {value}, {} }}", more.join(", ")),
    }
}

/// A string as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(one_line(text)).to_string()
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Gives a name that no entry of the folder has: the wish itself, or the wish with the first free number.
///
/// ```
/// assert_eq!(bartack::draft::free_name("barn-find", &["barn-find", "barn-find-2"]), "barn-find-3");
/// ```
pub fn free_name(wish: &str, taken: &[&str]) -> String {
    let numbered = (2..).map(|number| format!("{wish}-{number}"));
    let mut names = std::iter::once(wish.to_string()).chain(numbered);
    names.find(|name| !taken.contains(&name.as_str())).expect("there are more numbers than names")
}
