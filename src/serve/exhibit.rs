//! A knowledge base on show: compiled, and its files made one by one when a page asks for them.
//!
//! Nothing is written. A file is made by the code that `build` uses, so it has the same bytes.

use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver, Sender};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::thread;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::analysis::Analysis;
use crate::compile::{self, Broken, Compilation};
use crate::diagnostic::{Diagnostic, Level, wording};
use crate::disk::{self, Reading};
use crate::page::Site;
use crate::publish;
use crate::publish::output::OutputFile;
use crate::publish::output::PublishError;
use crate::publish::output_log::{OutputLog, Stamp, Turn};
use crate::report::text::{self, Style};
use crate::serve::Problem;
use crate::validate::kept::Kept;
use crate::view::context::Context;
use crate::view::photographs::Photograph;

/// How many files are made at once.
const MAKERS: usize = 4;

/// How many photographs' pictures are kept for the next request.
const KEPT: usize = 32;

/// The content of a file; `None` if there is no file of that name.
pub type Found = Option<Result<Vec<u8>, PublishError>>;

/// The compilation, shared by the threads that make its files, until the last of them ends.
#[derive(Clone)]
pub struct Exhibit {
    requests: Sender<(String, Sender<Found>)>,
}

impl Exhibit {
    /// Compiles a knowledge base whole; gives how many records it has with it.
    ///
    /// `kept` is what was kept of the last time, and of this time afterwards.
    pub fn whole(root: &Path, kept: &mut Kept) -> Result<(Exhibit, usize), Problem> {
        let Reading { sources, faults, site } = disk::read(root, &|_| {}).map_err(Problem::of)?;
        let options = compile::Options { kept: Some(kept), ..compile::Options::default() };
        let (site, compilation) = rayon::join(|| Site::new(&site), || compile::compile(sources, faults, options));
        let site = site.map_err(Problem::of)?;
        match errors(&compilation) {
            None => Exhibit::of(root, compilation, site),
            Some(problem) => Err(problem),
        }
    }

    /// Compiles what can be without the broken entries, for a preview that has nothing older to show.
    pub fn rest(root: &Path) -> Result<(Exhibit, usize), Problem> {
        let reading = disk::read(root, &|_| {}).map_err(Problem::of)?;
        let site = Site::new(&reading.site).map_err(Problem::of)?;
        let options = compile::Options { broken: Broken::LeftOut, ..compile::Options::default() };
        let compilation = compile::compile(reading.sources, reading.faults, options);
        Exhibit::of(root, compilation, site)
    }

    fn of(root: &Path, compilation: Compilation, site: Site) -> Result<(Exhibit, usize), Problem> {
        let (requests, waiting) = mpsc::channel();
        let (root, count) = (root.to_path_buf(), compilation.knowledge.catalog.records.len());
        let thread = thread::Builder::new().spawn(move || answer(&root, &compilation, &site, &Mutex::new(waiting)));
        thread.map_err(Problem::of)?;
        Ok((Exhibit { requests }, count))
    }

    /// Makes the file of a path.
    pub fn file(&self, path: &str) -> Found {
        let (sender, made) = mpsc::channel();
        // Where the threads are gone, so is the file.
        self.requests.send((path.to_string(), sender)).ok()?;
        made.recv().ok()?
    }
}

/// Answers requests until no request can come any more.
fn answer(root: &Path, compilation: &Compilation, site: &Site, waiting: &Mutex<Receiver<(String, Sender<Found>)>>) {
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, site, &version);
    let files = publish::files(&context);
    let shelf = files.as_deref().map(|files| Shelf::new(root, context.photographs.all(), files));
    let next = || waiting.lock().unwrap_or_else(PoisonError::into_inner).recv();
    thread::scope(|scope| {
        for _ in 0..MAKERS {
            scope.spawn(|| {
                while let Ok((path, sender)) = next() {
                    let found = match &shelf {
                        Ok(shelf) => shelf.find(&path),
                        Err(error) => Some(Err((*error).clone())),
                    };
                    // The client may have gone.
                    let _ = sender.send(found);
                }
            });
        }
    });
}

/// Pictures of a photograph, by path.
type Pictures = Arc<BTreeMap<String, Vec<u8>>>;

