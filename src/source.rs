//! The text files of a knowledge base, and places in them.
//!
//! Nothing here knows what a file says, or where the disk keeps it.

pub mod edit;
pub mod tree;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::{Arc, OnceLock};

use crate::photograph::{Facts, Flaw};

/// Says whether a character cannot be seen and may change how the text around it reads: characters of no width, and
/// those that turn the direction of writing (Unicode Standard Annex 9) or carry hidden tags.
pub fn is_invisible(character: char) -> bool {
    matches!(
        character,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}'
    )
}

/// A path relative to the knowledge base, with forward slashes, such as `entries/about.md`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FilePath(Arc<str>);

impl FilePath {
    /// Takes a relative path with forward slashes.
    pub fn new(path: impl Into<Arc<str>>) -> FilePath {
        FilePath(path.into())
    }

    /// The whole path.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The path of the folder that holds the file, without a slash at its end.
    pub fn folder(&self) -> &str {
        self.0.rsplit_once('/').map_or("", |(folder, _)| folder)
    }

    /// The file's own name without `.md`.
    pub fn stem(&self) -> &str {
        let name = self.0.rsplit_once('/').map_or(&*self.0, |(_, name)| name);
        name.strip_suffix(".md").unwrap_or(name)
    }

    /// The record's address: the path under `entries/` without `.md`.
    pub fn address(&self) -> &str {
        let path = self.0.strip_prefix("entries/").unwrap_or(&self.0);
        path.strip_suffix(".md").unwrap_or(path)
    }
}

impl fmt::Display for FilePath {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

/// A file's place among the sources, which are sorted by path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A range of bytes in one file; it never ends before it begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    start: u32,
    end: u32,
}

impl Span {
    /// Takes the range from start to end, or an empty one at start where end lies before it.
    pub fn new(start: usize, end: usize) -> Span {
        let start = u32::try_from(start).unwrap_or(u32::MAX);
        Span { start, end: u32::try_from(end).unwrap_or(u32::MAX).max(start) }
    }

    /// The first byte.
    pub fn start(self) -> usize {
        self.start as usize
    }

    /// The byte after the last.
    pub fn end(self) -> usize {
        self.end as usize
    }
}

/// A span in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    pub file: FileId,
    /// The bytes in it.
    pub span: Span,
}

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spanned<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Joins a value with its span.
    pub fn new(value: T, span: Span) -> Spanned<T> {
        Spanned { value, span }
    }
}

/// A text file of the knowledge base.
#[derive(Clone, Debug)]
pub struct SourceFile {
    path: FilePath,
    text: String,
    /// The first byte of each line, worked out when a line is first asked for.
    lines: OnceLock<Vec<usize>>,
}

impl SourceFile {
    /// Joins a path with its text.
    pub fn new(path: FilePath, text: String) -> SourceFile {
        SourceFile { path, text, lines: OnceLock::new() }
    }

    /// Where the file stands in the knowledge base.
    pub fn path(&self) -> &FilePath {
        &self.path
    }

    /// What it holds.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text of a span; empty where the span is not of this file.
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.start()..span.end()).unwrap_or("")
    }

    /// Gives line and column of a byte, both from 1, the column in characters.
    pub fn line_and_column(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line = self.line_of(offset);
        let start = self.line(line).start();
        (line, self.text[start..offset].chars().count() + 1)
    }

    /// Counts the lines up to a byte: the number of the line it stands in, from 1.
    pub fn line_of(&self, offset: usize) -> usize {
        self.line_starts().partition_point(|start| *start <= offset).max(1)
    }

    /// The bytes of a line, counted from 1, without the newline at its end; empty where there is no such line.
    pub fn line(&self, number: usize) -> Span {
        let starts = self.line_starts();
        let Some(start) = number.checked_sub(1).and_then(|at| starts.get(at)) else { return Span::default() };
        Span::new(*start, starts.get(number).map_or(self.text.len(), |next| next - 1))
    }

    fn line_starts(&self) -> &[usize] {
        self.lines
            .get_or_init(|| std::iter::once(0).chain(self.text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }
}

/// A file beside the entries that is no record: a photograph, or something that should not be there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attachment {
    pub path: FilePath,
    /// Its size in bytes.
    pub bytes: u64,
    /// What its header says, where it is a picture that is small enough to be used.
    pub picture: Result<Facts, Flaw>,
}

