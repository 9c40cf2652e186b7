//! The names in a commit, each judged as the disk judges a folder's: read, passed over, or refused by name.

use std::io::{BufRead, BufReader, Read};
use std::process::Stdio;

use crate::disk::found::{self, Found, PICTURE_LIMIT, Part, TEXT_LIMIT};
use crate::fault::Unreadable;
use crate::photograph::Flaw;
use crate::repository::Problem;
use crate::repository::program::{self, Git};
use crate::source::FilePath;

/// The most names that are taken; a tree of trees can name more than any disk holds.
const MOST_NAMES: usize = 500_000;
/// The longest line of a listing, in bytes: more than any system's longest path.
const LONGEST: u64 = 1 << 16;

/// A name in a tree.
#[derive(Debug)]
pub(super) struct Entry {
    /// Its kind, in Git's numbers: `100644`, `120000`.
    pub(super) mode: String,
    /// The object.
    pub(super) id: String,
    /// Its size in bytes; 0 for what has none.
    pub(super) size: u64,
    path: Vec<u8>,
}

/// The treatment of a name.
#[derive(Debug)]
pub(super) enum Judged {
    /// Nothing is read for it.
    Found(Found),
    /// A text, to be read.
    Text,
    /// A picture, whose header is to be read.
    Picture,
}

/// Lists everything below `entries/` and `schema/` in a commit, relative to the folder that Git is asked about.
pub(super) fn entries(git: &Git<'_>, commit: &str) -> Result<Vec<Entry>, Problem> {
    let mut child = git.start(&["ls-tree", "-r", "-z", "-l", commit, "entries", "schema"], Stdio::null())?;
    let listed = child.stdout.take().map_or(Ok(Vec::new()), |output| list(&mut BufReader::new(output)));
    match listed {
        Ok(entries) => program::finish(child).map(|()| entries),
        Err(problem) => {
            program::stop(child);
            Err(problem)
        }
    }
}

fn list(output: &mut impl BufRead) -> Result<Vec<Entry>, Problem> {
    let mut entries = Vec::new();
    loop {
        let mut line = Vec::new();
        output.by_ref().take(LONGEST).read_until(0, &mut line)?;
        match line.pop() {
            None => return Ok(entries),
            Some(0) => entries.push(entry(&line)?),
            Some(_) => return Err(Problem::TooMuch("65,535 bytes in a path")),
        }
        if entries.len() > MOST_NAMES {
            return Err(Problem::TooMuch("500,000 files"));
        }
    }
}

/// Reads `<mode> <type> <id> <size>\t<path>`, the size padded with blanks.
fn entry(line: &[u8]) -> Result<Entry, Problem> {
    let odd = || Problem::Refused("it lists files in a form that is not known".to_string());
    let tab = line.iter().position(|byte| *byte == b'\t').ok_or_else(odd)?;
    let head = std::str::from_utf8(&line[..tab]).map_err(|_| odd())?;
    let words: Vec<&str> = head.split_ascii_whitespace().collect();
    let [mode, kind, id, size] = words[..] else { return Err(odd()) };
    // Of a blob that is not there Git cannot say how large it is.
    let size = if kind == "blob" { size.parse().map_err(|_| Problem::Incomplete)? } else { 0 };
    if !program::is_id(id) {
        return Err(odd());
    }
    Ok(Entry { mode: mode.to_string(), id: id.to_string(), size, path: line[tab + 1..].to_vec() })
}

/// Judges a name as the disk would; nothing for what is passed over.
pub(super) fn judged(entry: &Entry) -> Option<(FilePath, Judged)> {
    if entry.path.split(|byte| *byte == b'/').any(found::is_hidden) {
        return None;
    }
    let refused = |why| Judged::Found(Found::Refused(why));
    let Ok(path) = std::str::from_utf8(&entry.path) else {
        return Some((FilePath::new(String::from_utf8_lossy(&entry.path)), refused(Unreadable::BadName)));
    };
    let part = found::part(path);
    let what = match entry.mode.as_str() {
        _ if !found::is_name(path) => refused(Unreadable::BadName),
        "120000" => refused(Unreadable::SymbolicLink),
        mode if !mode.starts_with("100") || !path.contains('/') => refused(Unreadable::NotAFile),
        _ => match part? {
            Part::Text if entry.size > TEXT_LIMIT => refused(Unreadable::TooLarge { limit: TEXT_LIMIT }),
            Part::Text => Judged::Text,
            Part::Beside | Part::Site if entry.size > PICTURE_LIMIT => {
                Judged::Found(Found::Beside { bytes: entry.size, picture: Err(Flaw::NotAPicture) })
            }
            Part::Beside | Part::Site => Judged::Picture,
        },
    };
    Some((FilePath::new(path), what))
}

#[cfg(test)]
mod tests {
    use super::{Entry, Judged, list};
    use crate::disk::found::{Found, TEXT_LIMIT};
    use crate::fault::Unreadable;

    fn judged(mode: &str, size: u64, path: &[u8]) -> Option<String> {
        let entry = Entry { mode: mode.into(), id: "0".repeat(40), size, path: path.to_vec() };
        super::judged(&entry).map(|(_, what)| match what {
            Judged::Found(Found::Refused(why)) => format!("{why:?}"),
            other => format!("{other:?}"),
        })
    }

    #[test]
    fn names_in_a_commit_are_judged_like_those_on_disk() {
        let cases: [(&str, u64, &[u8], Option<String>); 11] = [
            ("100644", 9, b"entries/a.md", Some("Text".into())),
            ("100755", 9, b"entries/a.md", Some("Text".into())),
            ("100644", 9, b"entries/a.jpg", Some("Picture".into())),
            ("120000", 9, b"entries/a.md", Some("SymbolicLink".into())),
            ("160000", 0, b"entries/makers", Some("NotAFile".into())),
            ("100644", 9, b"entries", Some("NotAFile".into())),
            ("100644", 9, b"entries/a\\b.md", Some("BadName".into())),
            ("100644", 9, b"entries/\xff.md", Some("BadName".into())),
            ("100644", 9, b"entries/.swap.md", None),
            ("100644", 9, b"entries/../../etc/a.md", None),
            ("100644", 9, b"schema/README", None),
        ];
        for (mode, size, path, expected) in cases {
            assert_eq!(judged(mode, size, path), expected, "{mode} {}", String::from_utf8_lossy(path));
        }
        let large = format!("{:?}", Unreadable::TooLarge { limit: TEXT_LIMIT });
        assert_eq!(judged("100644", TEXT_LIMIT + 1, b"entries/a.md"), Some(large));
        assert_eq!(judged("100644", TEXT_LIMIT, b"entries/a.md"), Some("Text".into()));
    }

    #[test]
    fn a_listing_that_is_cut_short_or_odd_is_an_error() {
        let id = "a".repeat(40);
        let whole = format!("100644 blob {id}      12\tentries/a\tb.md\0");
        assert!(list(&mut whole.as_bytes()).is_ok_and(|found| found[0].path == b"entries/a\tb.md"));
        for odd in [&whole[..60], "100644 blob\tx\0", "100644 blob zz 1\tx\0"] {
            assert!(list(&mut odd.as_bytes()).is_err(), "{odd}");
        }
        let lost = format!("100644 blob {id}     BAD\tentries/a.md\0");
        assert!(matches!(list(&mut lost.as_bytes()), Err(super::Problem::Incomplete)));
    }
}
