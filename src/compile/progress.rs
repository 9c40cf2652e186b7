//! The progress of the pipeline, for an observer.
//!
//! It knows no clock and no terminal. It counts work even without an observer, at the cost of one
//! addition per step.

use std::sync::atomic::{AtomicUsize, Ordering};

/// A stage of the pipeline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Files to sources.
    Read,
    /// Text to records.
    Validate,
    /// Records to a catalog.
    Resolve,
    /// A catalog to knowledge.
    Reason,
    /// Knowledge to diagnostics.
    Lint,
    /// Knowledge to a plan of files; to all files if the knowledge base has templates of its own.
    Plan,
    /// Photographs to pictures.
    Photographs,
    /// Knowledge to files on the disk.
    Write,
}

impl Stage {
    /// The words for a progress line.
    pub fn words(self) -> &'static str {
        match self {
            Stage::Read => "reading the files",
            Stage::Validate => "reading the entries",
            Stage::Resolve => "linking the entries",
            Stage::Reason => "reasoning about dates",
            Stage::Lint => "looking for mistakes",
            Stage::Plan => "planning the site",
            Stage::Photographs => "making the pictures",
            Stage::Write => "writing the site",
        }
    }
}

/// The progress of a stage, which starts at nothing done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    pub stage: Stage,
    /// The finished pieces of work.
    pub done: usize,
    /// The total pieces of work; never less than `done`.
    pub total: usize,
}

/// An observer; it receives each stage at its start, then its progress from time to time, on any
/// thread.
pub type Observer<'a> = &'a (dyn Fn(Step) + Sync);

/// An observer of each finished piece of a stage's work, on any thread.
pub type Counting<'a> = &'a (dyn Fn() + Sync);

/// Counts the work of one stage, and reports each hundredth to an observer.
pub struct Tally<'a> {
    observer: Observer<'a>,
    stage: Stage,
    total: usize,
    done: AtomicUsize,
}

impl<'a> Tally<'a> {
    /// Starts a stage of `total` pieces, and reports it.
    pub fn begin(observer: Observer<'a>, stage: Stage, total: usize) -> Tally<'a> {
        observer(Step { stage, done: 0, total });
        Tally { observer, stage, total, done: AtomicUsize::new(0) }
    }

    /// Counts one piece as done.
    pub fn count(&self) {
        let done = (self.done.fetch_add(1, Ordering::Relaxed) + 1).min(self.total);
        if done == self.total || done.is_multiple_of(self.total.div_ceil(100)) {
            (self.observer)(Step { stage: self.stage, done, total: self.total });
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::sync::Mutex;

    use super::{Stage, Step, Tally};

    fn told(total: usize, counted: usize) -> Vec<usize> {
        let told = Mutex::new(Vec::new());
        let observer = |step: Step| {
            assert_eq!((step.stage, step.total), (Stage::Lint, total));
            told.lock().unwrap().push(step.done);
        };
        let tally = Tally::begin(&observer, Stage::Lint, total);
        (0..counted).for_each(|_| tally.count());
        told.into_inner().unwrap()
    }

    #[test]
    fn each_piece_of_few_is_told_and_each_hundredth_of_many() {
        assert_eq!(told(3, 3), [0, 1, 2, 3]);
        let many = told(50_000, 50_000);
        assert_eq!((many.len(), many[1], many[100]), (101, 500, 50_000));
        assert_eq!(*told(150, 150).last().unwrap(), 150);
    }

    #[test]
    fn no_more_is_done_than_there_is() {
        assert_eq!(told(0, 0), [0]);
        assert_eq!(told(2, 3), [0, 1, 2, 2]);
    }
}
