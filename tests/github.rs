//! What lies in `.github/`, here and in a new knowledge base: valid, harmless for pull requests from strangers, and true
//! to the entry files and commands.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;

use crate::support;
use yaml_rust2::{Yaml, YamlLoader};

/// The workflows of this repository and those that `init` writes.
const WORKFLOWS: [&str; 2] = [".github/workflows", "site/start/.github/workflows"];

fn text(path: &str) -> String {
    fs::read_to_string(support::repository(path)).unwrap()
}

fn yaml(path: &str) -> Yaml {
    let documents = YamlLoader::load_from_str(&text(path)).unwrap();
    assert_eq!(documents.len(), 1, "{path}");
    documents.into_iter().next().unwrap()
}

fn keys(yaml: &Yaml) -> Vec<&str> {
    yaml.as_hash().unwrap().keys().map(|key| key.as_str().unwrap()).collect()
}

/// All workflows, by path.
fn workflows() -> Vec<String> {
    let paths = WORKFLOWS.iter().flat_map(|folder| {
        let found = support::entries(&support::repository(folder));
        assert!(!found.is_empty(), "{folder}");
        found.into_iter().map(move |path| format!("{folder}/{}", path.file_name().unwrap().to_string_lossy()))
    });
    paths.collect()
}

fn steps(workflow: &Yaml) -> Vec<&Yaml> {
    let jobs = workflow["jobs"].as_hash().unwrap();
    jobs.values().flat_map(|job| job["steps"].as_vec().unwrap()).collect()
}

#[test]
fn a_strangers_pull_request_can_only_read() {
    for path in workflows() {
        let workflow = yaml(&path);
        assert_eq!(keys(&workflow["on"]), ["pull_request"], "{path}");
        let permissions = workflow["permissions"].as_hash().unwrap();
        let granted: Vec<(&str, &str)> =
            permissions.iter().map(|(name, level)| (name.as_str().unwrap(), level.as_str().unwrap())).collect();
        assert_eq!(granted, [("contents", "read")], "{path}");
        for job in workflow["jobs"].as_hash().unwrap().values() {
            assert!(job["permissions"].is_badvalue(), "{path}: no job asks for more");
        }
        assert!(!text(&path).contains("secrets."), "{path}");
    }
}

#[test]
fn actions_are_githubs_own_and_pinned_by_commit_since_a_tag_can_be_moved() {
    for path in workflows() {
        let workflow = yaml(&path);
        for step in steps(&workflow) {
            let Some(action) = step["uses"].as_str() else { continue };
            let (name, version) = action.split_once('@').unwrap();
            assert!(name.starts_with("actions/"), "{action}");
            assert!(version.len() == 40 && version.bytes().all(|letter| letter.is_ascii_hexdigit()), "{action}");
            assert!(text(&path).contains(&format!("{action} # v")), "{action}: which version it is");
            if name == "actions/checkout" {
                assert_eq!(step["with"]["persist-credentials"].as_bool(), Some(false));
            }
        }
    }
}

#[test]
fn a_folder_that_a_change_brings_is_removed_before_it_is_written_and_kept() {
    for path in workflows() {
        let workflow = yaml(&path);
        let steps = steps(&workflow);
        let uploads =
            steps.iter().filter(|step| step["uses"].as_str().is_some_and(|uses| uses.contains("/upload-artifact@")));
        let kept = uploads.map(|step| step["with"]["path"].as_str().unwrap().split('/').next().unwrap());
        let folders: BTreeSet<&str> = kept.collect();
        assert!(folders.contains("preview"), "{path}");
        for folder in folders {
            let words = [format!("> {folder}/"), format!("--out {folder} ")];
            let writes =
                |step: &&&Yaml| step["run"].as_str().is_some_and(|run| words.iter().any(|words| run.contains(words)));
            let run = steps.iter().find(writes).unwrap()["run"].as_str().unwrap();
            let first = run.lines().find(|line| !line.trim_start().starts_with('#')).unwrap();
            assert_eq!(first.trim(), format!("rm -rf {folder}"), "{path}");
        }
    }
}

