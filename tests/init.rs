//! `bartack init`: what it begins passes every check and builds, and what is there already stays as it is.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::support;
use crate::support::history;
use bartack::disk;
use bartack::record::Content;
use bartack::schema::Subject;
use regex::Regex;
use yaml_rust2::{Yaml, YamlLoader};

fn bartack(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bartack")).args(arguments).output().unwrap()
}

fn init(folder: &Path) -> Output {
    bartack(&["init", folder.to_str().unwrap()])
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn a_new_knowledge_base_passes_check_and_builds() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("shelf/coats");
    let output = init(&folder);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let root = folder.to_str().unwrap();
    let check = bartack(&["--root", root, "check", "--deny", "warning"]);
    assert_eq!((check.status.code(), err(&check).as_str()), (Some(0), "no findings\n"));
    let build = bartack(&["--root", root, "build"]);
    assert_eq!(build.status.code(), Some(0), "{}", err(&build));
    assert!(folder.join("out/index.html").is_file());
}

#[test]
fn every_kind_of_record_has_an_example_with_remarks() {
    let place = tempfile::tempdir().unwrap();
    init(place.path());
    let (compilation, _) = support::site::compiled(place.path());
    let mut kinds: Vec<&str> = compilation.knowledge.catalog.records.iter().map(|one| kind(&one.content)).collect();
    kinds.sort_unstable();
    let expected =
        ["about", "dispute", "key", "landmark", "maker", "model", "observation", "observation", "source", "variant"];
    assert_eq!(kinds, expected);
    let reading = disk::read(place.path(), &|_| {}).unwrap();
    // JSON has no remarks; its keys have descriptions.
    for (_, file) in reading.sources.iter().filter(|(_, file)| !file.path().as_str().ends_with(".json")) {
        assert!(file.text().contains("# "), "{} has no remark", file.path());
    }
}

fn kind(content: &Content) -> &'static str {
    match content {
        Content::About(_) => "about",
        Content::Source(_) => "source",
        Content::Landmark(_) => "landmark",
        Content::Key(_) => "key",
        Content::Dispute(_) => "dispute",
        Content::Maker(_) => "maker",
        Content::Model(_) => "model",
        Content::Variant(_) => "variant",
        Content::Observation(_) => "observation",
    }
}

#[test]
fn a_folder_that_holds_something_is_refused_by_name_and_stays_as_it_is() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir_all(place.path().join("entries")).unwrap();
    fs::write(place.path().join("entries/about.md"), "mine").unwrap();
    fs::write(place.path().join("notes.txt"), "mine too").unwrap();
    let output = init(place.path());
    assert_eq!(output.status.code(), Some(2));
    let complaint = format!("bartack: {}: is not empty: it holds entries, notes.txt;", place.path().display());
    assert!(err(&output).starts_with(&complaint), "{}", err(&output));
    assert_eq!(support::entries(place.path()).len(), 2);
    assert_eq!(fs::read_to_string(place.path().join("entries/about.md")).unwrap(), "mine");
}

#[test]
fn a_second_beginning_changes_nothing() {
    let place = tempfile::tempdir().unwrap();
    init(place.path());
    let about = place.path().join("entries/about.md");
    fs::write(&about, "changed").unwrap();
    assert_eq!(init(place.path()).status.code(), Some(2));
    assert_eq!(fs::read_to_string(about).unwrap(), "changed");
}

#[test]
fn a_folder_that_only_git_has_begun_is_welcome() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir(place.path().join(".git")).unwrap();
    assert_eq!(init(place.path()).status.code(), Some(0));
    assert!(place.path().join(".gitignore").is_file());
}

#[test]
fn a_file_is_no_folder_to_begin_in() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("notes.txt");
    fs::write(&file, "mine").unwrap();
    let output = init(&file);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).starts_with(&format!("bartack: {}: ", file.display())), "{}", err(&output));
    assert_eq!(fs::read_to_string(file).unwrap(), "mine");
}

#[test]
fn editors_find_the_schemas_and_the_place_of_each_finding() {
    let place = tempfile::tempdir().unwrap();
    init(place.path());
    let text = |path: &str| fs::read_to_string(place.path().join(path)).unwrap();
    for subject in Subject::ALL {
        assert_eq!(text(subject.path()), subject.text());
    }
    // Taplo resolves the address of a `#:schema` line against the file that the line stands in.
    let vocabulary = text("schema/vocabulary.toml");
    let named = vocabulary.lines().next().unwrap().strip_prefix("#:schema ./").unwrap();
    assert_eq!(format!("schema/{named}"), Subject::Vocabulary.path());
    let entry = "entries/unplaced/coat-without-label.md";
    fs::write(place.path().join(entry), text(entry).replacen("basis", "bass", 1)).unwrap();
    let check = bartack(&["--root", place.path().to_str().unwrap(), "check"]);
    let tasks: serde_json::Value = serde_json::from_str(&text(".vscode/tasks.json")).unwrap();
    let task = &tasks["tasks"][0];
    assert_eq!((&task["command"], &task["args"][0]), (&"bartack".into(), &"check".into()));
    let patterns = task["problemMatcher"]["pattern"].as_array().unwrap();
    let patterns: Vec<Regex> =
        patterns.iter().map(|one| Regex::new(one["regexp"].as_str().unwrap()).unwrap()).collect();
    let out = String::from_utf8(check.stdout).unwrap();
    let lines: Vec<&str> = out.lines().collect();
    let finding = patterns[0].captures(lines[0]).unwrap();
    assert_eq!((&finding[1], &finding[2]), ("error", "schema-violation"));
    let at = patterns[1].captures(lines[1]).unwrap();
    let line = text(entry).lines().position(|line| line.starts_with("bass")).unwrap() + 1;
    assert_eq!((&at[1], &at[2], &at[3]), (entry, line.to_string().as_str(), "1"));
}

