//! `bartack import` through the command line: sheets, drafts, other knowledge bases, and the way back from
//! `garments.csv`.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "import/answers.rs"]
pub mod answers;
#[path = "import/bases.rs"]
mod bases;
#[path = "import/corrections.rs"]
mod corrections;
#[path = "import/drafts.rs"]
mod drafts;
#[path = "import/forty.rs"]
pub mod forty;
#[path = "import/interrupted.rs"]
mod interrupted;
#[path = "import/large.rs"]
mod large;
#[cfg(unix)]
#[path = "import/pipes.rs"]
mod pipes;
#[path = "import/round.rs"]
mod round;
#[path = "import/sheets.rs"]
mod sheets;
#[path = "import/workbooks.rs"]
mod workbooks;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::support;
use tempfile::TempDir;

/// A folder with the demo in it, and what is brought to it beside.
struct Desk(TempDir);

/// What a run came to.
struct Ran {
    code: i32,
    told: String,
    summary: String,
}

impl Desk {
    /// The demo in a folder of its own.
    fn new() -> Desk {
        let folder = TempDir::new().unwrap();
        for part in ["entries", "schema"] {
            support::copy(&support::repository(part), &folder.path().join("base").join(part));
        }
        Desk(folder)
    }

    fn root(&self) -> PathBuf {
        self.0.path().join("base")
    }

    /// Puts a file beside the knowledge base.
    fn put(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        let path = self.0.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, content).unwrap();
        path.to_string_lossy().into_owned()
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
        let output = command.arg("--root").arg(self.root()).args(arguments).output().unwrap();
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Ran { code: output.status.code().unwrap(), told: text(&output.stdout), summary: text(&output.stderr) }
    }

    fn import(&self, arguments: &[&str]) -> Ran {
        self.run(&[&["import"], arguments].concat())
    }

    /// A file of the knowledge base.
    fn read(&self, path: &str) -> String {
        fs::read_to_string(self.root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    /// All files of the knowledge base, by path.
    fn files(&self) -> Vec<String> {
        let mut files = Vec::new();
        collect(&self.root(), &self.root(), &mut files);
        files.sort();
        files
    }
}

fn collect(root: &Path, folder: &Path, files: &mut Vec<String>) {
    for path in support::entries(folder) {
        if path.is_dir() {
            collect(root, &path, files);
        } else {
            files.push(path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/"));
        }
    }
}
