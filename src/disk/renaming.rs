//! Does a prepared renaming: changes texts and names of files, whole or not at all.
//!
//! New texts and copies of the old ones are written first, into a hidden folder; then names change, one by one, and
//! change back if one cannot. It follows no link and replaces only files whose texts change.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::disk::names::{absent, move_without_replacing};
use crate::disk::{DiskError, DiskProblem, failure, found, names, preview, walk};
use crate::rename::Plan;
use crate::source::edit::Change;

/// The hidden folder, which readers of entries skip; it is also the lock.
const STAGING: &str = "entries/.bartack-rename";
/// The file in it with the folder's identity: one that came with a commit cannot have the right one.
const IDENTITY: &str = "folder.txt";

/// Does it.
pub fn rename(root: &Path, plan: &Plan) -> Result<(), DiskError> {
    check(root, plan)?;
    let staging = Staging::begin(root, plan)?;
    match all_or_none(&staging.steps()) {
        Outcome::Done => staging.remove(),
        Outcome::TakenBack(failed) => staging.remove().and(Err(failed)),
        Outcome::Stuck { failed, undone } => {
            let problem = DiskProblem::NotUndone { failed: Box::new(failed), undone: Box::new(undone) };
            Err(DiskError { path: staging.folder, problem })
        }
    }
}

/// The result of the steps.
#[derive(Debug)]
enum Outcome {
    /// All are taken.
    Done,
    /// One failed, and those before it are taken back.
    TakenBack(DiskError),
    /// One failed, and so did taking back.
    Stuck { failed: DiskError, undone: DiskError },
}

/// Takes all steps, or takes back those before the one that fails.
fn all_or_none(steps: &[Step]) -> Outcome {
    for (number, step) in steps.iter().enumerate() {
        if let Err(failed) = step.run() {
            return match steps[..number].iter().rev().try_for_each(Step::undo) {
                Ok(()) => Outcome::TakenBack(failed),
                Err(undone) => Outcome::Stuck { failed, undone },
            };
        }
    }
    Outcome::Done
}

/// Compares every file with what was read, and checks that the new place is free.
fn check(root: &Path, plan: &Plan) -> Result<(), DiskError> {
    let refused = |path: &str, problem: DiskProblem| Err(DiskError { path: root.join(path), problem });
    for (path, change) in &plan.texts {
        let text = preview::plain(root, path).and_then(|place| fs::read(place).ok());
        if text.as_deref() != Some(change.before.as_bytes()) {
            return refused(path, DiskProblem::Changed);
        }
    }
    let Some((from, to)) = &plan.relocation else { return Ok(()) };
    if !is_plain(root, from) {
        return refused(from, DiskProblem::Changed);
    }
    let parent = to.rsplit_once('/').map_or("", |(parent, _)| parent);
    names::refuse_links(root, parent)?;
    match fs::symlink_metadata(root.join(to)) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(failure(&root.join(to), error)),
        Ok(_) => refused(to, DiskProblem::Taken),
    }
}

/// Says whether a file or folder, and each folder above it, is no link.
fn is_plain(root: &Path, path: &str) -> bool {
    let mut place = root.to_path_buf();
    path.split('/').all(|name| {
        place.push(name);
        let metadata = fs::symlink_metadata(&place);
        !matches!(name, "" | "." | "..") && metadata.is_ok_and(|metadata| metadata.is_dir() || metadata.is_file())
    })
}

/// The hidden folder, and what to do with its files.
struct Staging {
    folder: PathBuf,
    /// Each text that changes: its path when the move is done.
    places: Vec<PathBuf>,
    /// The move.
    relocation: Option<(PathBuf, PathBuf)>,
}

