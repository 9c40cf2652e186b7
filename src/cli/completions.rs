//! `bartack completions` and `bartack man`: shell completions and the manual page, from the
//! definition of `--help`.

use anyhow::Context;
use clap::{Args, Command};
use clap_complete::Shell;
use clap_mangen::Man;

use crate::cli::{Outcome, Session};

/// The meaning of the exit status, in roff.
const STATUS: &str = ".SH \"EXIT STATUS\"\n.TP\n0\nNothing was found at the denied level.\n.TP\n1\nFindings.\n.TP\n2\n\
    The command could not run.\n";

/// The arguments of `completions`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The shell: bash, elvish, fish, powershell or zsh.
    #[arg(value_enum)]
    shell: Shell,
}

/// Writes the completion script of a shell.
pub(super) fn run(session: &Session, options: &Options, mut command: Command) -> anyhow::Result<Outcome> {
    let mut script = Vec::new();
    let name = command.get_name().to_string();
    clap_complete::generate(options.shell, &mut command, name, &mut script);
    answer(session, script)
}

/// Writes the manual page: the program, then each of its commands, in roff.
pub(super) fn manual(session: &Session, mut command: Command) -> anyhow::Result<Outcome> {
    command.build();
    let mut page = Vec::new();
    let whole = Man::new(command.clone());
    whole.render_title(&mut page)?;
    whole.render_name_section(&mut page)?;
    whole.render_synopsis_section(&mut page)?;
    whole.render_options_section(&mut page)?;
    page.extend(STATUS.bytes());
    for one in command.get_subcommands().filter(|one| one.get_name() != "help") {
        page.extend(section(one)?.bytes());
    }
    answer(session, escaped(&String::from_utf8(page)?).into_bytes())
}

/// A section of the manual page on one command; the sections of the command's own page follow as
/// subsections.
fn section(command: &Command) -> anyhow::Result<String> {
    let mut part = Vec::new();
    let man = Man::new(command.clone());
    man.render_description_section(&mut part)?;
    man.render_synopsis_section(&mut part)?;
    man.render_options_section(&mut part)?;
    let name = command.get_bin_name().unwrap_or(command.get_name());
    let part = String::from_utf8(part)?.replacen(".SH DESCRIPTION\n", "", 1).replace(".SH ", ".SS ");
    Ok(format!(".SH \"{name}\"\n{part}"))
}

/// Writes letters outside ASCII by their number, which every roff understands.
fn escaped(page: &str) -> String {
    let letter = |letter: char| match letter {
        _ if letter.is_ascii() => letter.to_string(),
        other => format!("\\[u{:04X}]", u32::from(other)),
    };
    page.chars().map(letter).collect()
}

fn answer(session: &Session, text: Vec<u8>) -> anyhow::Result<Outcome> {
    session.terminal.answer([String::from_utf8(text).context("the definition of the commands is text")?])?;
    Ok(Outcome::Clean)
}
