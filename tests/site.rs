//! The whole site: search, names from A to Z, first page, feed, downloads, offline use, what stands on every page.
#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use crate::support;
use crate::support::site::{self, Output};
use bartack::compile::example;
use tempfile::TempDir;

#[path = "site/about.rs"]
mod about;
#[path = "site/batches.rs"]
mod batches;
#[path = "site/codes.rs"]
mod codes;
#[path = "site/downloads.rs"]
mod downloads;
#[path = "site/feed.rs"]
mod feed;
#[path = "site/gaps.rs"]
mod gaps;
#[path = "site/guide.rs"]
mod guide;
#[path = "site/growing.rs"]
mod growing;
#[path = "site/keys.rs"]
mod keys;
#[path = "site/names.rs"]
mod names;
#[path = "site/offline.rs"]
mod offline;
#[path = "site/packed_steps.rs"]
mod packed_steps;
#[path = "site/search.rs"]
mod search;
#[path = "site/sizes.rs"]
mod sizes;
#[path = "site/sources.rs"]
mod sources;
#[path = "site/steps.rs"]
mod steps;
#[path = "site/titles.rs"]
mod titles;

static DEMO: LazyLock<Output> = LazyLock::new(|| site::output(&support::repository("")));

/// The site of a text that holds several files.
fn built(text: &str) -> Output {
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(text).sources.iter() {
        write(folder.path(), file.path().as_str(), file.text().as_bytes());
    }
    site::output(folder.path())
}

fn write(folder: &Path, path: &str, content: &[u8]) {
    let path = folder.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, content).unwrap();
}

fn page<'o>(output: &'o Output, path: &str) -> &'o str {
    std::str::from_utf8(output.get(path).unwrap_or_else(|| panic!("no {path}"))).unwrap()
}
