//! A Git repository in a folder of its own, with the demo knowledge base in a subfolder, and the program run on it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// A repository that goes when it is dropped.
pub struct History {
    folder: TempDir,
}

impl History {
    /// Begins a repository that holds nothing.
    pub fn empty() -> History {
        let history = History { folder: TempDir::new().unwrap() };
        history.git(&["init", "--quiet", "--initial-branch=main"]);
        history
    }

    /// Begins a repository whose first commit has the demo's entries and schema below `base/`.
    pub fn of_demo() -> History {
        let history = History::empty();
        for folder in ["entries", "schema"] {
            super::copy(&super::repository(folder), &history.base().join(folder));
        }
        history.commit("the demo");
        history
    }

    /// The top folder.
    pub fn top(&self) -> &Path {
        self.folder.path()
    }

    /// The folder of the knowledge base.
    pub fn base(&self) -> PathBuf {
        self.top().join("base")
    }

    /// Runs Git, and gives what it says; the machine's own settings play no part.
    pub fn git(&self, arguments: &[&str]) -> String {
        git(self.top(), arguments)
    }

    /// Commits everything.
    pub fn commit(&self, message: &str) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--allow-empty", "-m", message]);
    }

    /// Writes a file of the knowledge base.
    pub fn write(&self, path: &str, text: impl AsRef<[u8]>) {
        let path = self.base().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    /// Replaces a text that stands once in a file of the knowledge base.
    pub fn edit(&self, path: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.base().join(path)).unwrap();
        assert_eq!(text.matches(from).count(), 1, "{path} holds `{from}` once");
        self.write(path, text.replace(from, to));
    }

    /// Runs the program on the knowledge base.
    pub fn run(&self, arguments: &[&str]) -> Output {
        bartack(&self.base(), arguments)
    }
}

/// Runs the program on a knowledge base.
pub fn bartack(root: &Path, arguments: &[&str]) -> Output {
    command(root, arguments).output().unwrap()
}

/// The program, about to be run on a knowledge base.
pub fn command(root: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    // What lies above the temporary folder is no business of these tests.
    command.arg("--root").arg(root).args(arguments).env("GIT_CEILING_DIRECTORIES", std::env::temp_dir());
    command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_SYSTEM", "/dev/null");
    command
}

/// Runs Git in a folder.
pub fn git(folder: &Path, arguments: &[&str]) -> String {
    let mut command = Command::new("git");
    command.arg("-C").arg(folder).args(["-c", "user.name=N", "-c", "user.email=n@example.org"]).args(arguments);
    command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_SYSTEM", "/dev/null");
    let output = command.output().unwrap();
    assert!(output.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().trim_end().to_string()
}
