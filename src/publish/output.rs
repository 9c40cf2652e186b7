//! A planned file of the output: its path is known, its content is made when asked for.
//!
//! Nothing here touches the disk.

use crate::page::PageError;
use crate::publish::output_log::{OutputLog, Turn};
use crate::view::context::Context;
use crate::view::photographs::Photograph;

/// One page kind or export.
pub struct Publisher {
    /// The name of its file.
    pub name: &'static str,
    /// Its content, in one line.
    pub description: &'static str,
    /// The paths that are its own: `*` stands for any text within a segment, `**` for any segments.
    pub owns: &'static [&'static str],
    /// Plans its files.
    pub publish: for<'a> fn(&'a Context<'a>) -> Vec<OutputFile<'a>>,
}

/// The name of the archive that holds the whole site.
pub const BUNDLE: &str = "site.zip";

/// Everything that is to be written.
#[derive(Clone, Copy)]
pub struct Planned<'p> {
    /// Made first: pages leave out what could not be made.
    pub photographs: &'p [Photograph],
    /// Pages and exports.
    pub files: &'p [OutputFile<'p>],
    /// The name of an archive of all that, if one is wanted.
    pub bundle: Option<&'p str>,
}

/// Makes a file's bytes, or gives the reason why it cannot.
type Make<'a> = Box<dyn Fn(&OutputLog) -> Result<Vec<u8>, PageError> + Send + Sync + 'a>;

/// A file of the output: its path is known, its content is made when asked for.
pub struct OutputFile<'a> {
    path: String,
    turn: Turn,
    make: Make<'a>,
}

/// Why a file could not be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{path}: {problem}")]
pub struct PublishError {
    /// The file's path in the output.
    pub path: String,
    pub problem: PageError,
}

impl<'a> OutputFile<'a> {
    /// Plans a file; `make` may be called from any thread and gives the same bytes each time.
    pub fn new<E: Into<PageError>>(
        path: impl Into<String>,
        make: impl Fn() -> Result<Vec<u8>, E> + Send + Sync + 'a,
    ) -> OutputFile<'a> {
        OutputFile::after(path, Turn::First, move |_| make())
    }

    /// Plans a file that describes those of earlier turns.
    pub fn after<E: Into<PageError>>(
        path: impl Into<String>,
        turn: Turn,
        make: impl Fn(&OutputLog) -> Result<Vec<u8>, E> + Send + Sync + 'a,
    ) -> OutputFile<'a> {
        let make = move |written: &OutputLog| make(written).map_err(E::into);
        OutputFile { path: path.into(), turn, make: Box::new(make) }
    }

    /// When it is made.
    pub fn turn(&self) -> Turn {
        self.turn
    }

    /// The path in the output, with forward slashes.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Makes the content; `written` lists the files of earlier turns.
    pub fn content(&self, written: &OutputLog) -> Result<Vec<u8>, PublishError> {
        (self.make)(written).map_err(|problem| PublishError { path: self.path.clone(), problem })
    }
}