const WORKFLOW: &str = ".github/workflows/entries.yml";

fn workflow(folder: &Path) -> Yaml {
    let text = fs::read_to_string(folder.join(WORKFLOW)).unwrap();
    YamlLoader::load_from_str(&text).unwrap().remove(0)
}

#[test]
fn the_workflow_installs_the_program_that_was_named_and_says_where_none_was() {
    let (place, commit) = (tempfile::tempdir().unwrap(), "0123456789abcdef0123456789abcdef01234567");
    let (named, unnamed) = (place.path().join("named"), place.path().join("unnamed"));
    let program = "https://example.org/tools/bartack.git";
    let output = bartack(&["init", named.to_str().unwrap(), "--program", program, "--commit", commit]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(!err(&output).contains(WORKFLOW));
    let filled = workflow(&named);
    assert_eq!(filled["env"]["BARTACK_SOURCE"].as_str(), Some(program));
    assert_eq!(filled["env"]["BARTACK_COMMIT"].as_str(), Some(commit));
    let output = init(&unnamed);
    assert!(err(&output).ends_with(&format!("write in `{WORKFLOW}` where bartack comes from\n")), "{}", err(&output));
    let steps = workflow(&unnamed)["jobs"]["check"]["steps"].clone();
    let knows = steps.as_vec().unwrap().iter().find_map(|step| step["run"].as_str()).unwrap();
    for (source, expected) in [("", 1), (program, 0)] {
        let mut shell = Command::new("bash");
        let output = shell.args(["-e", "-c", knows]).env("BARTACK_SOURCE", source).env("BARTACK_COMMIT", commit);
        assert_eq!(output.output().unwrap().status.code(), Some(expected), "{source}");
    }
}

#[test]
fn a_program_that_could_be_another_one_tomorrow_is_refused_and_nothing_written() {
    let place = tempfile::tempdir().unwrap();
    let (folder, commit) = (place.path().join("coats"), "0123456789abcdef0123456789abcdef01234567");
    let program = "https://example.org/bartack.git";
    let wrong: [&[&str]; 5] = [
        &["--program", program],
        &["--program", program, "--commit", "v1.0"],
        &["--program", "git@example.org:bartack", "--commit", commit],
        &["--program", "https://example.org/\"\n  X: \"", "--commit", commit],
        &["--program", "https://example.org/$(id)", "--commit", commit],
    ];
    for arguments in wrong {
        let output = bartack(&[&["init", folder.to_str().unwrap()], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(!folder.exists(), "{arguments:?}");
    }
}

#[test]
fn the_steps_of_the_workflow_check_and_build_a_change() {
    let place = tempfile::tempdir().unwrap();
    init(place.path());
    history::git(place.path(), &["init", "--quiet"]);
    let commit = |message: &str| {
        history::git(place.path(), &["add", "--all"]);
        history::git(place.path(), &["commit", "--quiet", "--message", message]);
    };
    commit("begin");
    let entry = place.path().join("entries/makers/orrin-velk/fieldgate-7/first-men/barn-find.md");
    fs::copy(&entry, entry.with_file_name("loft-find.md")).unwrap();
    fs::write(entry.with_file_name("bad-find.md"), "+++\nbasis = \"specimen\"\nmade = \"1974-13\"\n+++\n").unwrap();
    commit("change");
    let program = Path::new(env!("CARGO_BIN_EXE_bartack")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    let summary = place.path().join("summary.md");
    let workflow = workflow(place.path());
    let steps = workflow["jobs"]["check"]["steps"].as_vec().unwrap();
    let run = |name: &str| {
        let step = steps.iter().find(|step| step["name"].as_str() == Some(name)).unwrap();
        let mut shell = Command::new("bash");
        shell.args(["-e", "-o", "pipefail", "-c", step["run"].as_str().unwrap()]).current_dir(place.path());
        shell.env("PATH", &path).env("GITHUB_STEP_SUMMARY", &summary).output().unwrap()
    };
    let findings = run("Findings");
    assert_eq!(findings.status.code(), Some(1), "{}", err(&findings));
    let out = String::from_utf8(findings.stdout).unwrap();
    assert!(
        out.starts_with("::error file=entries/makers/orrin-velk/fieldgate-7/first-men/bad-find.md,line=3,"),
        "{out}"
    );
    let told = run("What changes in the conclusions");
    assert_eq!(told.status.code(), Some(0), "{}", err(&told));
    assert!(fs::read_to_string(&summary).unwrap().contains("loft-find"));
    let preview = run("Preview");
    assert_eq!(preview.status.code(), Some(0), "{}", err(&preview));
    assert!(place.path().join("preview/index.html").is_file());
}

#[test]
fn a_workflow_that_is_there_is_not_replaced() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir_all(place.path().join(".github/workflows")).unwrap();
    fs::write(place.path().join(WORKFLOW), "mine").unwrap();
    let output = init(place.path());
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("is not empty: it holds .github;"), "{}", err(&output));
    assert_eq!(support::entries(place.path()).len(), 1);
    assert_eq!(fs::read_to_string(place.path().join(WORKFLOW)).unwrap(), "mine");
}
