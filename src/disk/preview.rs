//! The preview's questions to the disk: whether the knowledge base has changed, and the path of a
//! plain file in it.
//!
//! It reads only names, sizes and times and follows no link; the system's notices only say when to
//! look.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, UNIX_EPOCH};

use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};
use walkdir::{DirEntry, WalkDir};

use crate::digest::Digest;

/// The state of a knowledge base's files, which changes when a file is added, removed or saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The state's name.
    pub name: String,
    /// How many names were looked at.
    pub count: u32,
}

/// The folders that are looked at.
const FOLDERS: [&str; 3] = ["entries", "schema", "site"];

/// Receives changes while it is kept.
pub struct Watching {
    _watcher: RecommendedWatcher,
}

/// Has the system report changes in the existing folders; `None` if it cannot report all.
pub fn watch(root: &Path, changed: impl Fn() + Send + 'static) -> Option<Watching> {
    let told = move |event: notify::Result<Event>| {
        // Reading the files is no change; an unknown event may be one.
        if event.is_ok_and(|event| event.kind.is_access()) {
            return;
        }
        changed();
    };
    let mut watcher = notify::recommended_watcher(told).ok()?;
    for folder in FOLDERS.iter().map(|name| root.join(name)).filter(|folder| folder.is_dir()) {
        watcher.watch(&folder, RecursiveMode::Recursive).ok()?;
    }
    Some(Watching { _watcher: watcher })
}

/// Looks at `entries/`, `schema/` and `site/`.
pub fn stamp(root: &Path) -> Stamp {
    let (mut digest, mut count) = (Digest::default(), 0);
    for name in FOLDERS {
        let visible = |entry: &DirEntry| entry.depth() == 0 || !entry.file_name().as_encoded_bytes().starts_with(b".");
        let files = WalkDir::new(root.join(name)).follow_links(false).sort_by_file_name();
        // The build reports what cannot be read; here it only has no state.
        for entry in files.into_iter().filter_entry(visible).filter_map(Result::ok) {
            digest.add(entry.path().as_os_str().as_encoded_bytes()).add(state(&entry));
            count += 1;
        }
    }
    Stamp { name: digest.short(), count }
}

/// Size and time of the last change; a folder's own do not matter, since what is in it is looked at.
fn state(entry: &DirEntry) -> [u8; 24] {
    let mut state = [0; 24];
    if let Some(metadata) = entry.metadata().ok().filter(|metadata| !metadata.is_dir()) {
        state[..8].copy_from_slice(&metadata.len().to_le_bytes());
        // A clock before 1970 also tells two saves apart.
        let since = metadata.modified().ok().map(|time| match time.duration_since(UNIX_EPOCH) {
            Ok(since) => nanoseconds(since),
            Err(before) => -nanoseconds(before.duration()),
        });
        state[8..].copy_from_slice(&since.unwrap_or(0).to_le_bytes());
    }
    state
}

fn nanoseconds(duration: Duration) -> i128 {
    i128::try_from(duration.as_nanos()).unwrap_or(i128::MAX)
}

/// Finds a file below a folder by its path; `None` if it is no plain file in plain folders.
pub fn plain(folder: &Path, path: &str) -> Option<PathBuf> {
    let mut place = PathBuf::from(folder);
    let mut names = path.split('/').peekable();
    while let Some(name) = names.next() {
        if name.is_empty() || name == "." || name == ".." || name.contains(['\\', ':', '\0']) {
            return None;
        }
        place.push(name);
        let kind = fs::symlink_metadata(&place).ok()?.file_type();
        let is_right = if names.peek().is_some() { kind.is_dir() } else { kind.is_file() };
        if !is_right {
            return None;
        }
    }
    Some(place)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::fs;

    use super::{plain, stamp};

    #[test]
    fn the_stamp_changes_with_each_save_and_with_nothing_else() {
        let root = tempfile::tempdir().unwrap();
        let file = root.path().join("entries/about.md");
        fs::create_dir_all(root.path().join("entries/makers")).unwrap();
        fs::write(&file, "one").unwrap();
        let first = stamp(root.path());
        fs::write(root.path().join("entries/.about.md.swp"), "an editor's").unwrap();
        fs::write(root.path().join("notes.txt"), "beside").unwrap();
        assert_eq!(stamp(root.path()), first);
        fs::write(&file, "four").unwrap();
        let second = stamp(root.path());
        fs::write(root.path().join("entries/makers/a.md"), "new").unwrap();
        let third = stamp(root.path());
        fs::remove_file(&file).unwrap();
        let all = [first, second, third, stamp(root.path())].map(|stamp| stamp.name);
        assert_eq!(std::collections::BTreeSet::from(all).len(), 4);
    }

    #[test]
    fn only_plain_files_are_found() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("out");
        fs::create_dir_all(folder.join("makers")).unwrap();
        fs::write(folder.join("makers/a.html"), "page").unwrap();
        fs::write(place.path().join("secret"), "secret").unwrap();
        assert_eq!(plain(&folder, "makers/a.html").unwrap(), folder.join("makers/a.html"));
        for path in
            ["makers", "", "../secret", "makers/../../secret", "makers//a.html", "/makers/a.html", "makers/b.html"]
        {
            assert_eq!(plain(&folder, path), None, "{path}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_leads_nowhere() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("out");
        fs::create_dir_all(place.path().join("elsewhere")).unwrap();
        fs::create_dir_all(&folder).unwrap();
        fs::write(place.path().join("elsewhere/secret"), "secret").unwrap();
        std::os::unix::fs::symlink(place.path().join("elsewhere"), folder.join("folder")).unwrap();
        std::os::unix::fs::symlink(place.path().join("elsewhere/secret"), folder.join("file")).unwrap();
        assert_eq!((plain(&folder, "folder/secret"), plain(&folder, "file")), (None, None));
    }
}
