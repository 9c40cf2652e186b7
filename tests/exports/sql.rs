//! `date.sql` before databases: the engine's answers to all vectors, from a query. DuckDB is asked where `date_sql.sh`
//! has installed it, SQLite wherever there is Python.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use bartack::compile::example;
use bartack::knowledge::Knowledge;
use serde_json::Value as Json;

use crate::exports::garments;
use crate::exports::world::{self, demo, files, knowledge};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The Python that has DuckDB, or any; nothing where there is none.
fn python() -> Option<PathBuf> {
    let own = root().join("target/duckdb/bin/python");
    let any = PathBuf::from("python3");
    let runs = |path: &PathBuf| Command::new(path).arg("--version").output().is_ok_and(|out| out.status.success());
    [own, any].into_iter().find(runs)
}

/// Compares in a folder that holds the rules, and a change to them.
fn compare(python: &Path, knowledge: &Knowledge, change: impl Fn(&str, Vec<u8>) -> Vec<u8>) -> Output {
    let folder = tempfile::tempdir().unwrap();
    for (path, content) in files(knowledge, "rules/") {
        let target = folder.path().join(path.strip_prefix("rules/").unwrap());
        std::fs::create_dir_all(target.parent().unwrap()).unwrap();
        std::fs::write(target, change(&path, content)).unwrap();
    }
    let script = root().join("tests/dating/date_sql.py");
    Command::new(python).arg(script).arg(folder.path()).output().unwrap()
}

#[test]
fn databases_answer_what_the_engine_answers() {
    let is_required = std::env::var_os("DUCKDB_REQUIRED").is_some();
    let Some(python) = python() else {
        eprintln!("skipped: no python3, so no database for date.sql");
        assert!(!is_required, "python3 is not installed");
        return;
    };
    for knowledge in [demo(), excluding(), conformance()] {
        let made_up = garments::cases(&knowledge);
        let output = compare(&python, &knowledge, |path, content| match path {
            "rules/vectors.json" => with(&content, &made_up),
            _ => content,
        });
        let said = String::from_utf8_lossy(&output.stdout);
        eprint!("{said}");
        assert!(output.status.success(), "{said}{}", String::from_utf8_lossy(&output.stderr));
        assert!(!is_required || said.contains("DuckDB: "), "duckdb is not installed: {said}");
    }
}

/// A landmark that excludes one of the tiny knowledge base within a single year; and one before all years that are
/// considered, whose condition a spreadsheet could run.
const EARLY: &str = "--- entries/landmarks/early.md
+++
title = \"Folded hem\"
when = { feature = \"hem\", state = \"folded\" }
not-after = \"1949-03\"
force = \"hard\"
sources = [\"spring-list\"]
+++
--- entries/landmarks/ancient.md
+++
title = \"Lot of long ago\"
when = { feature = \"lot\", state = \"-7\\\\A\" }
not-after = \"1790\"
force = \"hard\"
sources = [\"spring-list\"]
+++
";

fn excluding() -> Knowledge {
    let compilation = example::compile(&format!("{}{EARLY}", world::TEXT));
    assert!(compilation.knowledge.faults.is_empty(), "{:#?}", compilation.knowledge.faults);
    compilation.knowledge
}

/// The world of the vectors with a patch, which the query cannot meet as patches.
fn conformance() -> Knowledge {
    example::compile(include_str!("../../src/publish/export/rules/vectors/world.txt")).knowledge
}

#[test]
fn tempers_counts_and_bounds_are_those_of_the_models_in_question() {
    let Some(python) = python() else { return };
    let knowledge = demo();
    let tables = garments::uneven(&knowledge);
    let cases = garments::cases_by(&knowledge, &tables);
    let models = tables
        .models
        .iter()
        .map(|(id, model)| format!("{id},{},{},{}\n", model.garment, u8::from(model.is_counted), model.choice.temper));
    let models = format!("model,garment_type,counted,temper\n{}", models.collect::<String>());
    let unbounded: Vec<String> = tables
        .models
        .values()
        .flat_map(|model| &model.variants)
        .filter(|(_, variant)| !variant.is_bounded)
        .map(|(id, _)| format!("{id},"))
        .collect();
    let is_unbounded = |line: &str| unbounded.iter().any(|id| line.starts_with(id.as_str()));
    let output = compare(&python, &knowledge, |path, content| match path {
        "rules/sql/models.csv" => models.clone().into_bytes(),
        "rules/sql/variants.csv" => {
            let text = String::from_utf8(content).unwrap();
            let lines = text.lines().map(|line| match line.strip_suffix(",1").filter(|_| is_unbounded(line)) {
                Some(rest) => format!("{rest},0\n"),
                None => format!("{line}\n"),
            });
            lines.collect::<String>().into_bytes()
        }
        "rules/vectors.json" => with(br#"{"cases":[]}"#, &cases),
        _ => content,
    });
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{said}{}", String::from_utf8_lossy(&output.stderr));
}

/// Vectors with more cases.
fn with(vectors: &[u8], cases: &[Json]) -> Vec<u8> {
    let mut vectors: Json = serde_json::from_slice(vectors).unwrap();
    vectors["cases"].as_array_mut().unwrap().extend(cases.iter().cloned());
    serde_json::to_vec(&vectors).unwrap()
}

#[test]
fn comparison_fails_where_a_table_is_wrong() {
    let Some(python) = python() else { return };
    let output = compare(&python, &knowledge(), |path, content| match path {
        "rules/sql/weights.csv" => String::from_utf8(content).unwrap().replace(",1,", ",0.9,").into_bytes(),
        _ => content,
    });
    assert!(!output.status.success(), "a weight was changed, and nothing was said");
    assert!(String::from_utf8_lossy(&output.stderr).contains("the engine"));
}

#[test]
fn every_state_of_a_condition_can_be_read_back() {
    let conditions = world::read(&files(&knowledge(), "rules/sql/")["rules/sql/conditions.csv"]);
    for row in &conditions.rows {
        let is_formula = row["state"].starts_with(['=', '+', '-', '@', '\t', '\r']);
        assert!(!is_formula || row["state"].parse::<f64>().is_ok(), "{row:?}");
    }
}

#[test]
fn comparison_fails_where_the_odds_of_keys_are_wrong() {
    let Some(python) = python() else { return };
    let knowledge = conformance();
    let made_up = garments::cases(&knowledge);
    let output = compare(&python, &knowledge, |path, content| match path {
        "rules/sql/keys.csv" => String::from_utf8(content).unwrap().replace(",20\n", ",19\n").into_bytes(),
        "rules/vectors.json" => with(&content, &made_up),
        _ => content,
    });
    assert!(!output.status.success(), "the odds of keys were changed, and nothing was said");
    let said = String::from_utf8_lossy(&output.stdout);
    let codes = said.split(", ").filter_map(|part| part.split_once(" with codes")?.0.parse::<usize>().ok());
    assert!(codes.max().is_some_and(|most| most > 10), "{said}");
}
