//! Reading and TOML-parsing the records of a folder and nothing else: what `check` is held against.

use std::fs;
use std::path::{Path, PathBuf};

/// One thread, one file after another; its cost is that of the whole process, which `checking.py` takes.
#[test]
fn every_record_is_read_and_parsed() {
    // A measurement is made only where `tests/bench/run` asks for it, by naming the folder.
    let Ok(root) = std::env::var("BENCH_READING_ROOT") else { return };
    let mut files = Vec::new();
    collect(&Path::new(&root).join("entries"), &mut files);
    let mut keys = 0;
    for path in &files {
        let text = fs::read_to_string(path).unwrap();
        let front = text.split("+++\n").nth(1).unwrap();
        keys += front.parse::<toml::Table>().unwrap().len();
    }
    println!("measured files {}", files.len());
    assert!(keys >= files.len());
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        if entry.file_type().unwrap().is_dir() {
            collect(&entry.path(), files);
        } else {
            files.push(entry.path());
        }
    }
}
