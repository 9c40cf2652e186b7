//! Which observations of another knowledge base are recorded here already, and free names for the others, for their
//! photographs and for their finds.
//!
//! Two are one where they say the same in one folder, whatever names of entries, photographs and finds are in them.

use std::collections::{BTreeMap, BTreeSet};

use crate::import::name::{self, Names};
use crate::import::toml_string::quoted;
use crate::import::{Candidate, Taken};
use crate::parse;
use crate::rename::rewriting;
use crate::resolve::Catalog;
use crate::source::edit::{self, Edit};
use crate::source::tree::Table;
use crate::source::{FileId, FilePath, SourceFile, Span};

/// The observations recorded here.
#[derive(Clone, Debug)]
pub struct Recorded {
    /// The paths of observations, by folder and by what they say.
    alike: BTreeMap<(String, String), Vec<String>>,
    /// The finds, by path.
    finds: BTreeMap<String, String>,
}

impl Recorded {
    /// Reads all observations of a knowledge base.
    pub fn of(catalog: &Catalog) -> Recorded {
        let mut recorded = Recorded { alike: BTreeMap::new(), finds: BTreeMap::new() };
        let observations = catalog.sources.iter().map(|(_, file)| file).filter(|file| is_observation(file.path()));
        for file in observations {
            let path = file.path().to_string();
            recorded.alike.entry(key(file)).or_default().push(path.clone());
            if let Some(find) = front(file).words("find") {
                recorded.finds.insert(path, find);
            }
        }
        recorded
    }

    /// Takes the entry at the same path, if it says the same.
    pub fn take_same_path(&mut self, file: &SourceFile) -> Option<String> {
        let paths = self.alike.get_mut(&key(file))?;
        let place = paths.iter().position(|path| path == file.path().as_str())?;
        Some(paths.remove(place))
    }

    /// Takes an entry that was renamed here, if it says the same.
    pub fn take_moved(&mut self, now: &SourceFile, there: &SourceFile) -> Option<String> {
        let paths = self.alike.get_mut(&key(now)).filter(|_| key(now).1 == key(there).1)?;
        let place = paths.iter().position(|path| path == now.path().as_str())?;
        Some(paths.remove(place))
    }

    /// Takes any entry of the folder that says the same.
    pub fn take_alike(&mut self, file: &SourceFile) -> Option<String> {
        let paths = self.alike.get_mut(&key(file))?;
        (!paths.is_empty()).then(|| paths.remove(0))
    }

    /// The find of an entry.
    pub fn find(&self, path: &str) -> Option<&String> {
        self.finds.get(path)
    }
}

/// Says whether a path is that of an observation, placed or not.
pub fn is_observation(path: &FilePath) -> bool {
    name::address(path.as_str()).is_ok()
}

/// Says whether two entries are of one person and one day, or do not say, so that one may be a later state of the other.
pub fn may_be_one(one: &SourceFile, other: &SourceFile) -> bool {
    let [one, other] = [one, other].map(|file| {
        let front = front(file);
        (front.words("observer"), front.day("observed").map(|day| day.value))
    });
    one == other
}

/// Free names for photographs and finds.
#[derive(Debug)]
pub struct Beside<'n> {
    names: &'n mut Names,
    /// Photographs there, by path, with their names here.
    photographs: BTreeMap<String, String>,
    /// Finds there, with those here.
    finds: BTreeMap<String, String>,
    /// Finds that are taken.
    taken: BTreeSet<String>,
}

impl<'n> Beside<'n> {
    /// Takes the names and finds of what is here.
    pub fn new(names: &'n mut Names, recorded: &Recorded) -> Beside<'n> {
        let taken = recorded.finds.values().cloned().collect();
        Beside { names, photographs: BTreeMap::new(), finds: BTreeMap::new(), taken }
    }

    /// Notes that an entry there is recorded here, so that garments found with it join the same find.
    pub fn note(&mut self, there: &SourceFile, here: Option<&String>) {
        if let Some((there, here)) = front(there).words("find").zip(here) {
            self.finds.insert(there, here.clone());
        }
    }

    /// Gives the photographs and the find of an entry their names here; `from` is its path there.
    pub fn rename(&mut self, from: &FilePath, candidate: &mut Candidate) {
        let file = SourceFile::new(FilePath::new(candidate.path.as_str()), candidate.text.clone());
        let (front, folder) = (front(&file), file.path().folder());
        let mut edits = Vec::new();
        for name in photographs(&front) {
            let there = format!("{}/{}", from.folder(), name.value);
            let to = self.photographs.get(&there).cloned().unwrap_or_else(|| {
                let to = self.names.take(folder, &name.value);
                candidate.photographs.push(Taken { from: name.value.clone(), to: to.clone(), is_there: false });
                self.photographs.insert(there, to.clone());
                to
            });
            if to != name.value {
                edits.push(Edit { span: name.span, text: quoted(&to) });
            }
        }
        if let Some(find) = front.text("find") {
            let to = self.find(&find.value);
            if to != find.value {
                edits.push(edit::requoted(file.text(), find.span, &find.value, &to));
            }
        }
        candidate.text = edit::apply(file.text(), edits);
    }

    fn find(&mut self, there: &str) -> String {
        if let Some(here) = self.finds.get(there) {
            return here.clone();
        }
        let numbers = (1..).map(|number| if number == 1 { there.to_string() } else { format!("{there}-{number}") });
        let free = numbers.into_iter().find(|find| !self.taken.contains(find)).unwrap_or_else(|| there.to_string());
        self.finds.insert(there.to_string(), free.clone());
        self.taken.insert(free.clone());
        free
    }
}

/// The names of photographs in the entry's folder, each once.
fn photographs(front: &Table) -> Vec<crate::source::Spanned<String>> {
    let is_plain = |name: &str| !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', ':']);
    let named = front.tables("photos").filter_map(|photograph| photograph.text("file"));
    named.filter(|name| is_plain(&name.value)).collect()
}

fn front(file: &SourceFile) -> Table {
    parse::record(FileId(0), file).value.front
}

/// The folder of an entry, and its text without names of entries, photographs and finds, and without `formerly`.
fn key(file: &SourceFile) -> (String, String) {
    let front = front(file);
    let photographs = photographs(&front).into_iter().map(|name| name.span);
    let find = front.text("find").map(|find| find.span);
    // A renaming here adds a line.
    let earlier = front.entry("formerly").map(|entry| {
        let end = entry.value.span.end();
        let line_end = file.text()[end..].find('\n').map_or(end, |at| end + at + 1);
        Span::new(entry.key.span.start(), line_end)
    });
    let named = rewriting::entries_named(&front).into_iter();
    let spans: BTreeSet<Span> = named.chain(photographs).chain(find).chain(earlier).collect();
    let edits = spans.into_iter().map(|span| Edit { span, text: String::new() }).collect();
    (file.path().folder().to_string(), edit::apply(file.text(), edits).trim_end().to_string())
}
