//! The `git` program, run so that it starts no other program, asks no question, and reaches no
//! network.

use std::io::{ErrorKind, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use crate::diagnostic::wording;
use crate::repository::Problem;

/// The variables that could point Git to another repository, to other programs, or to files to
/// write.
const UNSET: &[&str] = &[
    "GIT_DIR",
    "GIT_WORK_TREE",
    "GIT_COMMON_DIR",
    "GIT_INDEX_FILE",
    "GIT_OBJECT_DIRECTORY",
    "GIT_ALTERNATE_OBJECT_DIRECTORIES",
    "GIT_NAMESPACE",
    "GIT_SHALLOW_FILE",
    "GIT_GRAFT_FILE",
    "GIT_REPLACE_REF_BASE",
    "GIT_CONFIG",
    "GIT_CONFIG_PARAMETERS",
    "GIT_CONFIG_COUNT",
    "GIT_ATTR_SOURCE",
    "GIT_EXTERNAL_DIFF",
    "GIT_SSH",
    "GIT_SSH_COMMAND",
    "GIT_PROXY_COMMAND",
    "GIT_EDITOR",
    "GIT_ASKPASS",
    "SSH_ASKPASS",
    "GIT_TRACE",
    "GIT_TRACE2",
    "GIT_TRACE2_EVENT",
    "GIT_TRACE2_PERF",
    "GIT_TRACE_PACKET",
    "GIT_TRACE_SETUP",
    "GIT_TRACE_PERFORMANCE",
];

/// The variables to set: known words, no pager, no question, no lock, no replaced object, and no
/// fetching.
const SET: &[(&str, &str)] = &[
    ("LC_ALL", "C"),
    ("GIT_PAGER", "cat"),
    ("GIT_TERMINAL_PROMPT", "0"),
    ("GIT_OPTIONAL_LOCKS", "0"),
    ("GIT_NO_REPLACE_OBJECTS", "1"),
    ("GIT_NO_LAZY_FETCH", "1"),
    // Versions of Git that do not know the line before would fetch what a partial clone lacks: no protocol is allowed.
    ("GIT_ALLOW_PROTOCOL", "none"),
];

/// The most that is kept of what Git complains of, in bytes.
const COMPLAINT: u64 = 4_096;

/// Git, asked about one folder.
pub(super) struct Git<'a> {
    root: &'a Path,
}

impl<'a> Git<'a> {
    /// Takes the folder of the knowledge base.
    pub(super) fn new(root: &'a Path) -> Git<'a> {
        Git { root }
    }

    /// Begins a command of Git that answers through a pipe.
    ///
    /// The folder is handed over as `-C`, so that no program named `git` in it is ever run.
    pub(super) fn start(&self, arguments: &[&str], input: Stdio) -> Result<Child, Problem> {
        let mut command = Command::new("git");
        command.arg("--no-pager").arg("-C").arg(self.root);
        // A file system monitor is a program that the repository's own settings name; and a folder of entries could hold
        // the files of a repository, with settings of a stranger.
        command.args(["-c", "core.fsmonitor=false", "-c", "safe.bareRepository=explicit"]).args(arguments);
        UNSET.iter().for_each(|name| {
            command.env_remove(name);
        });
        command.envs(SET.iter().copied());
        command.stdin(input).stdout(Stdio::piped()).stderr(Stdio::piped());
        command.spawn().map_err(|error| match error.kind() {
            ErrorKind::NotFound => Problem::NoProgram,
            // No argument may hold a NUL, and no name does.
            ErrorKind::InvalidInput => Problem::NoRevision(wording::quote(arguments.last().unwrap_or(&""))),
            _ => Problem::System(error),
        })
    }

    /// Finds the commit that a revision names.
    pub(super) fn commit(&self, revision: &str) -> Result<String, Problem> {
        self.ask(&["rev-parse", "--git-dir"]).map_err(|problem| match problem {
            Problem::Refused(words) if words.contains("not a git repository") => Problem::NotARepository,
            other => other,
        })?;
        let lacking = || -> Problem {
            match self.ask(&["rev-parse", "--is-shallow-repository"]).as_deref() {
                Ok("true") => Problem::Shallow(wording::quote(revision)),
                _ => Problem::NoRevision(wording::quote(revision)),
            }
        };
        let found = self.ask(&["rev-parse", "--verify", "--end-of-options", revision]);
        let object = match found {
            Err(Problem::Refused(_)) => return Err(lacking()),
            other => other?,
        };
        // A whole id passes whether or not there is such an object.
        if !is_id(&object) || self.ask(&["cat-file", "-e", &object]).is_err() {
            return Err(lacking());
        }
        let commit = self.ask(&["rev-parse", "--verify", "--end-of-options", &format!("{object}^{{commit}}")]);
        commit.map_err(|_| Problem::NoCommit(wording::quote(revision)))
    }

    /// Asks for one line.
    fn ask(&self, arguments: &[&str]) -> Result<String, Problem> {
        let mut child = self.start(arguments, Stdio::null())?;
        let mut answer = Vec::new();
        if let Some(output) = child.stdout.take() {
            output.take(COMPLAINT).read_to_end(&mut answer)?;
        }
        finish(child)?;
        Ok(String::from_utf8_lossy(&answer).trim_end().to_string())
    }
}

/// Waits for a command to end; its own words where it failed.
pub(super) fn finish(mut child: Child) -> Result<(), Problem> {
    let mut words = Vec::new();
    if let Some(complaint) = child.stderr.take() {
        complaint.take(COMPLAINT).read_to_end(&mut words)?;
    }
    if child.wait()?.success() {
        return Ok(());
    }
    let words = String::from_utf8_lossy(&words);
    let line = words.lines().next().unwrap_or("it says nothing").trim_start_matches("fatal: ");
    Err(Problem::Refused(wording::quote(line)))
}

/// Ends a command whose answer is of no more use.
pub(super) fn stop(mut child: Child) {
    // One that has ended already needs no ending.
    let _ = child.kill();
    let _ = child.wait();
}

/// Says whether a text is a whole object id.
pub(super) fn is_id(text: &str) -> bool {
    matches!(text.len(), 40 | 64) && text.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte))
}
