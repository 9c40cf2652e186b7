//! `bartack init`: the first files of a knowledge base, with comments that explain what to write,
//! and files for editors and a Git host.
//!
//! The files are ordinary entries in `site/start/`, compiled in; this module does not read their
//! content.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::Args;
use include_dir::{Dir, include_dir};

use crate::cli::{Outcome, Session};
use crate::diagnostic::wording;
use crate::disk;
use crate::schema::Subject;

static START: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/site/start");

/// Files that this program's own repository also uses, at the same paths.
const SHARED: [(&str, &str); 3] = [
    (".github/ISSUE_TEMPLATE/config.yml", include_str!("../../.github/ISSUE_TEMPLATE/config.yml")),
    (".github/ISSUE_TEMPLATE/observation.yml", include_str!("../../.github/ISSUE_TEMPLATE/observation.yml")),
    (".github/pull_request_template.md", include_str!("../../.github/pull_request_template.md")),
];

/// The workflow that checks changes; two of its lines say where to install the program from.
const WORKFLOW: &str = ".github/workflows/entries.yml";
const SOURCE: &str = "BARTACK_SOURCE: \"";
const COMMIT: &str = "BARTACK_COMMIT: \"";

/// The arguments of `init`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The folder for the knowledge base; it must be new or empty.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// The Git address from which the GitHub workflow installs bartack: the address you cloned it from.
    #[arg(long, value_name = "URL", requires = "commit", value_parser = address)]
    program: Option<String>,
    /// The commit to install, in 40 hexadecimal digits (`git rev-parse HEAD` in the clone).
    #[arg(long, value_name = "COMMIT", requires = "program", value_parser = commit)]
    commit: Option<String>,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let mut files = entries(&START);
    files.extend(SHARED.map(|(path, text)| (path.to_string(), Cow::Borrowed(text.as_bytes()))));
    files.extend(Subject::ALL.map(|subject| (subject.path().to_string(), Cow::Borrowed(subject.text().as_bytes()))));
    if let Some((program, commit)) = options.program.as_ref().zip(options.commit.as_ref()) {
        let workflow = files.get(WORKFLOW).map(|content| String::from_utf8_lossy(content)).unwrap_or_default();
        let filled =
            workflow.replace(SOURCE, &format!("{SOURCE}{program}")).replace(COMMIT, &format!("{COMMIT}{commit}"));
        files.insert(WORKFLOW.to_string(), Cow::Owned(filled.into_bytes()));
    }
    let contents = files.iter().map(|(path, content)| (path.clone(), content.as_ref())).collect();
    disk::begin(&options.folder, &contents)?;
    for line in summary(&files, options) {
        session.terminal.summarize(&line);
    }
    Ok(Outcome::Clean)
}

fn summary(files: &BTreeMap<String, Cow<'_, [u8]>>, options: &Options) -> Vec<String> {
    let (count, folder) = (wording::count(files.len(), "file"), options.folder.display());
    let mut lines = vec![
        format!("wrote {count} to {folder}; all records in them are invented examples"),
        "read `entries/about.md` first; `bartack check` reports mistakes, `bartack build` makes the site".to_string(),
    ];
    if options.program.is_none() {
        lines.push(format!("to check pull requests on GitHub, write in `{WORKFLOW}` where bartack comes from"));
    }
    lines
}

/// All files in a folder and its subfolders, by path.
fn entries(folder: &'static Dir<'static>) -> BTreeMap<String, Cow<'static, [u8]>> {
    let path = |file: &include_dir::File<'_>| file.path().to_string_lossy().replace('\\', "/");
    let here = folder.files().map(|file| (path(file), Cow::Borrowed(file.contents())));
    here.chain(folder.dirs().flat_map(entries)).collect()
}

/// Accepts an address that the workflow can contain without quoting.
fn address(typed: &str) -> Result<String, String> {
    let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "-._~/:@".contains(letter);
    match typed.starts_with("https://") && typed.len() > "https://".len() && typed.chars().all(is_plain) {
        true => Ok(typed.to_string()),
        false => Err("expected an address such as `https://example.org/bartack.git`".to_string()),
    }
}

/// Accepts only the full name of a commit, since a tag or branch can move.
fn commit(typed: &str) -> Result<String, String> {
    match typed.len() == 40 && typed.bytes().all(|letter| letter.is_ascii_hexdigit()) {
        true => Ok(typed.to_string()),
        false => Err("expected 40 hexadecimal digits; a tag or a branch can be moved".to_string()),
    }
}