impl Staging {
    fn begin(root: &Path, plan: &Plan) -> Result<Staging, DiskError> {
        let folder = root.join(STAGING);
        fs::create_dir(&folder).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => in_the_way(&folder),
            _ => failure(&folder, error),
        })?;
        let relocation = plan.relocation.as_ref().map(|(from, to)| (root.join(from), root.join(to)));
        let places = plan.texts.keys().map(|path| root.join(plan.path_of(path))).collect();
        let staging = Staging { folder, places, relocation };
        match staging.fill(root, plan) {
            Ok(()) => Ok(staging),
            Err(error) => {
                // The first error says more than one that follows from it.
                let _ = staging.remove();
                Err(error)
            }
        }
    }

    fn fill(&self, root: &Path, plan: &Plan) -> Result<(), DiskError> {
        write(&self.folder.join(IDENTITY), &names::folder_identity(&self.folder).unwrap_or_default())?;
        for name in ["old", "new"] {
            fs::create_dir(self.folder.join(name)).map_err(|error| failure(&self.folder, error))?;
        }
        let mut list = plan.relocation.iter().map(|(from, to)| format!("{from} becomes {to}\n")).collect::<String>();
        for (number, (path, Change { before, after })) in plan.texts.iter().enumerate() {
            list.push_str(&format!("old/{number} is {path}\n"));
            let permissions =
                fs::metadata(root.join(path)).map_err(|error| failure(&root.join(path), error))?.permissions();
            for (place, text) in [(self.old_text(number), before), (self.new_text(number), after)] {
                write(&place, text)?;
                fs::set_permissions(&place, permissions.clone()).map_err(|error| failure(&place, error))?;
            }
        }
        write(&self.folder.join("list.txt"), &list)
    }

    fn old_text(&self, number: usize) -> PathBuf {
        self.folder.join("old").join(number.to_string())
    }

    fn new_text(&self, number: usize) -> PathBuf {
        self.folder.join("new").join(number.to_string())
    }

    fn steps(&self) -> Vec<Step> {
        let moved = self.relocation.iter().map(|(from, to)| Step::Move { from: from.clone(), to: to.clone() });
        let replaced = self.places.iter().enumerate().map(|(number, place)| Step::Replace {
            place: place.clone(),
            old: self.old_text(number),
            new: self.new_text(number),
        });
        moved.chain(replaced).collect()
    }

    /// Removes what was written here, and nothing else.
    fn remove(&self) -> Result<(), DiskError> {
        let numbers = 0..self.places.len();
        let texts = numbers.flat_map(|number| [self.old_text(number), self.new_text(number)]);
        for file in texts.chain(["list.txt", IDENTITY].map(|name| self.folder.join(name))) {
            absent(&file, fs::remove_file(&file))?;
        }
        for folder in [self.folder.join("old"), self.folder.join("new"), self.folder.clone()] {
            absent(&folder, fs::remove_dir(&folder))?;
        }
        Ok(())
    }
}

/// Says what has the folder's name: the texts of a renaming here, or something that came with a commit.
fn in_the_way(folder: &Path) -> DiskError {
    let noted = walk::content(&folder.join(IDENTITY), found::TEXT_LIMIT).ok();
    let own = names::folder_identity(folder).map(String::into_bytes);
    let problem = if own.is_some() && noted == own { DiskProblem::Unfinished } else { DiskProblem::Stray };
    DiskError { path: folder.to_path_buf(), problem }
}

fn write(path: &Path, text: &str) -> Result<(), DiskError> {
    let file = OpenOptions::new().write(true).create_new(true).open(path);
    let written = file.and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    written.map_err(|error| failure(path, error))
}

/// One change of a name.
enum Step {
    /// A file or folder to another name.
    Move { from: PathBuf, to: PathBuf },
    /// A new text to the name of an old one.
    Replace { place: PathBuf, old: PathBuf, new: PathBuf },
}

impl Step {
    fn run(&self) -> Result<(), DiskError> {
        match self {
            Step::Move { from, to } => move_without_replacing(from, to).map_err(|error| failure(to, error)),
            Step::Replace { place, new, .. } => fs::rename(new, place).map_err(|error| failure(place, error)),
        }
    }

    fn undo(&self) -> Result<(), DiskError> {
        match self {
            Step::Move { from, to } => move_without_replacing(to, from).map_err(|error| failure(from, error)),
            Step::Replace { place, old, .. } => fs::rename(old, place).map_err(|error| failure(place, error)),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::fs;
    use std::path::Path;

    use super::{Outcome, Step, all_or_none};

    fn replace(folder: &Path, name: &str) -> Step {
        Step::Replace {
            place: folder.join("b").join(name),
            old: folder.join(format!("old-{name}")),
            new: folder.join(format!("new-{name}")),
        }
    }

    #[test]
    fn a_step_that_fails_takes_those_before_it_back() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path();
        fs::create_dir(folder.join("a")).unwrap();
        for (path, text) in
            [("a/one", "old"), ("a/two", "old"), ("old-one", "old"), ("old-two", "old"), ("new-one", "new")]
        {
            fs::write(folder.join(path), text).unwrap();
        }
        let moved = Step::Move { from: folder.join("a"), to: folder.join("b") };
        // Of the second text there is no new one.
        let outcome = all_or_none(&[moved, replace(folder, "one"), replace(folder, "two")]);
        assert!(matches!(outcome, Outcome::TakenBack(failed) if failed.path.ends_with("b/two")));
        let texts = ["a/one", "a/two"].map(|path| fs::read_to_string(folder.join(path)).unwrap());
        assert_eq!((texts, folder.join("b").exists()), (["old".to_string(), "old".to_string()], false));
    }
}
