//! Records that stand where their kind does not belong.
//!
//! It turns faults about paths into diagnostics and does not look at contents.

use std::collections::BTreeSet;

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, Misplaced};
use crate::knowledge::Knowledge;
use crate::record::id::LONGEST_NAME;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "misplaced-record",
    level: Level::Error,
    title: "a record is in the wrong place for its kind",
    explanation: "\
The path of a file is its identity: it says what kind of record it is and what it belongs to. `entries/makers/<maker>/<model>/<variant>/` holds `variant.md` and the observations of that variant; the folders above hold `model.md` and `maker.md`. Names are small letters, digits and hyphens, at most 100 of them, and not a device name of Windows, so that they are the same in every address and on every machine.

Move the file to where it belongs, or add the record that gives its folder a meaning. A garment whose variant is not known goes to `entries/unplaced/`.",
    wrong: "\
--- entries/makers/hollin/no-4/barn-find.md
+++
basis = \"specimen\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
+++
",
    check: Check::Knowledge(check),
};

/// How many unknown folders are compared, in one run, with those that are there.
const MOST_COMPARED: usize = 100;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let mut folders = Folders { knowledge, misspelt: BTreeSet::new(), compared: 0 };
    knowledge.faults.iter().filter_map(|fault| folders.word(fault)).collect()
}

/// The folders without a record reported so far.
struct Folders<'a> {
    knowledge: &'a Knowledge,
    misspelt: BTreeSet<&'a str>,
    compared: usize,
}

impl<'a> Folders<'a> {
    fn word(&mut self, fault: &'a Fault) -> Option<Diagnostic> {
        let FaultKind::Misplaced(kind) = &fault.kind else { return None };
        let path = self.knowledge.catalog.sources.file(fault.place.file).path().as_str();
        let (message, help) = match kind {
            Misplaced::MissingParent { expected } => self.orphan(path, expected)?,
            other => words(path, other),
        };
        Some(LINT.at(fault.place, message).help(help))
    }

    /// One folder that is misspelt lacks all three records: that is one mistake.
    fn orphan(&mut self, path: &str, expected: &'a str) -> Option<(String, String)> {
        let (folder, record) = expected.rsplit_once('/')?;
        let is_below = |above: &&str| folder.strip_prefix(above).is_some_and(|rest| rest.starts_with('/'));
        if self.misspelt.iter().any(is_below) {
            return None;
        }
        let quote = wording::quote;
        let message = format!("{} belongs to {}, which does not exist", quote(path), quote(expected));
        let Some(near) = self.near(folder, record) else {
            return Some((message, format!("add {}, or move this file", quote(expected))));
        };
        self.misspelt.insert(folder);
        let meant = path.replacen(folder, &near, 1);
        let help = format!("if {} is meant, move it to {}; else add {}", quote(&near), quote(&meant), quote(expected));
        Some((message, help))
    }

    /// The folder next to an unknown one that is spelt nearly like it, and has the record.
    fn near(&mut self, folder: &str, record: &str) -> Option<String> {
        let (above, own) = folder.rsplit_once('/')?;
        self.compared += 1;
        if self.compared > MOST_COMPARED {
            return None;
        }
        let paths = self.knowledge.catalog.sources.iter().map(|(_, file)| file.path().as_str());
        let names = paths.filter_map(|path| {
            let name = path.strip_prefix(above)?.strip_prefix('/')?.strip_suffix(record)?.strip_suffix('/')?;
            (!name.contains('/')).then_some(name)
        });
        let names: Vec<&str> = names.collect();
        wording::nearest(own, &names, 1).first().map(|near| format!("{above}/{near}"))
    }
}

fn words(path: &str, kind: &Misplaced) -> (String, String) {
    let quoted = wording::quote(path);
    match kind {
        Misplaced::NoSuchPlace => (
            format!("no kind of record belongs at {quoted}"),
            "move it into the folder of a variant, or to `entries/unplaced/`".to_string(),
        ),
        Misplaced::MissingParent { expected } => (
            format!("{quoted} belongs to {}, which does not exist", wording::quote(expected)),
            format!("add {}, or move this file", wording::quote(expected)),
        ),
        Misplaced::BadName { found } => (
            format!("the name {} is not made of small letters a to z, digits and `-`", wording::quote(found)),
            named(path, found),
        ),
        Misplaced::Device { found } => (
            format!("{} is a device name on Windows, where no file can have it", wording::quote(found)),
            "rename the file or folder".to_string(),
        ),
        Misplaced::LongName { letters } => (
            format!("a name in {quoted} has {letters} letters, expected at most {LONGEST_NAME}"),
            "give the file or folder a shorter name".to_string(),
        ),
    }
}

/// The advice on a name: its form with small letters and hyphens, if nothing else is wrong with it.
fn named(path: &str, found: &str) -> String {
    let plain: String = found
        .to_lowercase()
        .chars()
        .map(|character| if character == ' ' || character == '_' { '-' } else { character })
        .collect();
    let is_name = plain.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'));
    match is_name && !plain.is_empty() {
        true if path.ends_with(&format!("/{found}.md")) => format!("rename it to `{plain}.md`"),
        true => format!("rename the folder to `{plain}`"),
        false => "rename the file or folder".to_string(),
    }
}
