//! `completions` and `man`: what they say is what `--help` says, of every command and option.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::cli::{bartack, code};

const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

fn said(arguments: &[&str]) -> String {
    let output = bartack(Path::new("/"), arguments);
    assert_eq!(code(&output), 0, "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The commands that `--help` lists, each with the options that its own `--help` lists.
fn commands() -> BTreeMap<String, BTreeSet<String>> {
    let help = said(&["--help"]);
    let listed = help.split_once("\nCommands:\n").unwrap().1.split_once("\n\n").unwrap().0;
    let names = listed.lines().map(|line| line.split_whitespace().next().unwrap().to_string());
    let names: Vec<String> = names.filter(|name| name != "help").collect();
    assert!(names.contains(&"completions".to_string()) && names.contains(&"man".to_string()), "{names:?}");
    names.into_iter().map(|name| (name.clone(), options(&said(&[&name, "--help"])))).collect()
}

/// The long options that begin a line of help.
fn options(help: &str) -> BTreeSet<String> {
    let begins = |line: &str| line.trim_start().starts_with('-');
    let words = help.lines().filter(|line| begins(line)).flat_map(str::split_whitespace);
    let long = words.filter_map(|word| word.strip_prefix("--")).map(|word| word.trim_end_matches(','));
    let options: BTreeSet<String> = long.filter(|word| !word.is_empty()).map(str::to_string).collect();
    assert!(options.contains("help") && options.contains("root"), "{help}");
    options
}

/// Runs a program on a text, if it is installed, and gives what it says.
fn run(program: &str, arguments: &[&str], text: &str) -> Option<String> {
    let mut command = Command::new(program);
    command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().ok()?;
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && errors.is_empty(), "{program} {arguments:?}: {errors}");
    Some(String::from_utf8(output.stdout).unwrap())
}

#[test]
fn shells_accept_what_completions_writes() {
    run("bash", &["-n"], &said(&["completions", "bash"])).expect("bash runs these tests");
    for (shell, arguments) in [("zsh", ["-n", "/dev/stdin"]), ("fish", ["--no-execute", "/dev/stdin"])] {
        if run(shell, &arguments, &said(&["completions", shell])).is_none() {
            eprintln!("{shell} is not installed");
        }
    }
}

#[test]
fn bash_offers_every_command_and_option() {
    let script = said(&["completions", "bash"]);
    let ask = |words: &str| {
        let last = words.split(' ').count() - 1;
        let word = |at: usize| format!("\"${{COMP_WORDS[{at}]}}\"");
        let (current, before) = (word(last), word(last - 1));
        let ask = format!("COMP_WORDS=({words})\nCOMP_CWORD={last}\n_bartack bartack {current} {before}\n");
        let offered = run("bash", &["-s"], &format!("{script}\n{ask}echo \"${{COMPREPLY[@]}}\"\n")).unwrap();
        offered.split_whitespace().map(str::to_string).collect::<BTreeSet<String>>()
    };
    assert_eq!(ask("bartack comp"), BTreeSet::from(["compare".to_string(), "completions".to_string()]));
    for (command, options) in commands() {
        assert!(ask(&format!("bartack {command}")).contains(&command), "{command}");
        let offered = ask(&format!("bartack {command} --"));
        let missing: Vec<&String> = options.iter().filter(|option| !offered.contains(&format!("--{option}"))).collect();
        assert!(missing.is_empty(), "{command}: {missing:?} of {offered:?}");
    }
    assert_eq!(ask("bartack completions z"), BTreeSet::from(["zsh".to_string()]));
    assert_eq!(ask("bartack check --deny e"), BTreeSet::from(["error".to_string()]));
}

#[test]
fn every_shell_is_told_of_every_command_and_option() {
    let commands = commands();
    for shell in SHELLS {
        let script = said(&["completions", shell]);
        for (command, options) in &commands {
            assert!(script.contains(command), "{shell}: {command}");
            for option in options {
                // fish names a long option without its dashes.
                let written = if shell == "fish" { format!("-l {option}") } else { format!("--{option}") };
                assert!(script.contains(&written), "{shell}: {command} {written}");
            }
        }
    }
}

#[test]
fn the_manual_page_has_every_command_and_option_and_no_fault() {
    let page = said(&["man"]);
    assert!(page.is_ascii(), "every roff reads it");
    for (command, options) in commands() {
        let head = format!("\n.SH \"bartack {command}\"\n");
        let part = page.split_once(&head).unwrap_or_else(|| panic!("{command} has no section")).1;
        // The synopsis names the options too, and explains none.
        let part = part.split("\n.SH ").next().unwrap().split_once("\n.SS OPTIONS\n").unwrap().1.replace("\\-", "-");
        let missing: Vec<&String> = options.iter().filter(|option| !part.contains(&format!("--{option}"))).collect();
        assert!(missing.is_empty(), "{command}: {missing:?}");
    }
    match run("groff", &["-man", "-Tutf8", "-ww"], &page) {
        Some(shown) => assert!(shown.contains("The command could not run."), "{shown}"),
        None => eprintln!("groff is not installed"),
    }
}

#[test]
fn an_unknown_shell_is_refused_with_those_that_are_known() {
    let output = bartack(Path::new("/"), &["completions", "tcsh"]);
    let error = String::from_utf8(output.stderr.clone()).unwrap();
    assert_eq!(code(&output), 2);
    assert!(error.contains("'tcsh'") && SHELLS.iter().all(|shell| error.contains(shell)), "{error}");
    assert_eq!(code(&bartack(Path::new("/"), &["completions"])), 2, "a shell must be named");
}

#[test]
fn the_guide_lists_every_command() {
    let guide = std::fs::read_to_string(crate::support::repository("site/guide/commands.md")).unwrap();
    for command in commands().into_keys() {
        let row = guide.lines().find(|line| line.starts_with(&format!("| `{command}")));
        assert!(row.is_some(), "the table of commands.md has no `{command}`");
    }
}
