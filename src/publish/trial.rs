//! Tries what a build would plan and make, without writing: what `check` passes, `build` builds.

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::page::flaws::Flaw;
use crate::publish;
use crate::publish::output::{OutputFile, PublishError};
use crate::publish::output_log::{OutputLog, Stamp, Turn};
use crate::view::context::Context;

/// Plans every file. If the knowledge base has templates, assets or guide pages of its own, makes every file too and
/// gives the first flaw in these.
///
/// # Errors
///
/// Says what prevents a build and is no flaw of the knowledge base's own files.
pub fn run<'a>(context: &'a Context<'a>) -> Result<Option<Flaw>, PublishError> {
    let files = publish::files(context)?;
    if context.site.is_built_in() {
        return Ok(None);
    }
    publish::prepare(context);
    let mut made = OutputLog::new();
    for turn in Turn::ALL {
        match of_turn(&files, turn, &made) {
            Ok(more) => made.extend(more),
            Err(error) => return error.problem.flaw().cloned().map(Some).ok_or(error),
        }
    }
    Ok(None)
}

fn of_turn(files: &[OutputFile<'_>], turn: Turn, made: &OutputLog) -> Result<OutputLog, PublishError> {
    let own = files.par_iter().filter(|file| file.turn() == turn);
    own.map(|file| Ok((file.path().to_string(), Stamp::of(&file.content(made)?)))).collect()
}