/// Every file that can be asked for.
struct Shelf<'a> {
    root: PathBuf,
    files: &'a [OutputFile<'a>],
    photographs: &'a [Photograph],
    /// The photograph of each picture.
    pictures: BTreeMap<String, usize>,
    /// Pictures that were asked for last.
    kept: Mutex<VecDeque<(usize, Pictures)>>,
    /// The output of earlier turns, for each turn.
    written: [OnceLock<Result<OutputLog, PublishError>>; Turn::ALL.len()],
}

impl<'a> Shelf<'a> {
    fn new(root: &Path, photographs: &'a [Photograph], files: &'a [OutputFile<'a>]) -> Shelf<'a> {
        let numbered = photographs.iter().enumerate();
        let pictures =
            numbered.flat_map(|(at, photograph)| photograph.pictures().into_iter().map(move |one| (one.0, at)));
        Shelf {
            root: root.to_path_buf(),
            files,
            photographs,
            pictures: pictures.collect(),
            kept: Mutex::default(),
            written: Default::default(),
        }
    }

    fn find(&self, path: &str) -> Found {
        if let Some(photograph) = self.pictures.get(path) {
            return self.pictures(*photograph).get(path).cloned().map(Ok);
        }
        let at = self.files.binary_search_by(|file| file.path().cmp(path)).ok()?;
        Some(self.made(&self.files[at]))
    }

    fn made(&self, file: &OutputFile<'_>) -> Result<Vec<u8>, PublishError> {
        match self.before(file.turn()) {
            Ok(written) => file.content(written),
            Err(error) => Err(error.clone()),
        }
    }

    /// Everything of earlier turns: made once, weighed and let go, when a file first tells of it.
    fn before(&self, turn: Turn) -> &Result<OutputLog, PublishError> {
        let at = Turn::ALL.iter().position(|one| *one == turn).unwrap_or(0);
        self.written[at].get_or_init(|| {
            let Some(earlier) = at.checked_sub(1).map(|at| Turn::ALL[at]) else { return Ok(OutputLog::new()) };
            let mut written = self.before(earlier).clone()?;
            if earlier == Turn::First {
                written.extend(self.all_pictures());
            }
            let own: Vec<&OutputFile<'_>> = self.files.iter().filter(|file| file.turn() == earlier).collect();
            let stamped = own.par_iter().map(|file| Ok((file.path().to_string(), Stamp::of(&self.made(file)?))));
            written.extend(stamped.collect::<Result<OutputLog, PublishError>>()?);
            Ok(written)
        })
    }

    fn all_pictures(&self) -> OutputLog {
        let once = (0..self.photographs.len()).filter(|at| !self.photographs[*at].is_repeated());
        let made = once.flat_map(|at| self.make(at));
        made.map(|(path, picture)| (path, Stamp::of(&picture))).collect()
    }

    fn pictures(&self, at: usize) -> Pictures {
        let kept = || self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, pictures)) = kept().iter().find(|(known, _)| *known == at) {
            return Arc::clone(pictures);
        }
        let pictures: Pictures = Arc::new(self.make(at));
        let mut kept = kept();
        kept.push_back((at, Arc::clone(&pictures)));
        if kept.len() > KEPT {
            kept.pop_front();
        }
        pictures
    }

    /// Makes a photograph's pictures; none where that fails, which pages that are made later know.
    fn make(&self, at: usize) -> BTreeMap<String, Vec<u8>> {
        let photograph = &self.photographs[at];
        match disk::photograph(&self.root, photograph.source()) {
            Ok(bytes) => photograph.make(&bytes).into_iter().collect(),
            Err(why) => {
                photograph.lose(why);
                BTreeMap::new()
            }
        }
    }
}

/// All errors, drawn as `check` draws them.
fn errors(compilation: &Compilation) -> Option<Problem> {
    let sources = &compilation.knowledge.catalog.sources;
    let errors: Vec<&Diagnostic> =
        compilation.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error).collect();
    let drawn: Vec<String> = errors.iter().map(|error| text::render(sources, error, Style::Plain)).collect();
    let title = format!("Not built: {}", wording::count(errors.len(), "error"));
    (!errors.is_empty()).then(|| Problem { title, text: drawn.join("\n") })
}