/// That the drawings of a sort of garment can show a feature, or one of its states.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DrawnMark {
    /// The sort of garment.
    pub garment: String,
    /// The feature's id.
    pub feature: String,
    /// The state's id; none for a mark that only says where to look.
    pub state: Option<String>,
}

/// All text files, sorted by path, and what lies beside them.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
    attachments: Vec<Attachment>,
    marks: Vec<DrawnMark>,
}

impl Sources {
    /// Sorts the files by path.
    pub fn new(mut files: Vec<SourceFile>) -> Sources {
        files.sort_by(|one, other| one.path.cmp(&other.path));
        Sources { files, attachments: Vec::new(), marks: Vec::new() }
    }

    /// Adds the files beside the entries, sorted by path.
    pub fn with_attachments(mut self, mut attachments: Vec<Attachment>) -> Sources {
        attachments.sort_by(|one, other| one.path.cmp(&other.path));
        self.attachments = attachments;
        self
    }

    /// Adds what the drawings that the knowledge base brings along can show.
    pub fn with_marks(mut self, mut marks: Vec<DrawnMark>) -> Sources {
        marks.sort();
        marks.dedup();
        self.marks = marks;
        self
    }

    /// The same files, with other texts in some.
    pub fn with_texts(&self, texts: &BTreeMap<FileId, String>) -> Sources {
        let mut sources = self.clone();
        for (file, text) in texts {
            let path = self.file(*file).path().clone();
            sources.files[file.0 as usize] = SourceFile::new(path, text.clone());
        }
        sources
    }

    /// Adds a file whose path comes after those of all others; the ids that were given out stay.
    pub fn add(&mut self, file: SourceFile) -> FileId {
        debug_assert!(self.files.last().is_none_or(|last| last.path < file.path));
        self.files.push(file);
        FileId(self.files.len() as u32 - 1)
    }

    /// What the drawings that the knowledge base brings along can show, sorted.
    pub fn marks(&self) -> &[DrawnMark] {
        &self.marks
    }

    /// The files beside the entries, in order of path.
    pub fn attachments(&self) -> &[Attachment] {
        &self.attachments
    }

    /// The files with their ids, in order of path.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(number, file)| (FileId(number as u32), file))
    }

    /// The file of an id that these sources gave out.
    pub fn file(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }

    /// Finds a file by its path.
    pub fn find(&self, path: &str) -> Option<FileId> {
        self.files.binary_search_by(|file| file.path.as_str().cmp(path)).ok().map(|number| FileId(number as u32))
    }

    /// The paths of files that are not the same in others: changed, new or gone.
    pub fn changed_from(&self, others: &Sources) -> BTreeSet<String> {
        let is_same = |file: &SourceFile, others: &Sources| {
            others.find(file.path.as_str()).is_some_and(|other| others.file(other).text() == file.text())
        };
        let own = self.files.iter().filter(|file| !is_same(file, others));
        let gone = others.files.iter().filter(|file| self.find(file.path.as_str()).is_none());
        own.chain(gone).map(|file| file.path.as_str().to_string()).collect()
    }

    /// Counts the files.
    pub fn len(&self) -> usize {
        self.files.len()
    }

    /// Says whether there are none.
    pub fn is_empty(&self) -> bool {
        self.files.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::{FilePath, SourceFile};

    #[test]
    fn columns_count_characters() {
        let file = SourceFile::new(FilePath::new("entries/a.md"), "ä\nöß = 1".into());
        assert_eq!(file.line_and_column(0), (1, 1));
        assert_eq!(file.line_and_column(7), (2, 3));
        assert_eq!(file.line_and_column(4), (2, 1), "inside a character counts as its start");
    }

    #[test]
    fn lines_leave_out_their_end_and_count_from_one() {
        let file = SourceFile::new(FilePath::new("entries/a.md"), "one\n\nthree".into());
        let lines: Vec<&str> = (0..=4).map(|number| file.slice(file.line(number))).collect();
        assert_eq!(lines, ["", "one", "", "three", ""]);
        let numbers: Vec<usize> = [0, 3, 4, 5, 10, 99].into_iter().map(|offset| file.line_of(offset)).collect();
        assert_eq!(numbers, [1, 1, 2, 3, 3, 3]);
    }

    #[test]
    fn addresses_leave_out_folder_and_ending() {
        let path = FilePath::new("entries/makers/a/maker.md");
        assert_eq!((path.address(), path.stem(), path.folder()), ("makers/a/maker", "maker", "entries/makers/a"));
    }
}