#[test]
fn no_command_is_put_together_from_what_a_stranger_wrote() {
    for path in workflows() {
        let workflow = yaml(&path);
        for run in steps(&workflow).into_iter().filter_map(|step| step["run"].as_str()) {
            assert!(!run.contains("${{"), "{path}: {run}");
        }
    }
}

#[test]
fn what_a_change_does_is_written_to_the_summary_and_never_to_the_log() {
    for path in workflows() {
        let workflow = yaml(&path);
        let steps = steps(&workflow);
        let runs = steps.iter().filter_map(|step| step["run"].as_str());
        let told = runs.into_iter().find(|run| run.contains("bartack diff")).unwrap().trim();
        let told = told.strip_prefix("target/release/").unwrap_or(told);
        assert_eq!(told, "bartack diff HEAD^ --format markdown >> \"$GITHUB_STEP_SUMMARY\"", "{path}");
        // The commit before the merged change must be there to be compared with.
        let checkout = steps.iter().find(|step| step["uses"].as_str().is_some_and(|uses| uses.contains("/checkout@")));
        assert_eq!(checkout.unwrap()["with"]["fetch-depth"].as_i64(), Some(2));
    }
}

#[test]
fn only_commands_that_exist_are_named() {
    let help = std::process::Command::new(env!("CARGO_BIN_EXE_bartack")).arg("--help").output().unwrap();
    let help = String::from_utf8(help.stdout).unwrap();
    let known: BTreeSet<&str> =
        help.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).collect();
    let mut named = BTreeSet::new();
    let documents =
        ["CONTRIBUTING.md", "SECURITY.md", "pull_request_template.md"].map(|name| format!(".github/{name}"));
    for path in workflows().iter().chain(&documents) {
        let text = text(path);
        for after in text.split("bartack ").skip(1) {
            let is_command = ["`", "/", "run: ", "\n          "]
                .iter()
                .any(|before| text.contains(&format!("{before}bartack {after}")));
            let word: String =
                after.chars().take_while(|letter| letter.is_ascii_lowercase() || *letter == '-').collect();
            if is_command {
                assert!(known.contains(word.as_str()), "{path}: bartack {word}");
                named.insert(word);
            }
        }
    }
    assert!(["check", "build", "serve", "diff"].iter().all(|name| named.contains(*name)), "{named:?}");
}

#[test]
fn the_form_asks_for_the_keys_of_an_observation() {
    let form = yaml(".github/ISSUE_TEMPLATE/observation.yml");
    for key in ["name", "description"] {
        assert!(form[key].as_str().is_some_and(|text| !text.is_empty()), "{key}");
    }
    let schema = fs::read_to_string(support::repository("schema/observation.schema.json")).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    let known = schema["properties"].as_object().unwrap();
    let mut ids = BTreeSet::new();
    for field in form["body"].as_vec().unwrap() {
        let kind = field["type"].as_str().unwrap();
        assert!(["markdown", "input", "textarea", "dropdown", "checkboxes"].contains(&kind), "{kind}");
        let Some(id) = field["id"].as_str() else { continue };
        assert!(ids.insert(id), "{id} comes twice");
        let label = field["attributes"]["label"].as_str().unwrap();
        // What the body of the file says, and the licence, are no keys.
        if !["text", "licence"].contains(&id) {
            assert!(known.contains_key(id), "an entry has no key {id}");
            assert!(label.starts_with(&format!("{id}: ")), "{label}");
        }
        if let (Some(options), Some(allowed)) =
            (field["attributes"]["options"].as_vec(), known.get(id).and_then(|key| key["enum"].as_array()))
        {
            let offered: Vec<&str> =
                options.iter().map(|one| one.as_str().unwrap().split(" (").next().unwrap()).collect();
            let offered: Vec<&str> = offered.into_iter().filter(|word| *word != "not known").collect();
            let allowed: Vec<&str> = allowed.iter().map(|word| word.as_str().unwrap()).collect();
            assert_eq!(offered, allowed, "{id}");
        }
    }
    assert!(ids.contains("basis") && ids.contains("features"));
    assert!(!yaml(".github/ISSUE_TEMPLATE/config.yml")["blank_issues_enabled"].is_badvalue());
}
