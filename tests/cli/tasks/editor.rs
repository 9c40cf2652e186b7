//! Someone with an editor: a new knowledge base, an observation by hand with two mistakes, and the steps of the workflow
//! that `init` wrote, to the merged entry.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use super::{assert_code, assert_says, code, findings, merge, out, told};
use crate::support::history::History;
use yaml_rust2::YamlLoader;

const ENTRY: &str = "entries/makers/orrin-velk/fieldgate-7/first-men/loft-find.md";

/// As somebody writes it: a date in words, and a number in quotation marks.
const WRITTEN: &str = r#"+++
basis     = "specimen"
observed  = 2026-03-14
observer  = "rowan-k"
placed-by = "mark"
made      = "3 May 1957"
made-by   = "mark"

[features]
label-make    = "woven-four-sides"
front-buttons = "5"   # counted twice
button-metal  = "brass"
+++
From a loft, under the boards.
"#;

/// Runs a step of the workflow in the folder where the change is checked out; its summary is written there.
fn step(folder: &Path, summary: &Path, name: &str) -> Output {
    let text = fs::read_to_string(folder.join(".github/workflows/entries.yml")).unwrap();
    let workflow = YamlLoader::load_from_str(&text).unwrap().remove(0);
    let steps = workflow["jobs"]["check"]["steps"].as_vec().unwrap();
    let step = steps.iter().find(|step| step["name"].as_str() == Some(name)).unwrap();
    let program = Path::new(env!("CARGO_BIN_EXE_bartack")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    let mut shell = Command::new("bash");
    shell.args(["-e", "-o", "pipefail", "-c", step["run"].as_str().unwrap()]).current_dir(folder);
    shell.env("PATH", path).env("GITHUB_STEP_SUMMARY", summary).output().unwrap()
}

#[test]
fn an_observation_by_hand_is_repaired_checked_by_the_workflow_and_merged() {
    let history = History::empty();
    let base = history.base();
    assert_code(&Command::new(env!("CARGO_BIN_EXE_bartack")).arg("init").arg(&base).output().unwrap(), 0);
    history.commit("a new knowledge base");
    history.git(&["checkout", "--quiet", "-b", "change"]);
    history.write(ENTRY, WRITTEN);
    let check = history.run(&["check"]);
    assert_code(&check, 1);
    let mistakes = findings(&out(&check));
    assert_eq!(mistakes, vec![("schema-violation".to_string(), "loft-find.md".to_string()); 2], "{}", out(&check));
    assert_says(
        &out(&check),
        &["`3 May 1957` is not a date", "help: write `1957-05-03`", "found `5`, expected a whole"],
    );
    assert_says(&told(&check), &["2 errors; `--fix` repairs 2"]);
    let fixed = history.run(&["check", "--fix"]);
    assert_code(&fixed, 0);
    let expected = WRITTEN.replace("\"3 May 1957\"", "\"1957-05-03\"").replace("\"5\"", "5");
    assert_eq!(fs::read_to_string(base.join(ENTRY)).unwrap(), expected, "comments and blanks stay");
    history.commit("one coat more");
    // The workflow checks out the change as it would be merged, with the commit before it.
    history.git(&["checkout", "--quiet", "-b", "merged", "main"]);
    history.git(&["merge", "--quiet", "--no-ff", "-m", "as merged", "change"]);
    let summary = history.top().join("summary.md");
    let reported = step(&base, &summary, "Findings");
    assert_eq!((code(&reported), out(&reported).as_str()), (0, ""), "{}", told(&reported));
    assert_code(&step(&base, &summary, "What changes in the conclusions"), 0);
    assert_says(
        &fs::read_to_string(&summary).unwrap(),
        &["<summary>New observations (1)</summary>", ENTRY, "recorded by `rowan-k`", "was 1957-03-01"],
    );
    assert_code(&step(&base, &summary, "Preview"), 0);
    let page = "makers/orrin-velk/fieldgate-7/first-men/loft-find.html";
    assert_says(&fs::read_to_string(base.join("preview").join(page)).unwrap(), &["From a loft, under the boards."]);
    // What the workflow makes is not part of the change.
    fs::remove_dir_all(base.join("preview")).unwrap();
    fs::remove_file(summary).unwrap();
    merge(&history);
    let clean = history.run(&["check", "--deny", "warning"]);
    assert_eq!((code(&clean), told(&clean).as_str()), (0, "no findings\n"));
}
