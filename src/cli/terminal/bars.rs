//! Draws a bar for each stage on stderr, in its own thread, once a command has taken long enough.
//!
//! Worker threads only note their progress and never wait for the terminal.

use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use indicatif::{MultiProgress, ProgressBar, ProgressStyle};

/// How long a command runs before it shows progress.
const PATIENCE: Duration = Duration::from_secs(1);

/// How often the bars are drawn.
const TICK: Duration = Duration::from_millis(100);

/// Characters that every terminal can show.
const SHARE: &str = "{msg:24} [{bar:30}] {percent:>3} %";
const FILLING: &str = "=> ";
const UNKNOWN: &str = "{msg:24} {spinner}";

/// The progress of one stage; the total is 0 until it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Share {
    words: &'static str,
    done: u64,
    total: u64,
}

/// The bars; dropping them clears them.
pub(super) struct Bars {
    shares: Shares,
    drawing: Option<(Sender<()>, JoinHandle<()>)>,
}

/// The state shared with the drawing thread, in order of starting.
#[derive(Clone, Default)]
struct Shares(Arc<Mutex<Vec<Share>>>);

impl Bars {
    /// Starts a timer, after which the bars appear.
    pub(super) fn begin() -> Bars {
        let shares = Shares::default();
        let (sender, receiver) = mpsc::channel();
        let drawn = shares.clone();
        // If the system cannot start a thread, work goes on without bars.
        let thread = thread::Builder::new().spawn(move || draw(&drawn, &receiver)).ok();
        Bars { shares, drawing: thread.map(|thread| (sender, thread)) }
    }

    /// Starts a stage of unknown size; earlier stages are done.
    pub(super) fn tell(&self, words: &'static str) {
        let mut shares = self.shares.lock();
        for share in shares.iter_mut() {
            share.total = share.total.max(1);
            share.done = share.total;
        }
        set(&mut shares, Share { words, done: 0, total: 0 });
    }

    /// Records how far a stage is.
    pub(super) fn share(&self, words: &'static str, done: usize, total: usize) {
        set(&mut self.shares.lock(), Share { words, done: done as u64, total: total as u64 });
    }
}

impl Shares {
    fn lock(&self) -> MutexGuard<'_, Vec<Share>> {
        // Each write replaces a whole value, so a thread that panicked left no half-written one.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn set(shares: &mut Vec<Share>, new: Share) {
    match shares.iter_mut().find(|share| share.words == new.words) {
        // Two threads may report their counts out of order; only a new stage may move a bar back.
        Some(share) if new.done == 0 || new.total != share.total || new.done > share.done => *share = new,
        Some(_) => {}
        None => shares.push(new),
    }
}

fn draw(shares: &Shares, stop: &Receiver<()>) {
    let mut wait = PATIENCE;
    let all = MultiProgress::new();
    let mut bars = Vec::new();
    while stop.recv_timeout(wait) == Err(RecvTimeoutError::Timeout) {
        let told = shares.lock().clone();
        follow(&all, &mut bars, &told);
        wait = TICK;
    }
    bars.iter().for_each(ProgressBar::finish_and_clear);
}

/// Updates the bars.
fn follow(all: &MultiProgress, bars: &mut Vec<ProgressBar>, told: &[Share]) {
    for (at, share) in told.iter().enumerate() {
        if bars.len() == at {
            bars.push(all.add(ProgressBar::no_length()));
        }
        let template = if share.total == 0 { UNKNOWN } else { SHARE };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bars[at].set_style(style.progress_chars(FILLING));
        }
        bars[at].set_length(share.total);
        bars[at].set_position(share.done);
        bars[at].set_message(share.words);
        bars[at].tick();
    }
}

impl Drop for Bars {
    fn drop(&mut self) {
        if let Some((sender, thread)) = self.drawing.take() {
            drop(sender);
            // The thread only waits and draws; if it failed, there is nothing to clean up.
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Bars, Share};

    #[test]
    fn what_is_told_next_ends_what_came_before() {
        let bars = Bars::begin();
        bars.tell("reading");
        bars.share("linking", 0, 200);
        bars.share("linking", 40, 200);
        bars.share("linking", 38, 200);
        let told = |words, done, total| Share { words, done, total };
        assert_eq!(*bars.shares.lock(), [told("reading", 0, 0), told("linking", 40, 200)]);
        bars.tell("writing");
        let ended = [told("reading", 1, 1), told("linking", 200, 200), told("writing", 0, 0)];
        assert_eq!(*bars.shares.lock(), ended);
        bars.share("linking", 0, 200);
        assert_eq!(bars.shares.lock()[1], told("linking", 0, 200), "a second state is linked");
    }
}
