//! `bartack explain`: a lint by its code, or the era of a thing with what each bound rests on.

use anyhow::bail;
use clap::Args;

use crate::cli::{Outcome, Session};
use crate::diagnostic::{Lint, wording};
use crate::explain;
use crate::lints;
use crate::reason::Knowledge;

/// What `explain` is told.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The code of a finding such as `era-conflict`, or a thing such as `<maker>/<model>/<variant>`.
    #[arg(value_name = "CODE|THING")]
    subject: String,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    if let Some(lint) = lints::find(&options.subject) {
        session.terminal.answer([describe(lint)])?;
        return Ok(Outcome::Clean);
    }
    let progress = session.terminal.progress();
    let Ok(compilation) = session.compile(&progress) else { return unknown(&options.subject, Vec::new()) };
    drop(progress);
    match era(&compilation.knowledge, thing_named(&options.subject)) {
        Some(lines) => {
            session.terminal.answer(lines.into_iter().map(|line| format!("{line}\n")))?;
            Ok(Outcome::Clean)
        }
        None => unknown(&options.subject, things(&compilation.knowledge)),
    }
}

/// Writes everything a lint has to say for itself.
fn describe(lint: &Lint) -> String {
    let Lint { code, title, explanation, wrong, right, .. } = lint;
    let level = lint.level.word();
    format!(
        "{code} ({level}): {title}\n\n{explanation}\n\nWrong:\n\n{}\n\nRight:\n\n{}\n",
        indented(wrong),
        indented(right)
    )
}

fn indented(text: &str) -> String {
    text.trim_end().lines().map(|line| format!("    {line}")).collect::<Vec<String>>().join("\n")
}

/// The thing that a name or the path of its record stands for.
fn thing_named(subject: &str) -> &str {
    let name = subject.strip_prefix("entries/").unwrap_or(subject);
    let name = name.strip_prefix("makers/").unwrap_or(name).trim_end_matches('/');
    let endings = ["/variant.md", "/model.md", "/maker.md"];
    endings.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(name)
}

fn era(knowledge: &Knowledge, name: &str) -> Option<Vec<String>> {
    let (thing, era) = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == name)?;
    Some(explain::era(knowledge, thing, era))
}

fn things(knowledge: &Knowledge) -> Vec<String> {
    knowledge.eras.keys().map(ToString::to_string).collect()
}

fn unknown(subject: &str, mut known: Vec<String>) -> anyhow::Result<Outcome> {
    known.extend(lints::LINTS.iter().map(|lint| lint.code.to_string()));
    let found = wording::quote(subject);
    match wording::nearest(subject, &known, 3).as_slice() {
        [] => bail!("there is no finding or thing {found}; a thing is written `<maker>/<model>/<variant>`"),
        near => bail!("there is no finding or thing {found}; near it: {}", wording::join_quoted(near, "and")),
    }
}
