//! Asks the questions of `new`, one for each feature, and reads the answers.
//!
//! It repeats a question after an answer it cannot read; the end of the input ends the questions
//! and loses nothing.

use std::io::{self, BufRead};

use anyhow::bail;

use crate::cli::date::garment;
use crate::cli::terminal::Terminal;
use crate::date::edtf::Edtf;
use crate::diagnostic::wording;
use crate::draft::Draft;
use crate::record::observation::Value;
use crate::sheet::notation::{self, Marked, Written};
use crate::vocabulary::{Feature, Kind};

const HOW: &str = "Answer what you see, or the number before it. Enter: not looked at; `-`: absent, looked for and never \
    there; `?`: lost, gone or impossible to tell; `other: words`: no word for it; ` !altered`, ` !unsure` and ` | a remark` may \
    follow; `.` ends. Look, measure and count; cut nothing, burn nothing, wet nothing. Beware of \
    pins and mould; do not turn brittle cloth, and do not shake the dust out of old workwear.";

/// Ends the questions.
const END: &str = ".";

/// Asks every question, and adds the answers to the draft.
pub(super) fn ask(terminal: &Terminal, draft: Draft, features: &[&Feature]) -> anyhow::Result<Draft> {
    let mut asking = Asking { terminal, lines: io::stdin().lock().lines() };
    asking.all(draft, features)
}

struct Asking<'a, Lines> {
    terminal: &'a Terminal,
    lines: Lines,
}

impl<Lines: Iterator<Item = io::Result<String>>> Asking<'_, Lines> {
    fn all(&mut self, mut draft: Draft, features: &[&Feature]) -> anyhow::Result<Draft> {
        self.terminal.summarize(HOW);
        for (number, feature) in features.iter().enumerate() {
            self.terminal.summarize(&question(feature, number + 1, features.len()));
            match self.answer(|text| reading(feature, text))? {
                Answer::Given(reading) => drop(draft.readings.insert(feature.id.clone(), reading)),
                Answer::None => {}
                Answer::End => break,
            }
        }
        self.rest(&mut draft)?;
        Ok(draft)
    }

    fn rest(&mut self, draft: &mut Draft) -> anyhow::Result<()> {
        if draft.perhaps_of.is_none() {
            draft.placed_by = self.word("\nHow do you know its variant?", &["mark", "paper", "judged"])?;
        }
        self.terminal.summarize(
            "\nWhen was it made? `1978`, `1978/1981` (some day between), `1977~` (about), `../1975` (not after)",
        );
        let date = |text: &str| match Edtf::parse(text) {
            Ok(date) => Ok(date.as_str().to_string()),
            Err(fault) => match fault.nearest {
                Some(near) => {
                    bail!("{} is not a date string; write {}", wording::quote(text), wording::quote(&near))
                }
                None => bail!("{} is not a date string", wording::quote(text)),
            },
        };
        if let Answer::Given(made) = self.answer(date)? {
            draft.made = Some(made);
            let by = self.word("How is that known?", &["mark", "paper", "estimate"])?;
            draft.made_by = Some(by.unwrap_or_else(|| "estimate".to_string()));
        }
        if draft.observer.is_none() {
            self.terminal.summarize("\nWho looked? The name you want to be known by");
            if let Answer::Given(observer) = self.answer(|text| Ok(text.to_string()))? {
                draft.observer = Some(observer);
            }
        }
        self.terminal.summarize("\nWhat else did you see, and what are you not sure of? One line");
        if let Answer::Given(body) = self.answer(|text| Ok(text.to_string()))? {
            draft.body = body;
        }
        Ok(())
    }

    fn word(&mut self, says: &str, words: &[&str]) -> anyhow::Result<Option<String>> {
        self.terminal.summarize(&format!("{says} {}", wording::join_quoted(words, "or")));
        let known = |text: &str| match words.contains(&text) {
            true => Ok(text.to_string()),
            false => bail!("one of {}, or Enter if it is not known", wording::join_quoted(words, "or")),
        };
        match self.answer(known)? {
            Answer::Given(word) => Ok(Some(word)),
            Answer::None | Answer::End => Ok(None),
        }
    }

    /// Reads lines until it can read an answer.
    fn answer<T>(&mut self, read: impl Fn(&str) -> anyhow::Result<T>) -> anyhow::Result<Answer<T>> {
        loop {
            let Some(line) = self.lines.next() else { return Ok(Answer::End) };
            match line?.trim() {
                "" => return Ok(Answer::None),
                END => return Ok(Answer::End),
                text => match read(text) {
                    Ok(answer) => return Ok(Answer::Given(answer)),
                    Err(problem) => self.terminal.summarize(&format!("  {problem:#}")),
                },
            }
        }
    }
}

enum Answer<T> {
    Given(T),
    None,
    End,
}

fn question(feature: &Feature, number: usize, of: usize) -> String {
    let asked = match &feature.kind {
        Kind::State { states } => {
            let states = states.iter().enumerate().map(|(at, state)| format!("{} {state}", at + 1));
            states.collect::<Vec<String>>().join("   ")
        }
        Kind::Count => "how many".to_string(),
        Kind::Measure(measure) => format!("in {}", measure.unit.word()),
        Kind::Number | Kind::Code => "exactly as written".to_string(),
    };
    format!("\n{} ({number} of {of})\n  {}\n  {asked}", feature.name, feature.look)
}

fn reading(feature: &Feature, text: &str) -> anyhow::Result<Marked> {
    let mut marked = notation::read(text);
    if let Written::Value(value) = &marked.value {
        marked.value = Written::Value(meant(feature, value)?);
    }
    Ok(marked)
}

/// The value of an answer, in the notation of an entry.
fn meant(feature: &Feature, text: &str) -> anyhow::Result<String> {
    let text = match text.trim() {
        "-" => "absent",
        "?" => "lost",
        text => text,
    };
    if let Kind::State { states } = &feature.kind {
        let numbered = text.parse::<usize>().ok().and_then(|number| states.get(number.checked_sub(1)?));
        let spaced = text.to_lowercase().replace(' ', "-");
        let known = numbered.or_else(|| states.iter().find(|state| state.as_str() == spaced));
        if let Some(state) = known {
            return Ok(state.to_string());
        }
    }
    // Many countries write a comma as the decimal point.
    let text = if matches!(feature.kind, Kind::Measure(_)) { text.replace(',', ".") } else { text.to_string() };
    Ok(match garment::value(feature, &text)? {
        Value::Absent => "absent".to_string(),
        Value::Lost => "lost".to_string(),
        Value::Other(_) => bail!("no such state; if there is no word for it, write `other: {text}`"),
        Value::State(state) => state.to_string(),
        Value::Count(count) if count > 0 => count.to_string(),
        Value::Count(_) => bail!("a count of 0 is `-`: looked for and never there"),
        Value::Measure(number) | Value::Number(number) => number.to_string(),
        Value::Code(code) => code,
    })
}
