//! The program as a whole: what it answers where, and with which exit code.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use bartack::compile::example;
use tempfile::TempDir;

mod support;

#[path = "cli/progress.rs"]
mod progress;

const VARIANT: &str = "entries/makers/hollin/no-4/no-4-best";

/// One note-free, one contradicted and one broken entry.
fn contradicted() -> String {
    bartack::lints::find("era-conflict").unwrap().wrong.to_string()
}

fn broken() -> String {
    format!("--- {VARIANT}/shop-find.md\n+++\nbasis = \"garment\"\n+++\n")
}

fn clean() -> String {
    format!("--- {VARIANT}/shop-find.md\n+++\nbasis = \"specimen\"\n+++\n")
}

/// Writes a text of several files into a folder of its own.
fn folder(text: &str) -> TempDir {
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(text).sources.iter() {
        let path = folder.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    folder
}

fn bartack(root: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    command.arg("--root").arg(root).args(arguments).env_remove("NO_COLOR");
    command.output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn clean_entries_are_answered_by_silence_and_code_0() {
    let output = bartack(folder(&clean()).path(), &["check"]);
    assert_eq!((code(&output), out(&output).as_str(), err(&output).as_str()), (0, "", "no findings\n"));
}

#[test]
fn errors_fail_and_warnings_only_where_they_are_denied() {
    let base = folder(&contradicted());
    assert_eq!(code(&bartack(base.path(), &["check"])), 0);
    assert_eq!(code(&bartack(base.path(), &["check", "--deny", "warning"])), 1);
    let output = bartack(folder(&broken()).path(), &["check"]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).starts_with("error[schema-violation]: found `garment`"), "{}", out(&output));
    assert_eq!(err(&output), "1 error\n");
}

#[test]
fn what_could_not_run_is_code_2_and_says_why() {
    let output = bartack(Path::new("/no/such/folder"), &["check"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).starts_with("bartack: /no/such/folder: "), "{}", err(&output));
    let empty = tempfile::tempdir().unwrap();
    assert!(err(&bartack(empty.path(), &["check"])).contains("has no folder `entries/`"));
    fs::create_dir_all(empty.path().join("entries")).unwrap();
    for command in ["check", "build"] {
        let output = bartack(empty.path(), &[command]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("holds no entries"), "{}", err(&output));
    }
    assert_eq!(code(&bartack(Path::new("."), &["check", "--deny", "everything"])), 2);
    assert_eq!(code(&bartack(Path::new("."), &["chekc"])), 2);
}

#[test]
fn only_findings_that_touch_the_path_are_reported_and_the_rest_is_counted() {
    let base = folder(&(contradicted() + &broken()));
    let output = bartack(base.path(), &["check", &format!("{VARIANT}/barn-find.md")]);
    assert_eq!(code(&output), 0, "the error lies elsewhere");
    assert!(out(&output).contains("[era-conflict]") && !out(&output).contains("[schema-violation]"));
    assert_eq!(err(&output), "1 warning here, 1 elsewhere\n");
    let whole = bartack(base.path(), &["check", base.path().join("entries").to_str().unwrap()]);
    assert_eq!((code(&whole), err(&whole).as_str()), (1, "1 error, 1 warning here, none elsewhere\n"));
}

#[test]
fn a_path_that_leads_to_nothing_is_named() {
    let output = bartack(folder(&clean()).path(), &["check", "entries/sources/almanac.md"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("`entries/sources/almanac.md`"), "{}", err(&output));
}

#[test]
fn json_holds_to_its_schema_and_to_the_text() {
    let base = folder(&(contradicted() + &broken()));
    let output = bartack(base.path(), &["check", "--format", "json"]);
    let findings: serde_json::Value = serde_json::from_str(&out(&output)).unwrap();
    let schema = fs::read_to_string(support::repository("schema/findings.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&findings).map(|error| error.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    let codes: Vec<&str> =
        findings["findings"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["era-conflict", "schema-violation"], "in order of path");
    assert_eq!(findings["findings"][1]["place"]["path"], format!("{VARIANT}/shop-find.md"));
    assert_eq!((&findings["findings"][1]["place"]["line"], &findings["elsewhere"]), (&2.into(), &0.into()));
    assert_eq!(code(&output), 1);
}

#[test]
fn nothing_is_coloured_when_it_is_not_a_terminal() {
    let output = bartack(folder(&broken()).path(), &["check"]);
    assert!(!output.stdout.contains(&0x1b) && !output.stderr.contains(&0x1b));
}

#[test]
fn a_conflict_shows_a_label_in_each_file() {
    let output = bartack(folder(&contradicted()).path(), &["check"]);
    for path in ["variant.md", "barn-find.md"] {
        assert!(out(&output).contains(&format!("{VARIANT}/{path}")), "{}", out(&output));
    }
}

#[test]
fn build_refuses_errors_and_writes_nothing() {
    let base = folder(&broken());
    let output = bartack(base.path(), &["build"]);
    assert_eq!(code(&output), 1);
    assert!(err(&output).contains("not built: 1 error"), "{}", err(&output));
    assert!(!base.path().join("out").exists());
}

#[test]
fn build_keeps_going_without_the_broken_and_says_so() {
    let base = folder(&broken());
    let output = bartack(base.path(), &["build", "--keep-going"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert!(err(&output).contains(&format!("left out 1 broken file: `{VARIANT}/shop-find.md`")), "{}", err(&output));
    assert!(base.path().join("out").is_dir());
}

#[test]
fn build_writes_where_it_is_told() {
    let (base, out) = (folder(&clean()), TempDir::new().unwrap());
    let target = out.path().join("site");
    let output = bartack(base.path(), &["build", "--out", target.to_str().unwrap()]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(target.is_dir() && !base.path().join("out").exists());
}

#[test]
fn a_lint_is_explained_anywhere_with_its_examples() {
    let output = bartack(Path::new("/no/such/folder"), &["explain", "era-conflict"]);
    assert_eq!(code(&output), 0);
    let lint = bartack::lints::find("era-conflict").unwrap();
    assert!(out(&output).contains(lint.title) && out(&output).contains("Wrong:") && out(&output).contains("Right:"));
}

#[test]
fn a_misspelt_code_is_answered_with_the_nearest() {
    let output = bartack(Path::new("/no/such/folder"), &["explain", "era-conflit"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("near it: `era-conflict`"), "{}", err(&output));
}

#[test]
fn an_era_is_explained_by_the_voices_behind_each_bound() {
    let base = folder(bartack::lints::find("era-conflict").unwrap().right);
    for subject in ["hollin/no-4/no-4-best", &format!("{VARIANT}/variant.md")] {
        let output = bartack(base.path(), &["explain", subject]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let text = out(&output);
        assert!(text.contains("It was not begun before 1971-01-01:"), "{text}");
        assert!(text.contains("spring-list") && text.contains("variant.md#1"), "{text}");
        assert!(text.contains("Nothing says by when it had ended."), "{text}");
    }
}

#[test]
fn an_unknown_thing_is_answered_with_the_nearest() {
    let output = bartack(folder(&clean()).path(), &["explain", "hollin/no-4/no-4-bset"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("`hollin/no-4/no-4-best`"), "{}", err(&output));
}

#[test]
fn timings_are_told_stage_by_stage_beside_the_answer() {
    let base = folder(bartack::lints::find("era-conflict").unwrap().right);
    let plain = bartack(base.path(), &["check"]);
    let timed = bartack(base.path(), &["check", "--timings"]);
    assert_eq!((code(&timed), out(&timed)), (code(&plain), out(&plain)));
    let told = err(&timed);
    let stages = ["reading the files", "reading the entries", "linking the entries", "reasoning", "mistakes", "in all"];
    let mut lines = told.lines();
    for stage in stages {
        let line = lines.find(|line| line.contains(stage)).unwrap_or_else(|| panic!("{stage}: {told}"));
        let seconds: f64 = line.trim_start().split(" s  ").next().unwrap().parse().unwrap();
        assert!((0.0..60.0).contains(&seconds), "{line}");
    }
}

#[test]
fn version_and_help_are_answers() {
    let output = bartack(Path::new("."), &["--version"]);
    assert_eq!((code(&output), out(&output)), (0, format!("bartack {}\n", env!("CARGO_PKG_VERSION"))));
    assert_eq!(code(&bartack(Path::new("."), &["--help"])), 0);
}

/// A maker with one model of two variants, and a landmark.
fn shop() -> String {
    let mut text =
        "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"fold\", \"chain\"]\n\
                    look = \"Look.\"\n[mark]\nname = \"Mark\"\nkind = \"state\"\nstates = [\"early\", \"late\"]\n\
                    look = \"Look.\"\n--- entries/makers/hollin/no-4/model.md\n+++\nname = \"N\"\n\
                    garment = \"trousers\"\n+++\n"
            .to_string();
    for (name, state) in [("a", "fold"), ("b", "chain")] {
        let folder = format!("entries/makers/hollin/no-4/{name}");
        text += &format!("--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        text += &format!(
            "--- {folder}/g.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1972\"\nmade-by = \"mark\"\n"
        );
        text += &format!("[features]\nhem = \"{state}\"\n+++\n");
    }
    for (name, bound) in [("early", "not-after"), ("late", "not-before")] {
        text += &format!("--- entries/landmarks/{name}.md\n+++\ntitle = \"{name}\"\nforce = \"hard\"\n");
        let year = if name == "early" { 1969 } else { 1971 };
        text +=
            &format!("when = {{ feature = \"mark\", state = \"{name}\" }}\n{bound} = \"{year}\"\nsources = [\"it\"]\n");
        text += "[[source]]\nid = \"it\"\ncitation = \"It\"\nkind = \"law\"\n+++\n";
    }
    text
}

#[test]
fn garment_in_hand_is_dated_with_reasons_and_caution() {
    let base = folder(&shop());
    let output = bartack(base.path(), &["date", "--model", "hollin/no-4", "hem=fold", "mark=late"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    for said in [
        "Not made before 1971-01-01\n  late: It\n",
        "Not made before 1971-01-01: late.",
        "(hollin/no-4/a)",
        "hem: fold",
        "not an authentication",
    ] {
        assert!(out(&output).contains(said), "{said}: {}", out(&output));
    }
    let unknown = bartack(base.path(), &["date", "hem=fold"]);
    assert!(out(&unknown).contains("nearest among the recorded ones; it may be none of them"), "{}", out(&unknown));
    assert!(out(&unknown).contains("no variant is named"));
    let json = bartack(base.path(), &["date", "hem=fold", "--format", "json"]);
    let answer: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let schema: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(support::repository("schema/date.schema.json")).unwrap()).unwrap();
    assert!(jsonschema::is_valid(&schema, &answer), "{answer}");
}

#[test]
fn what_is_typed_wrong_of_a_garment_is_named() {
    let seen = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n+++\n";
    let others = ["velm/no-9", "hollin/no-5"].map(|model| format!("--- entries/makers/{model}/a/g.md\n{seen}"));
    let leg = "\n[leg-opening]\nname = \"Leg\"\nkind = \"measure\"\nunit = \"in\"\ntolerance = 0.25\nrange = [4, 16]\n\
               look = \"Measure.\"\n";
    let base = folder(&(shop().replacen("\n[hem]", &format!("{leg}[hem]"), 1) + &others.concat()));
    for (arguments, problem) in [
        (&["date", "hme=fold"][..], "there is no feature `hme`; near it: `hem`"),
        (&["date", "hem"], "says no state"),
        (&["date", "hem=fold", "hem=chain"], "`hem` is given twice"),
        (&["date", "--maker", "holin"], "there is no maker `holin`; near it: `hollin`"),
        (&["date", "--market", "usa"], "a market is two capital letters"),
        (&["date", "--wearer", "dogs"], "a wearer is"),
        (&["date", "leg-opening=8furlong"], "`leg-opening` is measured in `in`, `cm` or `mm`, not `8furlong`"),
        (&["date", "--maker", "velm", "--model", "hollin/no-4"], "`velm` and `hollin/no-4` are of different makers"),
        (&["date", "--model", "velm/no-9", "--variant", "hollin/no-4/a"], "of different makers"),
        (
            &["date", "--model", "hollin/no-5", "--variant", "hollin/no-4/a"],
            "`hollin/no-4/a` is no variant of `hollin/no-5`",
        ),
    ] {
        let output = bartack(base.path(), arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains(problem), "{arguments:?}: {}", err(&output));
    }
    let odd = bartack(base.path(), &["date", "hem=chian"]);
    assert_eq!(code(&odd), 0);
    assert!(
        err(&odd).contains("`hem` has no state `chian`, so it is read as `other`; near it: `chain`"),
        "{}",
        err(&odd)
    );
}

#[test]
fn sheet_is_answered_in_its_order_and_bad_rows_are_skipped_aloud() {
    let base = folder(&shop());
    let sheet = base.path().join("stall.csv");
    let mut rows = "\u{feff}id,model,hem,mark\n".to_string();
    for number in 0..3000 {
        rows += match number % 3 {
            0 => "x,hollin/no-4,fold,\n",
            1 => "y,,\"chain\",late\n",
            _ => "z,hollin/no-9,fold,\n",
        };
    }
    fs::write(&sheet, rows + "short,row\n").unwrap();
    let output = bartack(base.path(), &["date", "--batch", sheet.to_str().unwrap(), "--format", "json"]);
    assert_eq!(code(&output), 1, "some rows were skipped");
    let ids: Vec<String> = out(&output)
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap()["id"].as_str().unwrap().to_string())
        .collect();
    assert_eq!(ids.len(), 2000);
    assert!(ids.chunks(2).all(|pair| pair == ["x", "y"]), "answers stand in the order of the rows");
    assert!(err(&output).contains("stall.csv:4: there is no model `hollin/no-9`"), "{}", &err(&output)[..200]);
    assert!(err(&output).contains("the row has 2 cells where the header has 4"));
    assert!(err(&output).ends_with("2000 answered, 1001 skipped\n"));
    let missing = bartack(base.path(), &["date", "--batch", "/no/such/sheet.csv"]);
    assert_eq!(code(&missing), 2);
    fs::write(&sheet, "id,hme\n").unwrap();
    let odd = bartack(base.path(), &["date", "--batch", sheet.to_str().unwrap()]);
    assert!(code(&odd) == 2 && err(&odd).contains("there is no feature `hme`"), "{}", err(&odd));
}

#[test]
fn garments_are_reviewed_only_where_somebody_asks_about_them() {
    let folder = folder(bartack::lints::find("unlike-its-variant").unwrap().wrong);
    let said = |arguments: &[&str]| out(&bartack(folder.path(), arguments)).contains("unlike-its-variant");
    assert!(!said(&["check"]), "reviewing takes time");
    assert!(said(&["check", VARIANT]));
    assert!(said(&["check", "."]));
    assert!(!said(&["check", "schema"]));
}
