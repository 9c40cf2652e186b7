//! `rename --into` and `rename --split`: a vocabulary over years, without an entry that nobody can read any more.

use std::fs;
use std::path::Path;

use bartack::compile::example;
use bartack::record::id::StateId;
use bartack::record::observation::Value;
use tempfile::TempDir;

use crate::rename::files;
use crate::support::history::bartack;

const VARIANT: &str = "entries/makers/hollin/no-4/no-4-best";
const OTHER: &str = "entries/makers/hollin/no-4/no-4-plain";

const VOCABULARY: &str = "\
--- schema/vocabulary.toml
# Words.
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"folded\", \"turned\", \"raw\"] # as they are sewn
labels = { turned = \"turned up\", raw = \"raw edge\" }
also = { turned = [\"rolled\"], folded = [\"doubled\"] }
look = \"Turn the hem up.\"
[hem-kind]
name = \"Kind of hem\"
kind = \"state\"
states = [\"folded\", \"raw\"]
look = \"Look at the hem.\"
";

fn garment(folder: &str, name: &str, said: &str, features: &str) -> String {
    let text = "basis = \"specimen\"\nplaced-by = \"mark\"\n";
    format!("--- {folder}/{name}.md\n+++\n{text}{said}[features]\n{features}+++\n")
}

/// Writes the vocabulary and entries into a folder of its own.
fn base(entries: &[String]) -> TempDir {
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(&format!("{VOCABULARY}{}", entries.concat())).sources.iter() {
        let path = folder.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    folder
}

fn told(root: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = bartack(root, &[&["rename"], arguments].concat());
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

fn vocabulary(root: &Path) -> String {
    fs::read_to_string(root.join("schema/vocabulary.toml")).unwrap()
}

fn assert_refused(base: &TempDir, arguments: &[&str], words: &str) {
    let before = files(base.path());
    let (status, _, err) = told(base.path(), arguments);
    assert!(status == 2 && err.contains(words), "{arguments:?}: {err}");
    assert!(files(base.path()) == before, "{arguments:?}");
}

/// Many garments, all with one reading.
fn many(folder: &str, features: &str) -> Vec<String> {
    (0..8).map(|number| garment(folder, &format!("find-{number}"), "", features)).collect()
}

#[test]
fn a_state_gives_way_to_another_and_old_entries_are_read_as_the_new_without_a_change() {
    let entries =
        [garment(VARIANT, "one", "", "hem = \"turned\"\n"), garment(VARIANT, "two", "", "hem = \"folded\"\n")];
    let base = base(&entries);
    let mut before = files(base.path());
    let (status, _, err) = told(base.path(), &["feature:hem=turned", "folded", "--into"]);
    let summary = "merged `feature:hem=turned` into `feature:hem=folded`; `feature:hem=turned` is still read\n";
    assert_eq!((status, err.as_str()), (0, summary));
    let expected = "\
# Words.
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"folded\", \"raw\"] # as they are sewn
replaced = { turned = \"folded\" }
labels = { raw = \"raw edge\" }
also = { folded = [\"doubled\", \"rolled\"] }
look = \"Turn the hem up.\"
";
    let after = vocabulary(base.path());
    assert!(after.starts_with(expected), "{after}");
    before.insert("schema/vocabulary.toml".to_string(), after.into_bytes());
    assert!(files(base.path()) == before, "no entry changes");
    let (compilation, _) = crate::support::site::compiled(base.path());
    assert!(compilation.diagnostics.is_empty(), "{:?}", compilation.diagnostics);
    let observations = compilation.knowledge.catalog.records.iter().filter_map(|record| record.content.observation());
    let values: Vec<&Value> =
        observations.flat_map(|one| one.features.iter().map(|(_, reading)| &reading.value)).collect();
    assert!(
        values.len() == 2 && values.iter().all(|value| **value == Value::State(StateId::new("folded"))),
        "{values:?}"
    );
}

#[test]
fn what_tells_variants_apart_is_not_merged() {
    let entries = [many(VARIANT, "hem = \"turned\"\n"), many(OTHER, "hem = \"folded\"\n")].concat();
    let base = base(&entries);
    let words = "the verdict on `hem` between `hollin/no-4/no-4-best` and `hollin/no-4/no-4-plain`";
    assert_refused(&base, &["feature:hem=turned", "folded", "--into"], words);
    // What separates nothing may go.
    let (status, _, err) = told(base.path(), &["feature:hem=raw", "folded", "--into", "--dry-run"]);
    assert!(status == 0 && err.ends_with("is still read; nothing is written\n"), "{err}");
}

#[test]
fn what_somebody_told_apart_on_one_garment_is_not_merged() {
    let entries = [
        garment(VARIANT, "one", "", "hem = \"turned\"\nhem-kind = \"raw\"\n"),
        garment(VARIANT, "two", "same-as = \"one\"\n", "hem = \"folded\"\n"),
    ];
    let base = base(&entries);
    let words = format!("both are recorded for one garment, and could no longer be told apart:\n  {VARIANT}/one.md\n");
    assert_refused(&base, &["feature:hem=turned", "feature:hem=folded", "--into"], &words);
    assert_refused(&base, &["feature:hem-kind", "feature:hem", "--into"], &words);
}

#[test]
fn a_feature_gives_way_to_another_and_is_retired() {
    let entries = [
        garment(VARIANT, "one", "made-from = [\"hem-kind\"]\nmade = \"1974\"\n", "hem-kind = \"raw\" # seen\n"),
        garment(VARIANT, "two", "", "hem = \"turned\"\n"),
    ];
    let base = base(&entries);
    let (status, out, err) = told(base.path(), &["feature:hem-kind", "hem", "--into"]);
    assert_eq!(
        (status, err.as_str()),
        (0, "merged `feature:hem-kind` into `feature:hem`; `feature:hem-kind` is still read\n")
    );
    assert!(out.contains(&format!("{VARIANT}/one.md: 2 references\n")), "{out}");
    let one = fs::read_to_string(base.path().join(VARIANT).join("one.md")).unwrap();
    assert!(one.contains("made-from = [\"hem\"]") && one.contains("hem = \"raw\" # seen"), "{one}");
    let retired = "[hem-kind]\nretired = { reason = \"recorded as `hem`\", use = \"hem\" }\nname";
    assert!(vocabulary(base.path()).contains(retired));
    assert_eq!(bartack(base.path(), &["check"]).status.code(), Some(0));
    // Somebody's entry of before still says what it says.
    fs::write(
        base.path().join(VARIANT).join("old.md"),
        "+++\nbasis = \"specimen\"\n[features]\nhem-kind = \"raw\"\n+++\n",
    )
    .unwrap();
    assert_eq!(bartack(base.path(), &["check"]).status.code(), Some(0));
}

#[test]
fn a_state_that_is_split_lists_what_to_look_at_again() {
    let entries = [
        garment(VARIANT, "one", "", "hem = \"turned\" # twice\n"),
        garment(VARIANT, "two", "", "hem = { state = \"turned\", unsure = true }\n"),
        garment(VARIANT, "three", "", "hem = \"raw\"\n"),
    ];
    let base = base(&entries);
    let (status, out, err) = told(base.path(), &["feature:hem=turned", "turned-once,turned-twice", "--split"]);
    let summary = "added `turned-once, turned-twice` beside `feature:hem=turned`: 2 places to look at again\n";
    assert_eq!((status, err.as_str()), (0, summary));
    let list = format!(
        "{VARIANT}/one.md:5: hem = \"turned\" # twice\n{VARIANT}/two.md:5: hem = {{ state = \"turned\", unsure = true }}\n"
    );
    assert_eq!(out, list);
    assert!(vocabulary(base.path()).contains("[\"folded\", \"turned\", \"turned-once\", \"turned-twice\", \"raw\"]"));
    assert_eq!(bartack(base.path(), &["check"]).status.code(), Some(0));
}

#[test]
fn what_cannot_be_merged_or_split_is_refused_with_a_reason() {
    let features = "hem = \"turned\"\nhem-kind = \"raw\"\n";
    let base = base(&[garment(VARIANT, "one", "", features), garment(OTHER, "two", "", features)]);
    assert_refused(&base, &["feature:hem=turned", "rolled", "--into"], "there is nothing called `feature:hem=rolled`");
    assert_refused(&base, &["feature:hem=turned", "absent", "--into"], "`absent` cannot be used as a name");
    assert_refused(&base, &["no-4-best", "no-4-plain", "--into"], "is neither a state nor a feature");
    assert_refused(&base, &["feature:hem=turned", "feature:hem=turned", "--into"], "already");
    assert_refused(&base, &["feature:hem", "a,b", "--split"], "is not a state");
    assert_refused(&base, &["feature:hem=turned", "raw,new", "--split"], "is taken, by `feature:hem=raw`");
    assert_refused(&base, &["feature:hem=turned", "A,b", "--split"], "small letters");
    assert_refused(&base, &["feature:hem=turned", "a", "--split", "--into"], "cannot be used with");
}
