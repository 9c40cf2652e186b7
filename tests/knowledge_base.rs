//! A small invented knowledge base and its whole expected output, whatever the order of files and the number of threads.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};

use crate::support;
use crate::support::site::{self, Output};
use bartack::analysis::Analysis;
use bartack::publish::output::Planned;
use bartack::view::context::Context;
use bartack::{compile, disk, publish};

fn input() -> PathBuf {
    support::repository("tests/knowledge_base/input")
}

/// What depends on the knowledge base; checks, assets, guide and query are the same for all, and have tests of their own.
/// The single file and the script are assets and `rules.json` once more; the vectors are held by the browser's reader.
fn of_its_own(output: Output) -> Output {
    let again = [
        "garment.html",
        "rules/rules.js",
        "rules/vectors.json",
        "rules/README.md",
        "rules/date.sql",
        "rules/date.schema.json",
    ];
    let again = [&again[..], &["rules/reader.mjs", "rules/reader.d.mts"]].concat();
    let again = [&again[..], &["rules/answer.mjs", "rules/conform.mjs", "rules/mutants.json"]].concat();
    // These tell of assets as well: their hashes and weights.
    let again = [&again[..], &["worker.js", "downloads.html"]].concat();
    let is_general = |path: &str| path.starts_with("lints") || path.starts_with("assets/") || again.contains(&path);
    output.into_iter().filter(|(path, _)| !is_general(path)).collect()
}

/// Says that a picture is not the one expected, byte for byte, or writes it where `BLESS` is set.
fn picture_differs(expected: &Path, made: &[u8]) -> Option<String> {
    if std::env::var_os("BLESS").is_some() {
        fs::write(expected, made).unwrap();
    }
    (fs::read(expected).ok().as_deref() != Some(made)).then(|| format!("{}: another picture", expected.display()))
}

#[test]
fn the_whole_output_is_as_expected() {
    let folder = support::repository("tests/knowledge_base/expected");
    let output = of_its_own(site::output(&input()));
    if std::env::var_os("BLESS").is_some() {
        let _ = fs::remove_dir_all(&folder);
        for path in output.keys() {
            fs::create_dir_all(folder.join(path).parent().unwrap()).unwrap();
        }
    }
    let different: Vec<String> = output
        .iter()
        .filter_map(|(path, content)| match std::str::from_utf8(content) {
            Ok(text) => support::differs(&folder.join(path), text),
            Err(_) => picture_differs(&folder.join(path), content),
        })
        .collect();
    assert!(different.is_empty(), "{}", different.join("\n"));
    let expected = walkdir::WalkDir::new(&folder).into_iter().map(Result::unwrap);
    let expected = expected.filter(|entry| entry.file_type().is_file()).count();
    assert_eq!(expected, output.len(), "files that are expected and not written");
}

#[test]
fn order_of_files_and_number_of_threads_change_nothing() {
    let first = site::output(&input());
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        assert!(pool.install(|| site::output(&input())) == first, "on {threads} threads");
    }
    assert!(site::output_of_reversed(&input()) == first, "files in another order");
}

#[test]
fn what_is_written_is_what_was_made() {
    let out = tempfile::tempdir().unwrap();
    let (compilation, built_in) = site::compiled(&input());
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, &built_in, &version);
    let folder = out.path().join("site");
    let files = publish::files(&context).unwrap();
    let planned = Planned { photographs: context.photographs.all(), files: &files, bundle: None };
    disk::write(&input(), &folder, &planned, &|_| {}).unwrap();
    for (path, content) in site::output(&input()) {
        assert!(fs::read(folder.join(&path)).unwrap() == content, "{path}");
    }
}
