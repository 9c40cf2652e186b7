//! `bartack new`: what it writes is an entry that `check` takes, asked for or explained.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::support;
use tempfile::TempDir;

const MODEL: &str = "brackwold-tharn/sluice-118";
const VARIANT: &str = "brackwold-tharn/sluice-118/underlode-men";

/// The demo in a folder of its own.
fn demo() -> TempDir {
    let folder = TempDir::new().unwrap();
    for part in ["entries", "schema"] {
        support::copy(&support::repository(part), &folder.path().join(part));
    }
    folder
}

fn bartack(root: &Path, arguments: &[&str], answers: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    command.arg("--root").arg(root).args(arguments);
    let mut running = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Where the command refuses before it reads, nobody takes the answers.
    let _ = running.stdin.take().unwrap().write_all(answers.as_bytes());
    running.wait_with_output().unwrap()
}

fn told(output: &Output) -> String {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).trim().to_string()
}

/// What `check` says of a file, at the level of errors.
fn errors(root: &Path, path: &str) -> String {
    let output = bartack(root, &["check", path], "");
    if output.status.success() { String::new() } else { String::from_utf8_lossy(&output.stdout).into_owned() }
}

#[test]
fn an_explained_entry_passes_check_as_it_is_and_with_everything_filled_in() {
    let folder = demo();
    for of in [VARIANT, MODEL, "quillander/pontoon-bib", "thessop-yarrick/kettlehead"] {
        let path = told(&bartack(folder.path(), &["new", of, "--name", "explained"], ""));
        assert_eq!(errors(folder.path(), &path), "");
        let text = fs::read_to_string(folder.path().join(&path)).unwrap();
        // A commented key has its equals sign right after one word.
        let is_key = |line: &str| {
            line.strip_prefix("# ").is_some_and(|key| {
                key.split(" = ").next().unwrap().chars().all(|letter| letter.is_ascii_lowercase() || letter == '-')
            })
        };
        let filled: Vec<&str> = text.lines().map(|line| if is_key(line) { &line[2..] } else { line }).collect();
        assert!(filled.iter().filter(|line| line.contains(" = ")).count() > 25, "{text}");
        fs::write(folder.path().join(&path), filled.join("\n") + "\n").unwrap();
        assert_eq!(errors(folder.path(), &path), "", "{}", filled.join("\n"));
    }
}

#[test]
fn answers_become_readings_and_wrong_ones_are_asked_again() {
    let folder = demo();
    let answers =
        "5\n\n-\nno such thing !unsure\n\n?\n.\nhearsay\nmark\ncirca 1977\n1977~\npaper\nwren-t\nHem let down.\n";
    let output = bartack(folder.path(), &["new", VARIANT, "--ask", "--name", "asked"], answers);
    let path = told(&output);
    let text = fs::read_to_string(folder.path().join(&path)).unwrap();
    let observed = text.lines().find(|line| line.starts_with("observed = ")).unwrap();
    let expected = "+++\nbasis = \"specimen\"\nOBSERVED\nobserver = \"wren-t\"\nplaced-by = \"mark\"\nmade = \"1977~\"\nmade-by = \"paper\"\n\n\
        [features]\nlabel-make = \"printed-two-sides\"\nlength-printed = \"absent\"\n\
        lot-number = { value = \"no such thing\", unsure = true }\norigin = \"lost\"\n+++\nHem let down.\n";
    assert_eq!(text.replace(observed, "OBSERVED"), expected);
    assert_eq!(errors(folder.path(), &path), "");
    let asked = String::from_utf8_lossy(&output.stderr);
    assert!(asked.contains("Judge the making, not the colour."), "each feature is asked with how to look");
    assert!(asked.contains("`circa 1977` is not a date string; write `1977~`"));
    assert!(asked.contains("one of `mark`, `paper` or `judged`"));
}

#[test]
fn an_input_that_ends_early_loses_no_answer() {
    let folder = demo();
    let path = told(&bartack(folder.path(), &["new", MODEL, "--ask"], "printed two sides\n34"));
    assert_eq!(path, "entries/unplaced/garment.md");
    let text = fs::read_to_string(folder.path().join(&path)).unwrap();
    assert!(text.contains("label-make = \"printed-two-sides\"\nwaist-printed = 34\n"), "{text}");
    assert!(text.contains(&format!("model = \"{MODEL}\"")));
    assert_eq!(errors(folder.path(), &path), "");
}

#[test]
fn nothing_is_replaced_and_what_makes_no_sense_is_said() {
    let folder = demo();
    let first = told(&bartack(folder.path(), &["new", VARIANT], ""));
    let second = told(&bartack(folder.path(), &["new", VARIANT], ""));
    assert!(first.ends_with("/garment.md") && second.ends_with("/garment-2.md"), "{first} {second}");
    for (arguments, said) in [
        (&["new", "brackwold-tharn/sluice-118/underlod-men"][..], "is near"),
        (&["new", "nothing-like-it"], "there is no variant or model `nothing-like-it`"),
        (&["new", VARIANT, "--name", "variant"], "a file of that name has another purpose"),
        (&["new", VARIANT, "--name", "../out"], "small letters, digits and hyphens"),
        (&["new", VARIANT, "--ask", "--explain"], "cannot be used with"),
    ] {
        let output = bartack(folder.path(), arguments, "");
        assert_eq!(output.status.code(), Some(2));
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(told.contains(said), "{told}");
    }
}

#[test]
fn a_new_key_says_what_is_missing_and_reads_once_it_is_filled_in() {
    let folder = demo();
    let path = told(&bartack(folder.path(), &["new", "keys/lots"], ""));
    assert_eq!(path, "entries/keys/lots.md");
    assert!(errors(folder.path(), &path).contains("sources"), "a key without a source is refused");
    let text = fs::read_to_string(folder.path().join(&path)).unwrap();
    let filled = text
        .replace("# sources = [\"stockroom-talk tape 2\"]", "sources = [\"bt-catalogue-1961\"]")
        .replace("  # { digits = 2, is = \"month\" }", "  { digits = 2, is = \"month\" }")
        .replace("  # { digits = 2, is = \"year-of-century\" }", "  { digits = 2, is = \"year-of-century\" }")
        .replace(
            "# examples = [{ code = \"A04-78\", reads = \"1978-04\", factory = \"first-works\" }]",
            "examples = [{ code = \"04-78\", reads = \"[1878-04,1978-04]\" }]",
        );
    fs::write(folder.path().join(&path), filled).unwrap();
    assert_eq!(errors(folder.path(), &path), "");
    let again = told(&bartack(folder.path(), &["new", "keys/lots"], ""));
    assert_eq!(again, "entries/keys/lots-2.md", "what is there keeps its name");
    for (name, said) in [("keys/Lots", "small letters"), ("keys/", "small letters"), ("keys/con", "device")] {
        let output = bartack(folder.path(), &["new", name], "");
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!output.status.success() && error.contains(said), "{name}: {error}");
    }
}
