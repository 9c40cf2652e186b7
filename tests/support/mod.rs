//! The harness: a text to what is reported about it, and files of what is expected.
//!
//! The one place in the tests that touches the library's types.

#![allow(dead_code, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

pub mod reports;
pub mod browser;
pub mod history;
pub mod numbers;
pub mod shape;
pub mod site;

use std::fs;
use std::path::{Path, PathBuf};

use bartack::compile::{Compilation, example};
use bartack::report::text::{self, Style};
use tempfile::TempDir;

/// Compiles a text that holds several files, each under a line `--- ` with its path.
pub fn compile(text: &str) -> Compilation {
    example::compile(text)
}

/// Draws all that is reported about a text; `clean` where nothing is.
pub fn findings(text: &str) -> String {
    let compilation = compile(text);
    let sources = &compilation.knowledge.catalog.sources;
    let drawn: Vec<String> =
        compilation.diagnostics.iter().map(|one| text::render(sources, one, Style::Plain)).collect();
    if drawn.is_empty() { "clean\n".to_string() } else { drawn.join("\n") }
}

/// The codes of all that is reported about a text, in order.
pub fn codes(text: &str) -> Vec<&'static str> {
    compile(text).diagnostics.iter().map(|diagnostic| diagnostic.lint().code).collect()
}

/// Writes a text of several files into a folder of its own, which goes when the value is dropped.
pub fn folder(text: &str) -> TempDir {
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(text).sources.iter() {
        let path = folder.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    folder
}

/// A path below the repository.
pub fn repository(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Says in words how a file differs from what was made, or writes it where `BLESS` is set.
pub fn differs(expected: &Path, made: &str) -> Option<String> {
    if std::env::var_os("BLESS").is_some() {
        fs::write(expected, made).unwrap();
        return None;
    }
    let Ok(text) = fs::read_to_string(expected) else {
        return Some(format!("{} is missing; BLESS=1 writes it. Made:\n{made}", expected.display()));
    };
    (text.replace("\r\n", "\n") != made).then(|| format!("{}\nexpected:\n{text}\nmade:\n{made}", expected.display()))
}

/// The folders in a folder, sorted by name.
pub fn folders(path: &Path) -> Vec<PathBuf> {
    entries(path).into_iter().filter(|path| path.is_dir()).collect()
}

/// What lies in a folder, sorted by name.
pub fn entries(path: &Path) -> Vec<PathBuf> {
    let mut entries: Vec<PathBuf> = fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    entries
}

/// The last part of a path without its ending.
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

/// Copies a folder with all that lies in it.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for path in entries(from) {
        let to = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &to);
        } else {
            fs::copy(&path, &to).unwrap();
        }
    }
}

/// The processor time of this thread until now, which a busy machine does not lengthen.
pub fn processor_time() -> std::time::Duration {
    let now = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    std::time::Duration::new(now.tv_sec as u64, now.tv_nsec as u32)
}

/// Notes how often something was tried, where `tests/run` asks for it: `tests/README.md` says the same numbers.
pub fn tried(what: &str, count: usize) {
    let Some(folder) = std::env::var_os("BARTACK_TRIED") else { return };
    let file = Path::new(&folder).join(what.replace(' ', "-"));
    fs::write(file, format!("| {what} | {count} |\n")).unwrap();
}
