//! `bartack init`: what it begins passes every check and builds, and what is there already stays as it is.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::support;
use bartack::disk;
use bartack::record::Content;

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
    for (_, file) in disk::read(place.path(), &|_| {}).unwrap().sources.iter() {
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
