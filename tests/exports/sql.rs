//! `date.sql` before databases: the engine's answers to all vectors, from a query. DuckDB is asked where `date_sql.sh`
//! has installed it, SQLite wherever there is Python.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use bartack::reason::Knowledge;
use serde_json::Value as Json;

use crate::garments;
use crate::world::{self, demo, files, knowledge};

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
    for knowledge in [demo(), knowledge()] {
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
        "rules/sql/weights.csv" => String::from_utf8(content).unwrap().replace(",1\n", ",0.9\n").into_bytes(),
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
