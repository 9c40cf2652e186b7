//! The data package in pandas, DuckDB and R, where `validate.sh` has installed them: days, numbers, truths, text and
//! empty cells come as what they are.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use bartack::compile::example;
use bartack::knowledge::Knowledge;
use tempfile::TempDir;

use crate::exports::world::{demo, files, knowledge, table};
use crate::support::repository;

/// Garments whose codes all look like numbers, sold new in Namibia, whose code many programs take for nothing.
const CODES: &str = "--- entries/about.md
+++
title = \"Codes under test\"
summary = \"Two invented garments.\"
licence = \"CC-BY-4.0\"
language = \"en\"
+++
--- schema/vocabulary.toml
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"folded\", \"none\"]
look = \"Turn it up.\"
[lot]
name = \"Lot\"
kind = \"code\"
look = \"Copy it exactly.\"
[batch]
name = \"Batch\"
kind = \"code\"
look = \"Copy it exactly.\"
[loops]
name = \"Belt loops\"
kind = \"count\"
look = \"Count them.\"
--- entries/makers/orrin/maker.md
+++
name = \"Orrin\"
[[lines]]
id = \"best\"
name = \"Best\"
sign = \"woven\"
+++
--- entries/makers/orrin/no-7/model.md
+++
name = \"No. 7\"
garment = \"trousers\"
+++
--- entries/makers/orrin/no-7/plain/variant.md
+++
name = \"Plain\"
line = \"best\"
wearer = \"men\"
+++
--- entries/makers/orrin/no-7/plain/one.md
+++
basis = \"specimen\"
market = \"NA\"
placed-by = \"mark\"
[features]
hem = \"none\"
lot = \"1e5\"
batch = \"007\"
loops = 7
+++
--- entries/makers/orrin/no-7/plain/two.md
+++
basis = \"specimen\"
market = \"NA\"
placed-by = \"mark\"
[features]
hem = { state = \"folded\", unsure = true }
lot = \"2E3\"
batch = \"012\"
loops = \"absent\"
+++
";

fn python() -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/typed/bin/python");
    if path.is_file() {
        return Some(path);
    }
    eprintln!("skipped: no pandas and DuckDB for the data package; tests/exports/validate.sh installs them");
    assert!(std::env::var_os("TYPED_REQUIRED").is_none(), "pandas and DuckDB are not installed");
    None
}

fn package(knowledge: &Knowledge) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, content) in files(knowledge, "data/") {
        std::fs::write(folder.path().join(path.strip_prefix("data/").unwrap()), content).unwrap();
    }
    folder
}

/// Opens a package in all programs: what was said, and what is wrong.
fn opened(python: &Path, folder: &TempDir) -> (Output, String, String) {
    let words = [repository("tests/exports/typed.py"), folder.path().into(), repository("site/guide/data.md")];
    let is_r_there = std::env::var_os("TYPED_R").is_some();
    let output = Command::new(python).args(words).args(is_r_there.then_some("R")).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let (said, wrong) = (text(&output.stdout), text(&output.stderr));
    (output, said, wrong)
}

#[test]
fn programs_read_each_column_as_what_the_package_says() {
    let Some(python) = python() else { return };
    for knowledge in [knowledge(), demo()] {
        let (output, said, wrong) = opened(&python, &package(&knowledge));
        assert!(output.status.success(), "{said}{wrong}");
        assert!(said.matches("columns with cells compared").count() >= 4, "{said}");
    }
}

#[test]
fn codes_stay_text_and_a_program_that_guesses_is_named() {
    let Some(python) = python() else { return };
    let knowledge = example::compile(CODES).knowledge;
    assert!(knowledge.faults.is_empty(), "{:#?}", knowledge.faults);
    let (_, said, wrong) = opened(&python, &package(&knowledge));
    // No CSV can tell a program that guesses: only these are lost, and only for it, as the guide says.
    let lost: Vec<&str> = wrong.lines().collect();
    assert_eq!(lost, ["DuckDB by itself: garments.lot is lost: '1e5' is 100000.0, and 1 cells more"], "{said}");
}

#[test]
fn numbers_stand_in_a_column_of_their_own() {
    let features = table("features");
    let amounts: Vec<&str> = features.column("amount").into_iter().filter(|cell| !cell.is_empty()).collect();
    assert_eq!(amounts, ["5", "8.25", "33"]);
    for row in &features.rows {
        let is_number = ["count", "measure", "number"].contains(&row["kind"].as_str());
        assert_eq!(row["amount"], if is_number { row["value"].as_str() } else { "" }, "{row:?}");
    }
}

#[test]
fn columns_that_lose_their_type_are_named() {
    let Some(python) = python() else { return };
    let folder = package(&knowledge());
    for (table, cell, broken, column) in [
        ("eras", "1974-01-01", "early 1974", "eras.begin_earliest"),
        ("claims", ",4,", ",four,", "claims.weight"),
        ("features", ",yes,", ",perhaps,", "features.altered"),
    ] {
        let path = folder.path().join(format!("{table}.csv"));
        let whole = std::fs::read_to_string(&path).unwrap();
        assert_ne!(whole, whole.replace(cell, broken));
        std::fs::write(&path, whole.replace(cell, broken)).unwrap();
        let (output, said, wrong) = opened(&python, &folder);
        assert!(!output.status.success() && wrong.contains(column), "{broken}: {said}{wrong}");
        std::fs::write(&path, whole).unwrap();
    }
}
